"""Hold points: what they hide, in what order they close, what opens again, what they refuse."""

from collections.abc import Iterator
from pathlib import Path

import msgspec
import pytest

from store.book import Book
from store.change import HoldAdded, NeverFitted
from store.codec import Entry
from store.errors import BadAct, BadPlan, NotProven
from store.evidence import Closed, Waiver
from store.plan import HoldPoint
from store.written import acts, bench_acts
from tests.store.bench_job import (
    begin,
    change,
    dial,
    fit,
    journal,
    note,
    read,
    say,
    sound,
    strike_last,
    unproven,
    waive,
)
from tests.store.small_job import WHO, file_photo, marks, new_book, plan, reading


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with begin(tmp_path / "book") as the_book:
        yield the_book
        assert sound(the_book)


def prove_caps(book: Book) -> None:
    journal(book)
    dial(book, "M1.bore", 0.052)
    waive(book, "caps", "M1.bolts")
    for location in ("J1", "M1"):
        file_photo(book, location)


def prove_galleries(book: Book) -> None:
    read(book, "G3.bore", 24.0)
    read(book, "G3.plug", 24.1)
    say(book, "G3.clean", True)
    note(book, "G3.sealant", "batch 7")
    bench_acts.log_debris(book, "G3", how="brushed and blown", clean=True, **WHO)
    fit(book, "plug-3", "bag 1")
    fit(book, "plug-4", "bag 2")


def close(book: Book, hold: str) -> Entry:
    return bench_acts.close(book, hold, **WHO)


def close_all(book: Book) -> None:
    prove_caps(book)
    close(book, "caps")
    prove_galleries(book)
    close(book, "lid")


def reopen(book: Book, hold: str) -> list[str]:
    entries = bench_acts.reopen(book, hold, "a rattle", **WHO)
    return [entry.evidence.hold_point for entry in entries]  # type: ignore[union-attr] # reopenings


def is_open(book: Book) -> dict[str, bool]:
    return {hold.hold_point.id: hold.closed is None for hold in book.round().holds}


def test_a_hold_point_hides_what_the_one_under_it_hides(book: Book) -> None:
    assert book.round().hold("lid").hides == ("J1", "M1", "G3", "G4")
    assert book.round().check("J1.size").hold_points == ("caps", "lid")
    waiting = unproven(book, "lid")
    assert waiting["caps"] == ["is hidden by it and must be closed first"]
    assert {"J1.size", "M1.gap", "G3.nip", "G3", "G4"} <= set(waiting)
    assert "OH1.cover" not in waiting
    assert waiting["G3"] == ["no debris log", "no plug is in"]
    assert waiting["G4"] == ["no plug is in"]  # it is no gallery


def test_the_one_underneath_is_closed_first_and_that_can_not_be_waived(book: Book) -> None:
    prove_caps(book)
    prove_galleries(book)
    with pytest.raises(NotProven, match="caps: is hidden by it and must be closed first"):
        close(book, "lid")
    with pytest.raises(BadAct, match="caps can't be waived"):
        waive(book, "lid", "caps")
    close(book, "caps")
    close(book, "lid")
    assert is_open(book) == {"caps": False, "lid": False}


def test_hold_points_three_deep_hide_transitively(book: Book) -> None:
    change(book, HoldAdded(HoldPoint("pan", "the sump", ("lid",))))
    assert book.round().hold("pan").hides == ("J1", "M1", "G3", "G4")
    close_all(book)
    close(book, "pan")
    assert reopen(book, "caps") == ["pan", "lid", "caps"]
    assert is_open(book) == {"caps": True, "lid": True, "pan": True}


def test_reopening_opens_what_lies_above_and_not_what_lies_below(book: Book) -> None:
    close_all(book)
    assert reopen(book, "lid") == ["lid"]
    assert is_open(book) == {"caps": False, "lid": True}
    close(book, "lid")
    assert reopen(book, "caps") == ["lid", "caps"]
    assert not book.round().check("J1.size").hidden
    assert [why for _, why in book.round().hold("lid").reopened] == ["a rattle", "a rattle"]


