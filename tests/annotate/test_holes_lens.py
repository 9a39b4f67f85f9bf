"""What the lens does to rims: its principal point, and its distortion taken out again."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from annotate import holes
from annotate.holes import Camera
from tests.annotate.drilled import Drilled
from tests.annotate.test_holes import CAMERA, at_distance, model_of


def test_a_principal_point_off_the_middle_moves_the_sight_lines() -> None:
    # Against cv2.projectPoints with the same principal point, with and without distortion.
    for k1 in (0.0, -0.2):
        scene = Drilled(axis_px=(60.0, -45.0), aim_px=(200.0, 150.0), k1=k1, tilt_deg=20.0)
        s, camera = model_of(scene)
        where = holes.pose(s, camera)
        seen = scene.rim("near", np.linspace(0, 2 * np.pi, 24))
        assert_allclose(holes.near_misfit_mm(s, where, camera, seen), 0, atol=2e-4)
        outline = holes.rim_px(s, camera, "near")[0]
        assert_allclose(holes.near_misfit_mm(s, where, camera, outline), 0, atol=2e-4)
        middle = scene.project(np.zeros((1, 3)))
        origin = holes.project_px(s, where, camera, *np.zeros((3, 1, 1)))
        assert_allclose(origin[0], middle, atol=1e-4)


@pytest.mark.parametrize("bend", [-0.03, 0.03])
@pytest.mark.parametrize(("part", "off_px"), [(0.25, 1e-7), (0.5, 2e-5), (1.0, 0.012)])
def test_distortion_is_taken_out_as_well_as_is_told(
    bend: float, part: float, off_px: float
) -> None:
    # Square-on from 100 mm with 5000 px: a place on the face lies 0.02 mm a pixel from the axis.
    # Its pixel without distortion: the root of x (1 + k x^2) = r (numpy.roots).
    roots = np.roots([bend, 0.0, 1.0, -part])
    straight = 1000 * float(min(roots, key=lambda root: abs(root - part)).real)
    s = at_distance(100, 1.0, 0.0, distortion=bend)
    where = holes.pose(s, CAMERA)
    seen = CAMERA.about + 1000 * part * np.array([[0.8, 0.6]])
    x, y = holes.carry_back(s, where, CAMERA, seen, np.zeros(1))
    assert_allclose(np.hypot(x, y)[0] / 0.02, straight, atol=off_px)


def test_a_picture_is_as_large_as_its_diagonal_says() -> None:
    assert Camera(300, 400, (0.0, 0.0)).half_diagonal_px == 250.0
