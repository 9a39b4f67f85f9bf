"""What is wrong with a photo, each thing put there on purpose and by a known amount."""

import cv2
import numpy as np
import pytest
from msgspec.structs import replace

from annotate.marks import Ellipse
from annotate.pane.levels import levels_of
from annotate.quantity import Quantity
from annotate.result import Known, Unknown
from capture.desk.photos.warnings import Looks, looks_of, needs_scale, sharpness_words, warnings_of
from capture.intake.photo import decode_upright
from store.evidence import PhotoTaken
from tests.capture.command import SAMPLES
from tests.capture.desk.photos.pictures import with_tag

NEAR = Ellipse(cx=700.0, cy=600.0, semi_major=150.0, semi_minor=150.0, angle_deg=0.0)
SHARP = Looks(width_px=2.0, marker=True)


@pytest.fixture
def taken() -> PhotoTaken:
    return PhotoTaken(photo="a" * 64, suffix="jpg", bytes_count=9, file_name="a.jpg",
                      location="C1", role="close-up", width_px=1600, height_px=1200)  # fmt: skip


def burnt(arc_deg: float, start_deg: float = 20.0) -> np.ndarray:
    """A dark hole in grey metal, its rim white along an arc of known length."""
    picture = np.full((1200, 1600, 3), 120, np.uint8)
    cv2.circle(picture, (700, 600), 150, (15, 15, 15), -1)
    cv2.ellipse(picture, (700, 600), (158, 158), 0.0, start_deg, start_deg + arc_deg,
                (255, 255, 255), 20)  # fmt: skip
    return picture


@pytest.mark.parametrize("arc_deg", [0.0, 40.0, 90.0, 200.0])
def test_burnt_light_is_told_in_degrees_of_the_rim(arc_deg, marked) -> None:
    result = replace(marked.result, near=NEAR, far=None)
    looks = looks_of(levels_of(burnt(arc_deg) if arc_deg else burnt(0.01)), result)
    # The white line's round ends reach a few degrees further.
    assert looks.burnt_near_deg == pytest.approx(arc_deg, abs=10.0)


def test_of_the_far_rim_only_what_is_seen_through_the_near_one_counts(marked) -> None:
    result = replace(marked.result, near=NEAR, far=replace(NEAR, cx=900.0))
    picture = burnt(0.01)
    cv2.circle(picture, (900, 600), 150, (255, 255, 255), 24)
    looks = looks_of(levels_of(picture), result)
    # The far circle is inside the near one where cos t < -(200^2) / (2 * 150 * 200): 96 degrees.
    assert looks.burnt_far_deg == pytest.approx(2 * np.degrees(np.arccos(200 / 300)), abs=6.0)


def test_a_burnt_rim_is_told_with_what_to_do(taken) -> None:
    (sentence,) = warnings_of(replace(SHARP, burnt_near_deg=61.0), taken, None, None)
    assert sentence == (
        "burnt out along 61\N{DEGREE SIGN} of the near rim: turn the lamp, or expose darker"
    )
    assert warnings_of(replace(SHARP, burnt_near_deg=29.0), taken, None, None) == ()


def test_a_picture_out_of_focus_is_not_sharp_and_says_what_to_do(taken) -> None:
    pixels = decode_upright(SAMPLES / "bearing-2-turned.jpg")
    sharp = looks_of(levels_of(pixels))
    soft = looks_of(levels_of(cv2.GaussianBlur(pixels, (0, 0), 4.0)))
    assert sharpness_words(sharp).startswith("sharp, edges ")
    assert sharpness_words(soft).startswith("not sharp, edges 10")
    assert warnings_of(replace(soft, marker=True), taken, None, None)[0].endswith("take it again")
    assert sharpness_words(Looks(width_px=0.4)) == "sharp, edges under 1 px wide"
    assert sharpness_words(Looks(width_px=None)) == "no edge to judge sharpness by"


def test_the_rim_is_judged_where_it_is_known_and_not_a_sharp_background(taken, marked) -> None:
    picture = cv2.GaussianBlur(burnt(0.01), (0, 0), 6.0)
    picture[:, 1000:] = np.where((np.arange(600) // 25 % 2)[None, :, None], 220, 30)
    result = replace(marked.result, near=NEAR, far=None)
    assert looks_of(levels_of(picture)).judged_px < 2
    assert looks_of(levels_of(picture), result).judged_px > 12


def test_a_camera_held_askew_is_told_in_degrees(taken, marked) -> None:
    tilted = Known(Quantity(21.0, "deg", 2.0))
    record = replace(marked, result=replace(marked.result, line_of_sight=tilted))
    (sentence,) = warnings_of(SHARP, taken, None, record)
    assert sentence.startswith("taken 21\N{DEGREE SIGN} off the hole's axis: that is counted")
    for squarer in (Known(Quantity(14.0, "deg", 2.0)), Unknown("no scale")):
        record = replace(marked, result=replace(marked.result, line_of_sight=squarer))
        assert warnings_of(SHARP, taken, None, record) == ()


def test_a_photo_with_scale_must_show_a_marker(taken, tmp_path) -> None:
    with_scale = replace(taken, role="with scale")
    assert needs_scale(with_scale, None, None)
    bare = looks_of(levels_of(decode_upright(SAMPLES / "front-cover-on.jpg")))
    (sentence,) = warnings_of(replace(bare, width_px=2.0), with_scale, None, None)
    assert sentence.startswith("no printed marker is found in this photo with scale")
    tagged = looks_of(levels_of(decode_upright(with_tag(tmp_path / "tag.jpg", 5))))
    assert warnings_of(replace(tagged, width_px=2.0), with_scale, None, None) == ()


def test_a_coverage_without_any_known_size_asks_for_one(taken, small) -> None:
    check = small.round.check("C1.covered")
    assert not needs_scale(taken, check, None)  # its near diameter is in the plan
    unsized = replace(check, characteristic=replace(check.characteristic, near_diameter=None))
    assert needs_scale(taken, unsized, None)
    (sentence,) = warnings_of(replace(SHARP, marker=False), taken, unsized, None)
    assert sentence.startswith("nothing of a known size is in the picture")
    assert warnings_of(SHARP, taken, unsized, None) == ()
    assert not needs_scale(taken, small.round.check("P1.bore"), None)
