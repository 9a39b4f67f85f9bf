"""Lens profiles from photos of one chessboard: published photos, and cameras of known lens."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from annotate.fit import FitFailed
from annotate.marks import Chessboard, Layer
from annotate.optics.calibration import Calibration, calibrated, off_px
from annotate.scale import Scale, scale_from
from tests.annotate.optics.boards import boards
from tests.annotate.optics.test_lens import (
    NUMBERS,
    published_boards,
    published_profile,
    refined_as_published,
)

TERMS = (-0.4, 0.3, 0.0008, -0.0005, 0.0)


def made(found: list[Chessboard], size: tuple[int, int] = (1600, 1200)) -> Calibration:
    calibration = calibrated(found, *size)
    assert isinstance(calibration, Calibration), calibration
    return calibration


def refusal(found: list[Chessboard]) -> str:
    calibration = calibrated(found, 1600, 1200)
    assert isinstance(calibration, FitFailed)
    return calibration.reason


def test_the_published_bad_view_is_found_and_left_out() -> None:
    # left_intrinsics.yml, corners as the publishers refined them (window of 11 px): mean error of
    # left02 1.18 px, of the others 0.16 to 0.38.
    found = [refined_as_published(*pair) for pair in zip(published_boards(), NUMBERS, strict=True)]
    calibration = made(found, (640, 480))
    left_out = [n for n, view in zip(NUMBERS, calibration.views, strict=True) if not view.used]
    assert left_out == [2]
    errors = dict(zip(NUMBERS, (view.rms_px for view in calibration.views), strict=True))
    assert 1.1 < errors.pop(2) < 1.3
    published = [0.193, 0.173, 0.193, 0.160, 0.180, 0.231, 0.242, 0.296, 0.167, 0.202, 0.381, 0.174]
    # Each against the camera of the OTHER views, the published ones against their own: 0.03 px.
    assert_allclose(list(errors.values()), published, atol=0.03)
    assert_allclose(calibration.profile.focal_px, 535.9157, rtol=0.005)
    assert_allclose(calibration.profile.centre(), [342.2832, 235.5708], atol=2.5)


def test_corners_found_here_make_even_that_view_a_good_one() -> None:
    """Its corners lie close together: a window of 11 px takes in the next one, ours does not."""
    calibration = made(list(published_boards()), (640, 480))
    assert all(view.used for view in calibration.views)
    assert max(view.rms_px for view in calibration.views) < 0.26
    assert_allclose(calibration.profile.focal_px, 535.9157, rtol=0.006)
    assert_allclose(calibration.profile.centre(), [342.2832, 235.5708], atol=2.5)
    assert off_px(published_boards()[1], calibration.profile) < 0.2


@pytest.mark.parametrize("own", [True, False])
def test_100_mm_on_the_published_board_read_right_through_the_profile(own: bool) -> None:
    # Independent run with the published lens on the publishers' corners: 99.65 to 100.25 mm, left02
    # left aside; 99.7 to 103.9 without a lens.
    views = list(published_boards())
    profile = made(views, (640, 480)).profile if own else published_profile()
    layer, read = Layer(640, 480), []
    for number, board in zip(NUMBERS, views, strict=True):
        scale = scale_from(board, layer, profile)
        assert isinstance(scale, Scale)
        rows = scale.to_mm(np.array(board.corners_px)).reshape(6, 9, 2)
        if number != 2:
            read.append(np.linalg.norm(rows[:, 4:] - rows[:, :5], axis=2))
    off_mm = np.abs(np.array(read) - 100)
    assert len(off_mm) == 12
    # Between two single corners, found to 0.15 px each, of 360: one or two a little farther off.
    assert np.mean(off_mm > 0.35) < 0.01
    assert off_mm.max() < 0.40
    assert np.sqrt(np.mean(off_mm**2)) < 0.15


@pytest.mark.parametrize("seed", range(4))
def test_a_known_lens_lies_in_its_uncertainty(seed: int) -> None:
    profile = made(boards(terms=TERMS, centre_px=(812.0, 590.0), seed=seed)).profile
    assert abs(profile.focal_px - 4000) < 3.2 * profile.u_focal_px
    assert np.abs(profile.centre() - [812, 590]).max() < 3.2 * profile.u_centre_px
    # One radial term at the corner: r = 1000 px / 4000 px, and of the second term's r^5 what a
    # one-term fit takes: within the two.
    first, both = 0.4 / 16, 0.4 / 16 - 0.3 / 256
    assert both - 3 * profile.u_barrel < profile.barrel() < first + 3 * profile.u_barrel
    assert profile.u_barrel < 0.003
    assert profile.u_focal_px < 20


def test_corners_twice_as_vague_give_a_lens_about_twice_as_vague() -> None:
    sharp, vague = (made(boards(terms=TERMS, noise_px=n)).profile for n in (0.1, 0.2))
    assert_allclose(vague.u_focal_px / sharp.u_focal_px, 2, rtol=0.15)
    assert_allclose(vague.u_barrel / sharp.u_barrel, 2, rtol=0.15)


def bent(board: Chessboard, by_px: float) -> Chessboard:
    """Return a view of a board that is not flat: its middle is seen beside where it should be."""
    corners = np.array(board.corners_px)
    away = np.linalg.norm(corners - corners.mean(axis=0), axis=1)
    corners[:, 0] += by_px * (1 - (away / away.max()) ** 2)
    return Chessboard(tuple(map(tuple, corners.tolist())), 9, 6, board.square)


def test_a_bent_board_is_left_out_and_does_not_move_the_lens() -> None:
    good = boards(terms=TERMS)
    calibration = made([*good[:4], bent(good[4], 4.0), *good[5:]])
    assert [view.used for view in calibration.views] == [k != 4 for k in range(12)]
    alone = made([*good[:4], *good[5:]]).profile
    kept = calibration.profile
    assert_allclose([kept.fx, kept.cx, kept.k1, kept.u_focal_px],
                    [alone.fx, alone.cx, alone.k1, alone.u_focal_px], rtol=1e-6)  # fmt: skip


def test_bad_views_are_not_left_out_until_the_rest_agrees() -> None:
    good = boards(terms=TERMS)
    spoiled = [bent(b, 6.0 * 2**k) if k < 5 else b for k, b in enumerate(good)]
    assert "do not go together" in refusal(spoiled)


def test_too_few_views_are_refused_with_what_to_do() -> None:
    assert "at least 6" in refusal(boards(5))
    assert "tilted another way" in refusal(boards(5))


def test_views_too_alike_are_refused_with_what_to_do() -> None:
    assert "tilt it by 20 to 40 degrees" in refusal([boards(1)[0]] * 8)
    assert "tilt it by 20 to 40 degrees" in refusal(boards(tilt_deg=2.0, noise_px=0.01))


def test_a_board_kept_in_the_middle_is_refused_with_what_to_do() -> None:
    # the same pictures as the middle of larger ones
    wide = calibrated(
        boards(terms=TERMS, centre_px=(1999.5, 1499.5), size=(1600, 1200)), 4000, 3000
    )
    assert isinstance(wide, FitFailed)
    assert "every corner" in wide.reason
