"""A book's folder from a stranger: what SQLite, links and pipes could do, they do not."""

import os
import shutil
import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest

from store.ledger import FILE_NAME
from tests.capture.command import run
from tests.hostile.journals import deleting
from tests.hostile.packs import everything_in
from tests.hostile.sound_book import sound_book

_ENDLESS = (
    "CREATE VIEW {} AS WITH RECURSIVE n(id) AS (VALUES (1) UNION ALL SELECT id + 1 FROM n) "
    "SELECT id, 'north' AS bench, id AS seq, '' AS hash, x'7b7d0a' AS line FROM n"
)
_REFUSED = {3, 7}


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = tmp_path_factory.mktemp("made") / "book"
    sound_book(root).book.close()
    return root


@pytest.fixture
def ours(made: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(made, tmp_path / "ours"))


@pytest.fixture
def theirs(made: Path, tmp_path: Path) -> Path:
    (tmp_path / "precious.txt").write_text("precious")
    return Path(shutil.copytree(made, tmp_path / "theirs"))


def scripted(script: str) -> Callable[[Path], None]:
    def change(root: Path) -> None:
        database = sqlite3.connect(root / FILE_NAME)
        database.executescript(script)
        database.close()

    return change


def _journal(root: Path) -> None:
    victim = root.parent / "precious.txt"
    beside = root / f"{FILE_NAME}-journal"
    beside.write_bytes(deleting(victim, (root / FILE_NAME).read_bytes()))


def _pipe(name: str) -> Callable[[Path], None]:
    def change(root: Path) -> None:
        path = root / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.unlink(missing_ok=True)
        os.mkfifo(path)

    return change


def _link(name: str) -> Callable[[Path], None]:
    def change(root: Path) -> None:
        path = root / name
        if path.is_dir():
            shutil.rmtree(path)
        path.unlink(missing_ok=True)
        path.symlink_to(root.parent / "precious.txt")

    return change


def _header(root: Path) -> None:
    """Say that rows are in a log beside the file (file format, section 1.3.3)."""
    with (root / FILE_NAME).open("r+b") as file:
        file.seek(18)
        file.write(b"\2\2")


def _log(root: Path) -> None:
    (root / f"{FILE_NAME}-wal").write_bytes(b"7\x7f\x06\x82" + bytes(100))


def _zeros(root: Path) -> None:
    path = root / FILE_NAME
    path.write_bytes(path.read_bytes()[:4096] + bytes(20_000))


HARMFUL: dict[str, Callable[[Path], None]] = {
    "a view without an end for the rows": scripted(
        "DROP TRIGGER entries_stay; DROP TRIGGER entries_last; DROP TABLE entries;"
        + _ENDLESS.format("entries")
    ),
    "a view more": scripted(_ENDLESS.format("more")),
    "a trigger that deletes": scripted(
        "CREATE TRIGGER t AFTER INSERT ON entries BEGIN DELETE FROM entries; END"
    ),
    "a trigger that calls itself": scripted(
        "CREATE TABLE a (x); CREATE TRIGGER t AFTER INSERT ON a "
        "BEGIN INSERT INTO a VALUES (1); END; INSERT INTO a VALUES (1)"
    ),
    "a column worked out without an end": scripted(
        "CREATE TABLE b (x, y AS (zeroblob(900000000)) VIRTUAL)"
    ),
    "a schema written by hand": scripted(
        "PRAGMA writable_schema=ON; UPDATE sqlite_master SET sql = "
        "'CREATE TABLE entries (id INTEGER PRIMARY KEY, bench, seq, hash, line)' "
        "WHERE name = 'entries'"
    ),
    "a schema that is no SQL": scripted(
        "PRAGMA writable_schema=ON; UPDATE sqlite_master SET sql = 'CREATE TABLE entries (('"
    ),
    "a schema of other bytes": scripted(
        "PRAGMA writable_schema=ON; UPDATE sqlite_master SET sql = CAST(x'ff80' AS TEXT)"
    ),
    "a row of 40 MB": scripted(
        "INSERT INTO entries (bench, seq, hash, line) VALUES ('north', 99, '', zeroblob(40000000))"
    ),
    "rows of other hashes": scripted(
        "DROP TRIGGER entries_stay; UPDATE entries SET hash = hash || 'x'"
    ),
    "a journal that deletes": _journal,
    "a log beside the file": _log,
    "a header that tells of a log": _header,
    "pages of zeros": _zeros,
    "a pipe for the heads": _pipe("heads.txt"),
    "a pipe for the bench": _pipe("bench.txt"),
    "a pipe for a photo": _pipe("photos/aa/" + "a" * 64 + ".jpg"),
    "a pipe for a branch": _pipe("forks/north-3/ledger.jsonl"),
    "a pipe for the journal": _pipe(f"{FILE_NAME}-journal"),
    "a link for the heads": _link("heads.txt"),
    "a link for the photos": _link("photos"),
    "a link for who writes": _link("writer.txt"),
}


@pytest.mark.parametrize("name", HARMFUL)
def test_a_harmful_book_is_refused_and_nothing_is_touched(
    ours: Path, theirs: Path, tmp_path: Path, name: str
) -> None:
    HARMFUL[name](theirs)
    before = everything_in(tmp_path)
    for done in (run("verify", theirs), run("merge", ours, theirs)):
        assert done.code in _REFUSED, done
        assert done.out.count("\n") + done.err.count("\n") >= 1
    assert everything_in(tmp_path) == before


@pytest.mark.parametrize("name", [n for n in HARMFUL if n.startswith(("a link", "a journal"))])
def test_nobody_works_in_a_book_that_leads_elsewhere(theirs: Path, name: str) -> None:
    HARMFUL[name](theirs)
    done = run("reading", theirs, "P1.clean", "yes")
    assert done.code in _REFUSED, done
    assert (theirs.parent / "precious.txt").read_text() == "precious"


def test_the_book_that_they_are_made_of_is_taken(ours: Path, theirs: Path) -> None:
    """So that the refusals above are of what was put in on purpose."""
    assert run("verify", theirs).code == 0
    assert run("merge", ours, theirs).code == 0
