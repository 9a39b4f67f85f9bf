import re
from functools import cache
from pathlib import Path

import cv2
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace
from numpy.testing import assert_allclose
from PIL import Image

from annotate.errors import BadMark
from annotate.fit import FitFailed
from annotate.marks import Chessboard, Layer
from annotate.optics.calibration import calibrate
from annotate.optics.homography import homography, mapped
from annotate.optics.lens import (
    BARREL_SIGMA,
    View,
    board_points,
    focal_px,
    unbarrelled,
    view_of,
)
from annotate.optics.profile import LensProfile
from annotate.quantity import Quantity
from annotate.scale import Scale, scale_from
from annotate.target import find_chessboard
from tests.annotate.camera import Camera, circle

OPENCV_DOC = Path(__file__).parents[2] / "truth" / "opencv-doc"
NUMBERS = [1, 2, 3, 4, 5, 6, 7, 8, 9, 11, 12, 13, 14]


@cache
def published_boards() -> tuple[Chessboard, ...]:
    boards = []
    for number in NUMBERS:
        picture = np.asarray(Image.open(OPENCV_DOC / f"left{number:02d}.jpg").convert("L"))
        board = find_chessboard(picture, 9, 6, Quantity(25.0, "mm"))
        assert isinstance(board, Chessboard)
        boards.append(board)
    return tuple(boards)


@cache
def published_profile() -> LensProfile:
    """Return the camera as published beside the photos."""
    text = (OPENCV_DOC / "left_intrinsics.yml").read_text("utf-8")

    def numbers(name: str) -> list[float]:
        found = re.search(rf"{name}:.*?data: \[(.*?)\]", text, re.DOTALL)
        assert found
        return [float(part) for part in found.group(1).split(",")]

    K, terms = numbers("camera_matrix"), numbers("distortion_coefficients")
    return LensProfile(K[0], K[4], K[2], K[5], *terms, 640, 480, 0.39259)


def refined_as_published(board: Chessboard, number: int) -> Chessboard:
    """Return the board with corners refined in a window of 11 px, as the publishers did."""
    picture = np.asarray(Image.open(OPENCV_DOC / f"left{number:02d}.jpg").convert("L"))
    start = np.array(board.corners_px, dtype=np.float32).reshape(-1, 1, 2)
    until = (cv2.TERM_CRITERIA_EPS | cv2.TERM_CRITERIA_COUNT, 30, 0.1)
    corners = cv2.cornerSubPix(picture, start, (11, 11), (-1, -1), until).reshape(-1, 2)
    return Chessboard(tuple(map(tuple, corners.tolist())), 9, 6, board.square)


def test_the_published_photos_and_corner_window_give_the_published_camera() -> None:
    # left_intrinsics.yml: f 535.9157 (one for both), centre 342.2832, 235.5708, mean error 0.3926.
    # One for both here too. With two free focal lengths an independent run of OpenCV 5.0 gave
    # 536.065 and 536.008, centre 342.37, 235.53.
    boards = [refined_as_published(*pair) for pair in zip(published_boards(), NUMBERS, strict=True)]
    profile = calibrate(boards, 640, 480)
    assert isinstance(profile, LensProfile)
    assert_allclose([profile.fx, profile.fy], [536.065, 536.008], atol=0.3)
    assert_allclose([profile.fx, profile.fy], 535.9157, atol=0.5)
    assert_allclose([profile.cx, profile.cy], [342.2832, 235.5708], atol=0.5)
    assert_allclose([profile.k1, profile.k2], [-0.26637, -0.03859], atol=0.02)
    assert_allclose(profile.rms_px, 0.3926, atol=0.005)


def test_corners_found_here_fit_one_camera_better_than_the_published_ones() -> None:
    # One published view (left02) has an error of 1.18 px, which pulls the published camera.
    profile = calibrate(published_boards(), 640, 480)
    assert isinstance(profile, LensProfile)
    assert profile.rms_px < 0.2
    assert_allclose([profile.fx, profile.fy], 535.9157, rtol=0.008)
    middle = np.array(
        [(x, y) for x in range(120, 560, 80) for y in range(80, 440, 80)], dtype=float
    )
    off = profile.straighten(middle) - published_profile().straighten(middle)
    assert np.abs(off).max() < 3


