"""A gauge found out of true lists every reading it touched, and what rests on those is unproven."""

from collections.abc import Iterator
from pathlib import Path

import msgspec
import pytest

from store.book import Book
from store.change import GaugeSet
from store.errors import BadAct, BadPlan, NotProven
from store.evidence import GaugeSuspected, Read
from store.told.suspicion import touched_by
from store.written import acts, bench_acts, plan_acts
from tests.store.bench_job import begin, dial, journal, plan, read, strike_last, unproven
from tests.store.small_job import WHO, file_photo

EARLY = {"at": "2026-02-01T10:00:00+01:00", "by": "R. Tamm"}


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with begin(tmp_path / "book") as the_book:
        yield the_book


def suspect(book: Book, gauge: str = "MIC-2", since: str = "2026-03-01") -> None:
    bench_acts.suspect_gauge(book, gauge, since=since, reason="it was dropped", **WHO)


def suspects(book: Book) -> dict[str, str]:
    return {check.key: check.suspect for check in book.round().checks if check.suspect}


def touched(book: Book, gauge: str = "MIC-2") -> set[str]:
    (state,) = (state for state in book.round().gauges if state.gauge.id == gauge)
    return {book.entry(digest).evidence.key for digest in state.touched}  # type: ignore[union-attr] # values


def test_it_reaches_the_reading_the_grid_the_formula_and_what_was_zeroed_on_it(book: Book) -> None:
    journal(book)
    dial(book, "M1.bore", 0.052)
    read(book, "G3.bore", 24.0, gauge="CAL-1")
    suspect(book)
    assert set(suspects(book)) == {"J1.size", "J1.round", "M1.bore", "M1.gap"}
    assert set(suspects(book).values()) == {"MIC-2 is suspect since 2026-03-01: it was dropped"}
    assert touched(book) == {"J1.size", "J1.round", "M1.bore", "M1.gap"}
    assert all(a.suspect for a in book.round().check("J1.size").readings)


def test_a_gauge_set_on_another_falls_with_it_and_not_the_other_way_round(book: Book) -> None:
    journal(book)
    dial(book, "M1.bore", 0.052)
    suspect(book, "BG-1")
    assert set(suspects(book)) == {"M1.bore", "M1.gap"}


def test_what_it_was_set_on_when_it_read_counts_though_the_register_changed(book: Book) -> None:
    read(book, "M1.bore", 60.04, gauge="BG-1")
    other = msgspec.structs.replace(plan().gauge("BG-1"), set_on="")
    plan_acts.change_plan(book, GaugeSet(other), **WHO)
    suspect(book)
    assert set(suspects(book)) == {"M1.bore"}


@pytest.mark.parametrize(
    ("since", "read_at", "is_suspect"),
    [
        ("2026-03-02", "", True),  # entered 2026-03-02 at 09:00+01:00
        ("2026-03-03", "", False),
        ("2026-03-02T09:00", "", True),  # the bench's own clock, whatever its zone
        ("2026-03-02T09:01", "", False),
        ("2026-03-02T08:00+00:00", "", True),  # the same moment in another zone
        ("2026-03-02T08:01+00:00", "", False),
        ("2026-03-02T09:00+02:00", "", True),
        ("2026-03-02", "2026-03-01T23:59", False),
        ("2026-03-02", "2026-03-01", False),
        ("2026-03-01T15:00", "2026-03-01", True),  # that day, nobody knows at what hour
        ("2026-03-01T15:00", "2026-03-01T14:00", False),
        ("2026-03-02", "before lunch", True),  # words say nothing: the entry's time counts
        ("2026-03-03", "before lunch", False),
        ("2026-03-02", "2026-03-02T07:00:00-05:00", True),
    ],
)
def test_since_when(book: Book, since: str, read_at: str, is_suspect: bool) -> None:
    read(book, "G3.bore", 24.0, gauge="CAL-1", read_at=read_at)
    suspect(book, "CAL-1", since)
    assert bool(book.round().check("G3.bore").suspect) is is_suspect
    assert touched(book, "CAL-1") == ({"G3.bore"} if is_suspect else set())


def test_a_second_suspicion_does_not_take_back_an_earlier_date(book: Book) -> None:
    record = Read(key="G3.bore", text="24 mm", quantity=None, exact="24", gauge="CAL-1")
    worth = read(book, "G3.bore", 24.0).value
    acts.record_reading(book, msgspec.structs.replace(record, quantity=worth), **EARLY)
    suspect(book, "CAL-1", "2026-01-15")
    suspect(book, "CAL-1", "2026-03-01")
    assert set(suspects(book)) == {"G3.bore"}
    (state,) = (s for s in book.round().gauges if s.gauge.id == "CAL-1")
    assert (state.since, len(state.touched)) == ("2026-01-15", 1)
    bench_acts.clear_gauge(book, "CAL-1", reason="checked on the ring, good", **WHO)
    assert suspects(book) == {}


