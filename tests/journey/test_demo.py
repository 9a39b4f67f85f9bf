"""The main job from end to end: the demo's plan, real pictures, a report, a book that verifies."""

from pathlib import Path

import pytest

from capture.demo.job import fresh_folder, read_demo_plan
from capture.demo.samples import known_hole, sample_photo
from store.book import Book
from store.evidence import Read, SlipAsked
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


def test_the_demo_carries_a_whole_job_from_arrival_to_closed(walked: Round) -> None:
    assert len(walked.places) >= 30
    assert {hold.state for hold in walked.holds} == {"closed"}
    assert walked.hold("front-cover").seal is not None
    states = {check.key: check.state for check in walked.checks}
    assert states["B1.covered"] == "within"
    assert states["B2.covered"] == "within"
    assert states["B3.covered"] == "too close to call"
    assert "not measured" not in states.values()
    records = [check.current.record for check in walked.checks if check.current]
    units = {r.quantity.unit for r in records if isinstance(r, Read) and r.quantity}
    assert units >= {"mm", "in", "lbf.in", "N.m", "psi", "kPa"}


def test_a_wrong_part_is_told_and_its_replacement_voids_what_was_proven(
    walked: Round, demo: Done
) -> None:
    assert "look for a wrong size in the kit" in demo.out
    wrong, right = walked.check("K1.press").attempts
    assert (wrong.state, wrong.void) == ("outside", "Core plug 1, left side was replaced")
    assert (right.state, right.void) == ("within", "")
    assert walked.counts_open == ()


def test_a_slip_is_asked_about_and_kept(walked: Round, demo: Done) -> None:
    assert "one turn of the thimble?" in demo.out
    (asked,) = walked.check("M2.journal").slips
    assert isinstance(asked.record, SlipAsked)
    assert (asked.record.text, asked.record.answer) == ("61.434 mm", "withdrawn")


def test_two_datums_disagree_and_lead_to_a_suspect_gauge(walked: Round) -> None:
    before, after = walked.check("G2.datums-agree").attempts
    assert (before.state, after.state) == ("outside", "within")
    assert before.suspect.startswith("depth-b is suspect since 2026-06-02")
    assert after.suspect == ""
    (doubted,) = [gauge for gauge in walked.gauges if gauge.suspect]
    assert {walked.attempt(entry).record.key for entry in doubted.touched} == {
        "G2.depth-face", "G2.datums-agree",
    }  # fmt: skip


def test_a_failed_reading_stays_beside_what_came_after_the_rework(walked: Round) -> None:
    first, second = walked.check("D2.flat").attempts
    assert (first.state, first.void) == ("outside", "reworked: deck ground at the machine shop")
    assert second.state == "within"


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


def test_a_hold_point_is_refused_and_closes_with_a_waiver(walked: Round) -> None:
    camshaft = walked.hold("camshaft")
    assert (camshaft.state, len(camshaft.refusals)) == ("closed", 1)
    assert [waiver.key for waiver in camshaft.waived] == ["B3.covered"]
    assert ("R2", "its last debris log says not clean") in walked.hold("galleries").refusals[
        0
    ].unproven


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
