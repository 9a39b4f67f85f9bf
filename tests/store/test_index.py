"""index.db: look-up tables for any SQLite tool, made anew whatever lies in their place."""

import csv
import io
import os
import sqlite3
import subprocess
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from store.book import Book
from store.errors import CannotWrite, NetworkFolder
from store.index import FILE_NAME, tables_text, write_index
from store.ways_out.readings_csv import readings_csv
from store.ways_out.tables import BOOK_TABLES
from tests.store.pack.packed import small_book


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with small_book(tmp_path / "book") as the_book:
        yield the_book


def made(book: Book) -> Path:
    path = book.root / FILE_NAME
    return write_index(path, book.entries(), book.round(), within=book.root).path


def asked(path: Path, question: str) -> list[tuple[object, ...]]:
    with closing(sqlite3.connect(path)) as database:
        return database.execute(question).fetchall()


def dump(path: Path) -> list[str]:
    with closing(sqlite3.connect(path)) as database:
        return list(database.iterdump())


def test_entries_are_found_by_what_they_are(book: Book) -> None:
    path, hashes = made(book), [entry.hash for entry in book.entries()]
    assert [row[0] for row in asked(path, "SELECT hash FROM entries ORDER BY rowid")] == hashes
    wanted = "SELECT hash FROM entries WHERE kind = 'reading' AND key = 'P3.bore'"
    bore = next(e.hash for e in book.entries() if getattr(e.evidence, "key", "") == "P3.bore")
    assert asked(path, wanted) == [(bore,)]
    photos = asked(path, "SELECT photo FROM photos WHERE location = 'OH2'")
    assert photos == [(book.round().place("OH2").photos[0].taken.photo,)]


def test_where_a_check_stands_is_found_though_nothing_was_measured(book: Book) -> None:
    known = book.round()
    there = dict(asked(made(book), "SELECT key, state FROM checks"))
    assert there == {check.key: check.state for check in known.checks}
    assert there["OH2.other"] == "not measured"


def test_the_readings_are_those_of_the_packs_table(book: Book) -> None:
    path = made(book)
    table = list(csv.DictReader(io.StringIO(readings_csv(book.round()), newline="")))
    found = asked(path, "SELECT entry, text, value, counts FROM readings ORDER BY rowid")
    assert [row[0] for row in found] == [row["entry"] for row in table]
    assert [row[2] for row in found] == [float(r["value"]) if r["value"] else None for r in table]
    assert [row[3] for row in found] == [int(row["counts"] == "yes") for row in table]


def test_any_sqlite_tool_shows_the_tables_and_what_each_column_is(book: Book) -> None:
    """The outside check: the sqlite3 program, which reads the file and knows nothing of us."""
    path = made(book)
    schema, sound, struck = (
        subprocess.run(
            ["sqlite3", "-readonly", str(path), question],
            capture_output=True, text=True, check=True,
        ).stdout
        for question in (
            ".schema",
            "PRAGMA integrity_check",
            "SELECT text, struck FROM readings WHERE NOT counts AND struck != ''",
        )
    )  # fmt: skip
    assert sound == "ok\n"
    assert struck == "20.3 mm|misread (R. Tamm)\n"
    for table in BOOK_TABLES:
        assert f'"{table.name}" ( -- one row: {table.row}\n' in schema
        for column in table.columns:
            assert column.says in schema


def test_what_is_told_of_the_tables_names_every_column_that_is_there(book: Book) -> None:
    path, told = made(book), tables_text()
    for (name,) in asked(path, "SELECT name FROM sqlite_master"):
        assert f"{name}: one row is " in told
        for row in asked(path, f"PRAGMA table_info({name})"):
            assert f"\n  {row[1]:<13}" in told


@pytest.mark.parametrize("damage", ["deleted", "not a database", "torn", "of another version"])
def test_a_lost_damaged_or_older_index_is_made_again(book: Book, damage: str) -> None:
    path = made(book)
    before, content = dump(path), path.read_bytes()
    path.unlink()
    if damage == "not a database":
        path.write_bytes(b"nothing of the kind" * 300)
    if damage == "torn":
        path.write_bytes(content[:4096] + b"\xaa" * (len(content) - 4096))
    if damage == "of another version":
        with closing(sqlite3.connect(path)) as other:
            other.execute("CREATE TABLE entries (x)")
    assert dump(made(book)) == before


def test_a_strangers_index_is_replaced_and_never_opened(book: Book, tmp_path: Path) -> None:
    """A journal that lies beside it would be played back into the new file by the next tool."""
    path = made(book)
    before, kept = dump(path), tmp_path / "kept"
    kept.write_bytes(b"not ours")
    path.unlink()
    path.symlink_to(kept)
    for suffix in ("-journal", "-wal", "-shm"):
        path.with_name(FILE_NAME + suffix).write_bytes(b"\xd9\xd5\x05\xf9\x20\xa1\x63\xd7" * 90)
    assert dump(made(book)) == before
    assert kept.read_bytes() == b"not ours"
    assert not path.is_symlink()


def test_a_write_that_fails_leaves_the_older_index(
    book: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = made(book)
    before, names = path.read_bytes(), sorted(each.name for each in book.root.iterdir())

    def full(_descriptor: int, _data: bytes) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("store.files.halfmade.write_all", full)
    with pytest.raises(CannotWrite, match="make room"):
        made(book)
    assert path.read_bytes() == before
    assert sorted(each.name for each in book.root.iterdir()) == names


def test_on_a_network_folder_it_goes_somewhere_else(
    book: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    mounts = tmp_path / "mounts"
    mounts.write_text(f"srv:/share {os.fspath(book.root)} nfs4 rw 0 0\n")
    monkeypatch.setattr("store.files.disk.MOUNTS", mounts)
    with pytest.raises(NetworkFolder, match="nfs4"):
        made(book)
    elsewhere = write_index(tmp_path / "elsewhere.db", book.entries(), book.round()).path
    assert asked(elsewhere, "SELECT count(*) FROM entries") == [(len(book.entries()),)]
    assert not (book.root / FILE_NAME).exists()


def test_the_ledger_does_not_know_of_the_index(book: Book) -> None:
    made(book).write_bytes(b"anything")
    with Book.open(book.root) as again:
        assert again.entries() == book.entries()
