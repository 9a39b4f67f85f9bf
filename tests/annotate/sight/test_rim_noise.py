"""How the points of a rim are off together: what such points can tell of a move or a size.

Outside: the variance of the best linear estimate, 1 / (u' C^-1 u) (Gauss-Markov theorem, in
Aitken's form), and the Sherman-Morrison formula for a covariance with one more part s^2 u u'.
"""

from typing import Literal

import numpy as np
import pytest
from numpy.testing import assert_allclose

from annotate.marks import Rim
from annotate.sight.rim_noise import FOUND_NEAR, whitener

COUNT, RADIUS = 36, 150.0
AROUND = 2 * np.pi * np.arange(COUNT) / COUNT
UNIT = np.stack([np.cos(AROUND), np.sin(AROUND)], axis=1)
POINTS = RADIUS * UNIT + (400.0, 300.0)


def rim(which: Literal["near", "far", "back"], placed: Literal["hand", "found"]) -> Rim:
    return Rim(which, tuple((float(x), float(y)) for x, y in POINTS), 0.5, placed)


def variance(
    one: Rim, way: np.ndarray, *, alone: bool = False, sigma_px: float = 0.5, times: float = 1.0
) -> float:
    """Return the variance of the best estimate of how far the rim moved in a way (N,), in px^2."""
    white = whitener(one, POINTS, RADIUS, np.full(COUNT, times * sigma_px), alone=alone)
    return float(1 / np.sum((white @ way) ** 2))


@pytest.mark.parametrize("axis", [0, 1])
@pytest.mark.parametrize(("alone", "squared"), [(False, 0.3**2 + 0.3**2), (True, 1.0**2 + 0.75**2)])
def test_a_found_near_rim_is_no_better_placed_than_its_shift(
    axis: int, alone: bool, squared: float
) -> None:
    by_hand = variance(rim("near", "hand"), UNIT[:, axis], alone=alone)
    found = variance(rim("near", "found"), UNIT[:, axis], alone=alone, times=FOUND_NEAR)
    # All but the shift is as many times larger.
    assert_allclose(found - FOUND_NEAR**2 * by_hand, squared, rtol=1e-9)


@pytest.mark.parametrize("order", [2, 3, 5])
def test_a_found_near_rim_wanders_more_than_one_by_hand(order: int) -> None:
    way = np.cos(order * AROUND)
    found = variance(rim("near", "found"), way, times=FOUND_NEAR)
    assert_allclose(found, FOUND_NEAR**2 * variance(rim("near", "hand"), way), rtol=1e-9)
    assert found > 2 * variance(rim("far", "found"), way)


@pytest.mark.parametrize(
    "one",
    [rim("near", "hand"), rim("far", "found"), rim("back", "found")],
    ids=["near by hand", "far", "back"],
)
def test_other_rims_have_no_such_shift(one: Rim) -> None:
    for way in (*UNIT.T, np.ones(COUNT)):
        assert variance(one, way) == variance(one, way, alone=True)


def test_a_shift_says_nothing_of_size_or_flattening() -> None:
    for way in (np.ones(COUNT), np.cos(2 * AROUND)):
        alone, backed = (variance(rim("near", "found"), way, alone=a) for a in (True, False))
        assert_allclose(alone, backed, rtol=1e-9)


def test_points_close_together_tell_little_more_than_one() -> None:
    """Ten times the points on a tenth of the rim: the shared error does not go down."""
    for count in (4, 40):
        arc = np.linspace(0, 0.2, count)
        points = RADIUS * np.stack([np.cos(arc), np.sin(arc)], axis=1)
        near_by = Rim("far", tuple((float(x), float(y)) for x, y in points), 0.1, "found")
        white = whitener(near_by, points, RADIUS, np.full(count, 0.1))
        spread = 1 / np.sum((white @ np.ones(count)) ** 2)
        # Bias of 0.3 px, and a waviness of 0.3 px and 0.002 radii that is one over so short an arc.
        assert_allclose(spread, 0.3**2 + 0.3**2 + 0.3**2, rtol=0.05)
