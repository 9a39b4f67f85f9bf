"""Where a scale puts places and its camera, and how sure its corners are, by plain formulas."""

from math import radians
from typing import Any

import numpy as np
import pytest
from msgspec import structs
from numpy.testing import assert_allclose

from annotate.fit import FitFailed
from annotate.lean import Lean
from annotate.lens import BARREL_MEDIAN, USUAL_FOCAL
from annotate.marks import Chessboard, KnownCircle, KnownDistance, Layer, Marker, Point
from annotate.profile import LensProfile
from annotate.quantity import Quantity
from annotate.scale import (
    BOARD_SIGMA_PX,
    HAND_SIGMA_PX,
    TARGET_SIGMA_PX,
    Scale,
    pose_of,
    scale_from,
)
from tests.annotate.camera import Camera, circle
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


def test_a_boards_own_grid_tells_how_well_it_was_found() -> None:
    # Twelve numbers less the eight of a homography: unbiased only if what is fitted is counted.
    camera, rng = Camera(**TILTED), np.random.default_rng(12)
    places = 10.0 * np.array([[x, y] for y in range(2) for x in range(3)], dtype=float)
    exact = camera.see(places)

    def found(points: Any) -> Scale:
        return scale(Chessboard(pairs(points), 3, 2, Quantity(10.0, "mm")))

    clean = found(exact)
    squares = []
    for _ in range(80):
        noisy = found(exact + rng.normal(0, 0.8, exact.shape))
        assert noisy.seen is not None
        squares.append(noisy.seen.sigma_px**2)
        loose = max(noisy.seen.sigma_px, TARGET_SIGMA_PX)
        grown = np.trace(noisy.covariance) / np.trace(clean.covariance)
        assert_allclose(grown, (loose / TARGET_SIGMA_PX) ** 2, rtol=0.05)
    # 80 chi-squares of four degrees of freedom: 8 % one standard deviation.
    assert_allclose(np.mean(squares), 0.8**2, rtol=0.24)


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


def test_two_points_carry_their_own_scatter_into_the_square_made_of_them() -> None:
    # Law of propagation (JCGM 100:2008, 5.2.2), its slopes by moving each coordinate a little.
    def corners(values: Any) -> Any:
        ends = Point(*map(float, values[:2])), Point(*map(float, values[2:]))
        return scale(KnownDistance(*ends, Quantity(40.0, "mm"))).corners_px.ravel()

    at = np.array([300.0, 200.0, 900.0, 650.0])
    slopes = np.column_stack([(corners(at + step) - corners(at)) for step in np.eye(4)])
    told = scale(KnownDistance(Point(300, 200), Point(900, 650), Quantity(40.0, "mm")))
    assert_allclose(told.covariance, HAND_SIGMA_PX**2 * slopes @ slopes.T, atol=1e-6)
    inch = scale(KnownDistance(Point(300, 200), Point(900, 650), Quantity(40 / 25.4, "in")))
    assert_allclose(inch.corners_mm, 40 * np.array([[0, 0], [1, 0], [1, 1], [0, 1]]))


@pytest.mark.parametrize("kind", ["board", "circle"])
def test_many_points_carry_their_scatter_into_the_corners(kind: str) -> None:
    # Law of propagation again (JCGM 100:2008, 5.2.2): each coordinate of each point moved alone.
    camera = Camera(**TILTED)
    grid, rim = board(camera), camera.see(circle(15, (2, -3), 14))
    exact = np.array(grid.corners_px) if kind == "board" else rim

    def found(points: Any) -> Scale:
        if kind == "board":
            return scale(structs.replace(grid, corners_px=pairs(points)))
        return scale(KnownCircle(pairs(points), Quantity(30.0, "mm")))

    step, slopes = 1e-3, []
    for k in range(exact.size):
        move = step * np.eye(exact.size)[k].reshape(-1, 2)
        apart = found(exact + move).corners_px - found(exact - move).corners_px
        slopes.append(apart.ravel() / (2 * step))
    sigma = TARGET_SIGMA_PX if kind == "board" else HAND_SIGMA_PX
    told = found(exact).covariance
    # A rim seen in perspective is an ellipse exactly, so nothing is left over to bend the slopes.
    assert_allclose(told, sigma**2 * np.transpose(slopes) @ slopes, atol=1e-3 * np.max(told))


