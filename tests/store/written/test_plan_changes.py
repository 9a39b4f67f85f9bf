"""The plan changed at the bench: what fits is kept and judged again, what does not is refused."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import msgspec
import pytest

from annotate.quantity import Quantity
from store.book import Book
from store.change import (
    Change,
    CheckAdded,
    DecidingSet,
    GaugeSet,
    HoldAdded,
    KitLineSet,
    LimitSet,
    LocationAdded,
    LocationMoved,
    LocationRenamed,
    NeverFitted,
    PartAdded,
)
from store.characteristic import Band, Characteristic, Doubt, Limit
from store.errors import BadAct, BadPlan, NotProven, PhotoMissing
from store.evidence import JobStarted, PlanChanged
from store.plan import HoldPoint, KitLine, Location, Part, Plan
from store.standing import standing
from store.written import acts, bench_acts
from tests.store.bench_job import (
    OWN,
    begin,
    change,
    computed,
    dial,
    fit,
    journal,
    length,
    limit,
    mm,
    note,
    plan,
    read,
    sound,
    state,
    unproven,
)
from tests.store.small_job import WHO, file_photo


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with begin(tmp_path / "book") as the_book:
        yield the_book
        assert sound(the_book)


def test_locations_are_added_renamed_and_moved_and_the_old_plan_stays_in_the_ledger(
    book: Book,
) -> None:
    change(book, LocationAdded(Location("G5", "fifth plug"), after="G3"))
    change(book, LocationAdded(Location("A0", "arrival"), after="first"))
    change(book, LocationMoved("OH1", "A0"))
    change(book, LocationMoved("J1", "first"))
    change(book, LocationMoved("G4", "J1"))
    change(book, LocationMoved("G4", ""))
    change(book, LocationRenamed("G3", "third plug, rear"))
    assert [p.location.id for p in book.round().places] == [
        "J1", "A0", "OH1", "M1", "G3", "G5", "G4",
    ]  # fmt: skip
    assert book.round().place("G3").location.name == "third plug, rear"
    start = book.entries()[0].evidence
    assert isinstance(start, JobStarted)
    assert start.plan == plan()
    assert len(book.round().changes) == 7
    assert book.told.plan_at(1) == plan()


def in_furlongs() -> Characteristic:
    return msgspec.structs.replace(length("x"), unit="furlong")


def bad_doubt() -> Characteristic:
    return length("x", doubts=(Doubt("parallax", Quantity(1.0, "deg")),))


@pytest.mark.parametrize(
    ("what", "words"),
    [
        (LocationAdded(Location("G3", "again")), "'G3' is there twice"),
        (LocationAdded(Location("lid", "a lid")), "'lid' is there twice"),
        (LocationAdded(Location("G5", "fifth"), after="G9"), "no location 'G9'"),
        (LocationRenamed("G9", "ninth"), "no location 'G9'"),
        (LocationRenamed("G3", " "), "says nothing"),
        (LocationMoved("G3", "G3"), "after itself"),
        (LocationMoved("G3", "G9"), "no location 'G9'"),
        (NeverFitted("G9", "ab" * 32), "no location 'G9'"),
        (CheckAdded("G9", length("x")), "no location 'G9'"),
        (CheckAdded("G3", length("bore")), "check 'bore' of G3 is there twice"),
        (CheckAdded("G3", length("x", gauge="MIC-9")), "gauge 'MIC-9' is not in the gauge list"),
        (CheckAdded("G3", length("x", part="plug-9")), "part 'plug-9' is not in the parts list"),
        (LimitSet("G3.gap", limit(1.0)), "no check 'G3.gap'"),
        (LimitSet("G3.clean", limit(1.0)), "a yes-no takes no limit"),
        (LimitSet("G3.sealant", limit(1.0)), "a note takes no limit"),
        (LimitSet("G3.bore", limit(1.0, "N.m")), "a limit in N.m does not go with it"),
        (LimitSet("G3.bore", None), "has no new limit that could be taken away"),
        (LimitSet("OH1.cover", limit(4.0, "mm")), "a limit in mm does not go with it"),
        (LimitSet("G3.bore", Limit(OWN, mm(3.0), mm(2.0))), "nothing is at least"),
        (DecidingSet("G3.nip", "wear"), "has no wear limit"),
        (HoldAdded(HoldPoint("caps", "again", ("G3",))), "'caps' is there twice"),
        (HoldAdded(HoldPoint("pan", "the pan", ("G9",))), "hides 'G9', not a location here"),
        (HoldAdded(HoldPoint("pan", "the pan", ("pan",))), "would hide itself"),
        (PartAdded(Part("shell-1", "again")), "part 'shell-1' is there twice"),
        (PartAdded(Part("shell-2", "second", "M9")), "'M9' is not a location here"),
        (CheckAdded("G3", bad_doubt()), "the doubt 'parallax' in deg does not go with it"),
        (
            CheckAdded("G3", length("x", bands=(Band("red", at_most=Quantity(1.0, "N.m")),))),
            "band 'red' in N.m does not go with it",
        ),
        (
            CheckAdded("M1", Characteristic(id="x", kind="torque", question="?", unit="N.m",
                                            gauge="MIC-2")),
            "gauge MIC-2 in mm does not go with it",
        ),
        (CheckAdded("G3", in_furlongs()), "'furlong' is no unit"),
        (CheckAdded("G3", computed("x", "G3.bore -")), "is wanted here"),
        (CheckAdded("G3", computed("x", "G3.bore - G3.nothing")), "G3.nothing is not a check"),
        (CheckAdded("G3", computed("x", "G3.bore * G3.plug")), r"comes to length \* length"),
        (CheckAdded("G3", computed("x", "G3.clean - G3.bore")), "nothing can be worked out"),
        (CheckAdded("G3", computed("x", "G3.bore - G3.x")), "rests on itself"),
        (CheckAdded("G3", computed("x", "J1.size[middle] - G3.bore")), "no position or axis"),
        (
            LocationAdded(
                Location("N1", "new", (computed("a", "N1.b"), computed("b", "N1.a")))
            ),
            "rests on itself",
        ),
    ],
)  # fmt: skip
def test_a_change_that_does_not_fit_is_refused_and_nothing_is_written(
    book: Book, what: Change, words: str
) -> None:
    with pytest.raises(BadPlan, match=words):
        change(book, what)
    assert len(book.entries()) == 1
    assert book.plan == plan()


def test_a_check_added_is_worked_out_at_once_from_what_is_there(book: Book) -> None:
    read(book, "G3.bore", 24.0)
    read(book, "G3.plug", 24.1)
    change(book, CheckAdded("G3", computed("twice", "2 * (G3.plug - G3.bore)", limit=limit(0.1))))
    assert state(book, "G3.twice") == "outside"
    change(
        book,
        LocationAdded(Location("N1", "new", (computed("half", "G3.bore / 2", limit=limit(13)),))),
    )
    assert state(book, "N1.half") == "within"


@pytest.mark.parametrize(
    "formula", ["L.x - L.a", "L.y - L.a", "L.none - L.a", "L.a * L.a", "((", "L.a[top]", ""]
)
def test_a_plan_with_a_formula_that_can_not_be_worked_out_does_not_break_the_book(
    tmp_path: Path, formula: str
) -> None:
    """It can't be added at the bench; a plan made by another program may have it all the same."""
    checks: tuple[Characteristic, ...] = (
        length("a"),
        length("b", limit=limit(9.5)),
        computed("y", "L.x - L.a"),
    )
    if formula:
        checks += (computed("x", formula),)
    here = Location("L", "l", checks)
    with begin(tmp_path / "b", Plan(job=plan().job, locations=(here,))) as book:
        read(book, "L.a", 9.0)
        read(book, "L.b", 9.4)
        change(book, CheckAdded("L", computed("good", "L.b - L.a", limit=limit(1.0))))
        assert state(book, "L.good") == "within"
        assert state(book, "L.y") == "not measured"
        assert standing(book.entries()) == book.round()
        assert sound(book)


