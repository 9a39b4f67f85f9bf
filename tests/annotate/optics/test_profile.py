"""What a measured lens does to other photos, and to the numbers measured on them."""

from functools import cache

import numpy as np
import pytest
from msgspec.structs import replace
from numpy.testing import assert_allclose

from annotate.coverage import Coverage, measure
from annotate.errors import BadMark, CannotMeasure
from annotate.marks import Ellipse, Layer, Marker, Note, Point
from annotate.optics.calibration import Calibration, calibrated
from annotate.optics.profile import LensProfile
from annotate.quantity import Quantity
from tests.annotate.drilled import Drilled
from tests.annotate.optics.boards import boards
from tests.annotate.optics.test_lens import published_profile
from tests.annotate.test_coverage import givens_of, layer_of, number

# 5 % at the corner: r = 1000 px / 4000 px there.
K1 = -0.8


@cache
def profile_of(k1: float = K1) -> LensProfile:
    """Return the profile made from photos of a board through the very lens."""
    made = calibrated(boards(terms=(k1, 0, 0, 0, 0)), 1600, 1200)
    assert isinstance(made, Calibration)
    return made.profile


def scene(seed: int) -> Drilled:
    """Return two holes near a corner of the picture, through a lens that bends it."""
    rng = np.random.default_rng(seed)
    return Drilled(
        k1=K1,
        aim_px=(rng.choice([-480.0, 480.0]), rng.choice([-320.0, 320.0])),
        tilt_deg=rng.uniform(4, 14),
        tilt_towards_deg=rng.uniform(0, 360),
        offset=(rng.uniform(1.0, 3.0), rng.uniform(-1.0, 1.0)),
    )


def budget_line(found: Coverage, name: str) -> float:
    return sum(line.points for line in found.budget if line.source == name)


def test_bending_undoes_straightening() -> None:
    profile = published_profile()
    spots = np.array([(x, y) for x in range(20, 640, 100) for y in range(20, 480, 100)], float)
    assert_allclose(profile.bend(profile.straighten(spots)), spots, atol=1e-6)
    assert_allclose(profile.bend(spots[:, None])[:, 0], profile.bend(spots))


def test_a_barrel_is_the_shift_at_the_corner() -> None:
    only_k1 = LensProfile(4000, 4000, 799.5, 599.5, K1, 0, 0, 0, 0, 1600, 1200, 0.1, reach=0.8)
    assert_allclose(only_k1.barrel(), 0.05, rtol=1e-6)
    assert_allclose(replace(only_k1, k1=0.8).barrel(), -0.05, rtol=1e-6)


def test_a_larger_picture_of_the_same_camera_is_that_profile_scaled() -> None:
    # Central projection with the picture 2.5 times as large: the same sight lines. Pixel centres
    # count from the first pixel's centre, so 0 goes to 0.75.
    small = published_profile()
    large = small.used_on(Layer(1600, 1200))
    spots = np.array([[10.0, 20.0], [320.0, 240.0], [630.0, 470.0]])
    assert_allclose(large.straighten(spots * 2.5 + 0.75), small.straighten(spots) * 2.5 + 0.75)
    assert_allclose(large.focal_px, 2.5 * small.focal_px)
    assert (large.width_px, large.height_px) == (1600, 1200)


def test_a_picture_of_another_shape_is_refused_with_what_to_do() -> None:
    for size in ((480, 480), (640, 360), (640, 470), (470, 640)):
        with pytest.raises(CannotMeasure, match=r"another shape.*not cropped"):
            published_profile().used_on(Layer(*size))
    # 4:3 rounded to whole pixels is no other shape
    assert published_profile().used_on(Layer(1023, 767)).width_px == 1023


def test_another_zoom_is_doubted_and_another_lens_refused() -> None:
    profile = replace(published_profile(), focal_35mm=26.0, u_focal_px=1.0)
    same = profile.used_on(Layer(640, 480, focal_35mm=26.0))
    # 2 % for another focus, as the module states, and 1 px
    assert_allclose(same.u_focal_px, np.hypot(1.0, 0.02 * profile.focal_px), rtol=1e-9)
    near = profile.used_on(Layer(640, 480, focal_35mm=27.0))
    assert near.u_focal_px > np.log(27 / 26) * profile.focal_px
    assert profile.used_on(Layer(640, 480)).u_focal_px == same.u_focal_px
    with pytest.raises(CannotMeasure, match=r"26 mm.*taken at 52 mm.*make a profile at this zoom"):
        profile.used_on(Layer(640, 480, focal_35mm=52.0))


