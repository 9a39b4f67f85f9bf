"""What the hand is asked before it goes on: slips by what is known here, fits that look wrong."""

from collections.abc import Iterator
from pathlib import Path

import msgspec
import pytest

from capture.hand import fit_hints, suspected_slips
from capture.readings import read_of
from store.book import Book
from store.change import CheckAdded, LimitSet
from store.characteristic import Limit, Spot
from store.written import acts
from tests.store.bench_job import OWN, begin, change, computed, journal, length, mm, read
from tests.store.small_job import WHO, reading


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with begin(tmp_path / "book") as the_book:
        yield the_book


def asked(book: Book, key: str, text: str, spot: Spot | None = None) -> tuple[str, ...]:
    return suspected_slips(book.told, read_of(book.plan, key, text, spot=spot or Spot()))


def test_the_first_reading_without_a_limit_is_never_asked_about(book: Book) -> None:
    for text in ("24.02 mm", "2.402 mm", "0.9457 in", "240 mm"):
        assert asked(book, "G3.bore", text) == ()


def test_a_reading_far_from_the_one_before_is_asked_about(book: Book) -> None:
    read(book, "G3.bore", 24.02)
    assert asked(book, "G3.bore", "24.03 mm") == ()
    (question,) = asked(book, "G3.bore", "2.402 mm")
    assert "a tenth of what was read here before" in question


def test_a_spot_is_compared_with_the_other_spots_of_the_grid(book: Book) -> None:
    journal(book)
    assert asked(book, "J1.size", "59.984 mm", Spot("rear", "Y")) == ()
    (question,) = asked(book, "J1.size", "59.482 mm", Spot("rear", "Y"))
    # one turn of a metric thimble is 0.5 mm
    assert "0.5" in question


def test_a_two_sided_limit_is_something_to_compare_with(book: Book) -> None:
    change(book, LimitSet("G3.bore", Limit(OWN, mm(23.9), mm(24.1))))
    assert asked(book, "G3.bore", "24.02 mm") == ()
    assert asked(book, "G3.bore", "2.402 mm")


def test_words_are_never_asked_about(book: Book) -> None:
    assert asked(book, "G3.clean", "yes") == ()
    assert asked(book, "G3.sealant", "batch 7") == ()


# Fits


def test_a_part_of_another_size_than_its_bore_is_told_from_either_side(book: Book) -> None:
    read(book, "G3.bore", 24.0)
    assert fit_hints(book.told, "G3.bore") == ()
    read(book, "G3.plug", 25.4)
    for key in ("G3.bore", "G3.plug"):
        (hint,) = fit_hints(book.told, key)
        assert hint.startswith("the part is 25.40 mm, the bore 24.00 mm")
    read(book, "G3.plug", 24.1)
    assert fit_hints(book.told, "G3.plug") == ()


def test_a_clearance_written_bore_minus_journal_names_them_the_right_way_round(
    book: Book,
) -> None:
    journal(book)
    read(book, "M1.bore", 63.0, gauge="MIC-2")
    (hint,) = fit_hints(book.told, "M1.bore")
    assert hint.startswith("the part is 59.98 mm, the bore 63.00 mm")


def test_what_asks_for_no_fit_gives_no_hint(book: Book) -> None:
    change(book, CheckAdded("G3", computed("far", "G3.plug - G3.bore + 30 mm")))
    change(book, CheckAdded("G3", computed("wide", "G3.plug + G3.bore", limit=Limit(
        OWN, at_most=mm(0.1)))))  # fmt: skip
    change(book, CheckAdded("G3", length("lone")))
    read(book, "G3.lone", 3.0)
    assert fit_hints(book.told, "G3.lone") == ()
    read(book, "G3.bore", 24.0)
    read(book, "G3.plug", 30.0)
    assert len(fit_hints(book.told, "G3.plug")) == 1  # the nip alone


def test_a_formula_that_mixes_kinds_is_no_fit_and_does_not_fail(book: Book) -> None:
    turns = msgspec.structs.replace(length("turns"), kind="count", unit="count")
    change(book, CheckAdded("G3", turns))
    tight = Limit(OWN, at_most=mm(0.1))
    mixed = computed("mixed", "G3.bore - G3.bore * G3.turns / 1 count", limit=tight)
    change(book, CheckAdded("G3", mixed))
    read(book, "G3.bore", 24.0)
    acts.record_reading(book, reading("G3.turns", 4.0, unit="count", half_step=0.0), **WHO)
    assert fit_hints(book.told, "G3.turns") == ()
