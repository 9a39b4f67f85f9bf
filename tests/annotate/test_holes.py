"""The geometry of two drilled holes before a camera, against independent projections."""

from math import radians, sin, tan

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from annotate import holes
from annotate.fit import fit_ellipse
from annotate.holes import INDEX, NAMES, Camera
from tests.annotate.drilled import Drilled

CAMERA = Camera(1600, 1200, (799.5, 599.5))
HALF_DIAGONAL_PX = 1000.0  # of 1600 x 1200: a 3-4-5 triangle


def state(**values: float) -> np.ndarray:
    """A circle of radius 1 mm seen square-on from 100 mm, unless told otherwise."""
    plain = dict.fromkeys(NAMES, 0.0)
    plain |= {"ln_size": np.log(50.0), "ln_focal": np.log(5000.0), "ln_depth": np.log(1e-9)}
    return np.array([[(plain | values)[name] for name in NAMES]])


def at_distance(mm: float, radius: float, tilt_deg: float, **values: float) -> np.ndarray:
    size = np.log(5000.0 * radius / mm)
    return state(ln_near=np.log(radius), ln_size=size, tilt_x=sin(radians(tilt_deg)), **values)


@pytest.mark.parametrize(
    ("tilt", "ratio"), [(15, 0.965926), (30, 0.866025), (45, 0.707107), (60, 0.5)]
)
def test_far_camera_sees_a_tilted_circle_flattened_by_its_cosine(tilt: int, ratio: float) -> None:
    # Orthographic projection: b/a = cos(tilt).
    outline = holes.rim_px(at_distance(1e6, 5.0, tilt), CAMERA, "near", 360)[0]
    scale = 100 / np.ptp(outline[:, 1])
    fitted = fit_ellipse((outline - outline.mean(axis=0)) * scale).shape
    assert_allclose(fitted.semi_minor / fitted.semi_major, ratio, atol=2e-6)


@pytest.mark.parametrize(
    ("tilt", "ratio", "shift_mm"),
    [(15, 0.96625, 0.125), (30, 0.86711, 0.217), (45, 0.70888, 0.251), (60, 0.50189, 0.218)],
)
def test_near_camera_moves_the_ellipses_centre(tilt: int, ratio: float, shift_mm: float) -> None:
    # r 5 mm at 50 mm: exact conic C' = H^-T C H^-1 (Hartley and Zisserman), worked by hand.
    outline = holes.rim_px(at_distance(50, 5.0, tilt), CAMERA, "near", 360)[0]
    fitted = fit_ellipse(outline).shape
    assert_allclose(fitted.semi_minor / fitted.semi_major, ratio, atol=1e-5)
    # The true centre is at CAMERA.about; 5000 px focal length, 50 mm away: 100 px per mm there.
    off = np.hypot(fitted.cx - CAMERA.about[0], fitted.cy - CAMERA.about[1]) / 100
    assert_allclose(off, shift_mm, atol=6e-4)


def test_sight_line_at_20_degrees_through_2_mm_shifts_the_far_hole_by_0_73_mm() -> None:
    # t tan(theta), worked by hand.
    s = at_distance(1e6, 3.0, 20, ln_wall=np.log(2.0))
    right, up = holes.parallax_mm(s, holes.pose(s, CAMERA))
    assert_allclose(np.hypot(right, up)[0], 2 * tan(radians(20)), rtol=1e-4)
    assert_allclose(np.hypot(right, up)[0], 0.73, atol=0.005)


def test_parallax_is_where_the_sight_line_through_the_far_centre_meets_the_face() -> None:
    # A camera so near that its distance counts; the meeting point from its own projection.
    scene = Drilled(tilt_deg=18.0, tilt_towards_deg=70.0, offset=(1.5, -0.7), distance=60.0)
    s, camera = model_of(scene)
    where = holes.pose(s, camera)
    right, up = holes.parallax_mm(s, where)
    seen = scene.project(np.array([[*scene.offset, -scene.wall]]))
    flat = s.copy()
    flat[0, INDEX["curvature"]] = 0.0
    x, y = holes.carry_back(flat, where, camera, seen, np.zeros(1))
    assert_allclose(right, x[0] - s[0, INDEX["far_x"]], atol=1e-9)
    assert_allclose(up, y[0] - s[0, INDEX["far_y"]], atol=1e-9)


