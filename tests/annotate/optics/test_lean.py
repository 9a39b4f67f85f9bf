from math import cos, radians, sin

import numpy as np
import pytest
from numpy.testing import assert_allclose

from annotate.optics.homography import mapped
from annotate.optics.lean import SQUARE_ON_SIGMA_DEG, Lean

SQUARE = 40.0 * np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
MIDDLE = np.array([20.0, 20.0])
FOCAL_MM = np.full(4000, 150.0)


def seen(places: np.ndarray, lean_deg: float, axis_deg: float) -> np.ndarray:
    """Return how places about the middle look from 150 mm, leaning away along an axis, in mm."""
    t, a = radians(lean_deg), radians(axis_deg)
    along = places @ [cos(a), sin(a)]
    across = places @ [-sin(a), cos(a)]
    depth = 1 + along * sin(t) / 150.0
    x, y = along * cos(t) / depth, across / depth
    return np.column_stack([x * cos(a) - y * sin(a), x * sin(a) + y * cos(a)])


def spread_of_kind(lean: Lean) -> np.ndarray:
    return lean.draw(np.random.default_rng(1), FOCAL_MM, SQUARE)


@pytest.mark.parametrize("axis", [0.0, 30.0, 115.0])
def test_a_known_lean_is_put_in_to_one_side_or_the_other(axis) -> None:
    draws = spread_of_kind(Lean(known_deg=25.0, axis_deg=axis))
    places = np.array([[10.0, 4.0], [-18.0, 7.0], [3.0, -16.0]])
    sides = []
    for side in (axis, axis + 180.0):
        looks = seen(places, 25.0, side)
        # The mark's own corners have been stretched back along the axis already.
        a = radians(axis)
        stretch = np.eye(2) + (1 / cos(radians(25)) - 1) * np.outer(
            [cos(a), sin(a)], [cos(a), sin(a)]
        )
        back = mapped(draws, looks @ stretch + MIDDLE)
        sides.append(np.abs(back - places).max(axis=(1, 2)) < 1e-9)
    assert (sides[0] | sides[1]).all()
    assert not (sides[0] & sides[1]).any()
    assert_allclose(sides[0].mean(), 0.5, atol=0.03)


def test_an_unknown_lean_takes_every_direction_and_its_spread() -> None:
    draws = spread_of_kind(Lean(sigma_deg=SQUARE_ON_SIGMA_DEG))
    # Far from the eye there is no perspective: what is left is 1 / cos along the lean's axis.
    flat = Lean(sigma_deg=20.0).draw(np.random.default_rng(1), np.full(4000, 1e9), SQUARE)
    parts = flat[:, :2, :2] / flat[:, 2:, 2:]
    sizes, axes = np.linalg.svd(parts)[1:]
    leans = np.degrees(np.arccos(np.clip(sizes[:, 1] / sizes[:, 0], 0, 1)))
    assert_allclose(np.sqrt(np.mean(leans**2)), 20, rtol=0.05)
    turn = np.arctan2(axes[:, 0, 1], axes[:, 0, 0])
    for harmonic in (2, 4):  # axes have no sign: twice the angle and on must be even all round
        assert abs(np.mean(np.exp(1j * harmonic * turn))) < 0.05
    # The perspective looks to every side alike, too.
    away = draws[:, 2, :2]
    assert np.linalg.norm(away.mean(axis=0)) < 0.05 * np.linalg.norm(away, axis=1).mean()
    assert_allclose(np.mean(away[:, 0] > 0), 0.5, atol=0.03)


def test_one_draw_of_an_unknown_lean_is_a_plane_seen_leaning() -> None:
    rng = np.random.default_rng(1)
    draws = Lean(sigma_deg=15.0).draw(rng, FOCAL_MM, SQUARE)
    again = np.random.default_rng(1)
    lean = np.degrees(radians(15.0) * np.abs(again.standard_normal(4000)))
    axis = np.degrees(again.uniform(0, 2 * np.pi, 4000))
    places = np.array([[10.0, 4.0], [-18.0, 7.0], [3.0, -16.0]])
    for k in range(5):
        back = mapped(draws[k], seen(places, lean[k], axis[k]) + MIDDLE)
        ratio = np.linalg.norm(back, axis=1) / np.linalg.norm(places, axis=1)
        assert_allclose(ratio, ratio[0], rtol=1e-9)  # one size for all: the known side's
        assert_allclose(back / ratio[0], places, atol=1e-8)


def test_the_known_side_keeps_its_length_and_the_middle_its_place() -> None:
    draws = spread_of_kind(Lean(sigma_deg=25.0))
    corners = mapped(draws, SQUARE)
    assert_allclose(np.linalg.norm(corners[:, 1] - corners[:, 0], axis=1), 40.0)
    assert_allclose(mapped(draws, MIDDLE[None]), 0, atol=1e-9)
    assert np.std(np.linalg.norm(corners[:, 3] - corners[:, 0], axis=1)) > 1


def test_no_lean_changes_nothing_but_the_origin() -> None:
    draws = spread_of_kind(Lean())
    back = mapped(draws, SQUARE)
    assert_allclose(np.linalg.norm(back[:, 2] - back[:, 0], axis=1), 40 * np.sqrt(2))