def test_what_the_later_suspicion_alone_reaches_is_listed_once(book: Book) -> None:
    read(book, "G3.bore", 24.0, gauge="CAL-1")
    for since in ("2026-03-01", "2026-03-02"):
        suspect(book, "CAL-1", since)
    (state,) = (s for s in book.round().gauges if s.gauge.id == "CAL-1")
    assert (len(state.touched), state.since) == (1, "2026-03-01")
    assert state.suspect == "it was dropped"


def test_it_is_cleared_with_a_reason_and_either_can_be_struck(book: Book) -> None:
    journal(book)
    with pytest.raises(BadAct, match="MIC-2 is not suspect"):
        bench_acts.clear_gauge(book, "MIC-2", reason="good", **WHO)
    suspect(book)
    with pytest.raises(BadAct, match="needs its reason"):
        bench_acts.clear_gauge(book, "MIC-2", reason=" ", **WHO)
    cleared = bench_acts.clear_gauge(book, "MIC-2", reason="good on the ring", **WHO)
    assert suspects(book) == {}
    acts.strike(book, cleared.hash, "that was another mic", **WHO)
    assert set(suspects(book)) == {"J1.size", "J1.round"}
    raised = next(e for e in book.entries() if isinstance(e.evidence, GaugeSuspected))
    acts.strike(book, raised.hash, "it was the other mic that fell", **WHO)
    assert suspects(book) == {}


def test_a_reading_taken_again_with_another_gauge_is_free_of_it(book: Book) -> None:
    read(book, "G3.bore", 24.0, gauge="CAL-1")
    suspect(book, "CAL-1")
    read(book, "G3.bore", 24.0)
    assert suspects(book) == {}
    strike_last(book, "G3.bore")
    assert set(suspects(book)) == {"G3.bore"}


@pytest.mark.parametrize("since", ["", "last week", "2026-13-01", "10:40"])
def test_a_date_that_is_none_is_refused(book: Book, since: str) -> None:
    before = len(book.entries())
    with pytest.raises(BadAct, match="is no date"):
        suspect(book, since=since)
    with pytest.raises(BadPlan, match="no gauge"):
        suspect(book, "MIC-9")
    assert len(book.entries()) == before


def prove_caps(book: Book) -> None:
    journal(book)
    dial(book, "M1.bore", 0.052)
    for location in ("J1", "M1"):
        file_photo(book, location)
    bench_acts.waive(
        book, "caps", "M1.bolts", reason="by feel", decided_by="R. Tamm",
        owner_agreed="by letter", **WHO,
    )  # fmt: skip


def test_a_hold_point_refuses_what_rests_on_it_and_a_waiver_before_does_not_help(
    book: Book,
) -> None:
    prove_caps(book)
    assert unproven(book, "caps") == {}
    suspect(book)
    with pytest.raises(NotProven, match=r"J1\.size: within: MIC-2 is suspect since 2026-03-01"):
        bench_acts.close(book, "caps", **WHO)
    assert set(unproven(book, "caps")) == {"J1.size", "J1.round", "M1.bore", "M1.gap"}


def waive(book: Book, key: str) -> None:
    bench_acts.waive(
        book, "caps", key, reason="no time", decided_by="R. Tamm", owner_agreed="by phone", **WHO
    )


def test_a_waiver_given_before_falls_and_one_given_after_stands(book: Book) -> None:
    journal(book, {("front", "X"): 59.9, ("front", "Y"): 59.981, ("rear", "X"): 59.9,
                   ("rear", "Y"): 59.981})  # fmt: skip
    assert book.round().check("J1.round").state == "outside"
    waive(book, "J1.round")
    assert book.round().check("J1.round").waiver
    suspect(book)
    assert not book.round().check("J1.round").waiver
    waive(book, "J1.round")
    assert book.round().check("J1.round").waiver
    bench_acts.clear_gauge(book, "MIC-2", reason="good on the ring", **WHO)
    # the first was given for an outside by a good gauge, the second for one by a doubtful gauge
    assert [w.stands for w in book.round().check("J1.round").waivers] == [True, False]


def test_every_reading_of_a_gauge_can_be_asked_for(book: Book) -> None:
    journal(book)
    dial(book, "M1.bore", 0.052)
    assert len(touched_by(book.told, "MIC-2")) == 8  # four, mean, roundness, bore, gap
    assert len(touched_by(book.told, "BG-1")) == 2
    assert touched_by(book.told, "MIC-2", "2026-03-03") == ()
