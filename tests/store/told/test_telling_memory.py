"""What a telling remembers is never older than what it was told."""

from pathlib import Path

import msgspec
import pytest

from store.book import Book
from store.characteristic import Characteristic
from store.codec import Entry
from store.plan import Location, Plan
from store.standing import standing
from store.told.telling import Telling
from store.written import acts
from tests.store.report.report_job import filled
from tests.store.small_job import WHO, new_book, plan, reading


def grids(root: Path) -> Book:
    """Two grids and their difference: read, read again, struck, worked on, read once more."""
    sizes = tuple(
        Characteristic(
            id=name, kind="length", question="?", unit="mm", positions=("top", "low"), repeats=2
        )
        for name in ("a", "b")
    )
    gap = Characteristic(
        id="gap", kind="computed", question="?", unit="mm", formula="L.a - L.b[top]"
    )
    book = new_book(root, Plan(plan().job, (Location("L", "l", (*sizes, gap)),)))
    for check in (*sizes, sizes[0]):
        for number, spot in enumerate(check.spots):
            read = reading(f"L.{check.id}", 20.0 + number / 100)
            acts.record_reading(book, msgspec.structs.replace(read, spot=spot), **WHO)
    acts.strike(book, book.told.reads["L.a"][-1][1].hash, "slip", **WHO)
    acts.rework(book, ("L.b",), "dressed", **WHO)
    for spot in sizes[1].spots[:3]:
        again = msgspec.structs.replace(reading("L.b", 20.3), spot=spot)
        acts.record_reading(book, again, **WHO)
    return book


@pytest.fixture(scope="module", params=[filled, grids])
def entries(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> tuple[Entry, ...]:
    with request.param(tmp_path_factory.mktemp("job") / "book") as book:
        found: tuple[Entry, ...] = book.entries()
    return found


def known(told: Telling, upto: int) -> dict[str, object]:
    """Return all that is remembered of one moment."""
    return {
        key: (
            told.counting(key, upto),
            told.inputs(key, upto),
            told.began(key, upto),
            told.cells(key, upto),
            [told.void(entry, upto) for _, entry in told.attempts(key)],
        )
        for key in told.wiring_at(upto).checks
    }


def test_asked_after_every_entry_it_says_what_a_fresh_one_says(entries: tuple[Entry, ...]) -> None:
    grown = Telling()
    for number, entry in enumerate(entries, start=1):
        grown.add(entry)
        fresh = Telling(entries[:number])
        assert known(grown, number) == known(fresh, number)
        assert standing(grown) == standing(fresh)
    for moment in range(1, len(entries), 3):  # and of the past what was so then
        assert known(grown, moment) == known(Telling(entries), moment)


def test_a_round_without_every_reading_differs_in_nothing_else(entries: tuple[Entry, ...]) -> None:
    whole, brief = standing(entries), standing(entries, every_reading=False)
    places = [
        msgspec.structs.replace(
            place,
            checks=tuple(
                msgspec.structs.replace(
                    check, readings=tuple(read for read in check.readings if read.struck)
                )
                for check in place.checks
            ),
        )
        for place in whole.places
    ]
    assert brief == msgspec.structs.replace(whole, places=tuple(places))


def test_the_last_reading_at_a_spot_that_still_counts_is_its_cell(tmp_path: Path) -> None:
    with grids(tmp_path / "book") as book:
        told = book.told
        a, b = told.cells("L.a", told.now), told.cells("L.b", told.now)
        reads = {key: [entry for _, entry in told.reads[key]] for key in ("L.a", "L.b")}
    # of a: four, read again, of which the last was struck; of b: three since it was worked on
    assert {entry.hash for entry in a.values()} == {
        entry.hash for entry in (*reads["L.a"][4:7], reads["L.a"][3])
    }
    assert list(b.values()) == reads["L.b"][4:]
