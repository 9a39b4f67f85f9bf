"""A camera before a face, against a camera of plain formulas."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from annotate.flat_face.face_eye import Eye, Hole, Ring
from annotate.flat_face.face_pose import Pose
from annotate.optics.lens import View
from tests.annotate.camera import Camera, circle


def eye(camera: Camera, *holes: Hole, paper_mm: float = 0.1) -> Eye:
    x, y, away = camera.rotation.T
    plane = Pose(x, y, away, camera.shift)
    view = View(camera.width, camera.height, camera.focal)
    return Eye(view, camera.focal, camera.centre, camera.barrel, plane, paper_mm, holes)


@pytest.mark.parametrize("tilt_deg", [0.0, 35.0])
@pytest.mark.parametrize("barrel", [0.0, 0.03])
def test_points_on_either_edge_of_a_chamfer_lie_on_their_circles(tilt_deg, barrel) -> None:
    camera = Camera(tilt_deg=tilt_deg, spin_deg=20, barrel=barrel)
    hole = Hole(-30.0, 12.0, 5.0, 0.7, 0.6)
    seen = eye(camera, hole)
    for radius, below, deep in ((5.0, 0.8, True), (5.6, 0.1, False)):
        there = camera.see(circle(radius, (-30.0, 12.0)), below)
        ring = Ring(there, 0.2, 0, deep, found=False)
        # The barrel is taken out by steps, to a hundredth of a pixel.
        assert_allclose(seen.off_mm(ring, there), 0, atol=1e-3)
        wider = camera.see(circle(radius + 0.25, (-30.0, 12.0)), below)
        assert_allclose(seen.off_mm(ring, wider), 0.25, atol=1e-3)


def test_the_print_is_seen_where_the_lens_is_freed_of_its_barrel() -> None:
    camera = Camera(tilt_deg=20, spin_deg=-40, barrel=0.02)
    places = np.array([[0.0, 0.0], [20.0, 0.0], [20.0, 20.0], [-30.0, 25.0]])
    seen = eye(camera)
    assert_allclose(seen.print_px(places), camera.ideal(places), atol=1e-9)
    assert_allclose(seen.straight(camera.see(places)), camera.ideal(places), atol=0.01)
