"""What the records of merges tell afterwards is what the merge itself said."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from store.book import Book
from store.branches.merges import merges_of
from store.report.document import report_data
from store.written import acts
from tests.store.report.test_cases import said
from tests.store.small_job import WHO, reading
from tests.store.two_benches import parted, take_in

Pair = tuple[Book, Book]


@pytest.fixture
def pair(tmp_path: Path) -> Iterator[Pair]:
    north, south = parted(tmp_path)
    yield north, south
    north.close()
    south.close()


def test_what_both_read_is_told_as_when_it_was_merged(pair: Pair) -> None:
    north, south = pair
    acts.record_reading(north, reading("P3.plug", 20.1), **WHO)
    acts.record_reading(south, reading("P3.plug", 20.3), **WHO)
    done = take_in(north, south)
    began, merged = merges_of(north.told)
    assert (began.taken, began.clashes, began.elsewhere) == ({}, (), True)
    assert merged.taken == done.taken
    assert merged.clashes == done.clashes
    assert merged.clashes[0].kind == "read twice"
    assert not merged.elsewhere


def test_what_was_known_to_the_other_bench_is_no_conflict(pair: Pair) -> None:
    north, south = pair
    acts.record_reading(south, reading("P3.bore", 20.01), **WHO)  # it knew the north's first one
    take_in(north, south)
    acts.record_reading(north, reading("P3.bore", 20.02), **WHO)  # and this one knows the south's
    take_in(south, north)
    assert [merge.clashes for book in pair for merge in merges_of(book.told)] == [()] * 5


def test_a_bench_that_began_from_a_copy_says_so_in_its_own_book(pair: Pair) -> None:
    _, south = pair
    (began,) = merges_of(south.told)
    assert (began.entry.bench, began.taken, began.elsewhere) == ("south", {}, False)


def test_a_fork_is_told(tmp_path: Path, pair: Pair) -> None:
    north, _ = pair
    shutil.copytree(north.root, tmp_path / "copy")
    acts.record_reading(north, reading("P3.plug", 20.1), **WHO)
    with Book.open(tmp_path / "copy") as copy:
        acts.record_reading(copy, reading("P3.plug", 20.3), **WHO)
        done = take_in(north, copy)
    (merge,) = merges_of(north.told)
    assert done.fork is not None
    assert merge.fork == done.fork.there


def test_the_report_lists_them(pair: Pair) -> None:
    north, south = pair
    acts.record_reading(north, reading("P3.plug", 20.1), **WHO)
    acts.record_reading(south, reading("P3.plug", 20.3), **WHO)
    take_in(north, south)
    data, _ = report_data(north, at="2026-03-05T16:40:00+01:00", version="0.1.0")
    (bench,) = [each for each in data["registers"] if each["code"] == "G"]
    (merges,) = [each for each in bench["list"] if each["name"] == "Merges"]
    text = " ".join(said(merges["table"]["rows"]))
    assert "P3.plug was read at both" in text
    assert "of south" in text
    assert WHO["by"] in text
