"""The main number against the committed pictures' known answers, and what must not change it.

Truth: sample_images/answers.toml, the scenes the pictures were rendered from (SOURCES.md there).
The floors are wide: the bench (tests/bench) says how good the answers are, these tests that they
have not become bad.
"""

import tomllib
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import pytest
from PIL import Image

from annotate.coverage import measure
from annotate.edges import Rims, find_rims
from annotate.givens import Givens
from annotate.marks import Layer, Point
from annotate.quantity import Quantity
from annotate.result import Known, Result
from capture.entry import parse_length
from capture.faces import find_chessboard, measure_face
from capture.intake.photo import Photo, read_photo
from capture.layers import bare_layer, with_rims

SAMPLES = Path(__file__).resolve().parents[2] / "sample_images"
ANSWERS = tomllib.loads((SAMPLES / "answers.toml").read_text(encoding="utf-8"))
HOLES = {hole["file"]: hole for hole in ANSWERS["hole"]}
Picture = npt.NDArray[np.uint8]


@cache
def photo_of(name: str) -> Photo:
    return read_photo(SAMPLES / name)


def typed(hole: dict[str, Any], *, wall: bool) -> Givens:
    """Return the lengths as somebody with a calliper would type them."""
    near = parse_length(f"{hole['near_diameter']:.2f} mm")
    if not wall:
        return Givens(near_diameter=near)
    return Givens(
        near_diameter=near,
        wall=parse_length(f"{hole['wall']:.2f} mm"),
        bore_diameter=parse_length(f"{hole['bore_diameter']:.1f} mm"),
    )


def known(result: Result) -> Quantity:
    assert isinstance(result, Known), result
    return result.quantity


@pytest.mark.parametrize("name", HOLES)
def test_marks_set_by_hand_give_an_interval_that_holds_the_truth(name: str) -> None:
    hole, photo = HOLES[name], photo_of(name)
    placed = with_rims(
        bare_layer(photo), photo, near_points=hole["near_points"], far_points=hole["far_points"]
    )
    covered = known(measure(placed.layer, typed(hole, wall=True)).covered)
    low, high = covered.interval()
    assert low <= hole["covered"] <= high
    assert abs(covered.value - hole["covered"]) < 0.10
    assert high - low < 0.35


@pytest.mark.parametrize("name", HOLES)
def test_one_click_gives_an_interval_that_holds_the_truth(name: str) -> None:
    hole, photo = HOLES[name], photo_of(name)
    placed = with_rims(bare_layer(photo), photo, click=tuple(hole["click"]))
    result = measure(placed.layer, typed(hole, wall=True))
    covered = known(result.covered)
    low, high = covered.interval()
    assert low <= hole["covered"] <= high
    assert abs(covered.value - hole["covered"]) < 0.04
    assert high - low < 0.15
    area_low, area_high = known(result.open_area).interval()
    assert area_low <= hole["open_area"] <= area_high


def test_holes_in_a_flat_face_have_their_sizes_and_distances() -> None:
    face = ANSWERS["face"][0]
    photo = photo_of(face["file"])
    board = find_chessboard(photo, 7, 5, parse_length("5.0 mm"))
    clicks = [(float(x), float(y)) for x, y, _ in face["holes"]]
    found = measure_face(photo, bare_layer(photo), board, clicks)
    truths = [mm for _, _, mm in face["holes"]] + [mm for _, _, mm in face["distances"]]
    told = [hole.diameter for hole in found.holes] + [pair.distance for pair in found.pairs]
    assert [(p.start, p.end) for p in found.pairs] == [(a, b) for a, b, _ in face["distances"]]
    errors = [known(q).value - mm for q, mm in zip(told, truths, strict=True)]
    assert np.median(np.abs(errors)) < 0.1
    assert np.max(np.abs(errors)) < 0.3
    hits = [
        known(q).interval()[0] <= mm <= known(q).interval()[1]
        for q, mm in zip(told, truths, strict=True)
    ]
    assert np.mean(hits) >= 0.9


def as_is(picture: Picture, x: float, y: float) -> tuple[Picture, float, float]:
    return picture, x, y


def turned(picture: Picture, x: float, y: float) -> tuple[Picture, float, float]:
    """A quarter turn, anticlockwise: the last column becomes the first row."""
    return np.rot90(picture), y, picture.shape[1] - 1 - x


def cropped(picture: Picture, x: float, y: float) -> tuple[Picture, float, float]:
    """Unevenly: the hole is no longer where it was in the lens."""
    return picture[60:, :-250], x, y - 60


def halved(picture: Picture, x: float, y: float) -> tuple[Picture, float, float]:
    """Half the pixels each way; their CENTRES move by the half-pixel rule of annotate/marks.py."""
    height, width = picture.shape[:2]
    small = Image.fromarray(picture).resize((width // 2, height // 2), Image.Resampling.LANCZOS)
    return np.asarray(small), (x + 0.5) / 2 - 0.5, (y + 0.5) / 2 - 0.5


@cache
def seen(change: Callable[[Picture, float, float], tuple[Picture, float, float]]) -> Quantity:
    """Return what is covered on bearing-2-turned.jpg after a change of the picture."""
    hole, photo = HOLES["bearing-2-turned.jpg"], photo_of("bearing-2-turned.jpg")
    assert photo.pixels is not None
    picture, x, y = change(photo.pixels, *hole["click"])
    rims = find_rims(np.ascontiguousarray(picture), Point(x, y))
    assert isinstance(rims, Rims)
    height, width = picture.shape[:2]
    marks = tuple(rim for rim in (rims.near, rims.far, rims.back) if rim is not None)
    layer = Layer(width, height, marks, photo.focal_35mm)
    return known(measure(layer, typed(hole, wall=False), trials=1000).covered)


@pytest.mark.parametrize("change", [turned, cropped, halved])
def test_the_fraction_does_not_depend_on_how_the_picture_is_kept(
    change: Callable[[Picture, float, float], tuple[Picture, float, float]],
) -> None:
    """Tolerance: one point. Trials differ, and half the pixels blur the rims a little."""
    assert abs(seen(change).value - seen(as_is).value) < 0.01
