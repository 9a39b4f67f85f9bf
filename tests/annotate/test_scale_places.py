"""Where a scale puts places and its camera, and how sure its corners are, by plain formulas."""

from math import radians
from typing import Any

import numpy as np
import pytest
from msgspec import structs
from numpy.testing import assert_allclose

from annotate.fit import FitFailed
from annotate.marks import Chessboard, KnownDistance, Layer, Marker, Point
from annotate.optics.lens import BARREL_MEDIAN, USUAL_FOCAL
from annotate.quantity import Quantity
from annotate.scale import (
    BOARD_SIGMA_PX,
    TARGET_SIGMA_PX,
    Scale,
    pose_of,
    scale_from,
)
from tests.annotate.camera import Camera
from tests.annotate.test_scale import FLAT_LENS, LAYER, board, marker, pairs, scale

AT = np.array([-8.0, -12.0])  # where the marker's first corner lies on the camera's plane
PLACES = np.array([[-30.0, 10.0], [25.0, -20.0], [3.0, 4.0], [40.0, 31.0]])
NO_FOCAL = Layer(1600, 1200)
TILTED = {"tilt_deg": 25.0, "spin_deg": 40.0}


def test_places_go_to_the_picture_where_the_camera_sees_them() -> None:
    # The same barrel three times: none, the one expected without a profile, and a profile's k1
    # (r / f)^2 for what the camera takes at the corner, 1000 px out, of f = 2000 px.
    bent = structs.replace(FLAT_LENS, k1=-0.02 * 2.0**2)
    for barrel, profile in ((0.0, FLAT_LENS), (BARREL_MEDIAN, None), (0.02, bent)):
        camera = Camera(**TILTED, barrel=barrel)
        found = scale(marker(camera), profile=profile)
        assert_allclose(found.to_px(PLACES - AT), camera.see(PLACES), atol=1e-5)
        assert_allclose(found.to_mm(camera.see(PLACES)), PLACES - AT, atol=1e-5)


def test_the_local_scale_is_that_of_the_bent_picture() -> None:
    # Two neighbours' true distance over their distance in the picture, along both axes.
    camera = Camera(**TILTED, barrel=BARREL_MEDIAN)
    here = np.array([35.0, -15.0])
    step = 1e-3
    seen = camera.see(here + step * np.array([[0.0, 0.0], [1.0, 0.0], [0.0, 1.0]]))
    (ax, ay), (bx, by) = seen[1:] - seen[0]
    wanted = step / np.sqrt(abs(ax * by - ay * bx))
    assert_allclose(scale(marker(camera), profile=None).mm_per_px(seen[0]), wanted, rtol=2e-4)


def test_the_camera_stands_where_it_stood() -> None:
    camera = Camera(**TILTED, distance_mm=170.0)
    stood = -camera.rotation.T @ camera.shift
    place, height = scale(marker(camera)).camera_over()
    assert_allclose(place, stood[:2] - AT, atol=1e-6)
    assert_allclose(height, abs(stood[2]), atol=1e-6)


def test_an_unknown_focal_length_is_taken_in_the_middle_of_the_usual() -> None:
    # Geometric middle, times the picture's diagonal of 2000 px.
    usual = float(np.sqrt(USUAL_FOCAL[0] * USUAL_FOCAL[1])) * 2000.0
    camera = Camera(**TILTED, focal=usual, distance_mm=200.0, barrel=BARREL_MEDIAN)
    stood = -camera.rotation.T @ camera.shift
    place, height = scale(marker(camera), NO_FOCAL, None).camera_over()
    assert_allclose([*place, height], [*(stood[:2] - AT), abs(stood[2])], atol=1e-3)


@pytest.mark.parametrize("turned", [0, 2])
def test_the_plane_is_seen_as_the_camera_was_turned(turned: int) -> None:
    camera = Camera(**TILTED)
    mark = marker(camera)
    corners = mark.corners_px[turned:] + mark.corners_px[:turned]
    axes = scale(Marker(corners, mark.side, 3)).pose()
    assert axes is not None
    side = 1 if turned == 0 else -1  # from the opposite corner both axes run the other way
    origin = AT if turned == 0 else AT + 20
    assert_allclose(axes[:, :2], side * camera.rotation[:, :2], atol=1e-7)
    assert_allclose(axes[:, 2], camera.rotation @ [*origin, 0.0] + camera.shift, atol=1e-5)


