"""The entries sorted by what they speak of, and what counted at any moment."""

from collections.abc import Iterator
from pathlib import Path

import msgspec
import pytest

from store.book import Book
from store.change import LimitSet, LocationRenamed
from store.characteristic import Spot
from store.evidence import PlanChanged, Struck
from store.plan import Location
from store.told.telling import Telling
from store.verify import verify
from store.written import acts
from tests.store.bench_job import (
    begin,
    change,
    computed,
    dial,
    journal,
    length,
    limit,
    plan,
    read,
    sound,
    strike_last,
    zero_on,
)
from tests.store.small_job import WHO
from tests.store.whole_job import whole_job


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with begin(tmp_path / "book") as the_book:
        yield the_book
        assert sound(the_book)


def counted(told: Telling, key: str, upto: int) -> str:
    entry = told.counting(key, upto)
    return entry.hash if entry else ""


def test_what_counted_at_a_moment_never_changes_with_what_comes_later(tmp_path: Path) -> None:
    whole_job(tmp_path / "book")
    with Book.open(tmp_path / "book", read_only=True) as book:
        entries = book.entries()
    told, then = Telling(), []
    for entry in entries:
        told.add(entry)
        keys = told.wiring_at(told.now).checks
        then.append({key: counted(told, key, told.now) for key in keys})
    whole = Telling(entries)
    for upto, seen in enumerate(then, start=1):
        for key, digest in seen.items():
            assert counted(whole, key, upto) == digest
            assert counted(told, key, upto) == digest
        assert told.plan_at(upto) == Telling(entries[:upto]).plan


def test_a_strike_counts_from_the_moment_it_arrived(book: Book) -> None:
    read(book, "G3.bore", 24.0)
    read(book, "G3.bore", 24.1)
    strike_last(book, "G3.bore")
    told = book.told
    values = [e.evidence.quantity.value if (e := told.counting("G3.bore", upto)) else None
              for upto in range(1, told.now + 1)]  # fmt: skip
    assert values == [None, 24.0, 24.1, 24.0]


def test_a_plan_holds_from_the_entry_after_its_change(book: Book) -> None:
    read(book, "G3.bore", 24.0)
    change(book, LocationRenamed("G3", "rear"))
    assert book.told.plan_at(2).location("G3").name == "third gallery plug"
    assert book.told.plan_at(3).location("G3").name == "rear"


def test_the_verdict_of_a_moment_is_that_of_the_limit_of_then(book: Book) -> None:
    read(book, "G3.bore", 24.0)
    read(book, "G3.plug", 24.3)
    before = book.told.now
    change(book, LimitSet("G3.nip", limit(0.5)))
    nip = book.told.counting("G3.nip", book.told.now)
    assert nip is not None
    states = [
        judging[1].evidence.verdict.state  # type: ignore[union-attr] # a Judged
        for upto in (before, book.told.now)
        if (judging := book.told.verdict_on(nip.hash, upto))
    ]
    assert states == ["outside", "within"]


def test_a_change_that_does_not_fit_is_passed_over_and_verify_names_it(tmp_path: Path) -> None:
    with begin(tmp_path / "other") as book:
        book.append(PlanChanged(LocationRenamed("G9", "ninth")), **WHO)
        assert book.plan == book.told.plan_at(1)
        assert [f.code for f in verify(book.root)] == ["not-in-plan"]


# Gauges that read a difference


def test_the_size_is_the_zero_and_the_dial_in_the_direction_said(book: Book) -> None:
    journal(book)
    check = dial(book, "M1.bore", 0.052)
    assert check.value is not None
    assert check.value.value == pytest.approx(60.034)
    smaller = read(book, "M1.bore", 0.01, gauge="BG-1", zero=zero_on(book, "J1.size"),
                   direction="smaller")  # fmt: skip
    assert smaller.value is not None
    assert smaller.value.value == pytest.approx(59.972)
    same = read(book, "M1.bore", 0.0, gauge="BG-1", zero=zero_on(book, "J1.size"),
                direction="same")  # fmt: skip
    assert same.value is not None
    assert same.value.value == pytest.approx(59.982)


