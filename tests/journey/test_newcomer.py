"""A newcomer's first job, from an empty folder, with the help alone.

Every verb and option that is typed stands in the help; no plan file is written, and nothing of the
clone is used but two sample photos. The numbers are invented but for the hole's: the picture's own
answer stands in sample_images/answers.toml.
"""

import re
import shutil
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
from pypdf import PdfReader

from tests.capture.command import SAMPLES, Done, run

# What the newcomer's builder knows of the engine; ten readings of one cam bearing.
ROUND = (
    ("C1.bore", ("45.083 mm", "45.082 mm", "45.084 mm", "45.081 mm")),
    ("C1.journal", ("45.031 mm", "45.030 mm", "45.032 mm", "45.030 mm")),
    ("C1.pin", ("5.5 mm passed, 5.6 mm stopped",)),
    ("C1.wire", ("yes",)),
)
LIMITS = (
    ("C1.oil-hole", "--at-most", "40 %"),
    ("C1.pin", "--at-least", "4 mm"),
    ("C1.bore-round", "--at-most", "0.02 mm"),
    ("C1.clearance", "--printed", "0.03-0.07 mm (0.0012-0.0028 in)"),
)


class Newcomer:
    """Types only what the top help lists as a verb, and that verb's help as an option."""

    def __init__(self) -> None:
        self.top = run("--help").out
        self.told = self.top

    def types(self, verb: str, *words: str) -> Done:
        assert re.search(rf"^ +{verb} ", self.top, re.MULTILINE), f"{verb} is not in the help"
        helped = run(verb, "--help").out
        for word in words:
            if word.startswith("--"):
                assert word in helped, f"{word} is not in the help of {verb}"
        done = run(verb, *words)
        self.told = done.out + done.err
        return done

    def was_told(self, *pieces: str) -> None:
        for piece in pieces:
            assert piece in self.told


def stand_at_the_bench(folder: Path, patch: pytest.MonkeyPatch) -> None:
    """Make a folder that holds the photos of the day and nothing else, and stand in it."""
    folder.mkdir()
    shutil.copy(SAMPLES / "bearing-1.jpg", folder / "hole.jpg")
    shutil.copy(SAMPLES / "bearing-3.jpg", folder / "tunnel.jpg")
    patch.chdir(folder)
    patch.setenv("BENCHPROOF_BY", "Ann")


def begun(newcomer: Newcomer) -> None:
    newcomer.types("plan")
    newcomer.was_told("cam-tunnel", "benchproof plan NAME", "benchproof start NAME")
    newcomer.types("plan", "cam-tunnel")
    newcomer.was_told("--each cam=", "CE  ", "RC  ", "hold point camshaft")
    done = newcomer.types(
        "start", "cam-tunnel", "job-7", "--number", "7", "--engine", "Two-cylinder pump",
        "--customer", "Ada Quill", "--shop", "Back Lane Bench", "--each", "cam=1",
        "--without", "CE", "--without", "RC",
    )  # fmt: skip
    assert done.code == 0
    newcomer.was_told(
        "to be looked up: C1.clearance",
        "benchproof limit job-7 LOCATION.CHECK",
        "benchproof round job-7",
        "benchproof check job-7 LOCATION.CHECK",
        "benchproof sheet job-7 -o sheet.pdf",
    )


def limits_given(newcomer: Newcomer) -> None:
    for key, option, figure in LIMITS:
        done = newcomer.types("limit", "job-7", key, option, figure, "--source", "manual, page 12")
        assert done.code == 0, done.err
    newcomer.types("limit", "job-7")
    newcomer.was_told("no limit is still to be given")


def readings_filed(newcomer: Newcomer) -> int:
    filed = 0
    for key, texts in ROUND:
        shown = newcomer.types("check", "job-7", key)
        assert shown.code == 0
        for text in texts:
            done = newcomer.types("reading", "job-7", key, text)
            assert done.code == 0, done.err
            filed += 1
    return filed


def hole_measured(newcomer: Newcomer) -> Done:
    for name, role in (("hole.jpg", "close-up"), ("tunnel.jpg", "which hole")):
        filed = newcomer.types("photo", "job-7", name, "--at", "C1", "--role", role)
        assert filed.code == 0
    return newcomer.types(
        "coverage", "hole.jpg", "--book", "job-7", "--check", "C1.oil-hole", "--click", "826,858",
        "--near-diameter", "7.05 mm", "--wall", "1.4 mm", "--bore-diameter", "52.0 mm",
    )  # fmt: skip


