"""What a merge brought, in words, and as rows of the window: conflicts and forks never left out."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from capture.desk.job.said_merges import goes_to, merge_detail, merge_rows
from capture.words.merged import conflicts_text, done_text, taken_text
from store.book import Book
from store.branches.merges import merges_of
from store.written import acts
from tests.store.small_job import WHO, reading
from tests.store.two_benches import parted, take_in

Pair = tuple[Book, Book]


@pytest.fixture
def pair(tmp_path: Path) -> Iterator[Pair]:
    north, south = parted(tmp_path)
    yield north, south
    north.close()
    south.close()


def test_a_fork_is_told_wherever_merges_are(tmp_path: Path, pair: Pair) -> None:
    north, _ = pair
    shutil.copytree(north.root, tmp_path / "copy")
    acts.record_reading(north, reading("P3.plug", 20.1), **WHO)
    with Book.open(tmp_path / "copy") as copy:
        acts.record_reading(copy, reading("P3.plug", 20.3), **WHO)
        done = take_in(north, copy)
    merges = merges_of(north.told)
    assert "a fork: north went on otherwise from entry" in done_text(done)
    assert conflicts_text(merges) == "1 fork of merging"
    assert taken_text(merges[0]) == "another copy, of which nothing could be taken in"
    head, fork = merge_rows(merges)
    assert (head.level, fork.level) == (0, 1)
    assert head.right == ""  # nothing was taken in: there is nothing to be at odds with
    assert fork.title == "Fork: two histories of one bench"
    assert "that branch counts for nothing" in fork.below
    assert "Work on in one of the two copies only" in merge_detail(merges, fork.key)
    assert goes_to(north.round(), merges, fork.key) == ""
    assert merge_detail(merges, head.key) == ""
    assert merge_detail(merges, "no such row") == ""


def test_conflicts_and_the_checks_they_are_of_are_told(pair: Pair) -> None:
    north, south = pair
    acts.record_reading(north, reading("P3.plug", 20.1), **WHO)
    acts.record_reading(south, reading("P3.plug", 20.3), **WHO)
    done = take_in(north, south)
    said = done_text(done)
    assert "of south taken in" in said
    assert "another value counts now at P3.plug" in said
    assert "1 conflict: look at each" in said
    merges = merges_of(north.told)
    assert conflicts_text(merges) == "1 conflict of merging"
    assert [taken_text(merge) for merge in merges] == [
        "south began to work from a copy", f"{done.taken['south']} entries of south taken in",
    ]  # fmt: skip
    rows = merge_rows(merges)
    assert [goes_to(north.round(), merges, row.key) for row in rows] == ["", "P3.plug", ""]
    assert rows[0].right == "1 conflict"
    assert done_text(take_in(north, south)) == (
        "nothing new: everything in that copy is here already"
    )


def test_a_merge_made_elsewhere_is_told_as_that(pair: Pair) -> None:
    north, south = pair
    acts.record_reading(north, reading("P3.plug", 20.1), **WHO)
    take_in(south, north)
    acts.record_reading(south, reading("P3.bore", 20.2), **WHO)
    take_in(north, south)
    words = [taken_text(merge) for merge in merges_of(north.told)]
    assert "south had taken another copy in before" in words
    assert conflicts_text(merges_of(north.told)) == ""
    assert {row.right for row in merge_rows(merges_of(north.told))} <= {"", "no conflict"}