# Never fitted


def test_never_fitted_needs_a_photo_there_and_asks_for_nothing_more(book: Book) -> None:
    for photo in ("ab" * 32, file_photo(book, "G4")):
        with pytest.raises(PhotoMissing, match="needs a photo of the bare place"):
            change(book, NeverFitted("G3", photo))
    change(book, NeverFitted("G3", file_photo(book, "G3", "bare bore")))
    assert all(c.excused == c.why == "never fitted on this block" and c.proven
               for c in book.round().place("G3").checks)  # fmt: skip
    assert "G3" not in {key.partition(".")[0] for key in unproven(book, "lid")}


def test_never_fitted_falls_with_its_photo_and_can_be_struck(book: Book) -> None:
    change(book, NeverFitted("G4", file_photo(book, "G4", "bare bore")))
    said = book.entries()[-1]
    filing = book.entries()[-2]
    acts.strike(book, filing.hash, "that is G3", **WHO)
    assert book.round().place("G4").never is None
    assert unproven(book, "lid")["G4"] == ["no plug is in"]
    file_photo(book, "G4", "bare bore")
    assert book.round().place("G4").never is not None
    acts.strike(book, said.hash, "there was one", **WHO)
    assert book.round().place("G4").never is None
    change(book, LocationRenamed("G4", "rear plug"))
    with pytest.raises(BadAct, match="plan changed"):
        acts.strike(book, book.entries()[-1].hash, "no", **WHO)


