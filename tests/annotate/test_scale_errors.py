"""How sure a scale's corners are: the points' scatter, the lens's barrel, and draws of both."""

from typing import Any

import cv2
import numpy as np
import pytest
from msgspec import structs
from numpy.testing import assert_allclose

from annotate.fit import FitFailed
from annotate.marks import Chessboard, KnownCircle, KnownDistance, Point
from annotate.optics.lens import BARREL_MEDIAN
from annotate.quantity import Quantity
from annotate.scale import BOARD_SIGMA_PX, HAND_SIGMA_PX, TARGET_SIGMA_PX, Scale, scale_from
from tests.annotate.camera import Camera, circle
from tests.annotate.test_scale import FLAT_LENS, LAYER, SQUARE, board, marker, pairs, scale

PLACES = np.array([[-30.0, 10.0], [25.0, -20.0], [3.0, 4.0], [40.0, 31.0]])
TILTED = {"tilt_deg": 25.0, "spin_deg": 40.0}
CENTRE, REACH = np.array([799.5, 599.5]), 1000.0  # of the layer's 1600 x 1200 pixels


def straight(points: Any, barrel: float) -> Any:
    """Return points freed of a barrel: the cubic's root (``numpy.roots``) nearest to the point."""
    away = (np.asarray(points) - CENTRE) / REACH
    freed = []
    for x, y in away:
        seen = float(np.hypot(x, y))
        roots = np.roots([-barrel, 0.0, 1.0, -seen]) if barrel else np.array([seen])
        nearest = min(roots.real, key=lambda root: abs(root - seen))
        freed.append([x * nearest / seen, y * nearest / seen])
    return np.array(freed) * REACH + CENTRE


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


def test_a_board_counts_what_its_homography_takes() -> None:
    # OpenCV's own least-squares homography leaves the same residuals: 12 numbers less 8.
    places = 10.0 * np.array([[x, y] for y in range(2) for x in range(3)], dtype=float)
    exact = Camera(**TILTED).see(places)
    for seed in range(5):
        noisy = exact + np.random.default_rng(seed).normal(0, 0.8, exact.shape)
        found = scale(Chessboard(pairs(noisy), 3, 2, Quantity(10.0, "mm"))).seen
        assert found is not None
        matrix = cv2.findHomography(places, noisy, 0)[0]
        left = noisy - cv2.perspectiveTransform(places[:, None], matrix)[:, 0]
        assert_allclose(found.sigma_px, np.sqrt(np.sum(left**2) / (12 - 8)), rtol=1e-5)


def test_the_expected_barrel_does_not_make_a_board_look_crooked() -> None:
    # Near enough to fill the picture, where a barrel bends the grid by several pixels.
    camera = Camera(distance_mm=45.0, barrel=BARREL_MEDIAN)
    bent = board(camera)
    told = scale(bent, profile=None).seen
    assert told is not None
    assert told.sigma_px == BOARD_SIGMA_PX
    plain = scale(bent).seen  # a lens that is told to be straight is not
    assert plain is not None
    assert plain.sigma_px > 2 * BOARD_SIGMA_PX


@pytest.mark.parametrize("kind", ["marker", "board", "distance"])
def test_corners_move_with_the_barrel_as_their_points_do(kind: str) -> None:
    camera = Camera(**TILTED, barrel=BARREL_MEDIAN)
    ends = np.array([[150.0, 130.0], [1400.0, 900.0]])
    grid = board(camera)
    mark: Any = {
        "marker": marker(camera, at=(-40.0, -33.0)),
        "board": grid,
        "distance": KnownDistance(Point(*ends[0]), Point(*ends[1]), Quantity(90.0, "mm")),
    }[kind]

    def corners(barrel: float) -> Any:
        if kind == "marker":
            return straight(mark.corners_px, barrel)
        if kind == "board":
            columns, rows = np.meshgrid(np.arange(7.0), np.arange(5.0))
            places = np.column_stack([columns.ravel(), rows.ravel()])
            matrix = cv2.findHomography(places, straight(grid.corners_px, barrel), 0)[0]
            return cv2.perspectiveTransform((SQUARE * [6, 4])[:, None], matrix)[:, 0]
        a, b = straight(ends, barrel)
        side = np.array([a[1] - b[1], b[0] - a[0]])
        return np.array([a, b, b + side, a + side])

    found = scale(mark, profile=None)
    assert_allclose(found.corners_px, corners(BARREL_MEDIAN), atol=1e-4)
    apart = corners(BARREL_MEDIAN + 0.01) - corners(BARREL_MEDIAN - 0.01)
    assert_allclose(found.by_barrel, apart / 0.02, rtol=2e-3, atol=0.1)


