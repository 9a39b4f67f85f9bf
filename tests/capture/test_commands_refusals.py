"""Bad input: one clear sentence, the right exit code, nothing lost, no traceback."""

import errno
import json
import os
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from store.book import Book
from tests.capture.command import FILES, run
from tests.capture.small_plan import PLAN
from tests.capture.test_intake import png_claiming

ROOT = Path(__file__).parents[2]


@pytest.fixture
def book(tmp_path: Path) -> Path:
    plan = tmp_path / "plan.toml"
    plan.write_text(PLAN, encoding="utf-8")
    assert run("start", plan, tmp_path / "book", "--bench", "bench-1").code == 0
    return tmp_path / "book"


def bad_photo(name: str, folder: Path) -> Path:
    """Return a bad photo of this kind."""
    path = folder / f"{name}.jpg"
    match name:
        case "truncated":
            shutil.copy(FILES / "hostile" / "truncated_jpeg.jpg", path)
        case "empty":
            path.touch()
        case "document":
            path.write_bytes(b"%PDF-1.4\n%%EOF\n")
        case "zero-heic":
            path = path.with_suffix(".heic")
            path.touch()
        case "cut-heic":
            path = path.with_suffix(".heic")
            path.write_bytes((FILES / "heic" / "arrow.heic").read_bytes()[:400_000])
        case "bomb":
            path.write_bytes(png_claiming(60_000, 60_000))
        case "words":
            path.write_text("this is not a picture", encoding="utf-8")
    return path


BAD_PHOTOS = {
    "truncated": "is cut short",
    "empty": "is empty",
    "document": "is a PDF document",
    "zero-heic": "is empty",
    "cut-heic": "is cut short",
    "bomb": "claims 3600 megapixels, and at most 220 are read",
    "words": "is a file of unknown kind",
    "missing": "there is no file",
}


@pytest.mark.parametrize(("name", "told"), BAD_PHOTOS.items())
def test_a_bad_photo_is_3_for_every_verb_that_takes_one(
    book: Path, tmp_path: Path, name: str, told: str
) -> None:
    photo = bad_photo(name, tmp_path)
    before = len(entries(book))
    for arguments in (
        ["photo", book, photo, "--at", "C1", "--role", "close-up"],
        ["coverage", photo, "--click", "5,5"],
        ["coverage", photo, "--click", "5,5", "--book", book, "--check", "C1.covered"],
        ["measure", photo, "--marker", "10 mm", "--click", "5,5"],
    ):
        done = run(*arguments)
        assert (done.code, done.out) == (3, "")
        assert told in done.err
        assert done.err.startswith("benchproof: ")
        assert done.err.count("\n") == 1
    assert len(entries(book)) == before
    assert list((book / "photos").rglob("*.*")) == []


def entries(book: Path) -> tuple[Any, ...]:
    with Book.open(book, read_only=True) as opened:
        return opened.entries()


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        (', source = "builder\'s own" }', " }", "lacks 'source'"),
        ('"7.05 mm +- 0.05 mm"', '"7.05 furlongs"', "near_diameter: '7.05 furlongs'"),
        ('customer = "Ada Quill"\n', "", "job: lacks 'customer'"),
        ("format = 1", "format = 1\nformat = 2", "is not TOML"),
    ],
)
def test_a_bad_plan_is_3_and_begins_no_book(tmp_path: Path, old: str, new: str, told: str) -> None:
    plan = tmp_path / "plan.toml"
    plan.write_text(PLAN.replace(old, new, 1), encoding="utf-8")
    done = run("start", plan, tmp_path / "book")
    assert (done.code, done.out) == (3, "")
    assert told in done.err
    assert done.err.count("\n") == 1
    assert not (tmp_path / "book").exists()


def test_a_second_book_does_not_overwrite_the_first(book: Path, tmp_path: Path) -> None:
    before = entries(book)
    done = run("start", tmp_path / "plan.toml", book)
    assert done.code == 2
    assert done.err.count("\n") == 1
    assert entries(book) == before