@pytest.fixture(scope="module")
def walked(tmp_path_factory: pytest.TempPathFactory) -> Iterator[dict[str, Done]]:
    """The whole walk, once: what each step of it answered."""
    with pytest.MonkeyPatch.context() as patch:
        stand_at_the_bench(tmp_path_factory.mktemp("walk") / "bench", patch)
        newcomer, told = Newcomer(), {}
        begun(newcomer)
        told["sheet"] = newcomer.types("sheet", "job-7", "-o", "sheet.pdf")
        limits_given(newcomer)
        told["too early"] = newcomer.types("close", "job-7", "camshaft")
        assert readings_filed(newcomer) == 10
        told["hole"] = hole_measured(newcomer)
        # A slip that a newcomer may make: the pin of another hole.
        wrong = ("reading", "job-7", "C1.pin", "4.6 mm passed, 4.7 mm stopped")
        told["wrong pin"] = newcomer.types(*wrong)
        told["refused"] = newcomer.types("close", "job-7", "camshaft")
        right = ("reading", "job-7", "C1.pin", "5.5 mm passed, 5.6 mm stopped")
        told["right pin"] = newcomer.types(*right)
        told["close"] = newcomer.types("close", "job-7", "camshaft")
        told["report"] = newcomer.types("report", "job-7")
        told["verify"] = newcomer.types("verify", "job-7")
        yield told


def test_a_newcomer_gets_from_an_empty_folder_to_a_report(walked: dict[str, Done]) -> None:
    for step in ("sheet", "hole", "right pin", "close", "report", "verify"):
        assert walked[step].code == 0, walked[step].err
    assert "camshaft is closed (Camshaft goes in)" in walked["close"].out
    assert Path("sheet.pdf").read_bytes().startswith(b"%PDF-")
    report = " ".join(page.extract_text() for page in PdfReader("job-7-report.pdf").pages)
    assert "Two-cylinder pump" in report
    assert "manual, page 12" in report


def test_the_camshaft_stays_out_while_anything_is_unproven(walked: dict[str, Done]) -> None:
    assert walked["too early"].code == 6
    for unproven in ("C1.bore: not measured", "no photo: close-up", "no photo: which hole"):
        assert unproven in walked["too early"].err


def test_a_pin_that_does_not_agree_with_the_photo_keeps_the_camshaft_out(
    walked: dict[str, Done],
) -> None:
    assert "C1.routes-agree: outside" in walked["wrong pin"].out
    assert walked["refused"].code == 6
    assert "C1.routes-agree: outside" in walked["refused"].err
    assert "C1.routes-agree: within" in walked["right pin"].out


def test_the_photo_gives_the_newcomer_the_pictures_own_answer(walked: dict[str, Done]) -> None:
    hole = re.search(r"covered +[\d.]+ % \(95 %: ([\d.]+) to ([\d.]+) %\)", walked["hole"].out)
    assert hole
    answers = tomllib.loads((SAMPLES / "answers.toml").read_text(encoding="utf-8"))
    pictures = [one for each in answers.values() if isinstance(each, list) for one in each]
    covered = next(one["covered"] for one in pictures if one.get("file") == "bearing-1.jpg")
    assert float(hole[1]) <= 100 * covered <= float(hole[2])


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("start", "cam-tunnel", "job-8"), "--number, --engine, --customer, --shop"),
        (("reading", "job-7", "C1.pin", "5.5"), "type it as"),
        (("reading", "job-7", "C1.oil-hole", "20 %"), "benchproof coverage"),
        (("reading", "job-7", "C1.bor", "45 mm"), "there are C1.oil-hole"),
        (("limit", "job-7", "C1.pin", "--at-least", "4", "--source", "x"), 'as "4 mm"'),
        (("limit", "job-7", "C1.pin", "--at-least", "4 mm"), "--source"),
        (("plan", "job-8"), "no plan of the library"),
        (("round", "job-8"), "job-8"),
    ],
)
def test_where_a_newcomer_hesitates_one_sentence_says_what_to_type(
    walked: dict[str, Done], words: tuple[str, ...], told: str
) -> None:
    done = run(*words)
    assert done.code in {2, 3}
    assert told in done.err
    assert done.err.count("\n") == 1
