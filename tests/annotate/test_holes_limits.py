"""Where a trial step of a fit may go: edge-on, wider than the bore, and onto the bore's wall."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from annotate import holes
from annotate.holes import INDEX
from tests.annotate.drilled import Drilled
from tests.annotate.test_holes import CAMERA, at_distance, model_of, state


@pytest.mark.parametrize("tilt", [(0.9, 0.8), (1.2, 0.0), (0.0, 1.2), (-1.2, 1.3)])
def test_a_tilt_beyond_edge_on_has_a_pose_still(tilt: tuple[float, float]) -> None:
    # A trial step of a fit may go there: it must come back with numbers, not with NaN.
    beyond = state(tilt_x=tilt[0], tilt_y=tilt[1])
    assert holes.sight_angle_deg(beyond)[0] == 90.0
    where = holes.pose(beyond, CAMERA)
    assert np.isfinite(where.turn).all()
    assert np.isfinite(where.camera_mm).all()


def test_a_camera_in_the_bores_far_wall_sees_what_one_elsewhere_does() -> None:
    # Twice the radius off, it stands on the bore's own cylinder, and every sight line begins with
    # a meeting: what tells the other one must not be a difference of nothing and nothing. Looked
    # at together with a flat face and a wide bore, as sets of a fit are.
    rims, sets = [], []
    for bore in (None, 50.0, 300.0):
        scene = Drilled(tilt_deg=0.0, bore_radius=bore, distance=100.0, aim_px=(120.0, -80.0))
        s, camera = model_of(scene)
        rims.append(scene.rim("near", np.linspace(0, 2 * np.pi, 12)))
        sets.append(s)
    together = np.concatenate(sets)
    where = holes.pose(together, camera)
    for k, rim in enumerate(rims):
        x, y = holes.carry_back(together, where, camera, rim, np.zeros(3))
        assert_allclose(np.hypot(x[k], y[k]), scene.r_near, atol=1e-6)


def test_a_sight_line_above_the_horizon_of_a_flat_face_meets_it_nowhere() -> None:
    # 80 degrees off the axis and f = 500 px: one side of the picture looks 58 degrees further.
    s = at_distance(30.0, 4.0, 80.0)
    s[0, INDEX["ln_focal"]] -= np.log(10.0)
    s[0, INDEX["ln_size"]] -= np.log(10.0)
    where = holes.pose(s, CAMERA)
    sides = np.array([[0.0, 600.0], [1599.0, 600.0]])
    x, y = holes.carry_back(s, where, CAMERA, sides, np.zeros(1))
    rays = np.column_stack([(sides - CAMERA.about) / 500.0, np.ones(2)])
    down = (rays @ where.turn[0].T)[:, 2] < 0
    assert sorted(down) == [False, True]
    assert (np.isfinite(x[0]) & np.isfinite(y[0])).tolist() == down.tolist()


def test_a_hole_wider_than_its_bore_has_an_outline_still() -> None:
    # Its sides would miss the cylinder: they are taken where the wall stands upright.
    outline = holes.rim_px(state(ln_near=np.log(30.0), curvature=1 / 22.5), CAMERA, "near")
    assert np.isfinite(outline).all()
