"""The rarer things a book can hold, in the report's data; one of them set as a PDF too."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import msgspec
import pytest

from annotate.coverage import Coverage, Unknown
from annotate.quantity import Quantity
from store.book import Book
from store.change import HoldAdded, LimitSet
from store.characteristic import Characteristic, Limit, Of, Rule
from store.evidence import Read
from store.plan import Gauge, HoldPoint, Job, Location, Plan
from store.report.document import report_data, write_report
from store.written.bench_acts import waive
from store.written.plan_acts import change_plan
from tests.store.report.report_job import AT, Bench, coverage, drawn_photo, mm

OWN = "builder's own, job card line 3"


def said(value: Any) -> Iterator[str]:
    if isinstance(value, dict):
        for inner in value.values():
            yield from said(inner)
    elif isinstance(value, list | tuple):
        for inner in value:
            yield from said(inner)
    elif isinstance(value, str):
        yield value


def text_of(book: Book) -> str:
    data, _ = report_data(book, at=AT, version="0.1.0")
    return " ".join(said(data)).replace("\u00a0", " ").replace("\u200b", "")


def one_hole(of: Of, limit: Quantity, *, most: bool = True, rule: Rule = "guarded") -> Plan:
    asked = (
        Limit(OWN, at_most=limit, of=of, rule=rule)
        if most
        else Limit(OWN, at_least=limit, of=of, rule=rule)
    )
    oil = Characteristic("hole", "coverage", "How much shows?", "%", limit=asked)
    place = Location("B1", "Bush 1", (oil,), "bush hole", "block feed")
    return Plan(
        Job("1", "Ostrel three", "W. Harrowgate", "Tarnside Bench"),
        (place,),
        (HoldPoint("A", "Camshaft", ("B1",), ("close-up",)),),
    )


def marked(tmp_path: Path, plan: Plan, result: Coverage) -> Bench:
    bench = Bench(tmp_path / "book", plan)
    bench.mark("B1.hole", bench.photo("B1", "close-up", drawn_photo()), result)
    return bench


def test_a_limit_on_the_pin_is_judged_and_said_in_millimetres(tmp_path: Path) -> None:
    plan = one_hole("pin", mm(3.4), most=False)
    with marked(tmp_path, plan, coverage(0.118, 0.019)).book as book:
        text = text_of(book)
        assert "largest straight pin 6.61 mm" in text
        assert "Limit: at least 3.4 mm; source: builder's own, job card line 3." in text
        assert "limit: at least 3.4 mm" in text


@pytest.mark.parametrize(
    ("of", "words"), [("covered of near", "of the bush hole"), ("covered of far", "of the block")]
)
def test_a_coverage_names_of_which_hole_it_is(tmp_path: Path, of: Of, words: str) -> None:
    plan = one_hole(of, Quantity(0.22, "1"))
    with marked(tmp_path, plan, coverage(0.118, 0.019)).book as book:
        text = text_of(book)
        assert f"% open, {words}" in text
        assert "Limit: at most 22 %" in text  # stated as 0.22


def test_simple_acceptance_is_named_with_the_verdict_and_on_page_1(tmp_path: Path) -> None:
    plan = one_hole("covered", Quantity(12, "%"), rule="simple")
    with marked(tmp_path, plan, coverage(0.118, 0.019)).book as book:
        data, _ = report_data(book, at=AT, version="0.1.0")
        assert "the value alone is compared" in " ".join(said(data["cover"]))
        assert "the value alone was compared" in " ".join(said(data["places"]))


def test_what_the_marks_do_not_carry_is_said_with_its_reason(tmp_path: Path) -> None:
    known = coverage(0.118, 0.019)
    reason = "no length was given"
    result = msgspec.structs.replace(
        known, open_area=Unknown(reason), offset_clock=Unknown(reason), near=None, far=None
    )
    plan = one_hole("open area", Quantity(20, "mm^2"), most=False)
    with marked(tmp_path, plan, result).book as book:
        text = text_of(book)
        assert book.round().check("B1.hole").state == "not measured"
        assert text.count(reason) >= 3
        assert "not known" in text


def test_struck_photos_waivers_and_closings_stay_in_the_list_of_corrections(
    tmp_path: Path,
) -> None:
    plan = one_hole("covered", Quantity(22, "%"))
    bench = Bench(tmp_path / "book", plan)
    with bench.book as book:
        bench.photo("B1", "close-up", drawn_photo(10))
        photo = book.entries()[-1].hash
        waived = waive(
            book, "A", "B1.hole", reason="It will do.", decided_by="T. Quayle",
            owner_agreed="in writing", at=bench.now(), by="T. Quayle",
        )  # fmt: skip
        assert bench.close("A")
        closing = book.entries()[-1].hash
        bench.strike(closing, "closed the wrong job")
        bench.strike(waived.hash, "was for another bush")
        bench.strike(photo, "wrong hole")
        data, _ = report_data(book, at=AT, version="0.1.0")
        corrections = " ".join(said(data["registers"]))
        for words in (
            "closing of A", "closed the wrong job", "waiver", "was for another bush",
            "wrong hole", "close-up", "3 entries struck",
        ):  # fmt: skip
            assert words in corrections
        text = text_of(book)
        assert "It no longer stands." in text
        assert "“close-up”: not taken" in text
        write_report(book, tmp_path / "report.pdf", at=AT, version="0.1.0")


def test_more_photos_than_fit_are_counted_and_still_named(tmp_path: Path) -> None:
    bench = Bench(tmp_path / "book", one_hole("covered", Quantity(22, "%")))
    with bench.book as book:
        photos = [bench.photo("B1", "close-up", drawn_photo(n)) for n in range(15)]
        data, prints = report_data(book, at=AT, version="0.1.0")
        assert len(prints) == 12
        assert "3 more photos, not printed here" in " ".join(said(data["places"]))
        digits = "".join(said(data["checking"])).replace(" ", "")
        assert all(photo in digits for photo in photos)


def test_a_closed_hold_point_with_something_unproven_since_heads_every_page(
    tmp_path: Path,
) -> None:
    bench = Bench(tmp_path / "book", one_hole("covered", Quantity(22, "%")))
    with bench.book as book:
        photo = bench.photo("B1", "close-up", drawn_photo())
        marks = bench.mark("B1.hole", photo, coverage(0.118, 0.019))
        assert bench.close("A")
        data, _ = report_data(book, at=AT, version="0.1.0")
        assert data["head"]["state"] == "all hold points closed"
        bench.strike(marks.stamp.entry, "the other bush")
        data, _ = report_data(book, at=AT, version="0.1.0")
        assert data["head"]["state"] == "closed over something unproven since"


def test_a_count_is_told_without_an_uncertainty_and_on_whole_numbers(tmp_path: Path) -> None:
    limit = Limit(OWN, at_least=Quantity(5, "count"), at_most=Quantity(5, "count"))
    rings = Characteristic("rings", "count", "How many rings?", "count", limit=limit)
    free = Characteristic("free", "count", "How many shims?", "count")
    job = Job("1", "Ostrel three", "W. Harrowgate", "Tarnside Bench")
    plan = Plan(job, (Location("P1", "Plug", (rings,)), Location("P2", "Shims", (free,))))
    bench = Bench(tmp_path / "book", plan)
    with bench.book as book:
        bench.read(Read("P1.rings", "5", Quantity(5, "count"), "5", unit_assumed=True))
        bench.read(Read("P2.free", "3", Quantity(3, "count"), "3"))
        data, _ = report_data(book, at=AT, version="0.1.0")
    told = " ".join(said(data["places"]))
    assert "Limit: at least 5 and at most 5" in told
    for wrong in ("one-sided", "interval", "clear of the limit", "no unit was typed", "Odds"):
        assert wrong not in told
    ticks = [tick["text"] for tick in data["places"][0]["checks"][0]["line"]["ticks"]]
    assert ticks
    assert all(tick.isdecimal() for tick in ticks)


def test_a_long_text_is_shortened_in_the_table_and_whole_in_the_notes(tmp_path: Path) -> None:
    bench = Bench(tmp_path / "book", _two_depths())
    name, when = "N" * 300, "R" * 300
    with bench.book as book:
        bench.read(Read("P1.face", "1.2 mm", mm(1.2, 0.01), "1.2", read_at=when), by=name)
        data, _ = report_data(book, at=AT, version="0.1.0")
    check = data["places"][0]["checks"][0]
    row = " ".join(said(check["readings"]["rows"]))
    assert "N" * 59 + "\u2026" in row.replace("\u200b", "")
    assert "R" * 59 + "\u2026" in row.replace("\u200b", "")
    assert "N" * 60 not in row
    notes = " ".join(said(check["notes"])).replace("\u200b", "")
    assert name in notes
    assert when in notes


def test_no_unit_is_said_to_be_taken_for_what_is_flush(tmp_path: Path) -> None:
    bench = Bench(tmp_path / "book", _two_depths())
    with bench.book as book:
        flush = Read("P1.face", "flush", mm(0, 0.01), "0", unit_assumed=True, face="FLUSH")
        bench.read(flush)
        assert "no unit was typed" not in text_of(book)
        bench.read(Read("P1.pad", "1.2", mm(1.2, 0.01), "1.2", unit_assumed=True, face="BELOW"))
        assert "no unit was typed; mm was taken" in text_of(book)


def _two_depths() -> Plan:
    one = Characteristic("face", "depth", "By the face?", "mm", gauge="D-2")
    two = Characteristic("pad", "depth", "By the pad?", "mm")
    same = Characteristic("same", "agreement", "Do they agree?", "1", of=("P1.face", "P1.pad"))
    gauge = Gauge("D-2", "depth micrometer", mm(0.01), mm(0.02))
    job = Job("1", "Ostrel three", "W. Harrowgate", "Tarnside Bench")
    return Plan(job, (Location("P1", "Plug", (one, two, same)),), gauges=(gauge,))


def test_two_readings_that_disagree_are_said_to_and_a_new_one_voids_the_comparison(
    tmp_path: Path,
) -> None:
    bench = Bench(tmp_path / "book", _two_depths())
    with bench.book as book:
        bench.read(Read("P1.face", "1.54", mm(1.54, 0.01), "1.54", face="BELOW", gauge="D-2"))
        bench.read(Read("P1.pad", "1.84", mm(1.84, 0.01), "1.84", face="BELOW"))
        text = text_of(book)
        assert "They do not agree: " in text
        assert "difference 0.30 mm" in text
        # The other was typed without a step and read with no gauge: it has no doubt of its own.
        assert "Read P1.face again first: it is the less well known of the two" in text
        assert "D-2 depth micrometer 0.01 mm 0.02 mm not known not given 1 good" in text
        assert "1 reading named no gauge: P1.pad." in text
        bench.read(Read("P1.pad", "1.55", mm(1.55, 0.01), "1.55", face="BELOW"))
        text = text_of(book)
        assert "They agree: " in text
        assert "Attempt 1 no longer counts:" in text


def test_a_value_without_an_uncertainty_is_said_to_have_none(tmp_path: Path) -> None:
    limit = Limit(OWN, at_most=mm(1.9))
    size = Characteristic("size", "length", "How wide?", "mm", limit=limit)
    job = Job("1", "Ostrel three", "W. Harrowgate", "Tarnside Bench")
    bench = Bench(tmp_path / "book", Plan(job, (Location("P1", "Plug", (size,)),)))
    with bench.book as book:
        bench.read(Read("P1.size", "1.54", mm(1.54), "1.54"))
        text = text_of(book)
        assert "1.54 mm , no uncertainty stated" in text
        assert "No hold point hides it." in text
        assert "no hold points" in text
        write_report(book, tmp_path / "report.pdf", at=AT, version="0.1.0")


def test_a_photo_whose_file_is_gone_is_still_reported(tmp_path: Path) -> None:
    bench = Bench(tmp_path / "book", one_hole("covered", Quantity(22, "%")))
    with bench.book as book:
        photo = bench.photo("B1", "close-up", drawn_photo())
        book.photo_path(photo).unlink()
        _, prints = report_data(book, at=AT, version="0.1.0")
        assert [made.wanted.source for made in prints] == [""]
        write_report(book, tmp_path / "report.pdf", at=AT, version="0.1.0")


def test_a_depth_limit_set_at_the_bench_is_told_with_its_words(tmp_path: Path) -> None:
    plug = Characteristic("depth", "depth", "How deep is it?", "mm", datum="face")
    plan = Plan(
        Job("1", "Ostrel three", "W. Harrowgate", "Tarnside Bench"),
        (Location("F1", "Front plug", (plug,)),),
    )
    with Bench(tmp_path / "book", plan) as bench:
        limit = Limit(OWN, at_least=mm(-0.35), at_most=mm(1.15))
        bench.do(change_plan, LimitSet("F1.depth", limit), "read off the drawing")
        text = text_of(bench.book)
    assert f"new limit at least 0.35 mm PROUD and at most 1.15 mm BELOW; source: {OWN}" in text
    assert "Asked for: at least 0.35 mm PROUD and at most 1.15 mm BELOW" in text


def test_a_waived_photo_that_came_later_is_no_missing_plug(tmp_path: Path) -> None:
    with marked(tmp_path, one_hole("covered", Quantity(0.4, "1")), coverage(0.2, 0.01)) as bench:
        bench.do(
            change_plan, HoldAdded(HoldPoint("B", "Cover", ("B1",), ("which hole",))), "forgotten"
        )
        bench.do(waive, "B", "B1", reason="one hole", decided_by="A. F.", owner_agreed="phone")
        assert "Bush 1 (no photo: which hole)" in text_of(bench.book)
        bench.photo("B1", "which hole", drawn_photo())
        text = text_of(bench.book)
    assert "Bush 1 (what was missing there when it was waived)" in text
    assert "a plug" not in text


def test_no_bar_stands_before_one_that_is_closed_earlier(tmp_path: Path) -> None:
    locations = tuple(
        Location(f"L{n}", f"Location {n}", (Characteristic("seen", "yes-no", "Seen?", ""),))
        for n in range(3)
    )
    holds = (HoldPoint("late", "Late cover", ("L2",)), HoldPoint("out", "It goes out", ("L0",)))
    plan = Plan(Job("1", "e", "c", "s"), locations, hold_points=holds)
    with Bench(tmp_path / "book", plan).book as book:
        data, _ = report_data(book, at=AT, version="0.1.0")
    string = data["cover"]["string"]
    assert ["name" in part for part in string] == [False, False, False, True, True]
    assert [part["name"].split(":")[0] for part in string[3:]] == ["Late cover", "It goes out"]