@pytest.mark.parametrize(
    "wrong",
    [{"u_focal_px": -1.0}, {"u_barrel": float("nan")}, {"reach": 0.0}, {"width_px": 0},
     {"focal_35mm": -26.0}],
)  # fmt: skip
def test_a_profile_with_impossible_doubts_cannot_exist(wrong: dict[str, float]) -> None:
    with pytest.raises(BadMark):
        replace(published_profile(), **wrong)


def test_straightened_marks_keep_their_sizes_told_in_the_stretched_picture() -> None:
    profile = profile_of()
    layer = layer_of(scene(1), sigma=0.2)
    marker = Marker(((10, 10), (60, 10), (60, 60), (10, 60)), Quantity(5.0, "mm"), 3)
    layer = replace(layer, marks=(*layer.marks, marker, Note(Point(1, 1), "oil")))
    straight = profile.straightened(layer)
    near, before = straight.rim("near"), layer.rim("near")
    assert near is not None
    assert before is not None
    assert_allclose(near.array_px(), profile.straighten(before.array_px()))
    enlarged = np.ptp(near.array_px(), axis=0).prod() / np.ptp(before.array_px(), axis=0).prod()
    assert_allclose(near.sigma_px / 0.2, enlarged**0.5, rtol=0.01)
    assert near.sigma_px > 0.2
    (moved,) = [m for m in straight.marks if isinstance(m, Marker)]
    assert_allclose(moved.corners_px, profile.straighten(np.array(marker.corners_px)))
    assert not any(isinstance(m, Note) for m in straight.marks)


def test_with_the_profile_the_number_is_nearer_the_truth_and_its_interval_holds() -> None:
    profile = profile_of()
    off_with, off_without, inside = [], [], 0
    lens_with: list[float] = []
    lens_without: list[float] = []
    for seed in range(8):
        drilled = scene(seed)
        layer, known, truth = layer_of(drilled, seed=seed), givens_of(drilled), drilled.covered()
        bare = measure(layer, known)
        found = measure(layer, known, lens=profile.used_on(layer))
        through = number(found.covered)
        low, high = through.interval(0.95)
        inside += low <= truth <= high
        off_with.append(abs(through.value - truth))
        off_without.append(abs(number(bare.covered).value - truth))
        lens_with.append(budget_line(found, "lens"))
        lens_without.append(budget_line(bare, "lens"))
        assert any("lens as measured" in words for words in found.warnings)
    assert np.mean(off_with) < 0.7 * np.mean(off_without)
    assert 0 < np.mean(lens_with) < 0.7 * np.mean(lens_without)
    assert inside >= 7  # 95 % of 8: six or fewer would happen once in 170 times


def test_a_vaguer_profile_gives_a_vaguer_number() -> None:
    drilled = scene(3)
    layer, known = layer_of(drilled), givens_of(drilled)
    sharp = profile_of().used_on(layer)
    vague = replace(sharp, u_barrel=0.02, u_focal_px=0.1 * sharp.focal_px)
    lines = [budget_line(measure(layer, known, lens=p), "lens") for p in (sharp, vague)]
    assert lines[1] > 1.2 * lines[0]


def test_outlines_lie_on_the_photo_and_not_on_the_straightened_picture() -> None:
    drilled = scene(4)
    layer = layer_of(drilled)
    near = measure(layer, givens_of(drilled), lens=profile_of().used_on(layer)).near
    assert isinstance(near, Ellipse)
    seen = drilled.rim("near", np.linspace(0, 2 * np.pi, 90, endpoint=False))
    assert_allclose([near.cx, near.cy], seen.mean(axis=0), atol=1.0)


def test_holes_beyond_what_the_board_reached_are_told() -> None:
    drilled = scene(5)
    layer = layer_of(drilled)
    short = replace(profile_of(), reach=0.3).used_on(layer)
    told = measure(layer, givens_of(drilled), lens=short).warnings
    assert any("farther out than the lens profile" in words for words in told)


def test_a_profile_gives_the_same_number_every_time_and_none_changes_nothing() -> None:
    drilled = scene(6)
    layer, known = layer_of(drilled), givens_of(drilled)
    lens = profile_of().used_on(layer)
    assert measure(layer, known, lens=lens) == measure(layer, known, lens=lens)
    assert measure(layer, known, lens=None) == measure(layer, known)
