"""The printed targets, read back from their pages by OpenCV and measured dot by dot."""

from itertools import pairwise
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest
from numpy.testing import assert_allclose
from pypdf import PdfReader

from annotate.own_targets import CARD_MM, PIECE_SIDES, TAG_IDS, TAG_MM, cells, is_stated
from annotate.quantity import Quantity
from annotate.target import find_markers
from store.errors import BadPlan, CannotWrite
from store.plan import Job
from store.report.sheet_rows import Paper
from store.report.targets import BAR_MM, card_data, tags_data, write_card, write_tags
from tests.annotate.camera import coded
from tests.store.report.pages import AT, Grey, mm_of, rendered

DPI = 400
JOB = Job(number="T-7", engine="Bench rig", customer="Ada Quill", shop="Back Lane Bench")
IDS = ["C1", "P1", "front-oil-pump-drive", *(f"K{n}" for n in range(60))]
NUMBERS = {location: turn for turn, location in enumerate(IDS, 1)}


@pytest.fixture(scope="module", params=["a4", "letter"])
def card(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Grey:
    return rendered(tmp_path_factory.mktemp("card"), "card", card_data(request.param), DPI)


@pytest.fixture(scope="module")
def tags(tmp_path_factory: pytest.TempPathFactory) -> Grey:
    data = tags_data(JOB, NUMBERS, at=AT, paper="a4")
    return rendered(tmp_path_factory.mktemp("tags"), "tags", data, DPI)


def opencv_reads(page: Grey, dictionary: int) -> dict[int, Any]:
    """Return what OpenCV alone finds, every bit right: id -> corners by pixel centres."""
    parameters = cv2.aruco.DetectorParameters()
    parameters.errorCorrectionRate = 0.0
    named = cv2.aruco.getPredefinedDictionary(dictionary)
    corners, ids, _ = cv2.aruco.ArucoDetector(named, parameters).detectMarkers(page)
    return {int(i): four.reshape(4, 2) for i, four in zip(np.ravel(ids), corners, strict=True)}


def black_box(page: Grey, corners: Any) -> tuple[float, float]:
    """Return width and height in mm of a black square that lies straight, by its ink."""
    x, y = corners.mean(axis=0).astype(int)
    reach = int(np.ptp(corners[:, 0]) * 0.6)
    ink = 1 - page[y - reach : y + reach, x - reach : x + reach] / 255
    # A line along the border, inside it, has no white: its ink is its length.
    top, left = (ink > 0.5).any(axis=1).argmax(), (ink > 0.5).any(axis=0).argmax()
    return mm_of(ink[top + 4].sum(), DPI), mm_of(ink[:, left + 4].sum(), DPI)


def test_every_marker_of_the_card_is_read_with_its_id_and_its_size(card: Grey) -> None:
    found = opencv_reads(card, cv2.aruco.DICT_4X4_50)
    assert sorted(found) == sorted(CARD_MM) == [40, 41, 42, 43, 44, 45]
    for identifier, corners in found.items():
        side = CARD_MM[identifier]
        assert_allclose(black_box(card, corners), side, rtol=0.002)


def test_our_own_finder_gives_the_printed_sizes_too(card: Grey) -> None:
    # A page's grey is how much of a dot is white, which is light; a camera blurs and codes it.
    seen = coded(cv2.GaussianBlur(card / 255, (0, 0), 0.8))
    found = find_markers(seen, Quantity(1.0, "mm"))
    assert [marker.identifier for marker in found] == sorted(CARD_MM)
    for marker in found:
        sides = np.linalg.norm(np.diff(np.array(marker.corners_px), axis=0), axis=1)
        assert_allclose(mm_of(sides, DPI), CARD_MM[marker.identifier], rtol=0.002)


def test_no_tag_is_seen_on_the_card_and_no_card_marker_on_the_tags(card: Grey, tags: Grey) -> None:
    assert find_markers(card, Quantity(1.0, "mm"), "5x5_250") == ()
    assert not set(CARD_MM) & {
        m.identifier for m in find_markers(tags, Quantity(1.0, "mm"), "4x4_50")
    }


def test_the_bars_are_as_long_as_they_say(card: Grey) -> None:
    ink = 1 - card / 255
    for lines in (ink, ink.T):
        runs = np.array([_longest(line)[1] for line in lines])
        bar = np.median(runs[runs > 0.98 * BAR_MM / 25.4 * DPI])
        # A dot is 0.064 mm; where the two bars meet, a grey end is inked twice.
        assert_allclose(mm_of(bar, DPI), BAR_MM, atol=0.03)


def test_the_rules_are_spaced_by_1_mm_and_by_1_64_in(card: Grey) -> None:
    """Every stroke's middle, by its ink; the first and last give the whole length."""
    dark = np.flatnonzero(_rows_of(card, 151))
    mm, inch = _strokes(card[dark[0] + 8]), _strokes(card[dark[-1] - 8])
    assert (len(mm), len(inch)) == (151, 385)
    assert_allclose(mm_of(mm - mm[0], DPI), np.arange(151), atol=0.03)
    assert_allclose(mm_of(inch - inch[0], DPI), np.arange(385) * 25.4 / 64, atol=0.03)


def test_the_square_has_equal_diagonals(card: Grey) -> None:
    ink = 1 - card / 255
    left, _ = max((_longest(row) for row in ink), key=lambda run: run[1])
    top, _ = max((_longest(column) for column in ink.T), key=lambda run: run[1])
    side = round(BAR_MM / 25.4 * DPI)
    for k in (0.3, 0.7):  # where the two diagonals must pass
        here = card[top + round(k * side), left + 200 : left + side - 200]
        passed = _strokes(here) + 200
        assert_allclose(mm_of(passed, DPI), np.sort([k, 1 - k]) * BAR_MM, atol=0.2)


def test_a_piece_is_as_wide_as_the_measurement_in_a_bore_takes_it_to_be(card: Grey) -> None:
    """The cut lines left and right of the largest marker: 1.5 sides apart (annotate.sight.card)."""
    corners = opencv_reads(card, cv2.aruco.DICT_4X4_50)[45]
    x, y = corners.mean(axis=0).astype(int)
    half = round(PIECE_SIDES * 40.0 / 2 / 25.4 * DPI)
    band = card[y - 200 : y + 200]
    for edge in (x - half, x + half):
        strip = band[:, edge - 6 : edge + 7].min(axis=0)
        assert abs(int(strip.argmin()) - 6) <= 2
        assert strip.min() < 215 < card[y, edge - 12]


def test_a_page_of_tags_is_read_with_its_ids_and_its_size(tags: Grey) -> None:
    found = opencv_reads(tags, cv2.aruco.DICT_5X5_250)
    assert sorted(found) == list(range(1, len(found) + 1))
    assert len(found) >= 50
    for corners in found.values():
        assert_allclose(black_box(tags, corners), TAG_MM, rtol=0.002)


def test_every_tag_stands_in_the_pdf_beside_its_location(tmp_path: Path) -> None:
    pdf = write_tags(JOB, NUMBERS, tmp_path / "tags.pdf", at=AT, paper="letter")
    text = " ".join(" ".join(p.extract_text().split()) for p in PdfReader(pdf).pages)
    text = text.replace("\u200b", "")
    for location, number in NUMBERS.items():
        assert f"{location} tag {number}, 12 mm job T-7" in text


@pytest.mark.parametrize(("paper", "size"), [("a4", (210.0, 297.0)), ("letter", (215.9, 279.4))])
def test_the_card_is_one_page_of_its_paper(
    tmp_path: Path, paper: Paper, size: tuple[float, float]
) -> None:
    # ISO 216 A4; letter is 8.5 x 11 in.
    (page,) = PdfReader(write_card(tmp_path / "c.pdf", at=AT, paper=paper)).pages
    points = float(page.mediabox.width), float(page.mediabox.height)
    assert_allclose(np.array(points) / 72 * 25.4, size, atol=0.05)


def test_the_same_card_has_the_same_bytes_and_a_lost_folder_is_told(tmp_path: Path) -> None:
    one, two = (write_card(tmp_path / name, at=AT, paper="a4") for name in ("a.pdf", "b.pdf"))
    assert one.read_bytes() == two.read_bytes()
    with pytest.raises(CannotWrite, match="card could not be written"):
        write_card(tmp_path / "lost" / "c.pdf", at=AT, paper="a4")


def test_more_locations_than_tags_are_refused() -> None:
    many = {f"L{n}": n for n in range(1, len(TAG_IDS) + 2)}
    with pytest.raises(BadPlan, match="249 tags"):
        tags_data(JOB, many, at=AT, paper="a4")


def test_marker_modules_are_those_of_opencv() -> None:
    # Id 0 of DICT_4X4_50: B5 32 hex, row by row (OpenCV's predefined_dictionaries).
    assert cells("4x4_50", 0) == (
        "000000", "010110", "001010", "000110", "000100", "000000",
    )  # fmt: skip


def test_the_size_that_is_typed_tells_the_markers_apart() -> None:
    sizes = sorted([*CARD_MM.values(), TAG_MM])
    # 3 % either way for two prints at different scales.
    assert all(b / a > 1.03 / 0.97 for a, b in pairwise(sizes))
    page = np.full((200, 200), 255, dtype=np.uint8)
    page[50:150, 50:150] = cv2.aruco.generateImageMarker(
        cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50), 42, 100
    )
    (marker,) = find_markers(page, Quantity(9.8, "mm"))
    assert is_stated(marker, Quantity(9.8, "mm"))
    assert not is_stated(marker, Quantity(9.6, "mm"))
    assert not is_stated(marker, Quantity(12.0, "mm"))


def _longest(line: Any) -> tuple[int, float]:
    """Return start and length of the longest run of ink, in dots; grey ends count by their ink."""
    dark = np.concatenate([[0], line > 0.05, [0]])
    edges = np.flatnonzero(np.diff(dark))
    runs = ((int(a), float(line[a:b].sum())) for a, b in zip(edges[::2], edges[1::2], strict=True))
    return max(runs, key=lambda run: run[1], default=(0, 0.0))


def _strokes(row: Any) -> Any:
    """Return the middles of the dark strokes across a row, in dots, by their ink."""
    ink = 1 - row / 255
    dark = np.concatenate([[0], ink > 0.05, [0]])
    edges = np.flatnonzero(np.diff(dark))
    places = np.arange(len(row))
    return np.array([
        float((ink[a:b] * places[a:b]).sum() / ink[a:b].sum())
        for a, b in zip(edges[::2], edges[1::2], strict=True)
    ])  # fmt: skip


def _rows_of(page: Grey, strokes: int) -> Any:
    """Return which rows of a page cross at least so many strokes."""
    dark = page < 200
    return (np.diff(dark.astype(np.int8), axis=1) == 1).sum(axis=1) >= strokes - 2