@pytest.mark.parametrize("verb", ["round", "report", "verify"])
def test_a_folder_without_a_book_is_told_so(tmp_path: Path, verb: str) -> None:
    done = run(verb, tmp_path)
    assert (done.code, done.out) == (3, "")
    assert str(tmp_path) in done.err
    assert done.err.count("\n") == 1


def test_a_busy_book_is_8_and_keeps_nothing(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    patient = Book.open

    def impatient(root: Path, **given: Any) -> Book:
        return patient(root, **given, busy_seconds=0.05)

    before = len(entries(book))
    with patient(book) as other, other.act(at="2026-11-24T10:00:00+00:00", by="Bo"):
        monkeypatch.setattr(Book, "open", impatient)
        done = run("reading", book, "P1.clean", "yes")
    assert done.code == 8
    assert done.err.count("\n") == 1
    assert len(entries(book)) == before


def test_two_writers_at_once_both_keep_what_they_were_given(book: Path) -> None:
    commands = [
        [sys.executable, "-m", "capture", "reading", str(book), "P1.clean", answer, "--by", by]
        for answer, by in (("yes", "Ann"), ("no", "Bo"), ("yes", "Cleo"))
    ]
    running = [
        subprocess.Popen(c, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
        for c in commands
    ]
    told = [process.communicate() for process in running]
    assert sorted(process.returncode for process in running) == [0, 0, 5]
    assert [err for _, err in told] == ["", "", ""]
    assert sorted(entry.by for entry in entries(book)[-3:]) == ["Ann", "Bo", "Cleo"]
    assert run("verify", book).code == 0


def test_a_folder_that_cannot_be_written_is_8(tmp_path: Path, book: Path) -> None:
    """A file where the folder should be: also root may not write below it."""
    blocked = tmp_path / "file"
    blocked.write_text("in the way", encoding="utf-8")
    done = run("start", tmp_path / "plan.toml", blocked / "book")
    assert done.code == 8
    assert done.err.count("\n") == 1
    demo = run("demo", blocked / "demo")
    assert demo.code == 8
    report = run("report", book, "-o", blocked / "report.pdf")
    assert report.code == 8
    assert blocked.read_text(encoding="utf-8") == "in the way"


def test_a_report_overwrites_no_evidence_and_no_other_file(book: Path, tmp_path: Path) -> None:
    other = tmp_path / "letter.txt"
    other.write_text("dear owner", encoding="utf-8")
    evidence = {path: path.read_bytes() for path in book.rglob("*") if path.is_file()}
    for target, told in (
        (book / "ledger.db", "is inside the book"),
        (book / "report.pdf", "is inside the book"),
        (book / "photos" / "new" / "report.pdf", "is inside the book"),
        (book, "is inside the book"),
        (other, "is not a PDF"),
        (tmp_path, "is a folder"),
        (tmp_path / "nowhere" / "report.pdf", "there is no folder"),
    ):
        done = run("report", book, "-o", target)
        assert (done.code, done.out, done.err.count("\n")) == (2, "", 1)
        assert told in done.err
    assert other.read_text(encoding="utf-8") == "dear owner"
    assert not (tmp_path / "nowhere").exists()
    assert {path: path.read_bytes() for path in book.rglob("*") if path.is_file()} == evidence


def test_a_report_is_replaced_by_a_newer_one(book: Path, tmp_path: Path) -> None:
    old = tmp_path / "old.pdf"
    old.write_bytes(b"%PDF-1.4\n%%EOF\n")
    assert run("report", book, "-o", old).code == 0
    assert len(old.read_bytes()) > 1000


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["coverage", "x.jpg", "--click", "5,5", "--limit", ""], "--limit was given nothing"),
        (["coverage", "x.jpg", "--click", "5,5", "--limit="], "--limit was given nothing"),
        (["coverage", "x.jpg", "--click", "5,5", "--near-points", " "], "--near-points was given"),
        (["coverage", "x.jpg", "--click", "5,5", "--far-points", ""], "--far-points was given"),
        (["reading", "BOOK", "P1.clean", "yes", "--gauge", ""], "--gauge was given nothing"),
        (["reading", "BOOK", "P1.clean", "yes", "--by", ""], "--by was given nothing"),
        (["reading", "BOOK", "P1.clean", "yes", "--read-at", ""], "--read-at was given nothing"),
        (["reading", "BOOK", "P1.clean", ""], "an empty text was given after 'P1.clean'"),
        (["round", ""], "an empty text was given after 'round'"),
        (["demo", ""], "an empty text was given after 'demo'"),
        (["report", "BOOK", "-o", ""], "-o was given nothing"),
    ],
)
def test_an_empty_text_is_refused_and_not_dropped(
    book: Path, arguments: list[str], told: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(book.parent)
    before = entries(book), sorted(book.parent.iterdir())
    done = run(*[str(book) if word == "BOOK" else word for word in arguments])
    assert (done.code, done.out, done.err.count("\n")) == (2, "", 1)
    assert told in done.err
    assert (entries(book), sorted(book.parent.iterdir())) == before


def test_a_reader_that_leaves_early_is_no_failure(book: Path) -> None:
    done = subprocess.run(
        ["sh", "-c", f'"{sys.executable}" -m capture round "{book}" --json | true'],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stderr == ""


def test_an_answer_that_can_not_be_written_is_8_and_what_was_kept_is_kept(book: Path) -> None:
    """Into a device that is always full (full(4)); Python itself must not speak up in the end."""
    words = ["reading", str(book), "P1.bore", "30.000 mm", "--by", "Ann"]
    environment = {k: v for k, v in os.environ.items() if k != "PYTHONUNBUFFERED"}
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "capture", *words],
            cwd=ROOT, stdout=full, stderr=subprocess.PIPE, text=True, env=environment, check=False,
        )  # fmt: skip
    assert done.returncode == 8
    (said,) = done.stderr.splitlines()
    assert said.startswith("benchproof: the answer could not be written (no space left on device)")
    assert [entry.kind for entry in entries(book)] == ["job started", "reading"]


