"""Several photos of one hole, the whole budget, the number of trials, and the picture of it all.

Rims are projected by an independent camera (``tests.annotate.drilled``) onto blank photos.
"""

import re
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree as ET

import numpy as np
import pytest
from PIL import Image

from store.book import Book
from store.codec import Entry
from store.evidence import Marked
from tests.annotate.drilled import Drilled
from tests.annotate.test_coverage import number
from tests.capture.command import SAMPLES, points, run
from tests.capture.samples import HOLES
from tests.capture.small_plan import PLAN

HOLE = Drilled(tilt_deg=14.0, tilt_towards_deg=20.0, r_far=4.4, offset=(1.6, 1.1))
AGAIN = replace(HOLE, tilt_deg=10.0, tilt_towards_deg=230.0, spin_deg=75.0)
OTHER = replace(AGAIN, offset=(3.7, 2.5))
KNOWN = ["--near-diameter", "8.00 mm", "--far-diameter", "8.80 mm", "--wall", "2.0 mm",
         "--bore-diameter", "50.0 mm"]  # fmt: skip


def photo(folder: Path, name: str) -> Path:
    path = folder / name
    shade = sum(map(ord, name)) % 200  # two photos are not one file
    Image.new("RGB", HOLE.size, (shade, shade, shade)).save(path)
    return path


def marked(scene: Drilled, seed: int) -> list[str]:
    noise = np.random.default_rng(seed)
    near = scene.rim("near", np.linspace(0, 2 * np.pi, 12, endpoint=False))
    far = scene.rim("far", scene.longest_arc(9))
    near, far = (rim + noise.normal(0, 0.6, rim.shape) for rim in (near, far))
    return [
        "--near-points", points(near.round(2).tolist()),
        "--far-points", points(far.round(2).tolist()),
    ]  # fmt: skip


@pytest.fixture
def pair(tmp_path: Path) -> tuple[Path, Path]:
    return photo(tmp_path, "left.png"), photo(tmp_path, "right.png")


def test_two_photos_are_measured_as_one(pair: tuple[Path, Path]) -> None:
    options = [*marked(HOLE, 1), *marked(AGAIN, 2), *KNOWN]
    done = run("coverage", *pair, *options, "--json")
    answer = done.answer()
    assert done.code == 0
    truth = HOLE.covered()
    assert answer["covered"]["low"] <= truth <= answer["covered"]["high"]
    alone = [each["covered"]["u"] for each in answer["photos"]]
    assert answer["covered"]["u"] < min(alone)
    assert [each["photo"] for each in answer["photos"]] == [str(path) for path in pair]
    assert 0 <= answer["agreement"]["en"] <= 1
    assert 0 < answer["agreement"]["shared_points"] < 100 * min(alone)
    assert answer["trials"]["still_to_points"] <= 0.5


def test_photos_of_two_holes_are_told_and_not_averaged(pair: tuple[Path, Path]) -> None:
    done = run("coverage", *pair, *marked(HOLE, 1), *marked(OTHER, 2), *KNOWN, "--limit",
               "covered < 90 %", "--json")  # fmt: skip
    assert done.code == 3
    assert "photos 1 and 2 do not agree" in done.err
    assert done.answer()["covered"]["value"] is None
    assert done.answer()["verdict"]["state"] == "not measured"


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (["--click", "800,600"], "2 photos and 1 --click: give one for each photo"),
        (["--click", "8,6", "--click", "9,6", "--picture", "out.svg"], "a picture is of one photo"),
        (["--click", "8,6", "--click", "9,6", "--book", "b", "--check", "H1.c"], "--together"),
    ],
)
def test_each_photo_has_its_own_marks(
    pair: tuple[Path, Path], options: list[str], told: str
) -> None:
    done = run("coverage", *pair, *options)
    assert (done.code, done.out) == (2, "")
    assert told in done.err


def test_one_photo_takes_one_click() -> None:
    done = run("coverage", SAMPLES / "bearing-1.jpg", "--click", "1,2", "--click", "3,4")
    assert (done.code, "one photo takes one --click" in done.err) == (2, True)


def test_the_whole_budget_and_the_trials_are_printed(pair: tuple[Path, Path]) -> None:
    done = run("coverage", pair[0], *marked(HOLE, 1), *KNOWN, "--budget", "--tolerance", "1.5")
    shares = [float(share) for share in re.findall(r"^ +([\d.]+) points  ", done.out, re.MULTILINE)]
    for source in ("near rim", "arc of the far rim", "line of sight", "wall", "scale", "lens"):
        assert re.search(rf"^ +[\d.]+ points  {source}$", done.out, re.MULTILINE), source
    # The lines are independent: their squares add up to that of the last one, the total.
    assert sum(share**2 for share in shares[:-1]) ** 0.5 == pytest.approx(shares[-1], rel=0.1)
    found = re.search(r"trials   (\d+), by which the interval stands still to ([\d.]+)", done.out)
    assert found
    assert int(found[1]) >= 6000
    assert float(found[2]) <= 1.5
    refused = run("coverage", pair[0], *marked(HOLE, 1), "--tolerance", "none")
    assert (refused.code, "no number above 0" in refused.err) == (2, True)