def test_a_pose_without_a_focal_length_is_refused() -> None:
    with pytest.raises(ValueError, match="focal length"):
        pose_of(np.eye(3), structs.replace(scale(marker(Camera())).view, focal_px=None))


def test_a_marker_from_behind_has_the_same_camera_and_the_same_lengths() -> None:
    # Its corners the other way round: y runs from the last corner back to the first.
    camera = Camera(**TILTED, distance_mm=170.0)
    mark = marker(camera)
    behind = scale(Marker(mark.corners_px[::-1], mark.side, 3))
    stood = -camera.rotation.T @ camera.shift
    x, y = stood[:2] - AT
    place, height = behind.camera_over()
    assert_allclose([*place, height], [x, 20 - y, abs(stood[2])], atol=1e-6)
    assert_allclose(behind.tilt_deg(), 25.0, atol=1e-6)
    here = np.array([900.0, 500.0])
    assert_allclose(behind.mm_per_px(here), scale(mark).mm_per_px(here))


def test_a_pose_has_its_size_from_both_axes() -> None:
    # By hand: one mm of x is 6 rays long, one of y 1.5; their geometric mean, 3, is one mm.
    view = structs.replace(scale(marker(Camera())).view, focal_px=2000.0, profile=None)
    axes = pose_of(np.array([[6.0, 0.0, 799.5], [0.0, 1.5, 599.5], [0.0, 0.0, 1.0]]), view)
    assert_allclose(axes, np.array([[2.0, 0, 0], [0, 0.5, 0], [0, 0, 2000 / 3]]), atol=1e-12)


def test_the_targets_themselves_go_along_with_their_scale() -> None:
    camera = Camera(**TILTED)
    mark, grid = marker(camera), board(camera)
    seen = scale(mark).seen
    assert seen is not None
    assert_allclose(seen.points_px, mark.corners_px)
    assert_allclose(seen.places_mm, 20 * np.array([[0, 0], [1, 0], [1, 1], [0, 1]]))
    assert seen.sigma_px == TARGET_SIGMA_PX
    assert_allclose(scale(mark).covariance, np.diag([TARGET_SIGMA_PX**2] * 8))
    seen = scale(grid).seen
    assert seen is not None
    assert_allclose(seen.points_px, grid.corners_px)
    columns, rows = np.meshgrid(np.arange(7), np.arange(5))
    assert_allclose(seen.places_mm, 5 * np.column_stack([columns.ravel(), rows.ravel()]))
    assert seen.sigma_px == BOARD_SIGMA_PX
    # Its outermost corners, clockwise from the first.
    assert_allclose(scale(grid).corners_mm, [[0, 0], [30, 0], [30, 20], [0, 20]])
    assert scale(KnownDistance(Point(1, 2), Point(300, 2), Quantity(9.0, "mm"))).seen is None
    inch = structs.replace(grid, square=Quantity(5 / 25.4, "in"))
    assert_allclose(scale(inch).corners_mm, [[0, 0], [30, 0], [30, 20], [0, 20]])


def test_the_smallest_board_is_four_corners_and_the_crookedest_three_pixels_off() -> None:
    camera = Camera(**TILTED)
    four = camera.see(10.0 * np.array([[0.0, 0.0], [1, 0], [0, 1], [1, 1]]))
    smallest = scale(Chessboard(pairs(four), 2, 2, Quantity(10.0, "mm")))
    assert smallest.seen is not None
    assert smallest.seen.sigma_px == BOARD_SIGMA_PX
    for columns, rows in ((4, 1), (1, 4)):
        line = scale_from(Chessboard(pairs(four), columns, rows, Quantity(10.0, "mm")), LAYER)
        assert isinstance(line, FitFailed)
        assert "2 x 2" in line.reason
    # Every other corner up, every other down: no homography follows that; rms over 35 x 2 - 8.
    chequered = np.where(np.arange(35) % 2, 1.0, -1.0)[:, None] * np.array([1.0, 1.0])
    rms_of_one = np.sqrt(70 / 62)
    assert isinstance(scale(board(camera, 2.9 / rms_of_one * chequered)), Scale)
    crooked = scale_from(board(camera, 3.3 / rms_of_one * chequered), LAYER)
    assert isinstance(crooked, FitFailed)
    assert "flat grid" in crooked.reason


