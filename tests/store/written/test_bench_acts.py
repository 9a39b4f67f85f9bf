"""The acts that give no value: one entry with its words, or refused and nothing kept."""

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from store.book import Book
from store.characteristic import Spot
from store.errors import BadAct, BadPlan, PhotoMissing, StoreError
from store.evidence import DebrisLogged, OwnerSaid, Read, SlipAsked, Zero
from store.written import acts, bench_acts
from tests.store.bench_job import begin, dial, journal, mm, read, sound
from tests.store.small_job import WHO, file_photo, reading


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with begin(tmp_path / "book") as the_book:
        yield the_book
        assert sound(the_book)


Act = Callable[[Book], Any]

REFUSED: list[tuple[Act, type[StoreError], str]] = [
    (lambda b: bench_acts.owner_said(b, OwnerSaid("told", " ", "phone"), **WHO), BadAct,
     "needs its words"),
    (lambda b: bench_acts.owner_said(b, OwnerSaid("told", "go on", " "), **WHO), BadAct,
     "how it was given"),
    (lambda b: bench_acts.log_debris(b, "G4", how="brushed", clean=True, **WHO), BadAct,
     "G4 is no gallery by the plan"),
    (lambda b: bench_acts.log_debris(b, "G3", how=" ", clean=True, **WHO), BadAct,
     "a debris log needs its words"),
    (lambda b: bench_acts.log_debris(b, "G9", how="brushed", clean=True, **WHO), BadPlan,
     "no location 'G9'"),
    (lambda b: bench_acts.take_out(b, "G9", **WHO), BadPlan, "no location 'G9'"),
    (lambda b: bench_acts.suspect_gauge(b, "MIC-2", since="2026-03-01", reason=" ", **WHO), BadAct,
     "needs its reason"),
    (lambda b: bench_acts.clear_gauge(b, "MIC-9", reason="good", **WHO), BadPlan, "no gauge"),
    (lambda b: acts.withdraw(b, SlipAsked("G9.x", "1", ("ten",), "withdrawn"), **WHO), BadPlan,
     "no check 'G9.x'"),
    (lambda b: acts.withdraw(b, SlipAsked("J1.size", "1", ("ten",), "withdrawn"), **WHO), BadAct,
     "J1.size has no reading at ''"),
    (lambda b: read(b, "OH1.cover", 0.3, unit="1"), BadAct, "is measured on a photo"),
    (lambda b: read(b, "G3.bore", 24.0, answer=True), BadAct, "does not ask for yes or no"),
    (lambda b: read(b, "G3.clean", 24.0, answer=True), BadAct, "asks for words"),
    (lambda b: acts.record_reading(b, Read("G3.sealant", " ", None), **WHO), BadAct,
     "asks for words"),
    (lambda b: read(b, "G3.bore", 24.0, gauge="MIC-9"), BadPlan, "no gauge 'MIC-9'"),
    (lambda b: read(b, "G3.bore", 24.0, photos=("ab" * 32,)), PhotoMissing, "is not filed"),
    (lambda b: read(b, "G3.bore", 1.0, exact="9" * 400), StoreError, "number"),
]  # fmt: skip


@pytest.mark.parametrize(("act", "error", "words"), REFUSED)
def test_what_can_not_be_done_is_refused_and_nothing_is_kept(
    book: Book, act: Act, error: type[StoreError], words: str
) -> None:
    with pytest.raises(error, match=words):
        act(book)
    assert len(book.entries()) == 1


def test_what_passed_with_the_owner_is_told_in_order_and_can_be_struck(book: Book) -> None:
    for about, words in (("instruction", "bore no further"), ("declined", "new shells")):
        said = OwnerSaid(about, words, "by letter of 1 March", "Ilves")  # type: ignore[arg-type] # the two
        bench_acts.owner_said(book, said, **WHO)
    acts.strike(book, book.entries()[-1].hash, "he took it back", **WHO)
    told = book.round().owner
    assert [(t.record.words, bool(t.struck)) for t in told] == [  # type: ignore[union-attr] # owner
        ("bore no further", False), ("new shells", True),
    ]  # fmt: skip


