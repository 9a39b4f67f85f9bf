"""Descents from many starts at once, against SciPy's least squares and against each on its own."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy.optimize import least_squares

from annotate.descent import Array, cost_of, descend, slopes

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


@pytest.mark.parametrize("where", [[0.3, 0.7], [-1.2, 2.0]])
def test_slopes_are_those_by_hand(where: list[float]) -> None:
    value, slope = slopes(valley, np.array([where]))
    x, y = where
    assert_allclose(value[0], [10 * (y - x * x), 1 - x])
    assert_allclose(slope[0], [[-20 * x, 10], [-1, 0]], atol=1e-8)


def test_a_sum_of_squares_that_is_undefined_is_no_end() -> None:
    cost = cost_of(np.array([[1.0, 2.0], [np.nan, 0.0]]), np.array([[3.0], [0.0]]), np.ones(1))
    assert cost.tolist() == [14.0, np.inf]
