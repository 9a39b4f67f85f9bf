"""The shape of a sum of errors, against closed forms, published factors and plain sampling."""

from math import sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from annotate.quantity import QUANTILE_STEPS
from store.budgets.shapes import Part, quantiles_of_sum

BOTH_TAILS = (0.025, 0.975)
STEPS = np.linspace(0, 1, QUANTILE_STEPS + 1)


def rectangles(*u: float) -> list[Part]:
    return [Part("rectangular", each) for each in u]


def skewed(u: float = 1.0) -> Part:
    """Return a sampled error whose quantiles are those of an exponential about its mean."""
    quantiles = u * (stats.expon.ppf(np.clip(STEPS, 0, 0.9999)) - 1)
    return Part("sampled", u, quantiles=tuple(quantiles))


def test_nothing_uncertain_has_no_spread() -> None:
    assert quantiles_of_sum([], BOTH_TAILS) == (0.0, 0.0)
    assert quantiles_of_sum([Part("normal", 0.0)], (0.5,)) == (0.0,)


@pytest.mark.parametrize("probability", [0.001, 0.025, 0.3, 0.4, 0.5, 0.8, 0.975, 0.999])
def test_one_error_has_its_own_quantiles(probability: float) -> None:
    # GUM 4.3.7, 4.3.9: half widths u sqrt(3) and u sqrt(6); the rest from an independent library
    wanted = {
        Part("rectangular", 2.0): stats.uniform(-sqrt(12), 2 * sqrt(12)),
        Part("triangular", 2.0): stats.triang(0.5, -sqrt(24), 2 * sqrt(24)),
        Part("normal", 2.0): stats.norm(0, 2),
        Part("t", 2.0, 4.0): stats.t(4, 0, 2),
        Part("t", 2.0, None): stats.norm(0, 2),
    }
    for part, law in wanted.items():
        found = quantiles_of_sum([part], (probability,))[0]
        assert found == pytest.approx(law.ppf(probability), abs=1e-9)


def test_one_sampled_error_keeps_its_quantiles() -> None:
    part = skewed()
    assert quantiles_of_sum([part], tuple(STEPS)) == pytest.approx(part.quantiles)
    between = quantiles_of_sum([part], (0.5 + 0.25 / QUANTILE_STEPS,))[0]
    low, high = part.quantiles[100:102]
    assert between == pytest.approx(0.75 * low + 0.25 * high)


def test_the_ends_of_a_bounded_shape_are_its_bounds_and_others_are_cut() -> None:
    assert quantiles_of_sum(rectangles(1.0), (0.0, 1.0)) == pytest.approx((-sqrt(3), sqrt(3)))
    low, high = quantiles_of_sum([Part("normal", 1.0)], (0.0, 1.0))
    assert -5 < low < -4 < 4 < high < 5


@pytest.mark.parametrize(
    ("parts", "half_width"),
    [
        # Two rectangles of half widths 1 and 3 (trapezoid, beta 1/2), by the closed form of
        # EA-4/02 S10: U = (a + b) (1 - sqrt((1 - p) (1 - beta^2)))
        (rectangles(1 / sqrt(3), sqrt(3)), 4 * (1 - sqrt(0.05 * 0.75))),
        # JCGM 101:2008 9.2.3: four equal rectangles, 2 sqrt(3) (2 - (3/5)^(1/4)); 9.2.2: normal
        (rectangles(1, 1, 1, 1), 2 * sqrt(3) * (2 - (3 / 5) ** 0.25)),
        ([Part("normal", 1.0)] * 4, 3.92),
        # 9.2.4: one rectangle ten times as wide: 17.0, where 1.96 u would be 19.9
        (rectangles(1, 1, 1, 10), 17.0),
        # two equal rectangles are one triangle
        ([*rectangles(1, 1)], sqrt(12) * (1 - sqrt(0.05))),
    ],
)
def test_sums_of_published_shapes(parts: list[Part], half_width: float) -> None:
    low, high = quantiles_of_sum(parts, BOTH_TAILS)
    assert high == pytest.approx(half_width, abs=0.02 if half_width == 17.0 else 0.001)
    assert low == pytest.approx(-high, abs=1e-3)