def test_debris_logs_are_kept_in_order_with_what_was_found(book: Book) -> None:
    bench_acts.log_debris(book, "G3", how="blown", clean=False, found="two chips", **WHO)
    bench_acts.log_debris(book, "G3", how="brushed", clean=True, **WHO)
    logs = [told.record for told in book.round().place("G3").debris]
    assert logs == [
        DebrisLogged("G3", "blown", False, "two chips"), DebrisLogged("G3", "brushed", True),
    ]  # fmt: skip


def test_a_slip_asked_about_and_its_reading_are_kept_together_or_not_at_all(book: Book) -> None:
    asked = SlipAsked("G3.bore", "2.4", ("about a tenth",), "stands", words="it is a small one")
    acts.record_reading(book, reading("G3.bore", 2.4), asked=asked, **WHO)
    assert [e.kind for e in book.entries()] == ["job started", "slip asked", "reading"]
    (slip,) = book.round().check("G3.bore").slips
    assert slip.record == asked
    with pytest.raises(BadAct):
        acts.record_reading(book, reading("J1.size", 60.0), asked=asked, **WHO)
    assert len(book.entries()) == 3


def test_a_withdrawn_slip_is_kept_without_a_reading(book: Book) -> None:
    asked = SlipAsked("J1.size", "6.0", ("a tenth",), "withdrawn", Spot("front", "X"))
    acts.withdraw(book, asked, **WHO)
    assert book.round().check("J1.size").state == "not measured"
    assert [told.record for told in book.round().check("J1.size").slips] == [asked]


def test_a_zero_must_be_a_reading_of_this_book_as_it_was_read(book: Book) -> None:
    journal(book)
    entry = book.told.counting("J1.size", book.told.now)
    assert entry is not None
    before = len(book.entries())
    for zero, words in (
        (Zero(mm(59.982), "ab" * 32), "is not in this book"),
        (Zero(mm(59.982), book.entries()[0].hash), "is not in this book"),
        (Zero(mm(59.9), entry.hash), "was set on another size than J1.size has"),
    ):
        with pytest.raises(BadAct, match=words):
            read(book, "M1.bore", 0.05, gauge="BG-1", zero=zero, direction="bigger")
    acts.strike(book, next(e for e in book.entries() if e.kind == "reading").hash, "no", **WHO)
    struck = Zero(entry.evidence.quantity, entry.hash)  # type: ignore[union-attr] # a derived value
    with pytest.raises(BadAct, match="was struck: set it anew"):
        read(book, "M1.bore", 0.05, gauge="BG-1", zero=struck, direction="bigger")
    assert len(book.entries()) == before + 1


def test_a_zero_of_a_typed_size_needs_no_entry(book: Book) -> None:
    check = read(
        book, "M1.bore", 0.05, gauge="BG-1", zero=Zero(mm(60.0), words="ring 60"),
        direction="bigger",
    )  # fmt: skip
    assert check.value is not None
    assert check.value.value == pytest.approx(60.05)


def test_a_photo_of_a_reading_being_taken_is_kept_with_it(book: Book) -> None:
    photo = file_photo(book, "G3", "part on the gauge")
    check = read(book, "G3.bore", 24.0, photos=(photo,))
    assert check.current is not None
    assert check.current.record.photos == (photo,)  # type: ignore[union-attr] # a reading


def test_an_overdue_gauge_is_told_from_the_day_it_is_due(tmp_path: Path) -> None:
    from msgspec.structs import replace  # noqa: PLC0415 - for this one test

    from tests.store.bench_job import plan  # noqa: PLC0415 - the same

    for due, overdue in (("2026-03-01", True), ("2026-03-02", True), ("2026-03-03", False)):
        gauges = tuple(replace(gauge, due=due) for gauge in plan().gauges)
        with begin(tmp_path / due, replace(plan(), gauges=gauges)) as book:
            read(book, "G3.bore", 24.0)  # entered on 2 March
            assert {state.overdue for state in book.round().gauges} == {overdue}


def test_a_dial_that_shows_more_than_the_zero_is_still_a_number_in_the_store(book: Book) -> None:
    journal(book)
    dial(book, "M1.bore", 0.0)
    assert book.round().check("M1.gap").value is not None