def test_what_is_not_closed_is_not_reopened_and_a_reopening_is_not_struck(book: Book) -> None:
    with pytest.raises(BadAct, match="caps is not closed"):
        reopen(book, "caps")
    with pytest.raises(BadPlan, match="no hold point 'pan'"):
        reopen(book, "pan")
    close_all(book)
    with pytest.raises(BadAct, match="needs its reason"):
        bench_acts.reopen(book, "lid", " ", **WHO)
    (entry,) = bench_acts.reopen(book, "lid", "a rattle", **WHO)
    with pytest.raises(BadAct, match="close the hold point again"):
        acts.strike(book, entry.hash, "it was another engine", **WHO)
    assert is_open(book)["lid"]


def test_after_a_rework_a_reopened_hold_point_asks_for_everything_again(book: Book) -> None:
    close_all(book)
    reopen(book, "lid")
    acts.rework(book, ("G3",), "honed", **WHO)
    waiting = unproven(book, "lid")
    assert waiting["G3"] == ["worked on since its debris log"]
    assert {"G3.bore", "G3.plug", "G3.nip", "G3.clean", "G3.sealant"} <= set(waiting)
    with pytest.raises(NotProven):
        close(book, "lid")


def test_behind_a_closed_hold_point_nothing_is_done(book: Book) -> None:
    close_all(book)
    before = len(book.entries())
    for act in (
        lambda: acts.rework(book, ("G3",), "honed", **WHO),
        lambda: acts.rework(book, ("G3.bore",), "honed", **WHO),
        lambda: acts.rework(book, ("OH1", "J1"), "honed", **WHO),
        lambda: fit(book, "plug-3", "bag 9"),
        lambda: bench_acts.take_out(book, "G4", **WHO),
        lambda: bench_acts.log_debris(book, "G3", how="brushed", clean=True, **WHO),
        lambda: change(book, NeverFitted("G4", "ab" * 32)),
    ):
        with pytest.raises(BadAct, match="which is closed: reopen it first"):
            act()
    with pytest.raises(BadAct, match="say when it was read"):
        read(book, "G3.bore", 24.0)
    assert len(book.entries()) == before


def test_a_reading_taken_before_may_still_be_entered_and_is_judged(book: Book) -> None:
    close_all(book)
    read(book, "G3.bore", 23.0, read_at="on paper, before the lid")
    assert unproven(book, "lid")["G3.nip"] == ["outside"]
    assert not is_open(book)["lid"]  # it is closed, and everybody can see over what
    strike_last(book, "G3.bore")
    assert unproven(book, "lid") == {}


def test_a_location_is_waived_for_what_was_missing_then_and_no_more(book: Book) -> None:
    close_caps_and_prove_all_but_debris(book)
    waive(book, "lid", "G3")
    assert "G3" not in unproven(book, "lid")
    bench_acts.take_out(book, "G3", **WHO)
    assert unproven(book, "lid")["G3"] == ["no debris log", "no plug is in"]
    fit(book, "plug-3", "bag 1")
    assert "G3" not in unproven(book, "lid")  # it is again as it was waived
    bench_acts.log_debris(book, "G3", how="brushed", clean=False, **WHO)
    assert unproven(book, "lid")["G3"] == ["its last debris log says not clean"]


def close_caps_and_prove_all_but_debris(book: Book) -> None:
    prove_caps(book)
    close(book, "caps")
    fit(book, "plug-3", "bag 1")
    fit(book, "plug-4", "bag 2")


def test_a_waiver_counts_for_what_hides_its_hold_point_and_not_for_what_that_hides(
    book: Book,
) -> None:
    waive(book, "lid", "M1.bolts")
    assert unproven(book, "caps")["M1.bolts"] == ["not measured"]
    prove_caps(book)
    acts.strike(book, waiver(book, "lid"), "given at the wrong hold point", **WHO)
    assert unproven(book, "caps") == {}
    assert "M1.bolts" not in unproven(book, "lid")
    assert [w.hold_point for w in book.round().hold("lid").waived] == ["caps"]


def waiver(book: Book, hold: str) -> str:
    given = [e for e in book.entries() if isinstance(e.evidence, Waiver)]
    return next(e.hash for e in given if e.evidence.hold_point == hold)


