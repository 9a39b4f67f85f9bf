"""The drawing of how a lens profile came about: what it shows is what was left over."""

from xml.etree import ElementTree as ET

import numpy as np
import pytest
from numpy.testing import assert_allclose

from annotate.drawings.lens import View, to_svg
from annotate.drawings.pen import FAR, NEAR
from annotate.marks import to_corner_px
from annotate.optics.calibration import Calibration, calibrated, corners_off_px, off_px
from annotate.optics.profile import LensProfile
from tests.annotate.optics.boards import boards

SVG = "{http://www.w3.org/2000/svg}"
PROFILE = LensProfile(2100, 2100, 820, 590, -0.12, 0, 0, 0, 0, 1600, 1200, 0.1)
CORNERS = np.array([[100.0, 200], [400, 220], [390, 500]])
OFF = np.array([[0.3, 0.0], [0.0, -0.4], [0.2, 0.2]])
VIEWS = [
    View("board-1.jpg", "", CORNERS, OFF, "data:,", 0.42),
    View("board-2.jpg", "its corners do not go", CORNERS + 300, 9 * OFF),
    View("no-board.jpg", "no board", np.empty((0, 2)), np.empty((0, 2))),
]


def drawn() -> ET.Element:
    return ET.fromstring(to_svg(PROFILE, VIEWS))  # noqa: S314 - our own


def lines(part: ET.Element, colour: str) -> list[np.ndarray]:
    return [
        np.array([list(map(float, pair.split(","))) for pair in each.attrib["points"].split()])
        for each in part.iter(f"{SVG}polyline")
        if each.attrib["stroke"] == colour
    ]


def test_each_view_with_a_board_is_shown_and_what_was_left_out_is_said() -> None:
    root = drawn()
    assert len(root.findall(f"{SVG}svg")) == 3
    words = ["".join(each.itertext()) for each in root.findall(f"{SVG}text")]
    assert "white: all corners of the 1 photos used" in words
    assert "board-1.jpg" in words
    assert "board-2.jpg  LEFT OUT" in words
    assert not any("no-board" in each for each in words)
    rms = np.sqrt(np.mean(np.sum(OFF**2, axis=1)))
    assert any(f"3 corners, rms {rms:.2f} px off this lens" in each for each in words)
    # What was left out took no part in this lens: of it there is no other.
    assert words.count("0.42 px off the lens of the other photos") == 1
    assert sum("of the other photos" in each for each in words) == 1


def test_corners_of_views_used_are_crosses_where_they_were_found() -> None:
    whole = drawn().findall(f"{SVG}svg")[0]
    crosses = [p for p in whole.iter(f"{SVG}path") if p.attrib["stroke"] == NEAR]
    assert len(crosses) == len(CORNERS)


def test_whiskers_end_as_far_from_the_lens_as_corners_were_found_off_it() -> None:
    view = drawn().findall(f"{SVG}svg")[1]
    (said,) = (
        text
        for text in ("".join(each.itertext()) for each in drawn().findall(f"{SVG}text"))
        if "3 corners, rms 0.3" in text
    )
    factor = int(said.split("; ")[1].split()[0])
    for (foot, end), corner, off in zip(lines(view, FAR), CORNERS, OFF, strict=True):
        assert_allclose(foot, to_corner_px(0.0) + corner - off, atol=0.01)
        assert_allclose(end - foot, factor * off, atol=0.02)


def test_the_lens_is_shown_to_scale_all_over_the_picture() -> None:
    whole = drawn().findall(f"{SVG}svg")[0]
    found = lines(whole, FAR)
    assert len(found) > 40
    for place, bent in found:
        assert_allclose(
            PROFILE.bend((place - to_corner_px(0.0))[None])[0], bent - to_corner_px(0.0), atol=0.02
        )
        assert (bent >= 0).all()
        assert (bent <= [1600, 1200]).all()


def test_what_is_left_over_of_a_view_is_what_its_rms_is_of() -> None:
    seen = boards(terms=(-0.8, 0, 0, 0, 0), noise_px=0.2)
    made = calibrated(seen, 1600, 1200)
    assert isinstance(made, Calibration)
    profile = made.profile
    for board in seen:
        off = corners_off_px(board, profile)
        assert off is not None
        assert off_px(board, profile) == pytest.approx(np.sqrt(np.mean(np.sum(off**2, axis=1))))
        assert np.std(off) == pytest.approx(0.2, rel=0.35)