def test_a_circles_corners_move_with_the_barrel_as_plain_least_squares_has_them() -> None:
    # About no barrel a point s (in half diagonals) moves by s |s|^2 a unit. What of that goes
    # across the outline moves centre and shape matrix: five numbers, linear (numpy's lstsq).
    turn = np.linspace(0, 2 * np.pi, 72, endpoint=False)
    u = np.column_stack([np.cos(turn), np.sin(turn)])
    rim = CENTRE + [520.0, -310.0] + 90.0 * u
    away = (rim - CENTRE) / REACH
    across = np.sum(REACH * away * np.sum(away**2, axis=1, keepdims=True) * u, axis=1)
    equations = np.column_stack([u, u[:, 0] ** 2, 2 * u[:, 0] * u[:, 1], u[:, 1] ** 2])
    x, y, xx, xy, yy = np.linalg.lstsq(equations, across, rcond=None)[0]
    wanted = [x, y] + (2 * SQUARE - 1) @ np.array([[xx, xy], [xy, yy]])
    found = scale(KnownCircle(pairs(rim), Quantity(30.0, "mm")))
    assert_allclose(found.by_barrel, wanted, rtol=1e-3, atol=1e-3 * np.abs(wanted).max())


def test_each_draw_takes_its_own_barrel_out_of_mark_and_places() -> None:
    # cv2.getPerspectiveTransform of the corners, freed of the barrel that was drawn.
    camera = Camera(**TILTED, barrel=0.02)
    mark = marker(camera, at=(-28.0, -20.0))
    sure = structs.replace(
        scale(mark, profile=None), covariance=np.zeros((8, 8)), length=Quantity(20.0, "mm")
    )
    spots = camera.see(PLACES)
    draws = sure.sample(np.random.default_rng(4), 30)
    got = draws.to_mm(spots)
    assert np.ptp(draws.barrels) > 0.02
    for barrel, places in zip(draws.barrels, got, strict=True):
        corners = straight(mark.corners_px, float(barrel)).astype(np.float32)
        plane = (20 * SQUARE - 10).astype(np.float32)
        matrix = cv2.getPerspectiveTransform(corners, plane)
        wanted = cv2.perspectiveTransform(straight(spots, float(barrel))[:, None], matrix)[:, 0]
        assert_allclose(places, wanted, atol=0.02)


def test_a_circle_that_only_just_tells_enough_is_still_a_scale() -> None:
    # The longest arc that is refused and the shortest that is not, within a millionth of a turn:
    # there the fit fails with a little barrel more or less, and the corners stay where they were.
    def found(part: float) -> Scale | FitFailed:
        turn = np.linspace(0, 2 * np.pi * part, 12)
        rim = np.array([1100.0, 800.0]) + 60.0 * np.column_stack([np.cos(turn), np.sin(turn)])
        return scale_from(KnownCircle(pairs(rim), Quantity(30.0, "mm")), LAYER, FLAT_LENS)

    short, long = 0.2, 0.9
    assert isinstance(found(short), FitFailed)
    for _ in range(24):
        middle = (short + long) / 2
        if isinstance(found(middle), FitFailed):
            short = middle
        else:
            long = middle
    just = found(long)
    assert isinstance(just, Scale)
    assert np.isfinite(just.by_barrel).all()
