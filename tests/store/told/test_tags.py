"""The tag's number of a location: its turn of first appearance, whatever happens afterwards."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from store.book import Book
from store.change import (
    Change,
    LocationAdded,
    LocationMoved,
    LocationRenamed,
)
from store.plan import Job, Location, Plan
from store.told.tags import tag_numbers, tag_numbers_of_plan
from store.written.plan_acts import change_plan

AT = "2026-11-16T17:20:00+01:00"
JOB = Job(number="T-7", engine="Bench rig", customer="Ada Quill", shop="Back Lane Bench")
PLAN = Plan(JOB, tuple(Location(name, f"Hole {name}") for name in ("C2", "A1", "B1")))


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with Book.create(tmp_path / "b", PLAN, at=AT, bench="b1", by="Ann", version="test") as made:
        yield made


def after(book: Book, *changes: Change) -> dict[str, int]:
    for change in changes:
        change_plan(book, change, "", at=AT, by="Ann")
    return tag_numbers(book.told)


def test_numbers_follow_the_plan_as_it_stands_in_the_file(book: Book) -> None:
    assert tag_numbers(book.told) == {"C2": 1, "A1": 2, "B1": 3} == tag_numbers_of_plan(PLAN)


def test_what_is_added_comes_last_wherever_it_stands_in_the_round(book: Book) -> None:
    early = LocationAdded(Location("A0", "Hole A0"), after="C2")
    numbers = after(book, early, LocationAdded(Location("Z9", "Hole Z9"), after="A0"))
    assert [location.id for location in book.plan.locations] == ["C2", "A0", "Z9", "A1", "B1"]
    assert numbers == {"C2": 1, "A1": 2, "B1": 3, "A0": 4, "Z9": 5}


def test_moving_and_renaming_change_no_number(book: Book) -> None:
    moved = LocationMoved("B1", "first"), LocationRenamed("A1", "Another")
    assert after(book, *moved) == {"C2": 1, "A1": 2, "B1": 3}
    assert next(location.id for location in book.plan.locations) == "B1"
