"""Grids at the bench: any order, read again, struck; the number follows whatever changes."""

import itertools
from collections.abc import Iterator
from pathlib import Path

import pytest

from store.book import Book
from store.characteristic import Spot
from store.errors import BadAct
from store.evidence import Derived, Judged, Read
from store.plan import Plan
from store.written import acts
from store.written.acts import next_spot
from tests.store.bench_job import JOURNAL, begin, dial, journal, length, plan, read, strike_last
from tests.store.small_job import WHO

X_FRONT, Y_FRONT = Spot("front", "X"), Spot("front", "Y")
X_REAR, Y_REAR = Spot("rear", "X"), Spot("rear", "Y")


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with begin(tmp_path / "book") as the_book:
        yield the_book


def value(book: Book, key: str) -> float | None:
    quantity = book.round().check(key).value
    return quantity.value if quantity else None


def cell(book: Book, spot: Spot, size: float) -> None:
    read(book, "J1.size", size, spot=spot, gauge="MIC-2")


@pytest.mark.parametrize("order", list(itertools.permutations(JOURNAL))[::5])
def test_any_order_gives_the_same_mean_and_only_when_the_last_spot_is_read(
    book: Book, order: tuple[tuple[str, str], ...]
) -> None:
    for done, (position, axis) in enumerate(order, start=1):
        assert book.round().check("J1.size").state == "not measured"
        cell(book, Spot(position, axis), JOURNAL[position, axis])
        if done < 4:
            assert book.round().check("J1.size").why == f"{done} of 4 readings"
    # the mean of 59.981, 59.985, 59.979 and 59.983, by hand
    assert value(book, "J1.size") == pytest.approx(59.982)
    # out-of-round: the larger of |59.981 - 59.985| and |59.979 - 59.983|, by hand
    assert value(book, "J1.round") == pytest.approx(0.004)
    assert len([e for e in book.entries() if isinstance(e.evidence, Judged)]) == 2


def test_the_next_spot_is_the_first_without_a_reading(book: Book) -> None:
    assert next_spot(book.told, "J1.size") == X_FRONT
    cell(book, X_FRONT, 59.981)
    cell(book, X_REAR, 59.979)
    assert next_spot(book.told, "J1.size") == Y_FRONT
    assert book.round().check("J1.size").missing == (Y_FRONT, Y_REAR)
    strike_last(book, "J1.size")
    assert book.round().check("J1.size").missing == (Y_FRONT, X_REAR, Y_REAR)


def test_a_spot_read_again_moves_the_number_and_both_readings_stay(book: Book) -> None:
    journal(book)
    cell(book, X_FRONT, 59.973)
    assert value(book, "J1.size") == pytest.approx(59.98)
    assert value(book, "J1.round") == pytest.approx(0.012)
    check = book.round().check("J1.size")
    at_front = [
        a for a in check.readings if isinstance(a.record, Read) and a.record.spot == X_FRONT
    ]
    assert [(a.value.value, a.void) for a in at_front if a.value] == [
        (59.981, "replaced by a later one"), (59.973, ""),
    ]  # fmt: skip
    assert len(check.cells) == 4
    assert [a.void for a in check.attempts] == ["J1.size was replaced by a later one", ""]


def test_striking_the_second_reading_of_a_spot_brings_the_earlier_number_back(book: Book) -> None:
    journal(book)
    before = (value(book, "J1.size"), value(book, "J1.round"))
    entries = len(book.entries())
    cell(book, X_FRONT, 59.99)
    strike_last(book, "J1.size")
    assert (value(book, "J1.size"), value(book, "J1.round")) == before
    # reading, two derived, two verdicts, a strike: the earlier values are not worked out anew
    assert len(book.entries()) == entries + 6


def test_striking_one_of_four_leaves_nothing_worked_out(book: Book) -> None:
    journal(book)
    dial(book, "M1.bore", 0.052)
    strike_last(book, "J1.size")
    check = book.round().check("J1.size")
    assert (check.state, check.why) == ("not measured", "3 of 4 readings")
    for key in ("J1.round", "M1.gap"):
        assert book.round().check(key).state == "not measured"
    cell(book, Y_REAR, 59.983)
    assert book.round().check("J1.round").state == "within"