@pytest.mark.parametrize(
    "error",
    [
        ImportError("libx.so: cannot open shared object file: Too many open files"),
        OSError(errno.EMFILE, "Too many open files", "late.py"),
    ],
)
def test_a_part_of_the_program_that_can_not_be_loaded_now_is_told_so(
    book: Path, monkeypatch: pytest.MonkeyPatch, error: Exception
) -> None:
    def fail(*_: object, **__: object) -> None:
        raise error

    monkeypatch.setattr("capture.commands.books.Book.open", fail)
    done = run("round", book)
    assert done.code in {3, 8}
    assert "too many open files" in done.err.lower()
    assert "try again" in done.err


def test_what_could_not_be_read_now_is_3_and_neither_sound_nor_altered(
    book: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert run("verify", book).code == 0

    def fail(*_: object, **__: object) -> None:
        raise OSError(errno.EIO, "Input/output error")

    monkeypatch.setattr("store.verify.check_files", fail)
    done = run("verify", book)
    assert done.code == 3
    first, last = done.out.splitlines()
    assert first.startswith("unread: ")
    assert "could not be read now: input/output error" in first
    assert last.startswith("1 thing could not be read now")
    assert "altered" not in done.out
    told = run("verify", book, "--json").answer()
    assert (told["sound"], [f["severity"] for f in told["findings"]]) == (False, ["unread"])


def test_an_old_terminal_still_gets_its_answer(book: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "capture", "round", str(book), "--json"],
        cwd=ROOT,
        capture_output=True,
        check=True,
        env={"PYTHONIOENCODING": "ascii", "PATH": "", "PYTHONUTF8": "0"},
    )
    assert json.loads(done.stdout)["job"] == "T-7"