def test_normals_add_up_to_a_normal_and_a_small_part_changes_nothing() -> None:
    law = stats.norm(0, 5)
    for probability in (0.01, 0.2, 0.9):
        found = quantiles_of_sum([Part("normal", 3), Part("normal", 4)], (probability,))[0]
        assert found == pytest.approx(law.ppf(probability), abs=0.002)
    for dof in (1.0, 2.0, 3.0, 8.0):
        near = quantiles_of_sum([Part("t", 1.0, dof), Part("normal", 1e-4)], (0.975,))[0]
        assert near == pytest.approx(stats.t(dof).ppf(0.975), rel=0.001)


PARTS = [
    [Part("t", 1.0, 3.0), Part("rectangular", 2.0)],
    [Part("triangular", 1.0), Part("t", 1.0, 5.0), Part("normal", 0.5)],
    [skewed(), Part("rectangular", 0.7)],
    [skewed(), skewed(0.5), Part("t", 0.8, 6.0)],
    [skewed(), Part("normal", 1e-3)],
]


@pytest.mark.parametrize("parts", PARTS)
def test_mixed_shapes_are_what_sampling_gives(parts: list[Part]) -> None:
    rng = np.random.default_rng(8)
    count = 400_000
    total = np.zeros(count)
    for part in parts:
        if part.shape == "rectangular":
            total += rng.uniform(-sqrt(3), sqrt(3), count) * part.u
        elif part.shape == "triangular":
            total += rng.triangular(-sqrt(6), 0, sqrt(6), count) * part.u
        elif part.shape == "normal":
            total += rng.normal(0, part.u, count)
        elif part.shape == "t":
            total += rng.standard_t(part.dof or 0, count) * part.u
        else:
            total += np.interp(rng.random(count), STEPS, part.quantiles)
    probabilities = (0.025, 0.05, 0.3, 0.5, 0.7, 0.95, 0.975)
    found = quantiles_of_sum(parts, probabilities)
    assert found == pytest.approx(np.quantile(total, probabilities), abs=0.03)


def test_a_triangle_with_hardly_anything_beside_it_is_a_triangle() -> None:
    law = stats.triang(0.5, -sqrt(6), 2 * sqrt(6))
    for small in (Part("rectangular", 1e-3), Part("normal", 1e-3), Part("t", 1e-3, 5.0)):
        for probability in (0.005, 0.1, 0.4, 0.95, 0.995):
            found = quantiles_of_sum([Part("triangular", 1.0), small], (probability,))[0]
            assert found == pytest.approx(law.ppf(probability), abs=0.002)


def test_a_sampled_error_may_pile_up_at_one_value() -> None:
    pile = Part("sampled", 0.5, quantiles=(0.0,) * 101 + tuple(np.linspace(0.01, 1, 100)))
    found = quantiles_of_sum([pile, Part("rectangular", 1e-3)], (0.25, 0.995))
    assert found == pytest.approx((0.0, 0.99), abs=0.01)


@settings(max_examples=40, deadline=None)
@given(
    widths=st.lists(st.floats(0.01, 10), min_size=2, max_size=5),
    scale=st.sampled_from([1e-9, 1.0, 1e6]),
)
def test_quantiles_rise_scale_and_stay_within_the_bounds(widths: list[float], scale: float) -> None:
    parts = rectangles(*(scale * w for w in widths))
    asked = tuple(np.linspace(0, 1, 21))
    found = np.array(quantiles_of_sum(parts, asked))
    assert (np.diff(found) >= 0).all()
    assert np.abs(found).max() <= 1.12 * sqrt(3) * scale * sum(widths)
    assert found == pytest.approx(-found[::-1], abs=0.02 * scale * sum(widths))
    plain = np.array(quantiles_of_sum(rectangles(*widths), asked[1:-1]))
    assert found[1:-1] == pytest.approx(scale * plain, abs=0.01 * scale * sum(widths))
