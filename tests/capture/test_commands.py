"""The command line: help, exit codes, and the verbs of a book one after the other."""

import json
import re
import subprocess
import sys
from pathlib import Path

import msgspec
import pytest

from capture.commands.verbs import EXIT_CODES, VERBS
from store.book import Book
from store.evidence import JobStarted
from tests.capture.command import FILES, SAMPLES, run
from tests.capture.small_plan import PLAN
from tests.store.forgery import redo

ROOT = Path(__file__).parents[2]


@pytest.fixture
def book(tmp_path: Path) -> Path:
    plan = tmp_path / "plan.toml"
    plan.write_text(PLAN, encoding="utf-8")
    root = tmp_path / "book"
    assert run("start", plan, root, "--by", "Ann", "--bench", "bench-1").code == 0
    return root


@pytest.mark.parametrize("verb", VERBS)
def test_every_verb_explains_itself_with_examples(verb: str) -> None:
    helped = run(verb, "--help")
    assert helped.code == 0
    assert f"usage: benchproof {verb}" in helped.out
    assert f"examples:\n  benchproof {verb}" in helped.out


def test_the_top_help_lists_every_verb_and_every_exit_code() -> None:
    helped = run("--help")
    assert helped.code == 0
    assert all(f"\n    {verb} " in helped.out for verb in VERBS)
    assert EXIT_CODES in helped.out
    assert "130 stopped by hand" in helped.out


def test_the_demo_takes_no_name_for_its_people_are_invented() -> None:
    assert run("demo", "--by", "Ann").code == 2


def test_the_version_is_told() -> None:
    assert run("--version").out.startswith("benchproof ")


@pytest.mark.parametrize(
    "arguments", [[], ["coverge"], ["round"], ["coverage", "x.jpg", "--click", "12"], ["--nothing"]]
)
def test_used_wrongly_is_2_and_says_nothing_on_stdout(arguments: list[str]) -> None:
    done = run(*arguments)
    assert (done.code, done.out) == (2, "")
    assert "benchproof" in done.err


HEAVY = ("cv2", "PySide6", "pint", "typst", "PIL", "numpy", "sqlite_utils", "rich", "json", "store")


