"""benchproof export and index: what they write, what they refuse, what they say."""

import csv
import json
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from store.ways_out.export import schema
from tests.capture.command import run
from tests.store.pack.packed import small_book


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = tmp_path_factory.mktemp("shelf") / "book"
    small_book(root).close()
    return root


def test_readings_are_exported_as_csv_and_again(book: Path, tmp_path: Path) -> None:
    out = tmp_path / "out.csv"
    for options in ((), ("--checks",), ()):
        done = run("export", book, out, *options)
        assert done.code == 0
    assert done.out == f"export {out}: 8 readings\n"
    with out.open(newline="", encoding="utf-8") as file:
        assert sum(row["struck"] != "" for row in csv.DictReader(file)) == 1


def test_json_is_exported_and_answered(book: Path, tmp_path: Path) -> None:
    out = tmp_path / "out.json"
    assert run("export", book, out, "--json").answer() == {"file": str(out), "readings": 8}
    assert json.loads(out.read_text(encoding="utf-8"))["job"]["number"] == "K-118"


def test_what_the_columns_are_is_told_without_a_book() -> None:
    told = run("export", "--describe")
    assert told.code == 0
    assert "coverage" in told.out
    assert "has one ' before it" in told.out
    assert run("export", "--describe", "--json").answer() == schema()


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("out.txt", "end its name in .csv or .json"),
        ("there.csv", "is not a benchproof export"),
        ("no/such/out.csv", "there is no folder"),
    ],
)
def test_a_target_that_would_lose_something_is_refused(
    book: Path, tmp_path: Path, name: str, words: str
) -> None:
    (tmp_path / "there.csv").write_bytes(b"a,b")
    done = run("export", book, tmp_path / name)
    assert (done.code, done.out) == (2, "")
    assert words in done.err
    assert (tmp_path / "there.csv").read_bytes() == b"a,b"


def test_nothing_is_written_into_a_book(book: Path) -> None:
    done = run("export", book, book / "out.csv")
    assert done.code == 2
    assert "holds evidence and nothing else" in done.err


def test_a_verb_without_its_words_says_them() -> None:
    done = run("export")
    assert done.code == 2
    assert "benchproof export BOOK OUT.csv" in done.err


def test_an_index_is_written_into_the_book(book: Path) -> None:
    before = run("verify", book, "--json").answer()
    done = run("index", book, "--json")
    answer = done.answer()
    assert (done.code, answer["index"]) == (0, str(book / "index.db"))
    with closing(sqlite3.connect(book / "index.db")) as database:
        (count,) = database.execute("SELECT count(*) FROM readings").fetchone()
    assert answer["rows"]["readings"] == count == 8
    assert run("verify", book, "--json").answer() == before


def test_an_index_goes_elsewhere_where_it_is_wanted_there(book: Path, tmp_path: Path) -> None:
    out = tmp_path / "look.db"
    for _ in range(2):
        assert run("index", book, "-o", out).code == 0
    assert out.read_bytes().startswith(b"SQLite format 3\0")
    other = tmp_path / "other.db"
    with closing(sqlite3.connect(other)) as database:
        database.execute("CREATE TABLE somebody (s)")
    content = other.read_bytes()
    done = run("index", book, "-o", other)
    assert done.code == 2
    assert "is not an index of benchproof" in done.err
    assert other.read_bytes() == content


def test_the_tables_are_told_without_a_book() -> None:
    told = run("index", "--describe")
    assert told.code == 0
    assert "readings: one row is" in told.out
    assert run("index").code == 2
