"""``measure --picture``: a drawing of what was computed, written over none but its own kind."""

from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from PIL import Image

from capture.shown import is_workings
from tests.capture.command import SAMPLES, Done, run

FACE = SAMPLES / "face-chessboard.jpg"


def measured(picture: Path, *clicks: str) -> Done:
    words = [word for click in clicks for word in ("--click", click)]
    return run("measure", FACE, "--chessboard", "7x5x5.0 mm", *words, "--picture", picture)


def test_a_face_is_drawn_with_the_numbers_that_were_told(tmp_path: Path) -> None:
    svg = tmp_path / "face.svg"
    done = measured(svg, "634,468", "100,100", "791,1077", "636,466")
    assert done.code == 0
    root = ET.fromstring(svg.read_text("utf-8"))  # noqa: S314 - our own
    words = ["".join(each.itertext()) for each in root.iter("{http://www.w3.org/2000/svg}text")]
    diameter = done.out.splitlines()[0].removeprefix("hole 0  diameter ")
    assert f"hole 0  {diameter}" in words
    assert {"0", "1", "2"} <= set(words)
    assert "3" not in words  # clicked twice: drawn once
    assert svg.read_text("utf-8").count("data:image/jpeg;base64,") == 4
    assert is_workings(svg)


def test_a_png_is_one_and_either_is_written_over_by_its_kind(tmp_path: Path) -> None:
    png, svg = tmp_path / "face.png", tmp_path / "face.svg"
    for _ in range(2):
        assert measured(png, "634,468").code == 0
        assert measured(svg, "634,468").code == 0
    with Image.open(png) as picture:
        assert picture.size[0] == 1800
    assert is_workings(png)


@pytest.mark.parametrize("name", ["mine.svg", "mine.png", "mine.pdf"])
def test_nothing_else_is_written_over(name: str, tmp_path: Path) -> None:
    mine = tmp_path / name
    if name.endswith("svg"):
        # A drawing of one's own begins so too.
        mine.write_text(
            '<svg xmlns="http://www.w3.org/2000/svg"><desc>my own</desc></svg>', "utf-8"
        )
    else:
        Image.new("RGB", (4, 4)).save(mine)
    before = mine.read_bytes()
    done = measured(mine, "634,468")
    assert (done.code, done.out) == (2, "")
    assert ("not overwritten" in done.err) == (not name.endswith("pdf"))
    assert mine.read_bytes() == before


def test_where_nothing_is_measured_nothing_is_drawn_and_that_is_said(tmp_path: Path) -> None:
    done = measured(tmp_path / "face.svg", "100,100")
    assert done.code == 3
    assert "no picture was drawn: nothing was measured" in done.out
    assert not (tmp_path / "face.svg").exists()
