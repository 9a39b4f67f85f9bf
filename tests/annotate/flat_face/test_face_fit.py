"""A camera and a face adjusted at once, against a camera of plain formulas."""

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.spatial.transform import Rotation

from annotate.errors import CannotMeasure
from annotate.flat_face.face import measure_holes
from annotate.flat_face.face_fit import PAPER_MM
from annotate.flat_face.face_pose import turned, vector
from annotate.flat_face.two_edges import Edges
from annotate.marks import Layer, Rim
from annotate.scale import scale_from
from tests.annotate.camera import Camera, circle
from tests.annotate.test_scale import board, marker, pairs, scale


def rim(camera: Camera, radius: float, at: tuple[float, float], below: float, how: str) -> Rim:
    return Rim("near", pairs(camera.see(circle(radius, at), below)), 0.2, how)


@pytest.mark.parametrize("steep", [0.6, 1.0, 1.7])
def test_a_chamfers_two_edges_tell_how_deep_the_drilled_one_lies(steep: float) -> None:
    # Seen aslant, the lower edge of a chamfer 0.8 mm wide is moved by up to 1 mm on the face.
    camera = Camera(tilt_deg=35, spin_deg=20)
    deep = PAPER_MM + 0.8 * steep
    chamfered = Edges(
        rim(camera, 5.0, (-40.0, 12.0), deep, "found"),
        rim(camera, 5.8, (-40.0, 12.0), PAPER_MM, "found"),
    )
    plain = rim(camera, 6.0, (34.0, -18.0), PAPER_MM, "found")
    survey = measure_holes(scale(marker(camera)), [chamfered, plain], trials=2000)
    # A plain edge is taken to lie 0.08 mm deep on average, so by 0.06 mm nearer here.
    assert_allclose(survey.pairs[0].distance.value, np.hypot(74, 30), atol=0.08)
    drilled = survey.diameters[0]
    assert_allclose(drilled.value, 10.0, atol=0.01)
    alone = measure_holes(scale(marker(camera)), [chamfered.drilled, plain], trials=200)
    off = abs(alone.pairs[0].distance.value - np.hypot(74, 30))
    assert off > 2 * abs(survey.pairs[0].distance.value - np.hypot(74, 30))


def test_a_focal_length_known_or_not_gives_the_true_distance() -> None:
    # A marker of 20 mm, points set by hand, holes up to 50 mm away; known is never worse.
    camera = Camera(tilt_deg=30)
    rims = [
        Rim("near", pairs(camera.see(circle(5.0, at, count=8), PAPER_MM)), 1.5, "hand")
        for at in ((-45.0, 10.0), (40.0, 25.0))
    ]
    known = scale_from(marker(camera), Layer(1600, 1200, focal_35mm=43.26661530556787))
    unknown = scale_from(marker(camera), Layer(1600, 1200))
    with_it, without = (
        measure_holes(one, rims, trials=20_000).pairs[0].distance for one in (known, unknown)
    )
    true = np.hypot(85, 15)
    assert_allclose([with_it.value, without.value], true, rtol=0.004)
    assert with_it.u < without.u


def test_all_corners_of_a_board_tell_of_the_lens() -> None:
    camera = Camera(tilt_deg=20, barrel=0.02)
    rims = [rim(camera, 5.0, at, PAPER_MM, "hand") for at in ((-45.0, 10.0), (40.0, -25.0))]
    survey = measure_holes(scale(board(camera), profile=None), rims, trials=500)
    assert_allclose(survey.barrel.value, 0.02, atol=0.004)
    assert_allclose(survey.pairs[0].distance.value, np.hypot(85, 35), atol=0.15)


def test_points_that_lie_on_two_edges_are_refused() -> None:
    camera = Camera(tilt_deg=10)
    points = camera.see(circle(5.0, (30.0, 10.0)), PAPER_MM)
    middle = points.mean(axis=0)
    # Every other fifteen points lie nearly a pixel farther out.
    out = np.resize(np.repeat([1.0, 0.0], 15), len(points))[:, None] * (points - middle)
    moved = points + 0.9 * out / np.linalg.norm(points - middle, axis=1, keepdims=True)
    with pytest.raises(CannotMeasure, match="too close together"):
        measure_holes(scale(marker(camera)), [Rim("near", pairs(moved), 0.4, "found")])
    by_hand = Rim("near", pairs(moved), 0.4, "hand")
    assert measure_holes(scale(marker(camera)), [by_hand], trials=50).diameters


def test_rotations_agree_with_scipy() -> None:
    some = np.random.default_rng(2).normal(0, 0.8, (6, 3))
    matrices = turned(some)
    assert_allclose(matrices, Rotation.from_rotvec(some).as_matrix(), atol=1e-12)
    assert_allclose([vector(one) for one in matrices], some, atol=1e-9)
    assert_allclose(vector(np.eye(3)), 0.0)