def test_straightening_is_the_inverse_of_the_published_formula() -> None:
    # OpenCV's documented model: x(1 + k1 r2 + k2 r4 + k3 r6) + 2 p1 xy + p2 (r2 + 2 x2), and in y.
    p = published_profile()
    spots = np.array(
        [(x, y) for x in range(20, 640, 100) for y in range(20, 480, 100)], dtype=float
    )
    x, y = ((p.straighten(spots) - [p.cx, p.cy]) / [p.fx, p.fy]).T
    r2 = x * x + y * y
    radial = 1 + p.k1 * r2 + p.k2 * r2**2 + p.k3 * r2**3
    u = x * radial + 2 * p.p1 * x * y + p.p2 * (r2 + 2 * x * x)
    v = y * radial + p.p1 * (r2 + 2 * y * y) + 2 * p.p2 * x * y
    assert_allclose(np.column_stack([p.fx * u + p.cx, p.fy * v + p.cy]), spots, atol=1e-6)


def grid_error_mm(board: Chessboard, profile: LensProfile | None) -> tuple[float, float, float]:
    """Return the rms corner error of a four-corner homography, and the extremes of 100 mm."""
    seen, places = np.array(board.corners_px), board_points(board)
    if profile:
        seen = profile.straighten(seen)
    ends = [0, 8, 53, 45]
    on_plane = mapped(homography(seen[ends], places[ends]), seen)
    rows = on_plane.reshape(6, 9, 2)
    spans = np.linalg.norm(rows[:, 4:] - rows[:, :5], axis=2)
    off = np.linalg.norm(on_plane - places, axis=1)
    return float(np.sqrt(np.mean(off**2))), float(spans.min()), float(spans.max())


def test_a_known_lens_brings_a_real_grid_within_its_published_error() -> None:
    # Independent run on the same photos: 100 mm reads 99.65 to 100.25 and the grid is right to
    # 0.15-0.5 mm rms with the published lens, except left02, a view known to be bad; without it
    # 99.7 to 103.9, corners to 3.6 mm. (Its corners are the publishers', these are ours: a
    # tolerance of 0.7 mm.)
    bad = NUMBERS.index(2)
    good = [b for k, b in enumerate(published_boards()) if k != bad]
    straight = [grid_error_mm(b, published_profile()) for b in good]
    assert max(rms for rms, _, _ in straight) < 0.55
    assert min(low for _, low, _ in straight) > 99.3
    assert max(high for _, _, high in straight) < 100.7
    crooked = [grid_error_mm(b, None) for b in good]
    assert max(high for _, _, high in crooked) > 103


def test_every_100_mm_of_a_good_published_photo_reads_within_its_published_error() -> None:
    # The same photos, our corners, the camera they give: 99.65 to 100.35 on every row of all
    # views but left02, which the publishers' own errors show to be bad.
    good = [b for k, b in enumerate(published_boards()) if k != NUMBERS.index(2)]
    profile = calibrate(good, 640, 480)
    assert isinstance(profile, LensProfile)
    for board in good:
        scale = scale_from(board, Layer(640, 480), profile)
        assert isinstance(scale, Scale)
        rows = scale.to_mm(np.array(board.corners_px)).reshape(6, 9, 2)
        assert_allclose(np.linalg.norm(rows[:, 4:] - rows[:, :5], axis=2), 100, atol=0.35)


def test_one_scale_for_a_whole_leaning_plane_misreads_it_badly() -> None:
    # Published photos, independent run: 200 mm at one edge of the board, carried to the other by
    # one px/mm figure, reads 177 to 248 mm. Why a scale here is a plane and not a number.
    readings = []
    for board in published_boards():
        rows = np.array(board.corners_px).reshape(6, 9, 2)
        first, last = (np.linalg.norm(rows[k, 8] - rows[k, 0]) for k in (0, 5))
        readings += [200 * last / first, 200 * first / last]
    assert min(readings) < 180
    assert max(readings) > 220


