"""Answers kept for the next time: given only while nothing they follow from has changed."""

import os
import sqlite3
from pathlib import Path

import pytest

from store.book import Book
from store.ledger import FILE_NAME
from store.round import Round
from tests.capture.command import run
from tests.store.small_job import WHO, file_photo, new_book, reading


@pytest.fixture
def book(tmp_path: Path) -> Path:
    root = tmp_path / "book"
    with new_book(root) as new:
        file_photo(new, "P3")
        new.append(reading("P3.bore", 20.0), **WHO)
    return root


@pytest.fixture
def worked_out(monkeypatch: pytest.MonkeyPatch) -> list[Path]:
    """Give the books whose round was worked out, each time it was."""
    rounds: list[Path] = []
    really = Book.round

    def told(book: Book, *, every_reading: bool = True) -> Round:
        rounds.append(book.root)
        return really(book, every_reading=every_reading)

    monkeypatch.setattr(Book, "round", told)
    return rounds


def kept() -> list[Path]:
    folder = Path(os.environ["XDG_CACHE_HOME"], "benchproof")
    return sorted(folder.iterdir()) if folder.exists() else []


def test_the_same_question_to_the_same_book_is_worked_out_once(
    book: Path, worked_out: list[Path]
) -> None:
    before = sorted(book.rglob("*"))
    first = run("round", book)
    assert (first.code, first.err, len(worked_out)) == (0, "", 1)
    assert "P3" in first.out
    assert run("round", book) == first
    assert len(worked_out) == 1
    assert sorted(book.rglob("*")) == before  # nothing is kept in the book
    assert [path.stat().st_mode & 0o077 for path in kept()] == [0, 0]  # the holds lie beside it


def test_another_question_is_worked_out(book: Path, worked_out: list[Path]) -> None:
    answers = {run("round", book, *more).out for more in ([], ["--open"], ["--at", "OH2"])}
    assert (len(answers), len(worked_out)) == (3, 3)


def test_what_was_filed_since_is_in_the_answer(book: Path) -> None:
    before = run("round", book).out
    with Book.open(book) as opened:
        opened.append(reading("P3.bore", 21.5), **WHO)
    after = run("round", book).out
    assert "21.5" in after
    assert "21.5" not in before


def test_a_byte_changed_is_warned_of_every_time(book: Path) -> None:
    run("round", book)
    with sqlite3.connect(book / FILE_NAME) as database:
        database.execute("DROP TRIGGER entries_stay")
        database.execute(
            "UPDATE entries SET line = CAST(replace(line, 'Tamm', 'Tamn') AS BLOB) WHERE seq = 2"
        )
    database.close()
    for _ in range(2):
        assert "chain is broken" in run("round", book).err


def test_a_photo_gone_is_warned_of_every_time(book: Path) -> None:
    assert run("round", book).err == ""
    next((book / "photos").rglob("*.jpg")).unlink()
    before = kept()
    for _ in range(2):
        assert "missing" in run("round", book).err
    assert kept() == before


def test_nothing_is_kept_while_somebody_writes(book: Path, worked_out: list[Path]) -> None:
    (book / f"{FILE_NAME}-journal").write_bytes(b"")
    for _ in range(2):
        assert run("round", book).code == 0
    assert (len(worked_out), kept()) == (2, [])


def test_a_kept_answer_that_was_altered_is_not_given(book: Path, worked_out: list[Path]) -> None:
    right = run("round", book)
    for path in kept():
        path.write_bytes(path.read_bytes().replace(b"P3", b"P4"))
    assert run("round", book) == right
    assert len(worked_out) == 2


def test_an_answer_of_another_program_is_not_given(
    book: Path, worked_out: list[Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    run("round", book)
    monkeypatch.setattr("sys.version", "another Python")
    run("round", book)
    assert len(worked_out) == 2


def test_where_nothing_can_be_kept_the_round_is_worked_out(
    book: Path, worked_out: list[Path], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "file").write_text("")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "file"))
    assert [run("round", book).code for _ in range(2)] == [0, 0]
    assert len(worked_out) == 2


def test_old_answers_make_room(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("capture.commands.kept_answers._MOST", 2)
    for more in ([], ["--open"], ["--at", "OH2"], ["--at", "P3"]):
        run("round", book, *more)
    assert len(kept()) == 2


def test_a_refusal_is_not_kept(book: Path, tmp_path: Path) -> None:
    assert run("round", book, "--at", "nowhere").code == 2
    assert run("round", tmp_path / "no book").code == 3
    assert kept() == []


def test_a_user_without_a_home_has_the_round_worked_out(
    book: Path, worked_out: list[Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    def homeless(_: Path) -> Path:
        raise RuntimeError

    for name in ("XDG_CACHE_HOME", "LOCALAPPDATA"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setattr(Path, "expanduser", homeless)
    assert [run(*asked).code for asked in (("round", book), ("close", book, "lid"))] == [0, 6]
    assert len(worked_out) == 1
