"""Merges and copies that are killed or run out of disk: done again, they give the same."""

import errno
import itertools
import shutil
from pathlib import Path

import pytest

from store.book import Book
from store.copies.copying import copy_book
from store.errors import CannotWrite
from store.written import acts
from tests.faults.injector import failing
from tests.faults.merger import copy_killed_at, in_a_process, merge_killed_at
from tests.faults.test_write_faults import refusal
from tests.store.small_job import WHO, file_photo, reading
from tests.store.two_benches import parted, take_in, work, wrong

EVERY = 11  # calls from one kill to the next: each is a process of its own


@pytest.fixture
def two(tmp_path: Path) -> Path:
    """A folder with the books of two benches: each has read, south has a photo and a fork."""
    north, south = parted(tmp_path)
    with north, south:
        shutil.copytree(south.root, tmp_path / "old")
        acts.record_reading(north, reading("P3.plug", 20.1), **WHO)
        acts.record_reading(south, reading("OH2.deep", 5.1), **WHO)
        file_photo(south, "P3", content=b"a fitted plug, say")
        with Book.open(tmp_path / "old") as old:  # another history of south
            acts.record_reading(old, reading("OH2.deep", 5.2), **WHO)
            take_in(south, old)
    shutil.copytree(tmp_path / "north", tmp_path / "before")
    return tmp_path


def test_a_merge_killed_anywhere_is_done_again_and_gives_the_same(two: Path) -> None:
    with Book.open(two / "south") as south, Book.open(two / "before") as before:
        both = work(south) | work(before)
    killed = 0
    for step in itertools.count(1, EVERY):
        root = two / f"north {step}"
        shutil.copytree(two / "before", root)
        done = two / f"done {step}"
        code = in_a_process(merge_killed_at, root, two / "south", step, done)
        assert (code == 0) == done.exists()
        killed += code != 0
        with Book.open(root) as north:
            assert wrong(north) == []
            assert work(north) in (both, both - _of_south(two))
            take_in(north, two / "south")
            assert work(north) == both
            assert north.missing_photos() == ()
            assert wrong(north) == []
            assert take_in(north, two / "south").is_nothing
        assert not list((root / "photos").glob("incoming-*"))
        if code == 0:
            break
    assert killed >= 3


def _of_south(two: Path) -> set[str]:
    with Book.open(two / "south") as south, Book.open(two / "before") as before:
        return work(south) - work(before)


def test_a_fork_killed_anywhere_is_kept_when_done_again(two: Path) -> None:
    killed = 0
    for step in itertools.count(1, EVERY):
        root = two / f"south {step}"
        shutil.copytree(two / "old", root)
        code = in_a_process(merge_killed_at, root, two / "south", step, two / f"done {step}")
        killed += code != 0
        with Book.open(root) as south:
            assert wrong(south) == []
            done = take_in(south, two / "south")
            assert done.fork is not None
            assert list(done.fork.folder.rglob("*.jpg"))
            assert wrong(south) == []
        if code == 0:
            break
    assert killed >= 2


@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EIO])
def test_a_disk_that_fails_anywhere_in_a_merge_leaves_it_sound(two: Path, number: int) -> None:
    refused = 0
    for step in itertools.count(1):
        root = two / f"north {step}"
        shutil.copytree(two / "before", root)
        with Book.open(root) as north:
            before = work(north)
            with failing(step, number) as fault:
                said = refusal(lambda: take_in(north, two / "south"))
            assert not said.startswith("not plain"), said
            assert not said or work(north) == before
            refused += bool(said)
            assert wrong(north) == []
            take_in(north, two / "south")
            assert work(north) > before
            assert wrong(north) == []
        shutil.rmtree(root)
        if not fault.fired:
            break
    assert refused >= 5


def test_a_copy_killed_anywhere_is_not_there_or_whole(two: Path) -> None:
    for step in itertools.count(1, EVERY):
        target = two / f"copy {step}"
        code = in_a_process(copy_killed_at, two / "south", target, step, two / f"done {step}")
        if target.exists():
            with Book.open(target) as copy:
                assert wrong(copy) == []
        else:
            assert code != 0
        with Book.open(two / "south") as south:
            copy_book(south, target, **WHO)
            with Book.open(target) as copy:
                assert copy.entries() == south.entries()
        if code == 0:
            break


def test_a_copy_brought_up_to_date_and_killed_anywhere_is_a_sound_older_one(two: Path) -> None:
    with Book.open(two / "north") as north:
        file_photo(north, "P3", content=b"a photo that the copy lacks")
    for step in itertools.count(1, EVERY):
        target = two / f"copy {step}"
        shutil.copytree(two / "before", target)
        code = in_a_process(copy_killed_at, two / "north", target, step, two / f"done {step}")
        with Book.open(target) as copy:
            assert wrong(copy) == []
        with Book.open(two / "north") as north:
            copy_book(north, target, **WHO)
            with Book.open(target) as copy:
                assert copy.entries() == north.entries()
                assert copy.missing_photos() == ()
        if code == 0:
            break


def test_a_disk_that_fails_in_a_copy_leaves_nothing_half(two: Path) -> None:
    refused = 0
    with Book.open(two / "south") as south:
        for step in itertools.count(1):
            target = two / f"copy {step}"
            with failing(step, errno.ENOSPC) as fault:
                try:
                    copy_book(south, target, **WHO)
                except CannotWrite:
                    refused += 1
            if target.exists():
                with Book.open(target) as copy:
                    assert wrong(copy) == []
            assert not list(two.glob(".copy*"))
            if not fault.fired:
                break
    assert refused >= 5
