"""A profile of photos held one way, used on one with the camera turned by a quarter either way.

What the camera sees is projected by OpenCV and its picture turned here, pixel by pixel.
"""

import cv2
import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.stats import binom

from annotate.flat_face.face import measure_holes
from annotate.marks import Layer, Marker, Rim
from annotate.optics.profile import LensProfile
from annotate.quantity import Quantity
from annotate.scale import Scale, scale_from

SIZE = (1600, 1200)
PROFILE = LensProfile(
    2100.0, 2100.0, 799.5 + 14.0, 599.5 - 9.0, -0.12, 0.01, 6e-4, -4e-4, 0.0, *SIZE, 0.1,
    u_focal_px=4.0, u_centre_px=2.0, u_barrel=0.0005, reach=0.95,
)  # fmt: skip
TAU = np.linspace(0, 2 * np.pi, 72, endpoint=False)


def turned(points: np.ndarray, quarter: int) -> np.ndarray:
    """Return pixels of a picture turned by a quarter, 1 clockwise, -1 the other way, 0 not."""
    x, y = points.T
    if quarter == 0:
        return points
    if quarter == 1:
        return np.column_stack([SIZE[1] - 1 - y, x])
    return np.column_stack([y, SIZE[0] - 1 - x])


def seen(solid: np.ndarray, turn: np.ndarray, shift: np.ndarray, quarter: int) -> np.ndarray:
    found = cv2.projectPoints(solid, turn, shift, PROFILE.matrix(), PROFILE.terms())[0]
    return turned(found.reshape(-1, 2), quarter)


def layer(quarter: int) -> Layer:
    return Layer(*(SIZE if quarter == 0 else SIZE[::-1]))


@pytest.mark.parametrize("quarter", [1, -1])
def test_sight_lines_are_true_to_what_is_stated(quarter: int) -> None:
    lens = PROFILE.used_on(layer(quarter))
    assert (lens.width_px, lens.height_px) == SIZE[::-1]
    x, y = np.meshgrid(np.linspace(-0.32, 0.32, 9), np.linspace(-0.24, 0.24, 7))
    flat = np.column_stack([x.ravel(), y.ravel()])
    solid = np.column_stack([flat, np.ones(len(flat))])
    there = lens.straighten(seen(solid, np.zeros(3), np.zeros(3), quarter)) - lens.centre()
    way = np.column_stack([-flat[:, 1], flat[:, 0]]) * quarter  # sight lines turn with the camera
    off = there - way * lens.focal_px
    aim = off.mean(axis=0)
    # That the axis is off is one move of all: as large as the doubt stated, and no larger.
    assert 0.5 * lens.u_centre_px < np.abs(aim).max() < 1.5 * lens.u_centre_px
    bent = np.linalg.norm(off - aim, axis=1).max() / (np.hypot(*SIZE) / 2)
    assert bent < 2 * lens.u_barrel


def test_doubt_is_of_what_the_turn_leaves_open_and_the_rest_is_kept() -> None:
    lens, same = PROFILE.used_on(layer(1)), PROFILE.used_on(layer(0))
    assert lens == PROFILE.used_on(layer(-1))
    assert lens.focal_px == same.focal_px
    assert (lens.k1, lens.k2, lens.k3, lens.reach) == (same.k1, same.k2, same.k3, same.reach)
    assert_allclose(lens.centre(), [599.5, 799.5])
    assert_allclose(lens.u_centre_px, np.hypot(same.u_centre_px, 14.0))
    assert lens.u_barrel > same.u_barrel
    assert PROFILE.is_turned_on(layer(1))
    assert not PROFILE.is_turned_on(layer(0))
    assert not PROFILE.is_turned_on(Layer(1200, 1700))


def test_a_centred_lens_without_tangential_terms_is_no_vaguer_for_being_turned() -> None:
    plain = LensProfile(2100, 2100, 799.5, 599.5, -0.12, 0.01, 0, 0, 0, *SIZE, 0.1, u_barrel=1e-3)
    lens, same = plain.used_on(layer(1)), plain.used_on(layer(0))
    assert lens.u_centre_px == same.u_centre_px
    assert lens.u_barrel == same.u_barrel


def test_a_larger_photo_on_its_side_is_scaled_too() -> None:
    small, large = PROFILE.used_on(Layer(1200, 1600)), PROFILE.used_on(Layer(2400, 3200))
    assert large.focal_px == pytest.approx(2 * small.focal_px)
    assert large.u_centre_px == pytest.approx(2 * small.u_centre_px)
    spots = np.array([[100.0, 200.0], [700.0, 1500.0]])
    assert_allclose(large.straighten(spots * 2 + 0.5), small.straighten(spots) * 2 + 0.5)


def test_a_face_measured_on_its_side_holds_the_truth() -> None:
    rng, trials = np.random.default_rng(9), 40
    holes = [(11.0, (-30.0, 8.0)), (6.4, (24.0, 17.0)), (14.0, (26.0, -15.0))]
    held = {"diameter": 0, "distance": 0}
    for k in range(trials):
        quarter = (1, -1)[k % 2]
        way = rng.uniform(0, 2 * np.pi)
        turn = np.radians(rng.uniform(0, 35)) * np.array([np.cos(way), np.sin(way), 0])
        shift = np.array([rng.uniform(-15, 15), rng.uniform(-10, 10), rng.uniform(150, 220)])

        def edge(
            diameter: float,
            at: tuple[float, float],
            pose: tuple[np.ndarray, np.ndarray, int] = (turn, shift, quarter),
        ) -> Rim:
            places = np.array(at) + diameter / 2 * np.column_stack([np.cos(TAU), np.sin(TAU)])
            solid = np.column_stack([places, np.full(len(TAU), 0.11)])
            noise = np.repeat(rng.normal(0, 0.2, (12, 2)), 6, axis=0)
            return Rim("near", tuple(map(tuple, (seen(solid, *pose) + noise).tolist())), 0.2)

        square = 15.0 * np.array([[-1.0, -1, 0], [1, -1, 0], [1, 1, 0], [-1, 1, 0]])
        corners = seen(square, turn, shift, quarter) + rng.normal(0, 0.1, (4, 2))
        side = Quantity(30.0, "mm", 0.01)
        mark = Marker(tuple(map(tuple, corners.tolist())), side, 0, "4x4_50")
        scale = scale_from(mark, layer(quarter), PROFILE.used_on(layer(quarter)))
        assert isinstance(scale, Scale)
        found = measure_holes(scale, [edge(*hole) for hole in holes], trials=400)
        low, high = found.diameters[k % 3].interval()
        held["diameter"] += low <= holes[k % 3][0] <= high
        pair = found.pairs[k % 3]
        apart = np.hypot(*np.subtract(holes[pair.end][1], holes[pair.start][1]))
        low, high = pair.distance.interval()
        held["distance"] += low <= apart <= high
    assert min(held.values()) >= binom.ppf(0.002, trials, 0.95)
