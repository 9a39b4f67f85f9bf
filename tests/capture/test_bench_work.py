"""The bench's acts through the journey: clock and user are given, papers and slips are entries."""

from collections.abc import Iterator
from itertools import count
from pathlib import Path

import pytest

from annotate.quantity import Quantity
from capture.errors import BadPaper, SlipSuspected, WrongUse
from capture.intake.paper import LARGEST_BYTES, read_paper
from capture.journey import Journey
from capture.verifying import verify_book
from store.change import LocationRenamed
from store.characteristic import Spot
from store.errors import BadAct, BadPlan, NotProven
from store.evidence import PaperKept, SlipAsked
from tests.store.bench_job import plan


@pytest.fixture
def journey(tmp_path: Path) -> Iterator[Journey]:
    minutes = count()
    with Journey.start(
        plan(), tmp_path / "book", bench="north", user="Ann", version="test",
        clock=lambda: f"2026-03-02T10:{next(minutes):02d}:00+00:00",
    ) as begun:  # fmt: skip
        yield begun
        assert verify_book(begun.book.root, version="test") == []


def test_every_act_is_an_entry_by_the_user_at_the_clocks_time(journey: Journey) -> None:
    journey.change_plan(LocationRenamed("G3", "rear plug"))
    journey.take_out("G3", size="24 mm cup", words="2 mm below")
    journey.log_debris("G3", how="brushed", clean=True)
    journey.fit("plug-3", "bag 1", words="driven square")
    journey.count_kit("plugs", 2, size=Quantity(24.1, "mm"))
    journey.owner_said("agreed", "go on", how="by phone", who="Ilves")
    journey.suspect_gauge("CAL-1", since="2026-03-01", reason="dropped")
    journey.clear_gauge("CAL-1", reason="good on the block")
    journey.rework("G3", what="honed")
    journey.strike(journey.book.entries()[-1].seq, "that was G4")
    entries = journey.book.entries()
    assert [entry.kind for entry in entries] == [
        "job started", "plan changed", "taken out", "debris logged", "fitted", "kit counted",
        "owner said", "gauge suspected", "gauge cleared", "reworked", "struck",
    ]  # fmt: skip
    assert [entry.at[14:16] for entry in entries] == [f"{n:02d}" for n in range(11)]
    assert {entry.by for entry in entries} == {"Ann"}


def test_a_hold_point_is_closed_reopened_and_waived_through_the_journey(journey: Journey) -> None:
    with pytest.raises(NotProven):
        journey.close("caps")
    for key, _ in journey.round().hold("caps").unproven:
        if key not in {w.key for w in journey.round().hold("caps").waived}:
            journey.waive("caps", key, reason="r", decided_by="Ann", owner_agreed="letter")
    journey.close("caps")
    assert [entry.kind for entry in journey.reopen("caps", "a rattle")] == ["reopened"]


# Slips


def test_a_slip_is_asked_about_and_nothing_is_kept_until_it_stands(journey: Journey) -> None:
    journey.reading("G3.bore", "24.02 mm")
    with pytest.raises(SlipSuspected) as asked:
        journey.reading("G3.bore", "2.402 mm")
    assert len(journey.book.entries()) == 2
    check = journey.reading("G3.bore", "2.402 mm", stands="it is the small one after all")
    assert check.value is not None
    assert check.value.value == pytest.approx(2.402)
    (slip,) = check.slips
    assert isinstance(slip.record, SlipAsked)
    assert slip.record.suspected == asked.value.suspected
    assert (slip.record.answer, slip.record.words) == ("stands", "it is the small one after all")


def test_a_withdrawn_slip_of_a_grid_is_kept_with_its_spot(journey: Journey) -> None:
    for position, axis in (("front", "X"), ("front", "Y")):
        journey.reading("J1.size", "59.982 mm", spot=Spot(position, axis))
    with pytest.raises(SlipSuspected) as asked:
        journey.reading("J1.size", "5.9982 mm")
    entry = journey.withdraw(asked.value, "looked again")
    assert isinstance(entry.evidence, SlipAsked)
    assert entry.evidence.spot == Spot("rear", "X")
    assert (entry.evidence.answer, entry.evidence.words) == ("withdrawn", "looked again")
    assert len(journey.round().check("J1.size").cells) == 2


# Difference gauges