# Old entries under the old plan


def test_old_entries_are_judged_by_the_plan_of_their_time(book: Book) -> None:
    journal(book)
    dial(book, "M1.bore", 0.052)
    blunt = msgspec.structs.replace(plan().gauge("MIC-2"), permissible_error=mm(0.02))
    before = book.round().check("M1.gap").value
    change(book, GaugeSet(blunt))
    change(book, LimitSet("M1.gap", limit(0.06)))
    assert book.round().check("M1.gap").value == before
    journal(book)  # read again, and less well known now
    after = book.round().check("J1.size").value
    assert after is not None
    assert after.u > 0.01
    assert sound(book)


def test_holds_parts_kit_and_gauges_added_are_asked_about(book: Book) -> None:
    change(book, PartAdded(Part("pan-1", "sump", "OH1")))
    change(book, HoldAdded(HoldPoint("pan", "the sump", ("lid", "OH1"))))
    change(book, KitLineSet(KitLine("bolts", "cap bolts", 10)))
    change(book, GaugeSet(plan().gauge("MIC-2").__class__("TW-1", "torque wrench",
           Quantity(1.0, "N.m"), Quantity(2.0, "N.m"))))  # fmt: skip
    fit(book, "pan-1", "the old one")
    read(book, "M1.bolts", 95.0, unit="N.m", gauge="TW-1")
    assert set(book.round().hold("pan").hides) == {"J1", "M1", "G3", "G4", "OH1"}
    assert unproven(book, "pan")["lid"] == ["is hidden by it and must be closed first"]
    with pytest.raises(NotProven):
        bench_acts.close(book, "pan", **WHO)
    note(book, "G3.sealant", "batch 7")
    record: Any = next(e.evidence for e in book.entries() if isinstance(e.evidence, PlanChanged))
    assert record.reason == "the manual says so"


def test_what_was_measured_can_not_be_never_fitted(book: Book) -> None:
    journal(book)
    bare = file_photo(book, "J1", "bare bore", b"a bare boss")
    with pytest.raises(BadAct, match=r"gave J1\.size a value, so something is there"):
        change(book, NeverFitted("J1", bare))
