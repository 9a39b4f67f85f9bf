"""A bit flipped anywhere in a book or a pack is found, or its place is one nothing is made of.

A sample; ``python -m tests.faults.every_byte`` flips one in every single byte.
"""

import sqlite3
from collections import Counter
from pathlib import Path

import pytest

from store.files.whose import BENCH_NAME
from store.ledger import FILE_NAME
from tests.faults import sqlite_pages
from tests.faults.every_byte import NOT_FOUND, Subject, files_of, flips, make, portions
from tests.faults.zip_parts import harmless

# So many bytes of each; a prime, so that the bit that is flipped goes round.
EVERY = {"book": 97, "merged": 131, "folder": 307, "zip": 2003, "redacted": 401}


@pytest.fixture(scope="module")
def subjects(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Subject]:
    return make(tmp_path_factory.mktemp("flips"))


@pytest.mark.parametrize("name", EVERY)
def test_a_flipped_bit_is_found_or_makes_nothing(subjects: dict[str, Subject], name: str) -> None:
    subject = subjects[name]
    done = [
        flip
        for _, file, places in portions(subject, EVERY[name])
        for flip in flips(subject, subject.path.parent / file, places)
    ]
    assert [flip for flip in done if flip.came_of_it == NOT_FOUND] == []
    found = Counter(flip.came_of_it.startswith("found") for flip in done)
    # A database of a few rows is half empty pages; of a pack, next to nothing may be passed over.
    assert found[True] > len(done) * (0.3 if name in {"book", "merged"} else 0.98)
    assert subject.check(subject.path) == []


def test_every_byte_of_the_small_files_beside_the_ledger_counts(
    subjects: dict[str, Subject],
) -> None:
    """No exception is made for any file of a book but its database and a copy's own name."""
    for book in (subjects["book"], subjects["merged"]):
        for file in files_of(book):
            if file.name not in {FILE_NAME, BENCH_NAME}:
                size = file.stat().st_size
                some = range(0, size, max(1, size // 20))
                assert {f.came_of_it[:5] for f in flips(book, file, some)} == {"found"}, file.name


@pytest.mark.parametrize(
    ("name", "content", "told"),
    [
        ("bench.txt", b"", "can't be read as a bench's name"),
        ("bench.txt", b"So uth", "can't be read as a bench's name"),
        ("ledger.jsonl", b"", "its lines are gone"),
        ("ledger.jsonl", b"{}\n", "its first line is not the one that the merge told of"),
    ],
)
def test_a_copy_that_lost_its_name_or_another_history_is_told_so(
    subjects: dict[str, Subject], name: str, content: bytes, told: str
) -> None:
    book = subjects["merged"]
    (path,) = book.path.rglob(name)
    before = path.read_bytes()
    path.write_bytes(content)
    found = book.check(book.path)
    path.write_bytes(before)
    assert any(told in each.detail and path.name in each.where for each in found)


def test_what_is_unused_of_a_database_changes_no_row(subjects: dict[str, Subject]) -> None:
    """All unused places written over at once: SQLite reads the same rows and the same schema."""
    path = subjects["book"].path / FILE_NAME
    content, before = path.read_bytes(), everything_in(path)
    free = sqlite_pages.unused(content)
    kept = {place for place, why in free.items() if why == sqlite_pages.NOTHING_KEPT}
    assert len(content) * 0.3 < len(kept) < len(content) * 0.7
    path.write_bytes(bytes(b ^ 0xFF if at in kept else b for at, b in enumerate(content)))
    assert everything_in(path) == before
    path.write_bytes(content)


def everything_in(path: Path) -> list[tuple[object, ...]]:
    """Return every row of every table of a database, its schema first."""
    database = sqlite3.connect(f"file:{path}?mode=ro", uri=True)
    try:
        schema = database.execute("SELECT type, name, tbl_name, sql FROM sqlite_master")
        rows = schema.fetchall() + database.execute("SELECT * FROM entries ORDER BY id").fetchall()
    finally:
        database.close()
    return rows


def test_no_name_and_no_byte_of_a_file_in_a_zip_is_called_harmless(
    subjects: dict[str, Subject],
) -> None:
    content = subjects["redacted"].path.read_bytes()
    harmless_places = [at for at in range(len(content)) if harmless(content, at, 1)]
    files = content.count(b"PK\x01\x02")
    # Two bytes of version in each local header, ten in each entry of the directory, and hardly a
    # bit after the end of a deflated file.
    assert 12 * files <= len(harmless_places) <= 13 * files
