"""Full, failing and read-only disks: fail at write 1, 2, 3 ... until a run survives."""

import errno
import itertools
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

import pytest

from store.book import Book
from store.errors import BookExists, CannotWrite
from store.finding import Finding
from store.verify import verify
from store.written import acts
from tests.faults import writers
from tests.faults.injector import failing
from tests.store import small_job
from tests.store.small_job import WHO, new_book, reading

ERRORS = [errno.ENOSPC, errno.EIO, errno.EROFS, errno.EMFILE]


def wrong(root: Path) -> list[Finding]:
    """Return what is wrong with a book; notes (a photo left unfiled) are not."""
    return [f for f in verify(root, measure=small_job.measure) if f.severity != "note"]


def refusal(act: Callable[[], object]) -> str:
    """Do something and return what was said against it, which must be plain; empty if done."""
    try:
        act()
    except CannotWrite as error:
        said = str(error)
    else:
        return ""
    plain = said.endswith(".") and "Traceback" not in said and "Errno" not in said
    return said if plain else f"not plain: {said}"


@pytest.mark.parametrize("number", ERRORS)
@pytest.mark.parametrize("for_ever", [False, True])
def test_a_write_that_fails_anywhere_loses_nothing_acknowledged(
    tmp_path: Path, number: int, for_ever: bool
) -> None:
    root = tmp_path / "book"
    kept: list[str] = []
    fired: set[str] = set()
    refused = 0
    with new_book(root) as book:
        for step in itertools.count(1):
            content = f"photo {step}".encode()
            with failing(step, number, for_ever=for_ever) as fault:
                said = refusal(lambda: kept.extend(writers.add_photo(book, content)))  # noqa: B023 - called at once
            assert not said.startswith("not plain"), said
            refused += bool(said)
            fired.add(fault.fired)
            assert {*kept} <= {*(e.hash for e in book.entries()), *_photos(book)}
            assert book.missing_photos() == ()
            # and it goes on: the same photo once more, now with a sound disk
            kept += writers.add_photo(book, content)
            if not fault.fired:
                break
    assert wrong(root) == []
    assert not list((root / "photos").glob("incoming-*")) or for_ever
    assert fired >= {"", "open", "write", "fsync", "replace", "chmod"}
    assert refused >= 5


def _photos(book: Book) -> set[str]:
    return {getattr(entry.evidence, "photo", "") for entry in book.entries()}


@pytest.mark.parametrize("number", ERRORS)
def test_readings_are_kept_or_refused_whole(tmp_path: Path, number: int) -> None:
    root = tmp_path / "book"
    with new_book(root) as book:
        acts.record_reading(book, reading("P3.bore", 20.0), **WHO)
        for step in itertools.count(1):
            before = len(book.entries())
            with failing(step, number) as fault:
                # only the head may be missed here: what SQLite writes is not in the way
                acts.record_reading(book, reading("P3.plug", 20.1), **WHO)
            assert len(book.entries()) == before + 3
            assert book.round().check("P3.nip").state == "within"
            if not fault.fired:
                break
        assert step > 3
    assert wrong(root) == []


@pytest.mark.parametrize("number", ERRORS)
def test_a_new_book_is_whole_or_can_be_started_again(tmp_path: Path, number: int) -> None:
    for step in itertools.count(1):
        root = tmp_path / f"book {step}"
        with failing(step, number) as fault:
            said = refusal(lambda: new_book(root).close())  # noqa: B023 - called at once
        assert not said.startswith("not plain"), said
        if fault.fired:
            with suppress(BookExists):  # it may have been kept, and only its head not
                new_book(root).close()
        assert wrong(root) == []
        with Book.open(root) as book:
            assert len(book.entries()) == 1
        if not fault.fired:
            break
    assert step > 3


def test_a_file_that_may_not_grow_stops_sqlite_and_nothing_acknowledged_is_lost(
    tmp_path: Path,
) -> None:
    refusals = []
    for step in range(12):
        root, acknowledged = tmp_path / f"book{step}", tmp_path / f"said{step}"
        new_book(root).close()
        # from below the ledger's first size (its journal can't grow) to a few pages above it
        limit = 2048 + step * 3000
        process = writers.PROCESSES.Process(
            target=writers.fill_under_limit, args=(root, limit, acknowledged)
        )
        process.start()
        process.join(60)
        assert process.exitcode == 0
        *kept, said = acknowledged.read_text().splitlines()
        assert said.startswith("refused: ")
        refusals.append(said)
        with Book.open(root) as book:
            assert set(kept) <= {entry.hash for entry in book.entries()}
            acts.record_reading(book, reading("P3.bore", 21.0), **WHO)
        assert wrong(root) == []
    assert all("do it again" in said for said in refusals)