def test_rim_of_a_hole_in_a_bore_rises_by_the_sagitta() -> None:
    # r^2 / 2R to first order; exactly R - sqrt(R^2 - r^2): 0.45 mm for 4.5 mm in a 45 mm bore.
    s = state(ln_near=np.log(4.5), curvature=1 / 22.5, ln_size=np.log(225.0))
    outline = holes.rim_px(s, CAMERA, "near", 4)[0] - np.array(CAMERA.about)
    distance = 100.0
    along, across = abs(outline[0, 0]), abs(outline[1, 1])
    rise = distance * (1 - along / across)
    assert_allclose(rise, 22.5 - np.sqrt(22.5**2 - 4.5**2), rtol=1e-6)


@given(
    tilt=st.floats(0, 40),
    towards=st.floats(0, 360),
    spin=st.floats(0, 360),
    bore=st.one_of(st.none(), st.floats(14, 200)),
    k1=st.floats(-0.3, 0.2),
    aim=st.tuples(st.floats(-500, 500), st.floats(-350, 350)),
    distance=st.floats(60, 400),
)
def test_rims_projected_by_another_library_lie_on_the_model(
    tilt: float,
    towards: float,
    spin: float,
    bore: float | None,
    k1: float,
    aim: tuple[float, float],
    distance: float,
) -> None:
    scene = Drilled(
        tilt_deg=tilt, tilt_towards_deg=towards, spin_deg=spin, bore_radius=bore, k1=k1,
        aim_px=aim, distance=distance, r_far=3.0, offset=(1.5, -0.7), wall=2.3,
    )  # fmt: skip
    s, camera = model_of(scene)
    where = holes.pose(s, camera)
    angles = np.linspace(0, 2 * np.pi, 24)
    misfits = {
        "near": holes.near_misfit_mm,
        "back": holes.back_misfit_mm,
        "far": holes.far_misfit_mm,
    }
    for which, misfit in misfits.items():
        assert np.max(np.abs(misfit(s, where, camera, scene.rim(which, angles)))) < 2e-4
        own = holes.rim_px(s, camera, which, 60)[0]
        assert np.max(np.abs(misfit(s, where, camera, own))) < 2e-4


def model_of(scene: Drilled) -> tuple[np.ndarray, Camera]:
    """The state that describes a scene exactly."""
    turn, shift = scene._camera()
    centre = scene.project(np.zeros((1, 3)))[0]
    camera = Camera(*scene.size, (float(centre[0]), float(centre[1])))
    forward = shift / np.linalg.norm(shift)
    right = np.array([1.0, 0, 0]) - forward[0] * forward
    right /= np.linalg.norm(right)
    down = np.cross(forward, right)
    z = turn[:, 2]
    x_face = right - right @ z * z
    x_face /= np.linalg.norm(x_face)
    y_face = np.cross(z, x_face)
    bore = turn[:, 0]
    far = turn @ np.array([*scene.offset, 0.0])
    stretch = np.linalg.norm(shift / shift[2])
    values = {
        "ln_size": np.log(scene.focal_px * stretch * scene.r_near / np.linalg.norm(shift)),
        "tilt_x": z @ right,
        "tilt_y": z @ down,
        "bore_turn": np.arctan2(bore @ y_face, bore @ x_face),
        "curvature": 0.0 if scene.bore_radius is None else 1 / scene.bore_radius,
        "ln_wall": np.log(scene.wall),
        "far_x": far @ x_face,
        "far_y": far @ y_face,
        "ln_far": np.log(scene.r_far),
        "ln_near": np.log(scene.r_near),
        "ln_focal": np.log(scene.focal_px),
        "distortion": scene.k1 * (HALF_DIAGONAL_PX / scene.focal_px) ** 2,
        "axis_u": scene.axis_px[0],
        "axis_v": scene.axis_px[1],
    }
    return state(**values), camera


