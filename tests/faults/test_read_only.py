"""A book on read-only media: all that reads works, all that writes says so and changes nothing."""

import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from store.book import Book
from store.ledger import FILE_NAME
from tests.capture.command import SAMPLES, run
from tests.faults.read_only import run_read_only, ways
from tests.store.two_benches import tree

PLAN = Path(__file__).parents[2] / "capture/plans/demo.toml"
AT = {"at": "2026-03-02T09:00:00+01:00", "by": "A. Fitter"}


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A book with a photo and readings, made by the command itself, so that it verifies."""
    book = tmp_path_factory.mktemp("media") / "book"
    assert run("start", PLAN, book).code == 0
    photo = SAMPLES / "bearing-1.jpg"
    assert run("photo", book, photo, "--at", "B1", "--role", "overall").code == 0
    assert run("reading", book, "T1.end-float", "0.20 mm").code in {0, 4, 5}
    return book


@pytest.fixture
def book(made: Path, tmp_path: Path) -> Path:
    (tmp_path / "media").mkdir()
    return Path(shutil.copytree(made, tmp_path / "media" / "book"))


def reading(book: Path, out: Path) -> list[list[str]]:
    """Return commands that write nothing into the book."""
    return [
        ["round", str(book)],
        ["check", str(book), "T1.end-float"],
        ["verify", str(book)],
        ["budget", str(book), "T1.end-float"],
        ["export", str(book), str(out / "r.csv")],
        ["index", str(book), "-o", str(out / "i.db")],
        ["shop", str(book.parent), "--check", "end-float"],
        ["copy", str(book), str(out / "copy")],
    ]


def writing(book: Path) -> list[list[str]]:
    """Return commands that would."""
    return [
        ["reading", str(book), "T1.end-float", "0.21 mm"],
        ["photo", str(book), str(SAMPLES / "bearing-1.jpg"), "--at", "B1", "--role", "fitted"],
        ["strike", str(book), "2", "--reason", "wrong place"],
        ["index", str(book)],
        ["pack", str(book), str(book.parent.parent / "pack.zip")],
    ]


@pytest.mark.parametrize("way", ways())
def test_all_that_reads_works_on_read_only_media(book: Path, tmp_path: Path, way: str) -> None:
    before, out = tree(book), tmp_path / "out"
    out.mkdir()
    commands = reading(book, out)
    for words, (code, said, err) in zip(
        commands, run_read_only(book.parent, commands, way), strict=True
    ):
        assert code == 0, f"{words}: {said}{err}"
    assert tree(book) == before
    with Book.open(book, read_only=True) as one, Book.open(out / "copy") as copy:
        assert copy.entries() == one.entries()
        copy.append(one.entries()[-1].evidence, **AT)  # what lies on a good disk goes on


@pytest.mark.parametrize("way", ways())
def test_all_that_writes_says_that_it_can_not_and_changes_nothing(book: Path, way: str) -> None:
    before = tree(book)
    commands = writing(book)
    for words, (code, said, err) in zip(
        commands, run_read_only(book.parent, commands, way), strict=True
    ):
        assert code == 8, f"{words}: {said}{err}"
        assert "read-only" in err or "permissions" in err
        assert said == ""
    assert tree(book) == before
    assert not (book.parent.parent / "pack.zip").exists()


def cut_off(book: Path, copy: Path) -> Path:
    """Return a copy of a book as it lies on the disk while a program is cut off in its write.

    SQLite has written pages over already, and their old content stands in its journal.
    """
    with closing(sqlite3.connect(book / FILE_NAME, isolation_level=None)) as database:
        database.execute("PRAGMA cache_size=2")
        database.execute("BEGIN IMMEDIATE")
        database.executemany(
            "INSERT INTO entries (bench, seq, hash, line) VALUES ('north', ?, ?, ?)",
            [(1000 + n, f"{n:064}", b"half written" * 300) for n in range(60)],
        )
        shutil.copytree(book, copy)
    assert (copy / f"{FILE_NAME}-journal").stat().st_size > 4096
    assert b"half written" in (copy / FILE_NAME).read_bytes()
    return copy


def test_a_write_that_was_cut_off_is_taken_back_by_the_first_look(
    book: Path, tmp_path: Path
) -> None:
    with Book.open(book, read_only=True) as whole:
        before = whole.entries()
    copy = cut_off(book, tmp_path / "cut off")
    assert run("round", copy).code == 0
    with Book.open(copy, read_only=True) as again:
        assert again.entries() == before
    assert not (copy / f"{FILE_NAME}-journal").exists()


@pytest.mark.parametrize("way", ways())
def test_on_read_only_media_that_can_not_be_taken_back_and_is_said(
    book: Path, tmp_path: Path, way: str
) -> None:
    folder = tmp_path / "medium"
    folder.mkdir()
    copy = cut_off(book, folder / "book")
    before = tree(copy)
    for verb in ("round", "verify"):  # verify does not call it altered: nothing is known of it
        ((code, said, err),) = run_read_only(folder, [[verb, str(copy)]], way)
        assert (code, said) == (8, "")
        assert "copy its folder, as it is" in err
    assert tree(copy) == before


def test_the_ways_are_really_read_only(tmp_path: Path) -> None:
    """Else the tests above would show nothing."""
    for way in ways():
        folder = tmp_path / way
        folder.mkdir()
        (folder / "there").write_bytes(b"as it was")
        plan = ["plan", "demo", "--write", str(folder / "mine.toml")]
        ((code, _, err),) = run_read_only(folder, [plan], way)
        assert code != 0, err
        assert [path.name for path in folder.iterdir()] == ["there"]
