"""As found, attempt 1, attempt 2, as left: rework begins the next and loses nothing."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from store.book import Book
from store.codec import Entry
from store.errors import BadAct, BadPlan
from store.written import acts, bench_acts
from tests.store.bench_job import begin, dial, fit, journal, note, read, say, unproven
from tests.store.small_job import WHO, file_photo, marks


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with begin(tmp_path / "book") as the_book:
        yield the_book


def rework(book: Book, *scope: str, what: str = "lapped") -> Entry:
    return acts.rework(book, scope, what, **WHO)


def names(book: Book, key: str) -> list[str]:
    return [attempt.name for attempt in book.round().check(key).attempts]


def test_the_first_readings_are_as_found_and_the_work_begins_attempt_1(book: Book) -> None:
    assert book.round().check("J1.size").name == "as found"
    journal(book)
    rework(book, "J1.size", what="polished with a strip")
    check = book.round().check("J1.size")
    assert (check.state, check.why) == ("not measured", "reworked: polished with a strip")
    assert check.name == "attempt 1"
    assert check.attempts[0].void == "reworked: polished with a strip"
    journal(book)
    assert names(book, "J1.size") == ["as found", "attempt 1"]
    assert [a.name for a in book.round().check("J1.size").readings] == ["as found"] * 4 + [
        "attempt 1"
    ] * 4


def test_without_an_as_found_they_count_from_1(book: Book) -> None:
    read(book, "G3.bore", 24.0)
    rework(book, "G3.bore")
    read(book, "G3.bore", 24.01)
    read(book, "G3.bore", 24.02)
    rework(book, "G3")
    read(book, "G3.bore", 24.03)
    assert names(book, "G3.bore") == ["attempt 1", "attempt 2", "attempt 2", "attempt 3"]


def test_one_rework_of_a_location_and_its_check_is_one_attempt(book: Book) -> None:
    read(book, "G3.bore", 24.0)
    rework(book, "G3", "G3.bore", "G3.bore")
    read(book, "G3.bore", 24.01)
    assert names(book, "G3.bore") == ["attempt 1", "attempt 2"]


def test_a_whole_location_takes_its_checks_and_what_is_worked_out_along(book: Book) -> None:
    read(book, "G3.bore", 24.0)
    read(book, "G3.plug", 24.1)
    say(book, "G3.clean", True)
    note(book, "G3.sealant", "batch 4")
    assert book.round().check("G3.nip").state == "within"
    rework(book, "G3", what="bore honed")
    states = {c.key: (c.state, c.why) for c in book.round().place("G3").checks}
    assert set(states.values()) == {("not measured", "reworked: bore honed")}
    assert [what for _, what in book.round().place("G3").reworked] == ["bore honed"]


def test_one_check_leaves_its_neighbours_and_the_difference_waits(book: Book) -> None:
    read(book, "G3.bore", 24.0)
    read(book, "G3.plug", 24.1)
    rework(book, "G3.bore", what="honed")
    assert book.round().check("G3.plug").state == "no limit"
    nip = book.round().check("G3.nip")
    assert (nip.state, nip.why) == ("not measured", "reworked: honed")
    read(book, "G3.bore", 24.02)
    assert book.round().check("G3.nip").state == "within"


def test_part_of_a_grid_read_again_is_not_the_grid(book: Book) -> None:
    journal(book)
    rework(book, "J1")
    for spot in book.round().check("J1.size").missing[:3]:
        read(book, "J1.size", 59.98, spot=spot, gauge="MIC-2")
    assert book.round().check("J1.size").why == "3 of 4 readings"
    assert book.round().check("J1.size").state == "not measured"


def test_a_rework_struck_brings_everything_back(book: Book) -> None:
    journal(book)
    read(book, "G3.bore", 24.0)
    read(book, "G3.plug", 24.1)
    wrong = rework(book, "J1", "G3.bore", what="that was the other engine")
    acts.strike(book, wrong.hash, "the other engine", **WHO)
    for key in ("J1.size", "J1.round", "G3.nip"):
        assert book.round().check(key).state == "within"
    assert names(book, "J1.size") == ["as found"]
    assert book.round().place("J1").reworked == ()


def test_what_was_read_after_a_rework_that_is_struck_counts_on(book: Book) -> None:
    read(book, "G3.bore", 24.0)
    wrong = rework(book, "G3.bore")
    read(book, "G3.bore", 24.5)
    acts.strike(book, wrong.hash, "it was not honed, only read again", **WHO)
    check = book.round().check("G3.bore")
    assert check.value is not None
    assert check.value.value == 24.5
    assert names(book, "G3.bore") == ["attempt 1", "attempt 1"]


def test_a_bore_measured_against_a_journal_stays_when_the_journal_is_worked_on(book: Book) -> None:
    journal(book)
    dial(book, "M1.bore", 0.052)
    rework(book, "J1", what="polished")
    assert book.round().check("M1.bore").state == "no limit"
    assert book.round().check("M1.gap").state == "not measured"
    journal(book)
    assert book.round().check("M1.gap").state == "within"


def test_marks_begin_a_new_attempt_too(book: Book) -> None:
    photo = file_photo(book, "OH1", "with scale")
    marked = marks(photo)
    first = type(marked)(
        key="OH1.cover", photo=photo, layer=marked.layer, givens=marked.givens, seed=3, trials=400,
        version=marked.version, result=marked.result,
    )  # fmt: skip
    acts.record_marks(book, first, **WHO)
    rework(book, "OH1", what="bearing turned")
    assert book.round().check("OH1.cover").state == "not measured"
    acts.record_marks(book, first, **WHO)
    assert names(book, "OH1.cover") == ["attempt 1", "attempt 2"]
    assert book.round().check("OH1.cover").state == "within"


def test_what_counts_behind_a_closed_hold_point_is_as_left(book: Book) -> None:
    journal(book)
    dial(book, "M1.bore", 0.052)
    for location in ("J1", "M1"):
        file_photo(book, location)
    waive_bolts(book)
    bench_acts.close(book, "caps", **WHO)
    assert book.round().check("J1.size").name == "as left"
    assert names(book, "J1.size") == ["as found"]
    assert book.round().check("M1.bolts").name == "attempt 1"  # nothing was left there


def waive_bolts(book: Book) -> None:
    bench_acts.waive(
        book, "caps", "M1.bolts", reason="by feel", decided_by="R. Tamm",
        owner_agreed="by letter", **WHO,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("scope", "what", "error", "words"),
    [
        ((), "honed", BadAct, "what it was done to"),
        (("G3",), " ", BadAct, "needs its words"),
        (("G9",), "honed", BadPlan, "no location 'G9'"),
        (("G3", "G3.gap"), "honed", BadPlan, "no check 'G3.gap'"),
        (("G3.nip",), "honed", BadAct, "name what was worked on, G3.plug and G3.bore"),
    ],
)
def test_a_rework_without_its_words_or_its_object_is_refused(
    book: Book, scope: tuple[str, ...], what: str, error: type[Exception], words: str
) -> None:
    with pytest.raises(error, match=words):
        acts.rework(book, scope, what, **WHO)
    assert len(book.entries()) == 1


def test_a_gallery_worked_on_at_one_check_needs_a_new_debris_log(book: Book) -> None:
    bench_acts.log_debris(book, "G3", how="brushed and blown", clean=True, **WHO)
    fit(book, "plug-3", "bag 1")
    assert "G3" not in unproven(book, "lid")
    honed = rework(book, "G3.bore", what="honed")
    assert unproven(book, "lid")["G3"] == ["worked on since its debris log"]
    acts.strike(book, honed.hash, "that was G4", **WHO)
    assert "G3" not in unproven(book, "lid")
    rework(book, "G3")
    bench_acts.log_debris(book, "G3", how="brushed", clean=False, found="two chips", **WHO)
    assert unproven(book, "lid")["G3"] == ["its last debris log says not clean"]
    bench_acts.log_debris(book, "G3", how="brushed again", clean=True, **WHO)
    assert "G3" not in unproven(book, "lid")
