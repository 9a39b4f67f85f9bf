"""Pictures of what was not measured, and of several photos: what is computed can be shown."""

import re
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from PIL import Image

from store.book import Book
from store.evidence import Marked, PhotoTaken
from tests.capture.command import SAMPLES, run
from tests.capture.test_commands_photos import AGAIN, HOLE, KNOWN, OTHER, begun, marked, photo

CONTRARY = ["--near-diameter", "8.00 mm", "--far-diameter", "3.00 mm", "--wall", "2.0 mm"]


def words(svg: Path) -> list[str]:
    root = ET.fromstring(svg.read_text("utf-8"))  # noqa: S314 - our own
    return [each.text or "" for each in root.iter() if each.tag.endswith("text")]


@pytest.fixture
def pair(tmp_path: Path) -> tuple[Path, Path]:
    return photo(tmp_path, "left.png"), photo(tmp_path, "right.png")


def test_a_near_rim_without_a_far_one_is_shown_with_the_reason(tmp_path: Path) -> None:
    shown = tmp_path / "why.svg"
    done = run("coverage", SAMPLES / "boss-without-bore.jpg", "--click", "600,600",
               "--near-diameter", "8 mm", "--picture", shown, "--json")  # fmt: skip
    assert done.code == 3
    assert done.answer()["covered"]["value"] is None  # the JSON stands alone on stdout
    assert f"{shown} shows what was found, and the reason" in done.err
    found, *why = words(shown)
    assert found == "found or placed: near rim (white); the ring is where it was clicked"
    assert " ".join(why).startswith("not measured: the far rim cannot be seen; light the hole")
    assert "<image " in shown.read_text("utf-8")


def test_marks_that_no_holes_fit_are_shown_as_a_png_that_is_written_over(
    pair: tuple[Path, Path], tmp_path: Path
) -> None:
    shown = tmp_path / "why.png"
    for _ in range(2):
        done = run("coverage", pair[0], *marked(HOLE, 1), *CONTRARY, "--picture", shown)
        assert (done.code, done.out) == (3, "")
        assert "shows what was found" in done.err
    with Image.open(shown) as picture:
        assert picture.format == "PNG"
        assert picture.width > 800


def test_where_nothing_is_found_the_click_is_shown(pair: tuple[Path, Path], tmp_path: Path) -> None:
    shown = tmp_path / "why.svg"
    done = run("coverage", pair[0], "--click", "800,600", *KNOWN, "--picture", shown)
    assert done.code == 3
    assert words(shown)[0] == "nothing was found; the ring is where it was clicked"
    assert "no closed rim" in " ".join(words(shown))


def test_a_file_that_is_no_photo_gives_a_reason_and_no_picture(tmp_path: Path) -> None:
    broken, shown = tmp_path / "broken.jpg", tmp_path / "why.svg"
    broken.write_bytes((SAMPLES / "bearing-1.jpg").read_bytes()[:3000])
    done = run("coverage", broken, "--click", "8,6", "--picture", shown)
    assert done.code == 3
    assert "shows what was found" not in done.err
    assert not shown.exists()


def test_each_of_several_photos_has_its_picture(pair: tuple[Path, Path], tmp_path: Path) -> None:
    done = run("coverage", *pair, *marked(HOLE, 1), *marked(AGAIN, 2), *KNOWN,
               "--picture", tmp_path / "workings.svg")  # fmt: skip
    assert done.code == 0, done.err
    assert not (tmp_path / "workings.svg").exists()
    told = re.search(r"covered  (.*) of the smaller hole", done.out)
    assert told
    for number in (1, 2):
        rows = words(tmp_path / f"workings-{number}.svg")
        assert rows[-1] == (
            f"photo {number} of 2, by itself; all of them as one: covered {told.group(1)}"
        )
        alone = re.search(rf"photo {number}  .* alone: covered ([\d.]+) %", done.out)
        assert alone
        assert rows[-2].startswith(f"covered {alone.group(1)} % (95 %")


def test_a_name_that_one_of_several_pictures_would_take_is_refused_at_once(
    pair: tuple[Path, Path], tmp_path: Path
) -> None:
    taken = tmp_path / "workings-2.png"
    Image.new("RGB", (8, 8)).save(taken)
    kept = taken.read_bytes()
    done = run("coverage", *pair, *marked(HOLE, 1), *marked(AGAIN, 2), *KNOWN,
               "--picture", tmp_path / "workings.png")  # fmt: skip
    assert (done.code, done.out) == (2, "")
    assert "workings-2.png is there and is not a picture of workings" in done.err
    assert taken.read_bytes() == kept
    assert not (tmp_path / "workings-1.png").exists()


def test_photos_that_disagree_are_shown_each_with_why(
    pair: tuple[Path, Path], tmp_path: Path
) -> None:
    done = run("coverage", *pair, *marked(HOLE, 1), *marked(OTHER, 2), *KNOWN,
               "--picture", tmp_path / "why.svg")  # fmt: skip
    assert done.code == 3
    for number in (1, 2):
        found, *why = words(tmp_path / f"why-{number}.svg")
        assert found == "found or placed: near rim (white), points on the far rim (blue)"
        assert "photos 1 and 2 do not agree" in " ".join(why)


def test_of_photos_one_of_which_is_refused_those_that_were_read_are_shown(
    pair: tuple[Path, Path], tmp_path: Path
) -> None:
    done = run("coverage", *pair, "--click", "800,600", "--click", "8,6", *KNOWN,
               "--picture", tmp_path / "why.svg")  # fmt: skip
    assert done.code == 3
    assert "photo 1 (left.png): no closed rim" in " ".join(words(tmp_path / "why-1.svg"))
    assert not (tmp_path / "why-2.svg").exists()


def test_in_a_book_a_refusal_is_shown_and_the_photo_kept(
    pair: tuple[Path, Path], tmp_path: Path
) -> None:
    book, shown = begun(tmp_path), tmp_path / "why.svg"
    done = run("coverage", pair[0], "--click", "800,600", "--book", book, "--check", "C1.covered",
               "--picture", shown)  # fmt: skip
    assert done.code == 3
    assert f"{shown} shows what was found, and the reason" in done.err
    assert "no closed rim" in " ".join(words(shown))
    with Book.open(book, read_only=True) as there:
        kinds = [type(entry.evidence) for entry in there.entries()]
    assert PhotoTaken in kinds
    assert Marked not in kinds