def test_a_bore_gauge_is_zeroed_on_what_was_read_or_on_a_typed_size(journey: Journey) -> None:
    for spot in plan().characteristic("J1.size")[1].spots:
        journey.reading("J1.size", "59.982 mm", spot=spot)
    with pytest.raises(WrongUse, match="has no value yet"):
        journey.zero_on("G3.plug")
    zero = journey.zero_on("J1.size")
    check = journey.reading("M1.bore", "0.052 mm bigger", zero=zero)
    assert check.value is not None
    assert check.value.value == pytest.approx(60.034)
    assert journey.round().check("M1.gap").state == "within"
    ring = journey.zero_on("60 mm")
    assert (ring.entry, ring.words, ring.size.value) == ("", "60 mm", 60.0)
    with pytest.raises(WrongUse, match="say what it was zeroed to"):
        journey.reading("M1.bore", "0.052 mm bigger")


# Papers


def test_a_paper_is_kept_with_its_words(journey: Journey, tmp_path: Path) -> None:
    sheet = tmp_path / "sheet.PDF"
    sheet.write_bytes(b"%PDF-1.4 the machine shop's sheet")
    entry = journey.add_paper(sheet, what="the machine shop's sheet", location="J1",
                              keys=("J1.size",))  # fmt: skip
    assert isinstance(entry.evidence, PaperKept)
    kept = journey.book.paper_path(entry.evidence.paper)
    assert (kept.suffix, kept.read_bytes()) == (".pdf", sheet.read_bytes())
    assert (entry.evidence.file_name, entry.evidence.suffix) == ("sheet.PDF", "pdf")


def test_a_paper_that_can_not_be_taken_is_refused(journey: Journey, tmp_path: Path) -> None:
    sheet = tmp_path / "sheet.txt"
    sheet.write_bytes(b"")
    with pytest.raises(BadPaper, match="is empty"):
        journey.add_paper(sheet, what="a sheet")
    with pytest.raises(BadPaper, match="can't be read"):
        journey.add_paper(tmp_path / "none.pdf", what="a sheet")
    with pytest.raises(BadPaper, match="can't be read"):
        journey.add_paper(tmp_path, what="a folder")
    sheet.write_bytes(b"bore 24.02")
    with pytest.raises(WrongUse, match="needs its words"):
        journey.add_paper(sheet, what=" ")
    for wrong in ({"location": "J9"}, {"keys": ("J9.x",)}):
        with pytest.raises(BadPlan):
            journey.add_paper(sheet, what="a sheet", **wrong)  # type: ignore[arg-type] # one of two
    assert len(journey.book.entries()) == 1


def test_a_paper_too_large_is_refused_before_it_is_copied(tmp_path: Path) -> None:
    huge = tmp_path / "huge.pdf"
    with huge.open("wb") as file:
        file.write(b"%PDF")
        file.truncate(LARGEST_BYTES + 1)  # no room is taken: a hole
    with pytest.raises(BadPaper, match="at most 500 MB"):
        read_paper(huge, what="a manual")


@pytest.mark.parametrize(
    ("name", "content", "suffix"),
    [
        ("a.pdf", b"%PDF-1.7 x", "pdf"),
        ("a.jpg", b"%PDF-1.7 x", "pdf"),  # what it is, not what it is called
        ("a.docx", b"PK\x03\x04 an office document", "docx"),
        ("a.txt", b"bore 24.02", "txt"),
        ("A.TXT", b"bore 24.02", "txt"),
    ],
)
def test_the_suffix_is_that_of_the_content_where_that_is_known(
    tmp_path: Path, name: str, content: bytes, suffix: str
) -> None:
    path = tmp_path / name
    path.write_bytes(content)
    assert read_paper(path, what="a sheet").suffix == suffix


@pytest.mark.parametrize("name", ["noname", "a.b c", "a.waytoolongsuffix", "a.pd$"])
def test_a_strange_suffix_is_not_taken_over(tmp_path: Path, name: str) -> None:
    path = tmp_path / name
    path.write_bytes(b"just words")
    suffix = read_paper(path, what="a sheet").suffix
    assert suffix.isalnum()
    assert len(suffix) <= 8


def test_what_is_not_kept_is_not_judged(journey: Journey) -> None:
    with pytest.raises(BadAct):
        journey.waive("caps", "G3.bore", reason="r", decided_by="Ann", owner_agreed="letter")
    assert len(journey.book.entries()) == 1