def test_a_finer_tolerance_takes_more_trials(pair: tuple[Path, Path]) -> None:
    made = [
        run("coverage", pair[0], *marked(HOLE, 1), *KNOWN, "--tolerance", to, "--json").answer()
        for to in ("5", "0.04")
    ]
    assert made[1]["trials"]["made"] > made[0]["trials"]["made"]
    assert made[1]["trials"]["still_to_points"] < made[0]["trials"]["still_to_points"]


def test_the_picture_shows_rims_points_and_what_is_left_over(
    pair: tuple[Path, Path], tmp_path: Path
) -> None:
    svg = tmp_path / "workings.svg"
    assert run("coverage", pair[0], *marked(HOLE, 1), *KNOWN, "--picture", svg).code == 0
    root = ET.fromstring(svg.read_text("utf-8"))  # noqa: S314 - our own
    kinds = [each.tag.rpartition("}")[2] for each in root.iter()]
    assert kinds.count("image") == 1
    words = " ".join(each.text or "" for each in root.iter() if each.tag.endswith("text"))
    assert re.search(r"\d+ times enlarged", words)
    assert "covered " in words
    assert "to lean fit" in words
    # A cross and a whisker for each of 12 + 9 points, drawn twice: on its casing.
    assert kinds.count("path") >= 2 * (12 + 9)
    assert kinds.count("polyline") >= 2 * (12 + 9)
    png = tmp_path / "workings.png"
    assert run("coverage", pair[0], *marked(HOLE, 1), *KNOWN, "--picture", png).code == 0
    with Image.open(png) as picture:
        assert picture.format == "PNG"
        assert picture.width > 800


@pytest.mark.parametrize(
    ("name", "code", "told"),
    [("out.pdf", 2, "written as .svg or .png"), ("no/such/out.svg", 8, "No such file")],
)
def test_a_picture_that_cant_be_written_is_told(
    pair: tuple[Path, Path], tmp_path: Path, name: str, code: int, told: str
) -> None:
    done = run("coverage", pair[0], *marked(HOLE, 1), *KNOWN, "--picture", tmp_path / name)
    assert (done.code, told in done.err) == (code, True)


def test_in_a_book_marks_are_measured_together_and_verified_again(
    pair: tuple[Path, Path], tmp_path: Path
) -> None:
    book, key = begun(tmp_path), "C1.covered"
    first = run("coverage", pair[0], *marked(HOLE, 1), *KNOWN, "--book", book, "--check", key)
    assert first.code in {0, 4, 5}, first.err
    entry = str(entries(book)[-1].seq)
    second = run("coverage", pair[1], *marked(AGAIN, 2), *KNOWN, "--book", book, "--check", key,
                 "--together", entry)  # fmt: skip
    assert second.code in {0, 4, 5}, second.err
    assert "together with marks on 1 other photo of this hole" in second.out
    one, both = (entry.evidence for entry in entries(book))
    assert isinstance(one, Marked)
    assert isinstance(both, Marked)
    assert both.together == (entries(book)[0].hash,)
    assert number(both.result.covered).u < number(one.result.covered).u
    assert run("verify", book).code == 0
    again = run("coverage", pair[0], *marked(HOLE, 3), *KNOWN, "--book", book, "--check", key,
                "--together", entry)  # fmt: skip
    assert "on a photo that is named already" in again.err
    assert run("strike", book, entry, "--reason", "wrong rim").code == 0
    told = run("check", book, key).out
    assert "measured together with were struck" in told
    assert run("verify", book).code == 0


def begun(folder: Path) -> Path:
    """Return a book begun from a small plan whose near diameter suits the holes here."""
    plan = folder / "plan.toml"
    plan.write_text(PLAN.replace("7.05 mm", "8.00 mm"), encoding="utf-8")
    assert run("start", plan, folder / "job").code == 0
    return folder / "job"


def entries(book: Path) -> list[Entry]:
    with Book.open(book, read_only=True) as there:
        return [entry for entry in there.entries() if isinstance(entry.evidence, Marked)]


def test_the_sample_picture_is_one_photo_as_before() -> None:
    hole = HOLES["bearing-1.jpg"]
    by_hand = ["--near-points", points(hole["near_points"]), "--far-points",
               points(hole["far_points"])]  # fmt: skip
    done = run("coverage", SAMPLES / "bearing-1.jpg", *by_hand, "--near-diameter", "7.05 mm",
               "--json")  # fmt: skip
    assert "photos" not in done.answer()
    assert done.answer()["trials"]["made"] >= 6000
