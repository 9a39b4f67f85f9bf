"""Several photos of one hole, the whole budget, the number of trials, and the picture of it all.

Rims are projected by an independent camera (``tests.annotate.drilled``) onto blank photos.
"""

import re
from dataclasses import replace
from functools import partial
from pathlib import Path
from xml.etree import ElementTree as ET

import numpy as np
import pytest
from PIL import Image

from annotate.coverage import TRIALS
from annotate.estimates.settled import settle
from annotate.routes import accepted
from store.book import Book
from store.codec import Entry
from store.evidence import Marked
from tests.annotate.drilled import Drilled
from tests.annotate.holes_drawn import Drawn, but
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
    assert int(found[1]) >= TRIALS
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


def test_a_tolerance_that_was_not_reached_is_said(
    pair: tuple[Path, Path], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # At most as many trials as are made first: the same that happens after 48000 of them.
    monkeypatch.setattr(accepted, "settle", partial(settle, most=TRIALS))
    words = ["coverage", pair[0], *marked(HOLE, 1), *KNOWN, "--tolerance", "0.004"]
    told = re.compile(r"stands still to 0\.\d+ points, not to the 0\.004 asked for")
    done = run(*words)
    line, note = (line for line in done.out.splitlines() if told.search(line))
    assert line.startswith(f"trials   {TRIALS}, by which the interval stands still")
    assert note.startswith("note     the interval stands still")
    assert f"no more than {TRIALS} trials are made" in note
    answer = run(*words, "--json").answer()
    trials = answer["trials"]
    assert (trials["made"], trials["asked_reached"]) == (TRIALS, False)
    assert trials["asked_points"] == pytest.approx(0.004)
    assert trials["still_to_points"] > 0.004
    assert any(told.search(warning) for warning in answer["warnings"])
    enough = run(*words[:-1], "3", "--json").answer()
    assert enough["trials"]["asked_reached"] is True
    assert not any("stands still" in warning for warning in enough["warnings"])
    in_book = [*words, "--book", begun(tmp_path), "--check", "C1.covered"]
    filed = run(*in_book)
    assert len(told.findall(filed.out)) == 2
    assert run(*in_book, "--json").answer()["trials"] == trials


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
    assert "the camera may lean both ways" in words
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
    [("out.pdf", 2, "written as .svg or .png"), ("no/such/out.svg", 2, "make it first")],
)
def test_a_picture_that_cant_be_written_is_told(
    pair: tuple[Path, Path], tmp_path: Path, name: str, code: int, told: str
) -> None:
    done = run("coverage", pair[0], *marked(HOLE, 1), *KNOWN, "--picture", tmp_path / name)
    assert (done.code, told in done.err) == (code, True)


@pytest.mark.parametrize("name", ["workings.svg", "workings.png"])
def test_a_picture_is_written_over_another_of_its_kind(
    pair: tuple[Path, Path], tmp_path: Path, name: str
) -> None:
    words = ["coverage", pair[0], *marked(HOLE, 1), *KNOWN, "--picture", tmp_path / name]
    first, again = run(*words), run(*words)
    assert (first.code, again.code) == (0, 0)
    assert "replaces" not in first.err
    assert f"{name} replaces the earlier picture of workings of that name" in again.err


def test_no_photo_and_nothing_in_a_book_is_written_over(
    pair: tuple[Path, Path], tmp_path: Path
) -> None:
    photo, drawing, book = tmp_path / "hole.png", tmp_path / "block.svg", begun(tmp_path)
    with Image.open(pair[0]) as picture:
        picture.save(photo)
    drawing.write_text("notes of my own, in no <svg>", "utf-8")
    kept = photo.read_bytes()
    for target, told in (
        (photo, "is not a picture of workings: it is not overwritten"),
        (drawing, "is not a picture of workings: it is not overwritten"),
        (book / "photos" / "workings.png", "inside the book"),
    ):
        done = run("coverage", photo, *marked(HOLE, 1), *KNOWN, "--picture", target)
        assert (done.code, done.out) == (2, "")
        assert told in done.err
    assert photo.read_bytes() == kept
    assert drawing.read_text("utf-8") == "notes of my own, in no <svg>"
    assert run("verify", book).code == 0


