"""Look-up tables that may be deleted at any time."""

import sqlite3
from collections.abc import Iterator
from pathlib import Path

import pytest

from store import acts
from store.book import Book
from store.index import FILE_NAME
from tests.store.small_job import WHO, file_photo, marks, new_book, reading


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with new_book(tmp_path / "book") as the_book:
        photo = file_photo(the_book, "OH2", "with scale")
        acts.record_marks(the_book, marks(photo), **WHO)
        acts.record_reading(the_book, reading("P3.bore", 20.0), **WHO)
        acts.record_reading(the_book, reading("P3.plug", 20.3), **WHO)
        yield the_book


def answers(book: Book) -> dict[str, tuple[str, ...]]:
    index = book.index()
    found = {
        "all": index.entries(),
        "readings": index.entries(kind="reading"),
        "bore": index.entries(kind="reading", key="P3.bore"),
        "at the plug": index.entries(location="P3"),
        "photos": index.photos(location="OH2", role="with scale"),
        "outside": index.verdicts(state="outside"),
        "nothing": index.entries(key='x" OR 1=1 --'),
    }
    index.close()
    return found


def test_entries_are_found_by_what_they_are(book: Book) -> None:
    hashes = [entry.hash for entry in book.entries()]
    assert answers(book) == {
        "all": tuple(hashes),
        "readings": (hashes[4], hashes[5]),
        "bore": (hashes[4],),
        "at the plug": (hashes[4], hashes[5], hashes[6], hashes[7]),
        "photos": (hashes[1],),
        "outside": (hashes[7],),
        "nothing": (),
    }


def test_new_entries_are_taken_in(book: Book) -> None:
    before = answers(book)
    entry = book.append(reading("P3.bore", 20.1), **WHO)
    assert answers(book)["bore"] == (*before["bore"], entry.hash)


@pytest.mark.parametrize("damage", ["deleted", "not a database", "torn", "other tables"])
def test_a_lost_or_damaged_index_is_made_again(book: Book, damage: str) -> None:
    before, path = answers(book), book.root / FILE_NAME
    content = path.read_bytes()
    path.unlink()
    if damage == "not a database":
        path.write_bytes(b"nothing of the kind" * 300)
    if damage == "torn":
        path.write_bytes(content[:4096] + b"\xaa" * (len(content) - 4096))
    if damage == "other tables":
        other = sqlite3.connect(path)
        other.execute("CREATE TABLE entries (x)")
        other.close()
    assert answers(book) == before


def test_the_ledger_does_not_know_of_the_index(book: Book) -> None:
    answers(book)
    (book.root / FILE_NAME).unlink()
    with Book.open(book.root) as again:
        assert again.entries() == book.entries()
