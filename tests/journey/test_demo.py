"""The main job from end to end: the demo's plan, real pictures, a report, a book that verifies."""

from pathlib import Path

import pytest

from capture.demo.job import fresh_folder, read_demo_plan
from capture.demo.samples import known_hole, sample_photo
from store.book import Book
from store.round import Round
from tests.capture.command import Done, run
from tests.capture.samples import HOLES


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("demo") / "benchproof-demo"


@pytest.fixture(scope="module")
def demo(folder: Path) -> Done:
    return run("demo", folder)


@pytest.fixture(scope="module")
def walked(demo: Done, folder: Path) -> Round:
    assert demo.code == 0, demo.err
    with Book.open(folder / "book", read_only=True) as book:
        return book.round()


def test_the_demo_ends_well_and_says_where_things_are(demo: Done, folder: Path) -> None:
    assert (demo.code, demo.err) == (0, "")
    assert f"book    {folder / 'book'}" in demo.out
    assert (folder / "report.pdf").read_bytes().startswith(b"%PDF-")
    assert "a photo estimate is a screening aid" in demo.out
    assert "caution: Lift the block with a rated hoist" in demo.out


def test_every_measured_interval_holds_the_known_answer(demo: Done) -> None:
    assert demo.out.count("known answer of this rendered picture") == 4
    assert "OUTSIDE" not in demo.out


def test_the_demo_shows_every_verdict(walked: Round) -> None:
    states = {check.key: check.state for check in walked.checks}
    assert states["B1.covered"] == "within"
    assert states["B2.covered"] == "within"
    assert states["B3.covered"] == "too close to call"
    assert states["G1.datums-agree"] == "within"
    assert states["K1.press"] == "outside"
    assert states["T1.end-float"] == "not measured"


def test_rework_is_a_new_attempt_and_the_first_stays(walked: Round) -> None:
    first, second = walked.check("B2.covered").attempts
    assert first.verdict is not None
    assert second.verdict is not None
    assert (first.verdict.state, second.verdict.state) == ("outside", "within")


def test_a_wrong_reading_is_struck_and_legible(walked: Round) -> None:
    wrong, right = walked.check("G1.depth-face").attempts
    assert wrong.struck is not None
    assert wrong.struck.reason == "read from the wrong end of the rule"
    assert right.counts


def test_one_hold_point_refused_then_closed_and_one_still_refuses(
    walked: Round, demo: Done
) -> None:
    camshaft, cover = walked.holds
    assert (camshaft.state, len(camshaft.refusals)) == ("closed", 1)
    assert [waiver.key for waiver in camshaft.waived] == ["B3.covered"]
    assert (cover.state, len(cover.refusals)) == ("open", 1)
    assert cover.unproven == (("T1.end-float", "not measured"),)
    assert "look for a wrong size in the kit" in demo.out


def test_the_demos_book_verifies(demo: Done) -> None:
    assert "verify: sound" in demo.out


def test_a_second_run_gets_a_folder_of_its_own(tmp_path: Path) -> None:
    wanted = tmp_path / "benchproof-demo"
    assert fresh_folder(wanted) == wanted
    wanted.mkdir()
    (tmp_path / "benchproof-demo-2").mkdir()
    assert fresh_folder(wanted).name == "benchproof-demo-3"


def test_the_plan_declines_leaves_out_and_warns() -> None:
    job = read_demo_plan().job
    assert job.declined
    assert job.left_out
    assert job.cautions


def test_sample_pictures_are_what_their_answers_say() -> None:
    for name, hole in HOLES.items():
        photo = sample_photo(name)
        assert (photo.width_px, photo.height_px) == (hole["width_px"], hole["height_px"])
        assert known_hole(name).covered == hole["covered"]