def test_a_photo_counts_once_whatever_its_name(pair: tuple[Path, Path], tmp_path: Path) -> None:
    again = tmp_path / "again.jpg"
    again.write_bytes(pair[0].read_bytes())
    done = run("coverage", pair[0], again, *marked(HOLE, 1), *marked(HOLE, 1), *KNOWN)
    assert done.code == 3
    assert "photo 2 (again.jpg) is photo 1 again: a photo counts once, leave one out" in done.err


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
    said = run("budget", book, key)
    assert said.out.startswith(f"{key}: covered ")
    assert "points  near rim" in said.out
    told = run("budget", book, key, "--json").answer()
    assert told["covered"]["u"] == number(both.result.covered).u
    assert [line["source"] for line in told["budget"]] == [b.source for b in both.result.budget]
    again = run("coverage", pair[0], *marked(HOLE, 3), *KNOWN, "--book", book, "--check", key,
                "--together", entry)  # fmt: skip
    assert f"this photo is the photo of entry {entry} again: a photo counts once" in again.err
    assert run("strike", book, entry, "--reason", "wrong rim").code == 0
    why = run("check", book, key).out
    assert "measured together with were struck" in why
    assert run("verify", book).code == 0


def test_marks_made_again_by_two_people_are_told_and_counted_apart(tmp_path: Path) -> None:
    book, picture = begun(tmp_path), photo(tmp_path, "left.png")
    key = "C1.covered"
    for seed, by in ((1, "A. Fitter"), (2, "A. Fitter"), (3, "L. Saar"), (4, "L. Saar")):
        done = run("coverage", picture, *marked(HOLE, seed), *KNOWN, "--book", book, "--check", key,
                   "--by", by)  # fmt: skip
        assert done.code in {0, 4, 5}, done.err
        if seed == 3:
            assert "how far people differ they do not tell" in done.out
    last = run("coverage", picture, *marked(HOLE, 5), *KNOWN, "--book", book, "--check", key,
               "--by", "A. Fitter")  # fmt: skip
    assert "4 earlier marks made more than once: one person's lie" in last.out
    assert "people differ" in last.out
    said = run("budget", book, key)
    assert [line for line in last.out.splitlines() if line.startswith("marking")] == [
        line for line in said.out.splitlines() if line.startswith("marking")
    ]
    told = run("budget", book, key, "--json").answer()["marking"]
    assert set(told) == {"ratio", "dof", "own", "own_dof", "people", "people_dof"}
    assert run("verify", book).code == 0


def test_a_picture_saved_again_counts_once_but_two_honest_photos_twice(tmp_path: Path) -> None:
    """A hole drawn as from two places a little apart, and the first of the two saved again."""
    there = Drawn()
    moved = but(there, centre=(207.0, 169.0), squash=0.94, turn_deg=33.0, far=(0.53, 0.42, 0.9))
    paths = [tmp_path / name for name in ("one.png", "again.jpg", "two.png")]
    for path, scene in zip(paths, (there, there, moved), strict=True):
        Image.fromarray(scene.picture()).convert("RGB").save(path, quality=70)
    at = np.array([0.4, 0.3])  # where one looks through
    clicks = [word for scene in (there, moved)
              for word in ("--click", ",".join(f"{px:.1f}" for px in scene.to_px(at)))]  # fmt: skip
    twice = run("coverage", *paths[:2], *clicks[:2], *clicks[:2], "--near-diameter", "8.00 mm")
    assert (twice.code, twice.out) == (3, "")
    assert "photo 2 (again.jpg) shows the very picture of photo 1, saved again or" in twice.err
    honest = run("coverage", paths[0], paths[2], *clicks, "--near-diameter", "8.00 mm")
    assert "very picture" not in honest.err
    book, key = begun(tmp_path), "C1.covered"
    filed = run("coverage", paths[0], *clicks[:2], "--book", book, "--check", key)
    assert filed.code in {0, 4, 5}, filed.err
    entry = str(entries(book)[-1].seq)
    words = ["--book", book, "--check", key, "--together", entry]
    again = run("coverage", paths[1], *clicks[:2], *words)
    assert (again.code, again.out) == (3, "")
    assert f"this photo shows the very picture of the photo of entry {entry}" in again.err
    assert len(entries(book)) == 1
    other = run("coverage", paths[2], *clicks[2:], *words)
    assert "very picture" not in other.err
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
    assert done.answer()["trials"]["made"] >= TRIALS