def test_the_decisive_readings_are_those_of_the_worst_position(book: Book) -> None:
    journal(book, {**JOURNAL, ("rear", "X"): 59.971})
    derived = book.round().check("J1.round").current
    assert derived is not None
    assert isinstance(derived.record, Derived)
    spots = [book.entry(digest).evidence.spot for digest in derived.record.decisive]  # type: ignore[union-attr] # readings
    assert set(spots) == {X_REAR, Y_REAR}
    mean = book.round().check("J1.size").current
    assert mean is not None
    assert isinstance(mean.record, Derived)
    assert mean.record.decisive == ()  # all did alike
    assert len(mean.record.from_entries) == 4


def test_a_spot_that_the_grid_does_not_have_is_refused(book: Book) -> None:
    for spot in (Spot(), Spot("middle", "X"), Spot("front", "X", 2)):
        with pytest.raises(BadAct, match="front, X; front, Y; rear, X; rear, Y"):
            cell(book, spot, 59.98)
    with pytest.raises(BadAct, match="one reading only"):
        read(book, "G3.bore", 24.0, spot=Spot("top"))
    assert len(book.entries()) == 1


def test_a_single_reading_of_a_grid_is_not_judged(book: Book) -> None:
    cell(book, X_FRONT, 61.0)  # far outside the limit of the mean
    assert [e.kind for e in book.entries()] == ["job started", "reading"]


def test_repeats_at_one_spot_are_a_grid_and_the_taken_number_is_theirs(tmp_path: Path) -> None:
    checks = (
        length("deep", repeats=3),
        length("span", repeats=3, take="range"),
        length("most", positions=("one", "two"), repeats=2, take="largest"),
        length("cone", positions=("top", "low"), axes=("X", "Y"), take="taper"),
    )
    here = plan().locations[3].__class__(id="L", name="l", characteristics=checks)
    with begin(tmp_path / "b", Plan(job=plan().job, locations=(here,))) as book:
        for repeat, size in enumerate((4.0, 4.3, 4.1), start=1):
            read(book, "L.deep", size, spot=Spot(repeat=repeat))
            read(book, "L.span", size, spot=Spot(repeat=repeat))
        for check, sizes in {
            "L.most": {("one", "", 1): 5.0, ("one", "", 2): 5.2, ("two", "", 1): 5.3,
                       ("two", "", 2): 4.7},
            "L.cone": {("top", "X", 1): 9.02, ("top", "Y", 1): 9.0, ("low", "X", 1): 8.99,
                       ("low", "Y", 1): 9.01},
        }.items():  # fmt: skip
            for (position, axis, repeat), size in sizes.items():
                read(book, check, size, spot=Spot(position, axis, repeat))
        assert value(book, "L.deep") == pytest.approx(4.4 / 3 + 2 * 4.0 / 3)  # 12.4 / 3
        assert value(book, "L.span") == pytest.approx(0.3)
        assert value(book, "L.most") == pytest.approx(5.1)  # means of repeats: 5.1 and 5.0
        assert value(book, "L.cone") == pytest.approx(0.03)  # along X 0.03, along Y 0.01


def test_derived_values_follow_when_a_reading_far_below_changes(book: Book) -> None:
    journal(book)
    dial(book, "M1.bore", 0.052)
    assert value(book, "M1.gap") == pytest.approx(0.052)
    assert book.round().check("M1.gap").state == "within"
    for spot in (X_FRONT, Y_FRONT, X_REAR, Y_REAR):
        cell(book, spot, 60.022)
    # the bore was measured while the journal was thought to be 59.982, and stays what it was
    assert value(book, "M1.bore") == pytest.approx(60.034)
    assert value(book, "M1.gap") == pytest.approx(0.012)
    assert book.round().check("M1.gap").state == "outside"


def test_a_reading_is_kept_whole_with_all_that_follows_or_not_at_all(
    book: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    for spot in (X_FRONT, Y_FRONT, X_REAR):
        cell(book, spot, 59.98)
    before = [e.hash for e in book.entries()]

    def fail(*_: object, **__: object) -> None:
        raise RuntimeError("the power went")

    monkeypatch.setattr("store.written.acts.work_out", fail)
    with pytest.raises(RuntimeError):
        cell(book, Y_REAR, 59.98)
    monkeypatch.undo()
    assert [e.hash for e in book.entries()] == before
    assert book.round().check("J1.size").why == "3 of 4 readings"
    cell(book, Y_REAR, 59.98)
    assert value(book, "J1.size") == pytest.approx(59.98)
    acts.strike(book, book.entries()[4].hash, "wrong", **WHO)