def test_a_location_waived_underneath_is_not_waived_for_more_above(book: Book) -> None:
    change(book, HoldAdded(HoldPoint("cup", "the plug", ("G3",), roles=("fitted",))))
    change(book, HoldAdded(HoldPoint("pan", "the sump", ("cup",), roles=("fitted",), debris=True)))
    fit(book, "plug-3", "bag 1")
    waive(book, "cup", "G3")
    assert "G3" not in unproven(book, "cup")
    assert unproven(book, "pan")["G3"] == ["no debris log"]
    assert [w.key for w in book.round().hold("pan").waived] == ["G3"]
    waive(book, "pan", "G3")
    assert "G3" not in unproven(book, "pan")


def test_a_photo_that_was_struck_is_asked_for_again(book: Book) -> None:
    prove_caps(book)
    acts.strike(book, book.entries()[-1].hash, "the wrong journal", **WHO)
    assert unproven(book, "caps") == {"M1": ["no photo: fitted"]}


# Closing and refusing


def test_a_refusal_keeps_what_was_missing_then(book: Book) -> None:
    with pytest.raises(NotProven) as refused:
        close(book, "caps")
    prove_caps(book)
    close(book, "caps")
    (told,) = book.round().hold("caps").refusals
    assert told.unproven == refused.value.unproven
    assert ("M1.bolts", "not measured") in told.unproven


def test_a_closing_struck_underneath_shows_in_the_one_above(book: Book) -> None:
    close_all(book)
    closing = next(
        e for e in book.entries()
        if isinstance(e.evidence, Closed) and e.evidence.hold_point == "caps"
    )  # fmt: skip
    acts.strike(book, closing.hash, "they were never on", **WHO)
    assert is_open(book) == {"caps": True, "lid": False}
    assert unproven(book, "lid") == {"caps": ["is hidden by it and must be closed first"]}
    with pytest.raises(BadAct, match="J1 lies behind lid"):
        acts.rework(book, ("J1",), "polished", **WHO)


def test_a_closed_hold_point_is_not_closed_twice_and_not_after_a_second_strike(book: Book) -> None:
    prove_caps(book)
    closing = close(book, "caps")
    with pytest.raises(BadAct, match="closed already"):
        close(book, "caps")
    reopen(book, "caps")
    waive(book, "caps", "M1.bolts")
    again = close(book, "caps")
    acts.strike(book, again.hash, "by mistake", **WHO)
    assert is_open(book)["caps"]  # the first closing was opened again since
    acts.strike(book, closing.hash, "by mistake too", **WHO)
    assert is_open(book)["caps"]


def test_a_location_behind_two_hold_points_side_by_side_needs_both_open(book: Book) -> None:
    change(book, HoldAdded(HoldPoint("cover", "the front cover", ("J1",))))
    prove_caps(book)
    close(book, "caps")
    close(book, "cover")
    assert reopen(book, "caps") == ["caps"]
    with pytest.raises(BadAct, match="J1 lies behind cover"):
        acts.rework(book, ("J1",), "polished", **WHO)


def test_a_reopening_ends_the_waivers_that_were_given_for_it(book: Book) -> None:
    prove_caps(book)
    assert unproven(book, "caps") == {}
    close(book, "caps")
    reopen(book, "caps")
    assert unproven(book, "caps")["M1.bolts"] == ["not measured"]


def test_a_photo_that_came_in_behind_a_closed_hold_point_proves_nothing_there(
    tmp_path: Path,
) -> None:
    the_plan = msgspec.structs.replace(
        plan(), hold_points=(HoldPoint("lid", "the lid", ("OH2",)),), gauges=plan().gauges
    )
    with new_book(tmp_path / "book", the_plan) as book:
        early = file_photo(book, "OH2", "with scale", b"before")
        acts.record_marks(book, marks(early), **WHO)
        for key in ("OH2.deep", "OH2.other"):
            acts.record_reading(book, reading(key, 5.0), **WHO)
        for key in dict(book.round().hold("lid").unproven):
            bench_acts.waive(
                book, "lid", key, reason="r", decided_by="d", owner_agreed="by letter", **WHO
            )
        bench_acts.close(book, "lid", **WHO)
        late = file_photo(book, "OH2", "with scale", b"after")
        with pytest.raises(BadAct, match="came in after that was closed"):
            acts.record_marks(book, marks(late), **WHO)
        acts.record_marks(book, marks(early, x_px=91.0), **WHO)
        assert len(book.round().check("OH2.cover").attempts) == 2
