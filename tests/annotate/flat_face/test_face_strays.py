"""What may pass for a tilt, a lens or another size: strays, side light, a lens that bends outwards.

The truth is OpenCV's ``projectPoints`` of circles on a plane.
"""

from typing import Any

import cv2
import numpy as np
import pytest
from numpy.testing import assert_allclose

from annotate.errors import TwoEdges
from annotate.fit import FitFailed, fit_ellipse
from annotate.flat_face import face_fit
from annotate.flat_face.face import EDGE_BREAK_MM, measure_holes
from annotate.flat_face.face_fit import PAPER_MM
from annotate.flat_face.face_strays import on_one_circle
from annotate.marks import Chessboard, Layer, Rim
from annotate.quantity import Quantity
from annotate.scale import Scale, scale_from
from tests.annotate.camera import circle
from tests.annotate.test_scale import pairs

WIDTH, HEIGHT, FOCAL_PX = 1600, 1200, 2000.0
FOCAL_35MM = FOCAL_PX * np.hypot(36, 24) / np.hypot(WIDTH, HEIGHT)
HOLES = [(3.0, (-42.0, 20.0)), (9.0, (-30.0, -22.0)), (4.0, (25.0, 26.0)), (8.0, (38.0, -15.0)),
         (3.5, (46.0, 20.0))]  # fmt: skip


def seen(places: np.ndarray, below: float, tilt_deg: float, barrel: float = 0.0) -> np.ndarray:
    """Return where OpenCV sees places (N, 2) of the plane, 190 mm off and tilted."""
    matrix = np.array([[FOCAL_PX, 0, (WIDTH - 1) / 2], [0, FOCAL_PX, (HEIGHT - 1) / 2], [0, 0, 1]])
    k1 = -barrel / (np.hypot(WIDTH, HEIGHT) / 2 / FOCAL_PX) ** 2
    solid = np.column_stack([places, np.full(len(places), below)])
    turn = np.radians(tilt_deg) * np.array([0.6, 0.8, 0.0])
    shift = np.array([0.0, 0.0, 190.0])
    return cv2.projectPoints(solid, turn, shift, matrix, np.array([k1, 0, 0, 0]))[0][:, 0]


def face(tilt_deg: float, barrel: float = 0.0) -> Scale:
    columns, rows = np.meshgrid(np.arange(6) * 5.0, np.arange(4) * 5.0)
    corners = seen(np.column_stack([columns.ravel(), rows.ravel()]), 0.0, tilt_deg, barrel)
    board = Chessboard(pairs(corners), 6, 4, Quantity(5.0, "mm"))
    found = scale_from(board, Layer(WIDTH, HEIGHT, focal_35mm=FOCAL_35MM))
    assert isinstance(found, Scale)
    return found


def edge(radius: float, at: tuple[float, float], tilt_deg: float, barrel: float = 0.0) -> Any:
    return seen(circle(radius, at, count=120), PAPER_MM, tilt_deg, barrel)


def outward(points: np.ndarray) -> np.ndarray:
    """Return unit normals of an outline given by points all round it."""
    along = np.roll(points, -1, axis=0) - np.roll(points, 1, axis=0)
    along /= np.linalg.norm(along, axis=1, keepdims=True)
    normal = np.column_stack([along[:, 1], -along[:, 0]])
    return normal * np.sign(np.sum(normal * (points - points.mean(axis=0)), axis=1))[:, None]


def found(points: np.ndarray) -> Rim:
    return Rim("near", pairs(points), 0.2, "found")


def distance_errors(survey: Any) -> np.ndarray:
    return np.array([
        p.distance.value - np.hypot(*np.subtract(HOLES[p.end][1], HOLES[p.start][1]))
        for p in survey.pairs
    ])  # fmt: skip


def test_a_lens_that_bends_outwards_is_told_by_the_rims(monkeypatch) -> None:
    barrel = -0.004
    rims = [found(edge(r, at, 15.0, barrel)) for r, at in HOLES]
    survey = measure_holes(face(15.0, barrel), rims, trials=3000)
    # Its prior of half a per cent, against rims that tell it to a fifth, draws it in a little.
    assert_allclose(survey.barrel.value, barrel, atol=0.001)
    off = np.abs(distance_errors(survey)).max()
    assert off < 0.04
    monkeypatch.setattr(face_fit, "PINCUSHION_SIGMA", 1e-5)
    never = np.abs(distance_errors(measure_holes(face(15.0, barrel), rims, trials=3000))).max()
    assert off < never / 2


