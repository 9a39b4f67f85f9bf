"""Descents from many starts at once, against SciPy's least squares and against each on its own."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy.optimize import least_squares

from annotate.mathematics.descent import Array, cost_of, descend, slopes

HALF_KNOWN = np.array([1.0, 0.0])


def valley(q: Array) -> Array:
    """Return Rosenbrock's curved valley (Computer Journal 3 (1960) 175), with minimum (1, 1)."""
    return np.stack([10 * (q[:, 1] - q[:, 0] ** 2), 1 - q[:, 0]], axis=1)


def ring(q: Array) -> Array:
    """Return what two distances and a line leave over: two places fit, above and below y = 0."""
    a = np.hypot(q[:, 0] - 1, q[:, 1]) - 2
    b = np.hypot(q[:, 0] + 1, q[:, 1]) - 1.7
    return np.stack([a, b, 0.1 * q[:, 0] - 0.05], axis=1) / 0.05


def test_a_curved_valley_is_followed_to_its_end() -> None:
    ends = descend(valley, np.array([[-0.5, 0.5], [2.0, 3.0], [1.0, 1.0]]), np.zeros(2))
    assert_allclose(ends, np.ones((3, 2)), atol=1e-3)


@given(st.lists(st.tuples(st.floats(-3, 3), st.floats(-3, 3)), min_size=1, max_size=6))
def test_each_start_ends_where_it_ends_alone(starts: list[tuple[float, float]]) -> None:
    q = np.array(starts)
    alone = np.concatenate([descend(ring, one[None], HALF_KNOWN) for one in q])
    assert_allclose(descend(ring, q, HALF_KNOWN), alone, atol=1e-9)


@given(st.floats(-3, 3), st.floats(0.2, 3))
def test_the_end_is_that_of_a_well_kept_library(x: float, y: float) -> None:
    def with_prior(q):
        return np.concatenate([ring(q[None])[0], HALF_KNOWN * q])

    found = descend(ring, np.array([[x, y]]), HALF_KNOWN)
    expected = least_squares(with_prior, [0.1, 1.5], method="lm", xtol=1e-12, ftol=1e-12)
    assert_allclose(cost_of(ring(found), found, HALF_KNOWN), 2 * expected.cost, rtol=1e-4)
    assert_allclose(found[0], expected.x, atol=1e-3)


def test_what_has_settled_is_not_looked_at_again() -> None:
    asked: list[int] = []

    def counted(q):
        asked.append(len(q))
        return valley(q)

    descend(counted, np.array([[-0.5, 0.5]]), np.zeros(2))
    alone = sum(asked)
    asked.clear()
    # Nineteen that stand at the minimum from the first, and the one that has a way to go.
    descend(counted, np.array([[-0.5, 0.5], *[[1.0, 1.0]] * 19]), np.zeros(2))
    assert sum(asked) < alone + 19 * 10


def test_a_step_that_does_not_help_costs_no_new_slopes() -> None:
    asked: list[int] = []

    def flat_but_for_a_wall(q):
        asked.append(len(q))
        return np.where(np.abs(q) < 1e-3, q - 1.0, 1e3)

    end = descend(flat_but_for_a_wall, np.zeros((1, 1)), np.zeros(1))
    assert abs(end[0, 0]) < 1e-3
    # The first look, its slope, and one trial for each larger damping; never a second slope.
    assert asked[:2] == [1, 1]
    assert set(asked) == {1}
    assert len(asked) <= 2 + 30


def test_a_start_that_nothing_is_better_than_is_given_up_at_a_damping_of_a_million() -> None:
    asked: list[int] = []

    def worse_all_round(q):
        asked.append(len(q))
        return np.where(q == 0, 1.0, 1e3)

    assert descend(worse_all_round, np.zeros((1, 1)), np.zeros(1)) == 0
    # The first look, its slope, and a trial for each damping: 0.01 x 4^14 is over a million.
    assert len(asked) == 2 + 14


@pytest.mark.parametrize("side", [-1.0, 1.0])
def test_no_step_is_longer_than_one_and_a_half_prior_widths(side: float) -> None:
    tried: list[Array] = []

    def far_away(q):
        tried.append(q)
        return q - side * np.array([100.0, 20.0])

    descend(far_away, np.zeros((1, 2)), np.zeros(2))
    steps = [q[0] for q in tried if len(q) == 1]  # the rest are slopes: one set an unknown
    # Straight for the place, as far as the longer of its two parts may go.
    assert_allclose(steps[1], side * np.array([1.5, 0.3]), rtol=1e-4)
    assert np.abs(np.diff(steps, axis=0)).max() <= 1.5 + 1e-9


def test_where_nothing_is_seen_the_prior_leads_straight_to_its_middle() -> None:
    calls: list[int] = []

    def blind(q):
        calls.append(len(q))
        return np.ones((len(q), 3))

    found = descend(blind, np.array([[-0.8, -1.1]]), np.ones(2))
    assert_allclose(found, 0, atol=1e-6)
    # Steps of Newton's, damped by 0.01, 0.002 and 0.0004: what is left is a hundredth, then
    # 2e-5, then nothing that counts. Each asks for slopes and one trial; one look came first.
    assert len(calls) == 1 + 3 * 2


def test_a_gain_is_small_or_large_beside_what_is_left() -> None:
    calls: list[int] = []

    def hopeless(q):
        calls.append(len(q))
        return np.column_stack([q, np.full(len(q), 1000.0)])

    # From 0.2 there is 0.04 to gain of a million: less than a ten-millionth of it.
    descend(hopeless, np.array([[0.2]]), np.zeros(1))
    assert len(calls) == 1 + 2
    calls.clear()
    descend(lambda q: hopeless(q)[:, :1], np.array([[0.2]]), np.zeros(1))
    assert len(calls) > 1 + 2


def test_a_start_where_nothing_is_defined_stays_where_it_is() -> None:
    start = np.array([[3.0, -2.0]])
    with np.errstate(all="raise"):
        end = descend(lambda q: np.full((len(q), 2), np.nan), start, np.ones(2))
    assert end.tolist() == start.tolist()


@pytest.mark.parametrize("start", [1 - 1e-6, 1.2])
def test_a_prior_leads_back_from_where_nothing_is_defined(start: float) -> None:
    # Just inside the edge, where the slope looks over it, and beyond. Of 0.01 (1 - q) + q^2 the
    # least is at 0.005.
    def root(q):
        return 0.1 * np.sqrt(np.where(q <= 1, 1 - q, np.nan))

    assert_allclose(descend(root, np.array([[start]]), np.ones(1)), 0.005, atol=1e-3)


@pytest.mark.parametrize("where", [[0.3, 0.7], [-1.2, 2.0]])
def test_slopes_are_those_by_hand(where: list[float]) -> None:
    value, slope = slopes(valley, np.array([where]))
    x, y = where
    assert_allclose(value[0], [10 * (y - x * x), 1 - x])
    assert_allclose(slope[0], [[-20 * x, 10], [-1, 0]], atol=1e-8)


def test_a_sum_of_squares_that_is_undefined_is_no_end() -> None:
    cost = cost_of(np.array([[1.0, 2.0], [np.nan, 0.0]]), np.array([[3.0], [0.0]]), np.ones(1))
    assert cost.tolist() == [14.0, np.inf]