def test_a_scale_may_be_tiny() -> None:
    camera = Camera(**TILTED)
    four = camera.see(0.5 * np.array([[0.0, 0.0], [1, 0], [0, 1], [1, 1]]))
    grid = scale(Chessboard(pairs(four), 2, 2, Quantity(0.5, "mm")))
    assert_allclose(grid.corners_mm, [[0, 0], [0.5, 0], [0.5, 0.5], [0, 0.5]])
    line = scale(KnownDistance(Point(100, 200), Point(200, 200), Quantity(0.8, "mm")))
    assert_allclose(line.mm_per_px(np.array([150.0, 200.0])), 0.008)


@pytest.mark.parametrize(
    "corners",
    [
        ((0, 0), (100, 0), (200, 0), (100, 100)),  # three on a line
        ((0, 0), (100, 100), (200, 0), (100, 0)),  # the same, from behind
        ((0, 0), (100, 0), (200, 0), (300, 0)),  # all on a line
        ((0, 0), (200, 0), (200, 200), (180, 20)),  # a dent
        ((180, 20), (200, 200), (200, 0), (0, 0)),
        ((0, 0), (200, 200), (200, 0), (0, 200)),  # crossed
    ],
)
def test_four_corners_that_no_square_can_have_are_refused(corners: Any) -> None:
    failed = scale_from(Marker(corners, Quantity(20.0, "mm"), 3), LAYER)
    assert isinstance(failed, FitFailed)
    assert "do not go round a square" in failed.reason


def test_a_negative_length_is_no_scale() -> None:
    failed = scale_from(KnownDistance(Point(1, 2), Point(90, 2), Quantity(-9.0, "mm")), LAYER)
    assert isinstance(failed, FitFailed)
    assert "more than nothing" in failed.reason


@pytest.mark.parametrize("factor", [1.0, -1.0, 1e-7, -1e-7, 1e7])
def test_a_homography_is_the_same_pose_times_any_number(factor: float) -> None:
    found = scale(marker(Camera(**TILTED)))
    to_px = np.linalg.inv(found.matrix())
    assert_allclose(pose_of(factor * to_px, found.view), found.pose(), atol=1e-6)


def test_the_normal_is_that_of_the_vanishing_line_whatever_the_focal_length() -> None:
    # n ~ K' l (Hartley and Zisserman, section 8.6): with a focal length that does not suit the
    # corners, the plane's two axes are neither square nor of one length, and n holds still.
    mark = marker(Camera(tilt_deg=35.0, spin_deg=20.0, distance_mm=90.0))
    for focal in (1200.0, 2000.0, 3500.0):
        found = scale(mark, profile=structs.replace(FLAT_LENS, fx=focal, fy=focal))
        line = np.linalg.inv(np.linalg.inv(found.matrix())).T @ [0.0, 0.0, 1.0]
        normal = np.array([[focal, 0, 799.5], [0, focal, 599.5], [0, 0, 1.0]]).T @ line
        normal /= np.linalg.norm(normal)
        tilt = found.tilt_deg()
        assert tilt is not None
        assert_allclose(np.cos(radians(tilt)), abs(normal[2]), atol=1e-9)
        axes = found.pose()
        assert axes is not None
        assert_allclose(found.camera_over()[1], abs(normal @ axes[:, 2]), rtol=1e-9)


def test_square_on_is_no_tilt_though_rounding_makes_a_cosine_of_more_than_one() -> None:
    for spin in range(0, 360, 5):
        tilt = scale(marker(Camera(spin_deg=spin))).tilt_deg()
        assert tilt is not None
        assert_allclose(tilt, 0, atol=1e-4)