def test_the_mics_own_error_cancels_in_bore_minus_journal(book: Book) -> None:
    """JCGM 100:2008 5.2.2: an error that both have in common drops out of their difference."""
    journal(book)
    dial(book, "M1.bore", 0.052)
    rounds = book.round()
    bore, gap = rounds.check("M1.bore").value, rounds.check("M1.gap").value
    assert bore is not None
    assert gap is not None
    # what is left: the dial's rounding of 0.0005 either way and its error of 0.001, rectangles
    assert gap.value == pytest.approx(0.052)
    assert gap.u == pytest.approx((0.0005**2 / 3 + 0.001**2 / 3) ** 0.5, rel=1e-3)
    # the bore alone has the mic's 0.002 in it too
    assert bore.u > 0.002 / 3**0.5


@pytest.mark.parametrize("axes", [(), ("X", "Y")])
def test_a_warm_journal_and_a_warm_bore_are_each_corrected_once(
    tmp_path: Path, axes: tuple[str, ...]
) -> None:
    """ISO 1: L (a_part - a_gauge) dT; per kelvin 21.5e-6 (see test_worth) and 11.5e-6 (GUM H.1)."""
    warm = {"part_c": 30.0, "gauge_c": 30.0}
    checks = (
        length("journal", material="aluminium 356", axes=axes),
        length("bore", material="aluminium 356"),
        computed("gap", "L.bore - L.journal"),
    )
    the_plan = msgspec.structs.replace(
        plan(), locations=(Location("L", "l", checks),), hold_points=(), parts=()
    )
    with begin(tmp_path / "warm", the_plan) as book:
        for axis in axes or ("",):
            read(book, "L.journal", 60.0, gauge="MIC-2", spot=Spot(axis=axis), **warm)
        journal_20 = book.round().check("L.journal").value
        assert journal_20 is not None
        assert journal_20.value == pytest.approx(60.0 * (1 - 1e-4), abs=1e-9)
        bore = dial(book, "L.bore", 0.05, on="L.journal", **warm).value
        assert bore is not None
        assert bore.value == pytest.approx(60.05 * (1 - 1e-4), abs=1e-9)
        gap = book.round().check("L.gap").value
        assert gap is not None
        assert gap.value == pytest.approx(0.05 * (1 - 1e-4), abs=1e-9)
        assert sound(book)


def test_a_struck_zero_takes_the_reading_on_it_along(book: Book) -> None:
    read(book, "G3.bore", 24.0)
    dial(book, "M1.bore", 0.052, on="G3.bore")
    strike_last(book, "G3.bore")
    check = book.round().check("M1.bore")
    assert (check.state, check.why) == (
        "not measured", "its gauge was zeroed on G3.bore, which was struck",
    )  # fmt: skip


def test_a_struck_reading_of_the_grid_it_was_zeroed_on_takes_it_along(book: Book) -> None:
    journal(book)
    dial(book, "M1.bore", 0.052)
    strike_last(book, "J1.size")
    assert book.round().check("M1.bore").why == "its gauge was zeroed on J1.size, which was struck"
    assert book.round().check("M1.gap").state == "not measured"


def test_a_zero_read_again_does_not_void_what_was_set_on_it(book: Book) -> None:
    read(book, "G3.bore", 24.0)
    dial(book, "M1.bore", 0.052, on="G3.bore")
    read(book, "G3.bore", 24.5)
    assert book.round().check("M1.bore").state == "no limit"


def test_two_zeros_deep_a_strike_still_reaches(book: Book) -> None:
    read(book, "G3.bore", 24.0)
    dial(book, "M1.bore", 0.05, on="G3.bore")
    dial(book, "G3.plug", 0.02, on="M1.bore")
    bore = next(e for e in book.entries() if e.kind == "reading")
    acts.strike(book, bore.hash, "read at another bore", **WHO)
    assert book.round().check("G3.plug").state == "not measured"
    assert isinstance(book.entries()[-1].evidence, Struck)