def slot() -> list[list[float]]:
    """Return the corners of a slot 9 x 4 mm on the far surface, its middle 3 mm off."""
    x, y = np.array([[-1.5, 7.5, 7.5, -1.5], [-2.0, -2.0, 2.0, 2.0]])
    z = HOLE._height(y, HOLE.wall)
    return HOLE.project(np.stack([x, y, z], axis=1)).round(2).tolist()


def test_a_slot_is_drawn_as_an_outline(pair: tuple[Path, Path], tmp_path: Path) -> None:
    near = marked(HOLE, 1)[:2]
    picture = tmp_path / "slot.svg"
    done = run("coverage", pair[0], *near, "--far-outline", points(slot()), "--near-diameter",
               "8.00 mm", "--wall", "2.0 mm", "--bore-diameter", "50.0 mm", "--json",
               "--picture", picture)  # fmt: skip
    assert done.code == 0, done.err
    answer = done.answer()
    # By hand: x from -1.5, |y| < 2 within a circle of 4. The strip |y| < 2 of it has the area
    # 2 (2 sqrt(12) + 16 asin(1/2)) = 30.611; left of -1.5: the integral of min(2, sqrt(16 - x^2))
    # doubled: 4 (3.4641 - 1.5) + 2 (circle beyond 3.4641: 16 acos(.86603) / 2 - 3.4641 x 2 / 2).
    left = 4 * (12**0.5 - 1.5) + 2 * (16 * np.arccos(12**0.5 / 4) / 2 - 12**0.5)
    shared = 2 * (2 * 12**0.5 + 16 * np.arcsin(0.5)) - left
    truth = 1 - shared / 36.0
    assert answer["covered"]["low"] <= truth <= answer["covered"]["high"]
    assert answer["covered"]["high"] - answer["covered"]["low"] < 0.15
    assert answer["largest_pin"]["value"] is None
    assert "try one" in answer["largest_pin"]["reason"]
    assert ET.fromstring(picture.read_text("utf-8")) is not None  # noqa: S314 - our own


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (["--far-outline", "1,2 3,4 5,9"], "needs the near rim too"),
        (["--click", "9,9", "--far-outline", "1,2 3,4 5,9", "--far-points", "1,2"], "instead of"),
        (["--near-points", "9,9 90,9 90,90 9,90 5,50", "--far-outline", "1,2 1,2 5,9"], "three"),
        (["--near-points", "9,9 90,9 90,90 9,90 5,50", "--far-outline", "1,2 3,4 5,9999"],
         "lies outside"),
    ],
)  # fmt: skip
def test_what_an_outline_needs(pair: tuple[Path, Path], options: list[str], told: str) -> None:
    done = run("coverage", pair[0], *options)
    assert (done.code, told in done.err) == (2, True), done.err


def test_a_book_measures_a_slot_that_was_drawn(pair: tuple[Path, Path], tmp_path: Path) -> None:
    plan = tmp_path / "plan.toml"
    text = PLAN.replace('kind = "coverage"', 'kind = "coverage"\n  shape = "slot"')
    plan.write_text(text.replace("7.05 mm", "8.00 mm"), encoding="utf-8")
    book = tmp_path / "job"
    assert run("start", plan, book).code == 0
    where = ["--book", book, "--check", "C1.covered"]
    refused = run("coverage", pair[0], *marked(HOLE, 1), *where)
    assert (refused.code, "draw the far opening as an outline" in refused.err) == (2, True)
    near = marked(HOLE, 1)[:2]
    done = run("coverage", pair[0], *near, "--far-outline", points(slot()), *where)
    assert done.code in {0, 4, 5}, done.err
    assert len(entries(book)) == 1
    assert run("verify", book).code == 0