@pytest.mark.parametrize("arguments", [["--help"], *[[verb, "--help"] for verb in VERBS]])
def test_help_loads_nothing_heavy(arguments: list[str]) -> None:
    code = (
        "import sys, contextlib, io\n"
        "from capture.__main__ import main\n"
        f"with contextlib.redirect_stdout(io.StringIO()): main({arguments!r})\n"
        f"print(*[m for m in {HEAVY!r} if m in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert done.stdout.split() == []


def test_filing_a_reading_loads_no_picture_code(book: Path) -> None:
    code = (
        "import sys\nfrom capture.__main__ import main\n"
        f"assert main(['reading', {str(book)!r}, 'P1.depth', '3.0 mm BELOW', '--by', 'Ann']) == 0\n"
        "print(*[m for m in ('cv2', 'PySide6', 'PIL', 'typst') if m in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert done.stdout.splitlines()[-1] == ""


@pytest.mark.parametrize("library", ["OPENBLAS_NUM_THREADS", "OPENCV_FOR_THREADS_NUM"])
@pytest.mark.parametrize("told", [None, "3"])
def test_libraries_work_in_one_thread_unless_told_otherwise(library: str, told: str | None) -> None:
    code = (
        "import os, runpy, sys\nsys.argv = ['benchproof', '--version']\n"
        "try: runpy.run_module('capture', run_name='__main__')\n"
        f"except SystemExit: print(os.environ['{library}'], *{{'numpy', 'cv2'}} & {{*sys.modules}})"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
        env={library: told} if told else {},
    )
    assert done.stdout.splitlines()[-1] == (told or "1")


def test_the_number_of_threads_is_read_as_opencv_is_loaded() -> None:
    code = "import cv2\nprint(cv2.getNumThreads())"
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        env={"OPENCV_FOR_THREADS_NUM": "1"},
    )
    assert done.stdout.strip() == "1"


def test_an_unexpected_failure_is_one_sentence_and_keeps_its_details(
    book: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_: object, **__: object) -> None:
        raise ZeroDivisionError("planted")

    monkeypatch.setattr(Book, "round", fail)
    done = run("round", book)
    assert done.code == 70
    assert done.err.count("\n") == 1
    details = Path(done.err.split(" are in ")[1].strip())
    assert "ZeroDivisionError: planted" in details.read_text(encoding="utf-8")
    details.unlink()


def test_stopping_by_hand_is_no_bug(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def stop(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(Book, "round", stop)
    done = run("round", book)
    assert done.code == 130
    assert "stopped" in done.err


def test_stopping_while_a_library_loads_is_no_bug(
    book: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stop(*_: object, **__: object) -> None:
        raise ImportError("numpy could not be loaded") from KeyboardInterrupt()

    monkeypatch.setattr(Book, "round", stop)
    done = run("round", book)
    assert done.code == 130
    assert "stopped" in done.err


def test_a_reading_is_judged_and_its_exit_code_is_the_verdict(book: Path) -> None:
    within = run("reading", book, "P1.depth", "3.0 mm BELOW")
    assert (within.code, within.out) == (0, "P1.depth: within, 3.0 mm BELOW\n")
    outside = run("reading", book, "P1.depth", "5.0 mm BELOW")
    assert outside.code == 5
    # Half of the last step of 4.0 is 0.05: the limit of 4 mm cuts the rectangle in half.
    close = run("reading", book, "P1.depth", "4.0 mm BELOW", "--json")
    assert close.code == 4
    answer = close.answer()
    assert answer["state"] == "too close to call"
    assert answer["probability_within"] == pytest.approx(0.5, abs=0.01)
    assert answer["attempts"] == 3


def test_what_follows_from_a_reading_is_judged_with_it(book: Path) -> None:
    assert run("reading", book, "P1.bore", "31.412 mm").code == 0
    wrong = run("reading", book, "P1.plug", "32.213 mm")
    assert wrong.code == 5
    assert "from it  P1.press: outside, 0.80" in wrong.out
    assert "look for a wrong size in the kit" in wrong.err
    right = run("reading", book, "P1.plug", "31.480 mm", "--json")
    assert right.code == 0
    following = right.answer()["following"]
    assert [(c["key"], c["state"]) for c in following] == [("P1.press", "within")]
    assert right.err == ""


def test_an_assumed_unit_is_said(book: Path) -> None:
    done = run("reading", book, "P1.bore", "31.412")
    assert done.code == 0
    assert "unit assumed: '31.412' was taken as mm" in done.err
    assert "31.412 (mm assumed)" in done.out


@pytest.mark.parametrize(
    ("key", "text", "told"),
    [
        ("P1.bore", "31,412 mm", "may be thousands or a decimal"),
        ("P1.bore", "31.412 furlongs", "furlongs"),
        ("P1.bore", "about 31 mm", "does not start with a number"),
        ("P1.depth", "3.0 mm", "BELOW"),
        ("P1.clean", "ok", "type yes or no"),
        ("P1.press", "0.07 mm", "is worked out as P1.plug - P1.bore"),
        ("C1.covered", "22 %", "is measured on a photo"),
        ("P1.hole", "3 mm", "no check 'P1.hole' in this job; there are C1.covered"),
    ],
)
def test_a_refused_reading_keeps_nothing(book: Path, key: str, text: str, told: str) -> None:
    before = run("round", book, "--json").answer()["entries"]
    done = run("reading", book, key, text)
    assert done.code == 2
    assert told in done.err
    assert done.err.count("\n") == 1
    assert run("round", book, "--json").answer()["entries"] == before


def test_an_unknown_gauge_is_refused_with_those_there_are(book: Path) -> None:
    done = run("reading", book, "P1.bore", "31.412 mm", "--gauge", "mic-9")
    assert (done.code, "there are mic-1" in done.err) == (2, True)


def test_photos_are_filed_and_a_bad_one_keeps_no_other_out(book: Path) -> None:
    good, cut = SAMPLES / "bearing-1.jpg", FILES / "hostile" / "truncated_jpeg.jpg"
    done = run("photo", book, cut, good, "--at", "C1", "--role", "close-up")
    assert done.code == 3
    assert "truncated_jpeg.jpg is cut short" in done.err
    assert "kept bearing-1.jpg at C1 as close-up, 1200 x 1600 px" in done.out
    with Book.open(book, read_only=True) as opened:
        (photo,) = opened.round().place("C1").photos
        kept = opened.photo_path(photo.taken.photo)
        assert kept.read_bytes() == good.read_bytes()
        assert kept.suffix == ".jpg"


def test_a_photo_that_cannot_be_shown_is_kept_when_asked(book: Path) -> None:
    cut = FILES / "hostile" / "truncated_jpeg.jpg"
    done = run("photo", book, cut, "--at", "P1", "--role", "fitted", "--keep-anyway")
    assert done.code == 0
    assert "can't be shown: it is cut short" in done.out
    with Book.open(book, read_only=True) as opened:
        (photo,) = opened.round().place("P1").photos
        assert photo.taken.width_px is None
        assert opened.photo_path(photo.taken.photo).read_bytes() == cut.read_bytes()


@pytest.mark.parametrize(
    ("at", "role", "told"),
    [("C9", "fitted", "no location 'C9'"), ("C1", "pretty", "is not one of overall")],
)
def test_a_photo_needs_a_place_and_a_role_that_exist(
    book: Path, at: str, role: str, told: str
) -> None:
    done = run("photo", book, SAMPLES / "bearing-1.jpg", "--at", at, "--role", role)
    assert (done.code, told in done.err) == (2, True)


def test_a_struck_reading_stays_legible_and_no_longer_counts(book: Path) -> None:
    run("reading", book, "P1.depth", "5.0 mm BELOW")
    number = run("round", book, "--json").answer()["entries"]
    # The reading is the entry before its verdict.
    struck = run("strike", book, str(number - 1), "--reason", "wrong end of the rule")
    assert struck.code == 0
    walked = run("round", book)
    assert "not measured       depth" in walked.out
    assert "struck: entry 2, 5.0 mm BELOW (wrong end of the rule)" in walked.out
    assert run("strike", book, "99", "--reason", "no such thing").code == 2


def test_a_hold_point_refuses_then_closes_on_a_written_waiver(book: Path) -> None:
    refused = run("close", book, "cover", "--json")
    assert refused.code == 6
    unproven = [line["key"] for line in refused.answer()["unproven"]]
    assert unproven == ["P1.bore", "P1.plug", "P1.press", "P1.depth", "P1.clean"]
    for key, text in (
        ("P1.bore", "31.412 mm"),
        ("P1.plug", "31.480 mm"),
        ("P1.depth", "5.0 mm BELOW"),
        ("P1.clean", "yes"),
    ):
        run("reading", book, key, text)
    spoken = run("close", book, "cover", "--waive", "P1.depth", "--reason", "sits on its shoulder")
    assert spoken.code == 2
    assert "a waiver is in writing: it also needs --decided-by, --owner-agreed" in spoken.err
    done = run(
        "close", book, "cover", "--waive", "P1.depth", "--reason", "sits on its shoulder",
        "--decided-by", "Ann", "--owner-agreed", "by letter",
    )  # fmt: skip
    assert done.code == 0
    assert "cover is closed (Side cover)" in done.out
    assert "caution: Lift it with two hands." in done.out
    walked = run("round", book)
    assert walked.code == 0
    assert "outside            depth" in walked.out  # the verdict does not change
    assert "waived by Ann: sits on its shoulder; owner: by letter" in walked.out
    assert "hold point cover: closed, refused 1 x" in walked.out


def test_an_unknown_hold_point_is_told_with_those_there_are(book: Path) -> None:
    done = run("close", book, "sump")
    assert (done.code, "there are cover" in done.err) == (2, True)


def test_round_says_it_all_again_as_json(book: Path) -> None:
    run("reading", book, "P1.clean", "yes", "--by", "Bo")
    answer = run("round", book, "--json").answer()
    checks = {check["key"]: check for check in answer["checks"]}
    assert checks["P1.clean"]["state"] == "within"
    assert checks["P1.clean"]["answer"] is True
    assert checks["C1.covered"]["state"] == "not measured"
    assert answer["hold_points"][0]["state"] == "open"


def test_a_sound_book_verifies_and_an_altered_one_does_not(book: Path) -> None:
    run("photo", book, SAMPLES / "bearing-1.jpg", "--at", "C1", "--role", "close-up")
    run("reading", book, "P1.bore", "31.412 mm")
    assert run("verify", book).code == 0
    assert run("verify", book, "--json").answer()["sound"] is True
    (photo,) = (book / "photos").rglob("*.jpg")
    photo.chmod(0o644)
    content = bytearray(photo.read_bytes())
    content[5000] ^= 1
    photo.write_bytes(content)
    altered = run("verify", book)
    assert altered.code == 7
    assert "altered" in altered.out
    assert run("verify", book, "--json").answer()["sound"] is False


def test_what_another_version_has_made_is_not_called_sound_where_it_comes_out_otherwise(
    book: Path,
) -> None:
    redo(
        book,
        lambda entry: (
            msgspec.structs.replace(entry.evidence, version="0.0.9")
            if isinstance(entry.evidence, JobStarted)
            else entry.evidence
        ),
    )
    assert run("verify", book).out.splitlines()[-1].startswith("sound: ")
    (book / "FORMAT.txt").write_text("another text")
    done = run("verify", book)
    assert done.code == 9
    assert done.out.splitlines()[-1].startswith(
        "1 thing comes out otherwise than under the version that made this: not shown to be altered"
    )
    assert run("verify", book, "--json").answer()["sound"] is False


def test_a_report_lies_beside_its_book(book: Path) -> None:
    run("reading", book, "P1.depth", "5.0 mm BELOW")
    done = run("report", book)
    assert done.code == 0  # whatever the verdicts
    written = book.with_name("book-report.pdf")
    assert done.out == f"report {written}\n"
    assert written.read_bytes().startswith(b"%PDF-")


def test_a_report_of_a_book_named_from_where_one_stands_shows_its_photos(
    book: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(book.parent)
    assert run("report", book.name, "-o", "without.pdf").code == 0
    run("photo", book.name, SAMPLES / "bearing-1.jpg", "--at", "C1", "--role", "close-up")
    assert run("report", book.name, "-o", "with.pdf").code == 0
    pictures = [Path(n).read_bytes().count(b"/DCTDecode") for n in ("without.pdf", "with.pdf")]
    assert pictures == [0, 1]


def test_a_report_is_set_on_the_paper_that_is_asked_for(book: Path) -> None:
    # ISO 216: A4 is 210 x 297 mm; ANSI/ASME Y14.1: A is 8 1/2 x 11 in. A point is 1/72 in.
    from pypdf import PdfReader  # noqa: PLC0415 - only here

    for paper, points in (("a4", (595.28, 841.89)), ("letter", (612.0, 792.0))):
        target = book.with_name(f"{paper}.pdf")
        assert run("report", book, "--paper", paper, "-o", target).code == 0
        box = PdfReader(target).pages[0].mediabox
        assert (float(box.width), float(box.height)) == pytest.approx(points, abs=0.01)


def test_who_did_it_is_filed(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("BENCHPROOF_BY", "Cleo")
    run("reading", book, "P1.clean", "yes")
    run("reading", book, "P1.clean", "no", "--by", "Dan")
    with Book.open(book, read_only=True) as opened:
        assert [entry.by for entry in opened.entries()][1:] == ["Cleo", "Dan"]
        assert opened.bench == "bench-1"


def test_json_is_one_object_and_nothing_else(book: Path) -> None:
    for arguments in (["round", book], ["verify", book], ["close", book, "cover"]):
        assert isinstance(json.loads(run(*arguments, "--json").out), dict)


def test_a_replaced_no_is_told_as_outside(book: Path) -> None:
    run("reading", book, "P1.clean", "no")
    run("reading", book, "P1.clean", "yes")
    assert re.search(r"before: entry \d+, no, outside", run("round", book).out)