def test_a_known_circle_leans_to_either_side_and_one_of_them_is_right() -> None:
    # Seen from far enough, the same ellipse is a circle leaning t or -t about the same line.
    spots_mm = np.array([[20.0, 8.0], [36.0, 8.0], [-25.0, -3.0], [-12.0, 11.0]])
    # Rolled about the optical axis, the picture is that of a camera rolled the other way.
    for spin, roll in ((0.0, 0.0), (50.0, 0.0), (0.0, 35.0), (20.0, 120.0)):
        turn = np.array([[np.cos(radians(roll)), -np.sin(radians(roll))],
                         [np.sin(radians(roll)), np.cos(radians(roll))]])  # fmt: skip
        camera = Camera(tilt_deg=25, spin_deg=spin, focal=4000, distance_mm=640)
        other = Camera(tilt_deg=-25, spin_deg=spin, focal=4000, distance_mm=640)
        spots = camera.see(spots_mm)
        rim = (camera.see(circle(15, (0, 0), 60)) - camera.centre) @ turn.T + camera.centre
        mark = KnownCircle(pairs(rim), Quantity(30 / 25.4, "in"))
        lens = structs.replace(FLAT_LENS, fx=4000.0, fy=4000.0)
        found = structs.replace(scale(mark, profile=lens), covariance=np.zeros((8, 8)))
        rolled = (spots - camera.centre) @ turn.T + camera.centre
        draws = found.sample(np.random.default_rng(2), 200).to_mm(rolled)
        got = np.linalg.norm(draws[:, 1::2] - draws[:, ::2], axis=2)
        heaps = np.array([_spans(spots_mm), _spans(other.places(spots))])
        assert np.abs(heaps[0] / heaps[1] - 1).min() > 0.01
        off = np.abs(got[:, None] / heaps - 1).max(axis=2)
        assert off.min(axis=1).max() < 0.004
        # Odds even: 200 tosses leave 72 to 128 at four standard deviations.
        assert 72 <= np.sum(off[:, 0] < off[:, 1]) <= 128
        assert_allclose(found.tilt_deg(), 25, atol=0.5)


def _spans(places: Any) -> Any:
    return np.linalg.norm(places[1::2] - places[::2], axis=1)


def test_a_distance_is_doubted_by_the_lean_a_far_camera_would_have() -> None:
    # With a long lens only the cosine is left: a length across the lean is short by cos t, t a
    # half-normal of 8 degrees (as stated) to any side; its mean square is worked by simulation.
    mark = KnownDistance(Point(700, 600), Point(900, 600), Quantity(20.0, "mm"))
    long = LensProfile(4e5, 4e5, 799.5, 599.5, 0, 0, 0, 0, 0, 1600, 1200, 0.1)
    sure = structs.replace(scale(mark, profile=long), covariance=np.zeros((8, 8)))
    draws = sure.sample(np.random.default_rng(1), 6000)
    across = draws.to_mm(np.array([[800.0, 500.0], [800.0, 700.0]]))
    got = np.linalg.norm(across[:, 1] - across[:, 0], axis=1) / 20
    rng = np.random.default_rng(5)
    lean = radians(8.0) * np.abs(rng.standard_normal(40_000))
    axis = rng.uniform(0, np.pi, 40_000)
    # Unit steps along and across in the picture, on a plane leaning along ``axis``.
    along, aside = np.cos(axis), np.sin(axis)
    kept = np.hypot(along / np.cos(lean), aside)
    other = np.hypot(aside / np.cos(lean), along)
    assert_allclose(np.std(got), np.std(other / kept), rtol=0.08)
    assert_allclose(np.mean(got), np.mean(other / kept), atol=1e-3)
    assert sure.lean == Lean(sigma_deg=8.0)


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


def test_draws_lie_round_the_value() -> None:
    camera = Camera(**TILTED)
    spots = camera.see(PLACES)
    for mark in (marker(camera), board(camera)):
        found = scale(mark)
        drawn = found.sample(np.random.default_rng(3), 4000).to_mm(spots)
        # Draws count from the mark's middle, the value from its first corner.
        value = found.to_mm(spots) - found.corners_mm.mean(axis=0)
        off = (drawn.mean(axis=0) - value) / drawn.std(axis=0)
        # The mean of 4000 has a standard deviation of 0.016 of one draw's.
        assert np.abs(off).max() < 0.08
