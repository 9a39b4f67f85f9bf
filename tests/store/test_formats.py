"""A tiny book of every released format is kept, read as it was, and verified: for ever.

``tests/store/formats/make.py`` made each once, with an entry of every kind there was; what is kept
is never made anew. A test that fails here says that books in customers' hands no longer read.
"""

import csv
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from capture.verifying import verify_book
from store.book import Book
from store.ledger import FILE_NAME, FORMAT
from store.ways_out.export import write_csv
from tests.capture.command import run
from tests.store.two_benches import tree

KEPT = Path(__file__).parent / "formats"
FORMATS = sorted(KEPT.glob("format-*"))
# The kinds of entry that a book of each format has: those that there were.
KINDS = {
    2: {
        "job started", "plan changed", "photo taken", "paper kept", "placed on map", "reading",
        "slip asked", "marked", "derived", "judged", "reworked", "taken out", "fitted",
        "kit counted", "debris logged", "owner said", "gauge suspected", "gauge cleared",
        "struck", "waived", "close refused", "closed", "reopened", "merged",
    },
}  # fmt: skip


@pytest.fixture(params=FORMATS, ids=lambda folder: folder.name)
def kept(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    """A copy of what is kept of one format: the book, and the tables that were made of it then."""
    return Path(shutil.copytree(request.param, tmp_path / request.param.name))


def lines(path: Path) -> list[dict[str, str]]:
    with path.open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file, strict=True))


def test_a_book_of_the_format_that_is_written_now_is_kept() -> None:
    assert f"format-{FORMAT}" in [folder.name for folder in FORMATS]
    assert {f"format-{number}" for number in KINDS} == {folder.name for folder in FORMATS}


def test_its_ledger_says_its_format_and_has_every_kind_there_was(kept: Path) -> None:
    number = int(kept.name.removeprefix("format-"))
    with closing(sqlite3.connect(kept / "book" / FILE_NAME)) as database:
        assert database.execute("PRAGMA user_version").fetchone() == (number,)
    with Book.open(kept / "book", read_only=True) as book:
        assert {entry.kind for entry in book.entries()} == KINDS[number]


def test_it_verifies(kept: Path) -> None:
    """Measured again by a later version a number may differ, which is told; nothing is altered."""
    before = tree(kept / "book")
    findings = verify_book(kept / "book", version="a later one")
    assert [f for f in findings if f.severity in {"altered", "damaged"}] == []
    assert tree(kept / "book") == before


def test_a_change_to_it_would_be_found(kept: Path) -> None:
    ledger = kept / "book" / FILE_NAME
    content = ledger.read_bytes()
    assert content.count(b"green, batch 7") == 1
    ledger.write_bytes(content.replace(b"green, batch 7", b"green, batch 8"))
    findings = verify_book(kept / "book", version="a later one")
    assert "altered" in {f.severity for f in findings}


@pytest.mark.parametrize("what", ["readings", "checks"])
def test_it_reads_as_it_did(kept: Path, tmp_path: Path, what: str) -> None:
    """Every column that there was says what it said; later ones may have been added."""
    with Book.open(kept / "book", read_only=True) as book:
        write_csv(tmp_path / "now.csv", book.round(), what)
    then, now = lines(kept / f"{what}.csv"), lines(tmp_path / "now.csv")
    assert then
    assert [{name: row[name] for name in then[0]} for row in now] == then


def test_it_is_gone_on_with(kept: Path) -> None:
    done = run("reading", kept / "book", "P1.sealant", "blue, batch 9", "--by", "A. Fitter")
    assert done.code == 0, done.err
    findings = verify_book(kept / "book", version="a later one")
    assert [f for f in findings if f.severity in {"altered", "damaged"}] == []
