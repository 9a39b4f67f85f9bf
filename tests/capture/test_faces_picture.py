"""``measure --picture``: a drawing of what was computed, written over none but its own kind."""

from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from PIL import Image

from annotate.drawings.pen import FAR
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


def words_of(svg: Path) -> str:
    root = ET.fromstring(svg.read_text("utf-8"))  # noqa: S314 - our own
    return " ".join(
        "".join(each.itertext()) for each in root.iter("{http://www.w3.org/2000/svg}text")
    )


def test_where_nothing_is_measured_the_target_the_clicks_and_the_reasons_are_drawn(
    tmp_path: Path,
) -> None:
    svg = tmp_path / "face.svg"
    done = measured(svg, "100,100", "120,700")
    assert done.code == 3
    assert f"{svg} shows what was found, and the reason" in done.err
    reason = done.out.splitlines()[0].removeprefix("hole 0  diameter not known: ")
    told = words_of(svg)
    assert "target: 35 corners (blue); numbered: where it was clicked" in told
    assert f"hole 0 not measured: {reason}" in told
    assert "hole 1 not measured: " in told
    assert svg.read_text("utf-8").count(f'stroke="{FAR}"') == 35
    assert is_workings(svg)
    assert measured(svg, "634,468").code == 0


def test_without_a_target_the_photo_the_clicks_and_the_reason_are_drawn(tmp_path: Path) -> None:
    svg = tmp_path / "face.svg"
    done = run("measure", FACE, "--marker", "8 mm", "--click", "634,468", "--picture", svg)
    assert (done.code, done.out) == (3, "")
    told = words_of(svg)
    assert "target: not found" in told
    assert "not measured: no printed marker is seen in the picture" in told
    assert "data:image/jpeg;base64," in svg.read_text("utf-8")


def test_of_a_photo_that_cant_be_read_nothing_is_drawn_and_that_is_said(tmp_path: Path) -> None:
    photo, svg = tmp_path / "words.jpg", tmp_path / "face.svg"
    photo.write_text("this is no picture", "utf-8")
    done = run("measure", photo, "--marker", "8 mm", "--click", "6,4", "--picture", svg)
    assert done.code == 3
    assert "no picture was drawn: the photo could not be read" in done.err
    assert not svg.exists()
