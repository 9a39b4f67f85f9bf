"""Parts, plugs and kit: another piece voids, the same one again does not; out must equal in."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from annotate.quantity import Quantity
from store.book import Book
from store.change import KitLineSet, LocationAdded, NeverFitted, PartAdded
from store.codec import Entry
from store.errors import BadAct, BadPlan, PhotoMissing
from store.evidence import KitCounted
from store.plan import KitLine, Location, Part
from store.stock import PlugPlace
from store.written import acts, bench_acts, plan_acts
from tests.store.bench_job import begin, fit, read, unproven
from tests.store.small_job import WHO, file_photo


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with begin(tmp_path / "book") as the_book:
        yield the_book


def fit_measured(book: Book) -> None:
    read(book, "G3.bore", 24.0)
    read(book, "G3.plug", 24.1)
    fit(book, "plug-3", "bag 1")


def last(book: Book) -> Entry:
    return book.entries()[-1]


def plug(book: Book, location: str) -> PlugPlace:
    (found,) = (p for p in book.round().plugs if p.location.id == location)
    return found


def test_another_piece_voids_what_was_proven_on_the_old_one(book: Book) -> None:
    fit_measured(book)
    assert book.round().check("G3.nip").state == "within"
    fit(book, "plug-3", "bag 2")
    check = book.round().check("G3.plug")
    assert (check.state, check.why) == ("not measured", "third plug was replaced")
    assert book.round().check("G3.nip").why == "third plug was replaced"
    assert book.round().check("G3.bore").state == "no limit"  # the bore is the same
    read(book, "G3.plug", 24.12)
    assert [a.name for a in book.round().check("G3.plug").attempts] == ["attempt 1", "attempt 2"]
    assert book.round().check("G3.nip").state == "within"


@pytest.mark.parametrize("again", ["bag 1", " bag  1 "])
def test_the_same_piece_fitted_again_voids_nothing(book: Book, again: str) -> None:
    fit_measured(book)
    fit(book, "plug-3", again, words="a little deeper")
    assert book.round().check("G3.nip").state == "within"


def test_the_first_piece_voids_nothing(book: Book) -> None:
    fit_measured(book)
    assert book.round().check("G3.plug").name == "attempt 1"


def test_a_replacement_struck_brings_the_old_values_back(book: Book) -> None:
    fit_measured(book)
    fit(book, "plug-3", "bag 2")
    acts.strike(book, last(book).hash, "it was bag 1 after all", **WHO)
    assert book.round().check("G3.nip").state == "within"
    fit(book, "plug-3", "bag 2")
    first = next(e for e in book.entries() if e.kind == "fitted")
    acts.strike(book, first.hash, "bag 1 never went on", **WHO)
    assert book.round().check("G3.nip").state == "within"  # bag 2 was the first piece then


def test_a_piece_there_and_back_again_is_two_replacements(book: Book) -> None:
    fit_measured(book)
    fit(book, "plug-3", "bag 2")
    fit(book, "plug-3", "bag 1")
    assert book.round().check("G3.plug").state == "not measured"
    assert book.round().check("G3.plug").name == "attempt 3"


def test_a_shell_replaced_voids_the_bore_and_its_clearance(book: Book) -> None:
    read(book, "M1.bore", 60.04, gauge="BG-1")
    fit(book, "shell-1", "upper 4 lower 4")
    fit(book, "shell-1", "upper 5 lower 5")
    assert book.round().check("M1.bore").why == "first main shell was replaced"
    (state,) = (p for p in book.round().parts if p.part.id == "shell-1")
    assert state.fitted is not None
    assert state.fitted.record.identity == "upper 5 lower 5"  # type: ignore[union-attr] # a Fitted
    assert len(state.earlier) == 1


def test_what_can_not_be_fitted_is_refused(book: Book) -> None:
    before = len(book.entries())
    with pytest.raises(BadPlan, match="no part 'plug-9'"):
        fit(book, "plug-9", "bag 1")
    with pytest.raises(BadAct, match="tells this piece from another"):
        fit(book, "plug-3", "  ")
    with pytest.raises(PhotoMissing, match="is not filed in this book"):
        fit(book, "plug-3", "bag 1", photos=("ab" * 32,))
    assert len(book.entries()) == before
    photo = file_photo(book, "G3")
    fit(book, "plug-3", "bag 1", photos=(photo,))


def test_a_part_may_not_be_replaced_where_its_proof_is_hidden(book: Book) -> None:
    fit(book, "shell-1", "4")
    for location in ("J1", "M1"):
        file_photo(book, location)
    for key in ("J1.size", "J1.round", "M1.bore", "M1.gap", "M1.bolts"):
        bench_acts.waive(book, "caps", key, reason="r", decided_by="d", owner_agreed="o", **WHO)
    bench_acts.close(book, "caps", **WHO)
    with pytest.raises(BadAct, match="M1 lies behind caps, which is closed"):
        fit(book, "shell-1", "5")


# Plugs: out and in


def take_out(book: Book, location: str) -> None:
    bench_acts.take_out(book, location, size="24 mm cup", words="2 mm below", **WHO)


def test_a_plug_goes_from_not_counted_to_out_to_in_and_out_again(book: Book) -> None:
    assert plug(book, "G3").state == "not counted"
    take_out(book, "G3")
    assert plug(book, "G3").state == "out"
    fit(book, "plug-3", "bag 1")
    assert plug(book, "G3").state == "in"
    (state,) = (p for p in book.round().parts if p.part.id == "plug-3")
    assert state.fitted
    take_out(book, "G3")
    assert plug(book, "G3").state == "out"
    (state,) = (p for p in book.round().parts if p.part.id == "plug-3")
    assert (state.fitted, len(state.earlier)) == (None, 1)
    assert unproven(book, "lid")["G3"] == ["no debris log", "no plug is in"]
    fit(book, "plug-3", "bag 1")
    assert unproven(book, "lid")["G3"] == ["no debris log"]


def test_every_count_that_does_not_close_is_a_sentence(book: Book) -> None:
    take_out(book, "G3")
    assert book.round().counts_open == (
        "plugs out and not in again: G3", "plugs neither counted out nor in: G4",
    )  # fmt: skip
    fit(book, "plug-3", "bag 1")
    fit(book, "plug-4", "bag 2")
    assert book.round().counts_open == ()


def test_a_plug_taken_out_by_mistake_is_struck(book: Book) -> None:
    fit(book, "plug-3", "bag 1")
    take_out(book, "G3")
    acts.strike(book, last(book).hash, "that was G4", **WHO)
    assert plug(book, "G3").state == "in"
    with pytest.raises(BadAct, match="J1 has no plug by the plan"):
        take_out(book, "J1")


def test_of_two_parts_in_one_location_the_last_one_fitted_is_told(book: Book) -> None:
    plan_acts.change_plan(book, PartAdded(Part("sleeve", "repair sleeve", "G3")), **WHO)
    fit(book, "sleeve", "S 1")
    fit(book, "plug-3", "bag 1")
    fitted = plug(book, "G3").fitted
    assert fitted is not None
    assert fitted.record.part == "plug-3"  # type: ignore[union-attr] # a Fitted


def test_look_alikes_are_named_and_a_plug_never_fitted_is_not_missed(book: Book) -> None:
    assert plug(book, "G3").alike == ("G4",)
    photo = file_photo(book, "G4", "bare bore")
    plan_acts.change_plan(book, NeverFitted("G4", photo), **WHO)
    assert plug(book, "G4").state == "never fitted"
    assert "G4" not in " ".join(book.round().counts_open)
    assert "G4" not in unproven(book, "lid")


def test_never_fitted_and_fitted_can_not_both_be_so(book: Book) -> None:
    photo = file_photo(book, "G4", "bare bore")
    take_out(book, "G4")
    with pytest.raises(BadAct, match="says that something was taken out there"):
        plan_acts.change_plan(book, NeverFitted("G4", photo), **WHO)
    acts.strike(book, last(book).hash, "that was G3", **WHO)
    plan_acts.change_plan(book, NeverFitted("G4", photo), **WHO)
    never = last(book)
    for act in (lambda: fit(book, "plug-4", "bag 1"), lambda: take_out(book, "G4")):
        with pytest.raises(BadAct, match="says that this block never had it"):
            act()
    acts.strike(book, never.hash, "it has one behind the paint", **WHO)
    fit(book, "plug-4", "bag 1")
    assert plug(book, "G4").state == "in"


# Kit


def count(book: Book, pieces: int, line: str = "plugs") -> None:
    bench_acts.count_kit(book, KitCounted(line, pieces, Quantity(24.1, "mm")), **WHO)


def test_the_kit_is_counted_against_the_packing_what_is_wanted_and_what_went_on(book: Book) -> None:
    count(book, 1)
    assert book.round().counts_open[-2:] == (
        "gallery plugs: 2 by the packing, 1 counted", "gallery plugs: 1 counted, 2 wanted",
    )  # fmt: skip
    count(book, 3)
    fit(book, "plug-3", "bag 1")
    fit(book, "plug-4", "bag 2")
    assert book.round().counts_open == (
        "gallery plugs: 2 by the packing, 3 counted",
        "gallery plugs: 1 left over with every location filled",
    )
    fit(book, "plug-4", "bag 3")  # bag 2 was bent: all three are used up
    assert book.round().counts_open == ("gallery plugs: 2 by the packing, 3 counted",)
    plan_acts.change_plan(book, KitLineSet(KitLine("plugs", "gallery plugs", 3)), **WHO)
    assert book.round().counts_open == ()


def test_more_fitted_than_were_counted_is_told(book: Book) -> None:
    count(book, 2)
    for identity in ("bag 1", "bag 2", "bag 3"):
        fit(book, "plug-3", identity)
    assert "gallery plugs: 3 fitted of 2 counted" in book.round().counts_open


def test_a_count_struck_is_not_a_count(book: Book) -> None:
    count(book, 1)
    acts.strike(book, last(book).hash, "the bag was not empty", **WHO)
    (line,) = book.round().kit
    assert (line.counted, line.wanted, line.fitted) == (None, 2, 0)
    before = len(book.entries())
    with pytest.raises(BadAct, match="no kit line 'bolts' in this job; there are plugs"):
        count(book, 1, "bolts")
    with pytest.raises(BadAct, match="0 or more"):
        count(book, -1)
    assert len(book.entries()) == before


def test_a_location_added_with_a_plug_is_counted_too(book: Book) -> None:
    plan_acts.change_plan(book, LocationAdded(Location("G5", "fifth plug", plug=True)), **WHO)
    assert [p.location.id for p in book.round().plugs] == ["G3", "G4", "G5"]