def shifted(points: np.ndarray) -> np.ndarray:
    """Return points of which a third lies on another edge, 2 px farther out at most."""
    turn = np.arange(len(points)) * 2 * np.pi / len(points)
    out = np.where(turn < 2 * np.pi / 3, 2.0 * np.sin(1.5 * turn), 0.0)
    return points + out[:, None] * outward(points)


@pytest.mark.parametrize("tilt_deg", [5.0, 25.0])
def test_a_stretch_on_another_edge_moves_no_hole(tilt_deg: float) -> None:
    rims = [found(edge(r, at, tilt_deg)) for r, at in HOLES]
    # The ellipse that goes best through all these points scatters by a fifth of a pixel.
    rims[1] = found(shifted(rims[1].array_px()))
    survey = measure_holes(face(tilt_deg), rims, trials=3000)
    assert_allclose(survey.diameters[1].value, 18.0 - 2 * EDGE_BREAK_MM, atol=0.03)
    assert np.abs(distance_errors(survey)).max() < 0.04


@pytest.mark.parametrize("share", [0.0, 0.15, 0.3])
def test_points_on_one_circle_are_told_from_a_stretch_of_others(share: float) -> None:
    # A circle moved by (0.4, -0.3) px and 0.2 px wider, 0.05 px of noise; strays 0.6 to 1.4 px out.
    rng = np.random.default_rng(4)
    angles = np.arange(80) * 2 * np.pi / 80
    off = 0.2 + 0.4 * np.cos(angles) - 0.3 * np.sin(angles) + rng.normal(0, 0.05, 80)
    strays = np.arange(80) < 80 * share
    kept = on_one_circle(off + np.where(strays, rng.uniform(0.6, 1.4, 80), 0.0), angles)
    assert not kept[strays].any()
    assert kept[~strays].mean() > 0.95


def test_what_light_from_a_side_makes_of_all_rims_alike_passes_for_no_tilt(monkeypatch) -> None:
    rims = []
    for radius, at in HOLES:
        points = edge(radius, at, 15.0)
        normal = outward(points)
        twice = 2 * np.arctan2(normal[:, 1], normal[:, 0])
        rims.append(found(points + (0.1 * np.cos(twice + 0.5))[:, None] * normal))
    with_it = np.abs(distance_errors(measure_holes(face(15.0), rims, trials=3000))).max()
    monkeypatch.setattr(face_fit, "LIT_PX", 1e-6)
    without = np.abs(distance_errors(measure_holes(face(15.0), rims, trials=3000))).max()
    assert with_it < 0.6 * without


def test_points_that_an_ellipse_meets_and_no_circle_lie_on_two_edges() -> None:
    # Half a pixel in on two sides, as much out between: an ellipse of its own goes through all.
    rims = [found(edge(r, at, 10.0)) for r, at in HOLES]
    points = rims[3].array_px()
    normal = outward(points)
    twice = 2 * np.arctan2(normal[:, 1], normal[:, 0])
    torn = points + (0.5 * np.cos(twice))[:, None] * normal
    fitted = fit_ellipse(torn, 0.2)
    assert not isinstance(fitted, FitFailed)
    assert fitted.rms < 0.02
    with pytest.raises(TwoEdges, match="too close together") as refused:
        measure_holes(face(10.0), [*rims[:3], found(torn), rims[4]], trials=50)
    assert refused.value.hole == 3
    # Of two the worse is named: that may have turned the face for the other.
    worse = found(points + (0.9 * np.cos(twice))[:, None] * normal)
    first = rims[1].array_px()
    across = outward(first)
    less = 0.6 * np.sin(2 * np.arctan2(across[:, 1], across[:, 0]))
    two = [rims[0], found(first + less[:, None] * across), rims[2], worse, rims[4]]
    with pytest.raises(TwoEdges) as refused:
        measure_holes(face(10.0), two, trials=50)
    assert refused.value.hole == 3
    by_hand = Rim("near", pairs(torn), 0.2, "hand")
    assert len(measure_holes(face(10.0), [*rims[:3], by_hand], trials=50).diameters) == 4
