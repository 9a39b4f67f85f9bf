"""benchproof shop: what it prints, what it keeps where, what it refuses."""

import re
from pathlib import Path

import pytest

from store.book import Book
from store.written import acts
from tests.capture.command import run
from tests.store.jobs import job_book
from tests.store.small_job import WHO, reading


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("shelf")
    job_book(folder / "a", "J-1", customer="Ada Quill")
    job_book(folder / "b", "J-2", nip=0.19, day=3)
    (folder / "c").mkdir()
    (folder / "c" / "ledger.db").write_bytes(b"nothing of the kind")
    return folder


def test_books_are_listed_with_how_they_stand(shelf: Path) -> None:
    done = run("shop", shelf)
    assert done.code == 0
    lines = done.out.splitlines()
    assert lines[0] == f"J-2  inline four, Ostrow, last entry 2026-03-03, {shelf / 'b'}"
    assert lines[1] == "    1 outside, 5 not measured, 2 no limit"
    assert lines[-1].startswith(f"not read  {shelf / 'c'}: ")


def test_checks_are_listed_under_their_jobs_with_the_books_that_could_not_be_read(
    shelf: Path,
) -> None:
    done = run("shop", shelf, "--customer", "quill", "--check", "nip")
    first, value, count, unread = done.out.splitlines()
    assert first == f"J-1  inline four, Ada Quill, {shelf / 'a'}"
    assert value.split()[:4] == ["P3.nip", "within", "0.100", "mm"]
    assert count == "1 found in 1 job"
    assert "not read" in unread


def test_a_program_gets_every_column(shelf: Path) -> None:
    answer = run("shop", shelf, "--verdict", "outside", "--json").answer()
    (row,) = answer["checks"]
    assert (row["job"], row["key"], row["state"], row["proven"]) == (
        "J-2", "P3.nip", "outside", False,
    )  # fmt: skip
    assert row["low"] < row["value"] < row["high"]
    assert (row["at_least"], row["at_most"], row["unit"]) == (0.04, 0.16, "mm")
    assert [Path(book["path"]).name for book in answer["unread"]] == ["c"]
    books = run("shop", shelf, "--json").answer()["books"]
    assert [(book["job"], book["outside"]) for book in books] == [("J-2", 1), ("J-1", 0)]
    readings = run("shop", shelf, "--gauge", "MIC-2", "--each-reading", "--json").answer()
    assert {row["key"] for row in readings["readings"]} == {"P3.plug", "P3.nip"}
    assert all(row["counts"] is True for row in readings["readings"])


def test_an_en_number_is_told_as_one_where_it_stands_and_in_each_reading(tmp_path: Path) -> None:
    with Book.open(job_book(tmp_path / "a", "J-1")) as book:
        for key, size in (("OH2.deep", 5.12), ("OH2.other", 5.14)):
            acts.record_reading(book, reading(key, size, half_step=0.05), **WHO)
    for more in ((), ("--each-reading",)):
        _, line, _ = run("shop", tmp_path, "--check", "agree", *more).out.splitlines()
        assert re.match(r" {4}OH2\.agree +within +En 0\.\d\d; limit at most 1; ", line)


def test_a_check_without_a_value_has_no_loose_sign_behind_it(shelf: Path) -> None:
    said = run("shop", shelf, "--check", "clean").out.splitlines()
    assert [line.split() for line in said if "P3.clean" in line] == [
        ["P3.clean", "not", "measured"], ["P3.clean", "not", "measured"],
    ]  # fmt: skip


def test_nothing_found_is_said(shelf: Path) -> None:
    done = run("shop", shelf, "--check", "nothing of the name")
    assert done.code == 0
    assert done.out.startswith("nothing is found\n")


def test_a_plot_is_drawn_and_drawn_again(shelf: Path, tmp_path: Path) -> None:
    out = tmp_path / "nip.svg"
    for _ in range(2):
        assert run("shop", shelf, "--check", "P3.nip", "--plot", out).code == 0
    assert out.read_text(encoding="utf-8").startswith("<svg ")
    (tmp_path / "mine.svg").write_text("mine")
    for name, words in (("mine.svg", "is not an SVG"), ("nip.png", "nip.png.svg")):
        done = run("shop", shelf, "--check", "nip", "--plot", tmp_path / name)
        assert done.code == 2
        assert words in done.err
    done = run("shop", shelf, "--check", "clean", "--plot", out)
    assert done.code == 2
    assert "has a value to plot" in done.err


def test_the_index_is_where_it_is_named_and_else_in_the_users_cache(
    shelf: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    index = tmp_path / "shop.db"
    assert run("shop", shelf, "--index", index).code == 0
    assert index.read_bytes().startswith(b"SQLite format 3\0")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    assert run("shop", shelf).code == 0
    assert (tmp_path / "cache" / "benchproof-shop" / "shop.db").exists()
    assert not list(shelf.rglob("shop.db"))


def test_another_database_is_not_taken_for_the_index(shelf: Path, tmp_path: Path) -> None:
    other = tmp_path / "other.db"
    other.write_bytes(b"SQLite format 3\0" + bytes(200))
    done = run("shop", shelf, "--index", other)
    assert done.code == 2
    assert "is not a shop's index" in done.err
    done = run("shop", shelf, "--index", shelf / "a" / "shop.db")
    assert done.code == 2
    assert "holds evidence and nothing else" in done.err


def test_where_no_index_can_be_kept_it_works_all_the_same(
    shelf: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "cache").write_text("no folder")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    done = run("shop", shelf, "--check", "nip")
    assert done.code == 0
    assert "2 found in 2 jobs" in done.out
    assert "every book is read anew" in done.err


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (("no such folder",), "there is no folder"),
        ((".", "--words", '"-"'), "type a word"),
        ((".", "--verdict", "fine"), "invalid choice"),
        ((".", "--plot", "x.svg", "--each-reading"), "leave --each-reading out"),
    ],
)
def test_what_makes_no_sense_is_refused(options: tuple[str, ...], words: str) -> None:
    done = run("shop", *options)
    assert (done.code, done.out) == (2, "")
    assert words in done.err


def test_where_no_job_is_found_that_is_said(shelf: Path) -> None:
    done = run("shop", shelf, "--customer", "nobody of that name")
    assert done.code == 0
    first, unread = done.out.splitlines()
    assert first == "nothing is found"
    assert "not read" in unread