def test_too_few_photos_or_one_pose_only_give_no_profile() -> None:
    board = published_boards()[0]
    failed = calibrate([board, board], 640, 480)
    assert isinstance(failed, FitFailed)
    assert "3 photos" in failed.reason


@given(barrel=st.floats(0, 0.05), x=st.floats(-800, 800), y=st.floats(-600, 600))
def test_unbarrelling_undoes_a_barrel(barrel, x, y) -> None:
    camera = Camera(barrel=barrel)
    ideal = np.array([[x, y]]) + camera.centre
    seen = camera.see(camera.places(ideal))
    back = unbarrelled(seen, barrel, camera.centre, np.hypot(1600, 1200) / 2)
    assert_allclose(back, ideal, atol=0.05)


def test_many_barrels_at_once_are_each_alone() -> None:
    view = View(1600, 1200)
    spots = circle(400, (800, 500), 7)
    together = view.straight(spots, np.array([0.0, 0.01, 0.02]))
    assert together.shape == (3, 7, 2)
    assert_allclose(together[0], spots, atol=1e-9)
    assert_allclose(together[2], view.straight(spots, 0.02))
    each = np.stack([spots, spots + 1, spots + 2])
    assert_allclose(
        view.straight(each, np.array([0.0, 0.01, 0.02]))[1], view.straight(each[1], 0.01)
    )


def test_a_profile_leaves_to_the_barrel_what_it_does_not_know() -> None:
    view = View(640, 480, 536.0, published_profile())
    rng = np.random.default_rng(1)
    assert (view.draw_barrels(rng, 5) == 0).all()
    spots = np.array([[10.0, 10.0], [320.0, 240.0]])
    assert_allclose(view.straight(spots, 0.0), published_profile().straighten(spots))
    straight = published_profile().straighten(spots)
    assert_allclose(
        view.straight(spots, 0.01),
        unbarrelled(straight, 0.01, view.centre(), np.hypot(640, 480) / 2),
    )
    vague = View(640, 480, 536.0, replace(published_profile(), u_barrel=0.002, u_focal_px=8.0))
    assert_allclose(vague.draw_barrels(rng, 20000).std(), 0.002, rtol=0.03)
    assert_allclose(vague.draw_barrels(rng, 20000).mean(), 0, atol=1e-4)
    assert_allclose(vague.draw_focals_px(rng, 20000).std(), 8.0, rtol=0.03)
    assert view.straight(spots, np.zeros(3)).shape == (3, 2, 2)
    assert_allclose(view.centre(), [342.2832, 235.5708], atol=1e-3)


def test_the_prior_is_a_barrel_of_a_per_cent_or_two() -> None:
    draws = View(1600, 1200).draw_barrels(np.random.default_rng(1), 20000)
    assert (draws >= 0).all()
    assert_allclose(np.sqrt(np.mean(draws**2)), BARREL_SIGMA, rtol=0.03)


def test_focal_length_follows_the_diagonal() -> None:
    # 26 mm on 43.27 mm of diagonal: a 4000 px x 3000 px picture has 5000 px of it.
    layer = Layer(4000, 3000, focal_35mm=26.0)
    assert_allclose(focal_px(layer), 26 / 43.2666 * 5000, rtol=1e-5)
    assert focal_px(Layer(4000, 3000)) is None
    unknown = View(4000, 3000).draw_focals_px(np.random.default_rng(1), 2000)
    assert 2900 < unknown.min() < unknown.max() < 14100
    assert (View(4000, 3000, 3100.0).draw_focals_px(np.random.default_rng(1), 4) == 3100).all()


def test_a_profile_of_another_picture_size_is_refused() -> None:
    with pytest.raises(BadMark, match="another size"):
        view_of(Layer(1600, 1200), published_profile())
    assert view_of(Layer(640, 480), published_profile()).profile is published_profile()


@pytest.mark.parametrize("fx", [0.0, -1.0, float("nan"), float("inf")])
def test_a_profile_cannot_exist_wrong(fx) -> None:
    with pytest.raises(BadMark):
        LensProfile(fx, 500, 1, 1, 0, 0, 0, 0, 0, 640, 480, 0.1)
