"""A clock that goes backwards: the order of arrival counts, and nothing is called altered."""

from pathlib import Path

from store.book import Book
from store.copies.copying import copy_book
from store.copies.merge import merge
from store.written import acts
from tests.faults.test_write_faults import wrong
from tests.store.small_job import file_photo, marks, new_book, reading
from tests.store.two_benches import CHECKS

DAYS = [f"2026-03-{day:02}T09:00:00+01:00" for day in range(28, 1, -1)]


def test_a_job_worked_while_the_clock_goes_backwards_is_sound(tmp_path: Path) -> None:
    days = iter(DAYS)
    with new_book(tmp_path / "book") as book:
        for value in (20.0, 20.01, 20.02):
            acts.record_reading(book, reading("P3.bore", value), at=next(days), by="R. Tamm")
        acts.record_marks(book, marks(file_photo(book, "OH2")), at=next(days), by="R. Tamm")
        counts = book.round().check("P3.bore").attempts[-1].record
        assert counts == reading("P3.bore", 20.02)
        times = [entry.at for entry in book.entries()[1:4]]
        assert times == sorted(times, reverse=True)
    assert wrong(tmp_path / "book") == []


def test_a_merge_dated_before_what_it_takes_in_is_sound(tmp_path: Path) -> None:
    days = iter(DAYS)
    with new_book(tmp_path / "north") as north:
        acts.record_reading(north, reading("P3.bore", 20.0), at=next(days), by="R. Tamm")
        copy_book(north, tmp_path / "south", bench="south", at=next(days), by="R. Tamm")
        with Book.open(tmp_path / "south") as south:
            acts.record_reading(south, reading("P3.plug", 20.1), at=next(days), by="B. Lind")
        merge(north, tmp_path / "south", checks=CHECKS, at=next(days), by="R. Tamm")
        assert north.round().check("P3.nip").state == "within"
    assert wrong(tmp_path / "north") == []