def test_a_far_rim_is_seen_on_the_outside_of_its_broken_edge() -> None:
    # A hole of 3.0 mm whose edge is broken by 0.2 mm shows the rim of one of 3.2 mm.
    scene = Drilled(r_far=3.2, offset=(1.5, -0.7), tilt_deg=20.0)
    plain, camera = model_of(scene)
    broken = plain.copy()
    broken[0, INDEX["ln_far"]], broken[0, INDEX["edge_break"]] = np.log(3.0), 0.2
    where = holes.pose(broken, camera)
    seen = scene.rim("far", np.linspace(0, 2 * np.pi, 24))
    assert_allclose(holes.far_misfit_mm(broken, where, camera, seen), 0, atol=2e-4)
    for which in ("near", "back", "far"):
        assert_allclose(holes.rim_px(broken, camera, which), holes.rim_px(plain, camera, which))


def test_line_of_sight_is_the_angle_at_the_hole_not_of_the_optical_axis() -> None:
    scene = Drilled(tilt_deg=17.0, aim_px=(600.0, 400.0))
    s, _ = model_of(scene)
    assert_allclose(holes.sight_angle_deg(s)[0], 17.0, atol=1e-6)


def test_column_reads_by_name() -> None:
    s = state(ln_wall=0.25)
    assert s[0, INDEX["ln_wall"]] == holes.column(s, "ln_wall")[0] == 0.25


def test_pixels_of_several_surfaces_at_once_are_those_of_each_alone() -> None:
    s = np.concatenate([at_distance(120, 5.0, tilt, curvature=1 / 30) for tilt in (5, 20, 35)])
    where = holes.pose(s, CAMERA)
    seen = np.array(CAMERA.about) + np.random.default_rng(2).normal(0, 150, (7, 2))
    depths = np.array([[0.1, 2.0], [0.2, 3.0], [0.3, 4.0]])
    x, y = holes.carry_back(s, where, CAMERA, seen, depths, (3, 4))
    for part, depth in ((slice(3), depths[:, 0]), (slice(3, 7), depths[:, 1])):
        alone = holes.carry_back(s, where, CAMERA, seen[part], depth)
        assert_allclose((x[:, part], y[:, part]), alone, rtol=1e-12)


@given(
    tilt=st.tuples(st.floats(-0.7, 0.7), st.floats(-0.7, 0.7)),
    at=st.tuples(st.floats(-3000, 3000), st.floats(-3000, 3000)),
)
def test_the_holes_axes_are_square_and_lean_as_told(
    tilt: tuple[float, float], at: tuple[float, float]
) -> None:
    s = state(tilt_x=tilt[0], tilt_y=tilt[1], centre_u=at[0], centre_v=at[1])
    where = holes.pose(s, CAMERA)
    turn, camera_mm = where.turn[0], where.camera_mm[0]
    assert_allclose(turn @ turn.T, np.eye(3), atol=1e-12)
    assert_allclose(np.linalg.det(turn), 1.0)
    # From the camera's place to the hole's middle is the sight line; the axis leans off it as told.
    sight = turn.T @ -camera_mm / np.linalg.norm(camera_mm)
    assert_allclose(-(turn[2] @ sight), np.sqrt(1 - tilt[0] ** 2 - tilt[1] ** 2), atol=1e-12)
    # x, to the right, is the camera's right, as far as that lies across the axis.
    right = np.array([1.0, 0, 0]) - sight[0] * sight
    right /= np.linalg.norm(right)
    assert_allclose(turn[2] @ right, tilt[0], atol=1e-12)
    assert_allclose(turn[1] @ right, 0, atol=1e-12)
    assert turn[0] @ right > 0


def test_the_holes_place_counts_from_the_point_that_the_camera_is_about() -> None:
    scene = Drilled(tilt_deg=21.0, tilt_towards_deg=200.0, aim_px=(150.0, 90.0), k1=-0.2)
    plain, camera = model_of(scene)
    moved = camera._replace(about=(camera.about[0] - 31.0, camera.about[1] + 17.0))
    there = plain.copy()
    there[0, INDEX["centre_u"]], there[0, INDEX["centre_v"]] = 31.0, -17.0
    for which in ("near", "back", "far"):
        assert_allclose(holes.rim_px(there, moved, which), holes.rim_px(plain, camera, which))
