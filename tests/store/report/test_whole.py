"""A whole invented reassembly in the report: everything a book can hold is said, once set."""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from annotate.quantity import Quantity
from store.book import Book
from store.change import LimitSet
from store.characteristic import Characteristic, Doubt, Limit, Spot, Take
from store.evidence import KitCounted, OwnerSaid, Read
from store.plan import Gauge, Job, Location, Plan
from store.report.document import report_data, write_report
from store.report.grids import ringed_in
from store.written.acts import record_reading, rework
from store.written.bench_acts import count_kit, fit, log_debris, owner_said, suspect_gauge, take_out
from store.written.plan_acts import change_plan
from tests.store.report.report_job import AT, Bench, drawn_photo, mm
from tests.store.report.report_whole import PLACED, filled, plan
from tests.store.report.test_cases import said
from tests.store.report.test_pages import HOSTILE


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    made = filled(tmp_path_factory.mktemp("whole") / "book")
    yield made
    made.close()


@pytest.fixture(scope="module")
def data(book: Book) -> dict[str, Any]:
    return report_data(book, at=AT, version="0.1.0", budgets=True)[0]


def text_of(part: object) -> str:
    """Return all texts of some data on one line; its pieces are set without gaps in print."""
    text = re.sub(r"[\s\u00a0]+", " ", " ".join(said(part)).replace("\u200b", ""))
    return re.sub(r" ([,.;:])", r"\1", text)


def place(data: dict[str, Any], code: str) -> dict[str, Any]:
    found = next(place for place in data["places"] if place["code"] == code)
    assert isinstance(found, dict)
    return found


def section(data: dict[str, Any], code: str) -> str:
    return text_of(next(each for each in data["registers"] if each["code"] == code))


def test_page_1_counts_what_was_waived_is_suspect_never_fitted_or_does_not_close(
    data: dict[str, Any],
) -> None:
    lead = text_of(data["cover"]["lead"])
    assert "Of 21 things asked of this engine, 10 are shown to be within." in lead
    assert "Five were not measured." in lead
    assert "Three were never fitted on this block." in lead
    assert "One rests on a suspect gauge and is unproven." in lead
    assert "Front plug 1, deep (within, suspect)" in lead
    assert "Front plug 2 (no photo: fitted); Main oil gallery (no photo: fitted)." in lead
    assert "Closed, not sealed: A Front plate." in lead
    assert "Two counts do not close: see below." in lead
    assert data["cover"]["counts-open"] == [
        "Plugs out and not in again: Front plug 2.", "Pump clips: 3 by the packing, 2 counted.",
    ]  # fmt: skip
    eye = text_of(data["cover"]["eye"])
    assert "D-2 is suspect since 2026-11-13: dropped on its anvil" in eye
    assert "no limit was given yet (asks: oil clearance of the main bearings" in eye
    assert data["head"]["state"] == "closed, not sealed, 2 open"


def test_a_grid_is_set_by_position_and_axis_with_every_attempt_legible(
    data: dict[str, Any],
) -> None:
    size = place(data, "M1")["checks"][0]
    found, first = size["grids"]
    assert (found["title"], first["title"]) == ("as found, as typed", "attempt 1, as typed")
    assert found["table"]["heads"] == ["", "along", "across"]
    front = found["table"]["rows"][0]
    assert front[0] == [{"bold": "front"}]
    assert front[1] == ["48.214 mm", {"break": True}, "48.215 mm"]
    assert {"struck": "48.187 mm"} in front[2]
    assert {"ring": "48.186 mm"} in front[2]
    assert "one division read wrongly" in text_of(found["notes"])
    rows = size["readings"]["rows"]
    assert any("Reworked: journal polished" in text_of(row) for row in rows if "span" in row)
    kept = next(row for row in rows if "as found" in text_of(row))
    assert {"state": "outside", "size": 10.5, "suspect": False} in kept[-1]
    labels = [lane["label"] for lane in size["line"]["lanes"]]
    assert labels == ["as found", "as found", "attempt 1, counts"]


def test_missing_cells_are_said(data: dict[str, Any]) -> None:
    travel = place(data, "M1")["checks"][4]
    assert travel["line"] is None
    assert {"soft": "not read"} in travel["grids"][0]["table"]["rows"][0][2]
    assert "Not read yet, 1 of 3 readings: no. 3." in text_of(travel["grids"][0]["notes"])


def test_two_limits_stand_with_their_pedigree_and_the_other_s_verdict(
    data: dict[str, Any],
) -> None:
    size = text_of(place(data, "M1")["checks"][0]["sentences"])
    assert "The wear limit decides." in size
    assert re.search(r"The new limit, at least 48\.212 mm .*: by it this is outside, odds", size)
    assert "Printed in the source as “48.212 - 48.231 mm (1.8981 - 1.8990 in)”." in size
    assert "The source disagrees with itself. Settled by the builder: “The inches" in size
    assert "That the wear limit decides was set at the bench: T. Quayle" in size
    shell = text_of(place(data, "M1")["checks"][2]["sentences"])
    assert "The limit of M1.shell was set at the bench: " in shell
    room = text_of(place(data, "M1")["checks"][3]["sentences"])
    assert "No limit was given yet (asks: oil clearance of the main bearings" in room
    assert "By the table: blue shells." in room
    assert "the plan gives no limit" not in room


def test_the_gauge_register_names_what_a_suspect_gauge_touched(data: dict[str, Any]) -> None:
    gauges = section(data, "G")
    assert "5 gauges, 1 suspect, 1 overdue, 1 entry struck." in gauges.replace("Gauges and", "")
    assert "D-2 depth micrometer, marked 4417 0.01 mm 0.02 mm 10 Nov 2026, set on R-9" in gauges
    assert "D-2, suspect since 13 November 2026: " in gauges
    assert re.search(r"It touched 1 value, unproven by it: F1\.deep 1\.12 mm BELOW, entry", gauges)
    assert "I-5, cleared: was suspect (sticks now and then); “cleaned and tried on" in gauges
    assert "repeats to 0.0008 mm" in gauges


def test_plugs_kit_and_parts_are_counted(data: dict[str, Any]) -> None:
    stock = section(data, "P")
    assert "3 plugs: 1 in, 1 out, 1 never fitted" in stock
    assert "out, not in again" in stock
    assert "F2 and F3" in stock
    assert re.search(r"plugs cup plugs, 24\.6 mm 4 4 2 1", stock)
    assert "crank crankshaft M1 stamped 7K-20" in stock
    assert "front plug 2 F2 not fitted yet" in stock


def test_owner_papers_slips_changes_and_second_eyes_have_their_registers(
    data: dict[str, Any], book: Book
) -> None:
    owner = section(data, "O")
    assert "Keep the old crank if it can be kept. W. Harrowgate; letter of 12 November" in owner
    assert "was told Front plug 3 does not exist on this block." in owner
    assert "decided by T. Quayle; owner: by phone, 14 November 2026" in owner
    assert "machine shop's sheet of the crank M1, M1.size grinding-sheet.pdf, 44 bytes" in owner
    paper = book.round().papers[0].record
    assert paper.paper in "".join(said(data["checking"]["hashes"])).replace(" ", "")  # type: ignore[union-attr] # a paper
    bench = section(data, "G")
    assert "F1.deep 1.12 mm ten times what its neighbours read stands" in bench
    assert "location F3 was never fitted on this block, photo" in bench
    assert "M1.shell: new limit at most 48.27 mm; source: maker's manual 7, page 112" in bench
    second = book.round().check("C1.covered").seconds[0]
    assert second.en is not None
    assert f"R. Oakes yes, En {second.en:.2f}" in bench


def test_hold_points_say_what_they_hide_by_way_of_others_and_that_one_is_not_sealed(
    data: dict[str, Any],
) -> None:
    front, cam, sump = data["holds"]["list"]
    assert front["standing"] == "Closed after 1 refused try, not sealed"
    assert "the photo of what closes it is still to come" in text_of(front["notes"])
    assert "Debris log: clean. Brushed again, looked through" in text_of(front["notes"])
    assert text_of(front["notes"]).count("The plate comes off again") == 1  # six in one breath
    assert cam["standing"] == "Opened again"
    assert "the cam had to come out again" in text_of(cam["notes"])
    assert "all behind A Front plate, all behind B Camshaft, Main journal 1" in sump["lane"]
    assert "A Front plate, closed: 11 checks at 4 locations" in text_of(sump["table"])


def test_the_map_numbers_every_location_placed_with_its_worst_sign(data: dict[str, Any]) -> None:
    (drawn,) = data["maps"]
    states = {mark["id"]: mark["state"] for mark in drawn["marks"]}
    assert states == {
        "F1": "within", "F2": "not measured", "F3": "never fitted", "G1": "within",
        "C1": "within", "M1": "not measured",
    }  # fmt: skip
    assert {m["id"] for m in drawn["marks"] if m["suspect"]} == {"F1"}
    scale = drawn["width"] / 1200
    for mark in drawn["marks"]:
        x, y = PLACED[mark["id"]]
        # A pixel's middle lies half a pixel from its edge.
        assert (mark["x"], mark["y"]) == pytest.approx(((x + 0.5) * scale, (y + 0.5) * scale))
    assert "F2 Front plug 2, not measured" in drawn["alt"]


def test_what_was_done_at_a_location_stands_there(data: dict[str, Any]) -> None:
    plug, gallery, bare = (text_of(place(data, code)) for code in ("F1", "G1", "F3"))
    assert "Plug taken out. 24.6 mm cup, was flush." in plug
    assert "Front plug 1 fitted. Bag 3, piece 1, driven with the stepped drift." in plug
    assert "Easily mixed up with F2 and F3." in plug
    assert "gauge D-2 in the picture · shows F1.deep" in plug
    assert "Debris log: not clean. Brushed and blown; found: casting sand, 3 grains." in gallery
    assert "Never fitted on this block. " in bare
    assert "seen in a mirror: left and right are changed over" in bare
    assert "up on the block: the top of the photo" in bare
    assert "“fitted”: not taken" not in bare


def test_photo_and_pin_are_compared(data: dict[str, Any], book: Book) -> None:
    same = place(data, "C1")["checks"][2]
    labels = [row["label"].split(",")[0] for row in same["agreement"]["rows"]]
    assert labels == ["C1.covered.pin", "C1.pins"]
    en = book.round().check("C1.same").value
    assert en is not None
    assert f"En = {en.value:.2f}" in text_of(same["sentences"])


def test_a_budget_names_each_source_with_its_standard_uncertainty(data: dict[str, Any]) -> None:
    deep = next(each for each in data["budgets"]["list"] if each["name"] == "F1.deep")
    rows = {row["source"]: row["u"].replace("\u00a0", " ") for row in deep["rows"]}
    # A rectangle of half-width a has u = a / sqrt(3) (JCGM 100:2008, 4.3.7):
    # 0.02 / 1.7321 = 0.01155 and 0.005 / 1.7321 = 0.00289
    assert rows == {"error of D-2": "0.012 mm", "resolution of D-2": "0.0029 mm"}
    # sqrt(0.01155^2 + 0.00289^2) = 0.01190
    assert "Together u = 0.012 mm" in deep["note"].replace("\u00a0", " ")


def test_budgets_are_left_out_unless_asked_for(book: Book) -> None:
    assert report_data(book, at=AT, version="0.1.0")[0]["budgets"] is None


@pytest.mark.parametrize("text", [*HOSTILE[:5], "W" * 500], ids=range(6))
def test_no_words_of_the_bench_break_a_page(tmp_path: Path, text: str) -> None:
    with Bench(tmp_path / "book", plan()) as bench:
        bench.do(take_out, "F1", size=text, words=text)
        bench.do(fit, "plug-1", text, words=text)
        bench.do(fit, "plug-1", f"{text} 2")
        bench.do(log_debris, "G1", how=text, clean=True, found=text)
        bench.do(count_kit, KitCounted("plugs", 4, words=text))
        bench.do(owner_said, OwnerSaid("declined", text, text, text))
        bench.do(suspect_gauge, "D-2", since="2026-11-13", reason=text)
        bench.read(Read("F1.seal", text, None))
        bench.do(rework, ("M1",), text)
        limit = Limit(text, at_most=mm(0.02), printed=text, settled=text)
        bench.do(change_plan, LimitSet("M1.round", limit), text)
        bench.read(Read("M1.shell", text, mm(48.2), "48.2", half_step=0.05, gauge="M-3",
                        doubts=(Doubt(text, mm(0.01)),)))  # fmt: skip
        out = write_report(
            bench.book, tmp_path / "report.pdf", at=AT, version="0.1.0", budgets=True
        )
    words, places = _read_back(out)
    assert "root:x:0:0" not in words
    for fragment in ('#panic("x")', "$1/0$", "<label>", "@ref"):
        assert (fragment in words) == (fragment in text)
    assert all(0 <= x < 595 - 40 and 0 <= y < 842 for x, y in places)  # A4 in points, its margin


def _read_back(pdf: Path) -> tuple[str, list[tuple[float, float]]]:
    """Return all words of a PDF, and where each piece of text begins."""
    places: list[tuple[float, float]] = []

    def note(text: str, cm: list[float], tm: list[float], *_: object) -> None:
        if text.strip():
            places.append((tm[4] * cm[0] + cm[4], tm[5] * cm[3] + cm[5]))

    pages = PdfReader(pdf).pages
    words = " ".join(page.extract_text(visitor_text=note) for page in pages)
    return words.replace("\u200b", ""), places


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_whole_job_is_set_on_either_paper(book: Book, tmp_path: Path, paper: str) -> None:
    out = tmp_path / "report.pdf"
    write_report(book, out, at=AT, version="0.1.0", paper=paper, budgets=True)  # type: ignore[arg-type] # literal
    reader = PdfReader(out)
    text = re.sub(r"[\s\u00a0]+", " ", " ".join(page.extract_text() for page in reader.pages))
    for words in ("Where each location is", "Plugs, parts and kit", "Uncertainty budgets",
                  "never fitted", "Reworked: journal polished"):  # fmt: skip
        assert words in text
    assert len(reader.pages) < 24


def _grid(take: Take, values: list[str], tmp_path: Path) -> Book:
    check = Characteristic("d", "length", "How big?", "mm", gauge="M", repeats=1, take=take,
                           positions=tuple(f"p{n}" for n in range(len(values))))  # fmt: skip
    gauge = Gauge("M", "micrometer", mm(0.01), mm(0.01))
    job = Job("1", "Ostrel three", "W. Harrowgate", "Tarnside Bench")
    bench = Bench(tmp_path / "book", Plan(job, (Location("L", "Line", (check,)),), gauges=(gauge,)))
    for n, value in enumerate(values):
        reading = Read("L.d", value, Quantity(float(value), "mm"), value, half_step=0.005,
                       gauge="M", spot=Spot(f"p{n}"))  # fmt: skip
        record_reading(bench.book, reading, at=bench.now(), by="T. Quayle")
    return bench.book


@pytest.mark.parametrize(
    ("take", "values", "ringed"),
    [
        ("largest", ["21.47", "21.44", "21.45"], ["21.47"]),
        ("largest", ["21.46", "21.44", "21.45"], []),  # one step of the gauge: not more
        ("smallest", ["21.46", "21.44", "21.47"], ["21.44"]),
        ("range", ["21.49", "21.44", "21.45"], ["21.49"]),
        ("mean", ["21.49", "21.44", "21.45"], []),
        ("range", ["21.49", "21.44"], []),  # nothing is left to be farther off than
    ],
)
def test_a_decisive_reading_is_ringed_only_when_it_stands_off_by_more_than_a_step(
    tmp_path: Path, take: Take, values: list[str], ringed: list[str]
) -> None:
    with _grid(take, values, tmp_path) as book:
        known = book.round()
        check = known.check("L.d")
        by_entry = {a.stamp.entry: a.record for a in check.readings}
        found = [by_entry[entry] for entry in ringed_in(check, "attempt 1", known)]
    assert [read.text for read in found if isinstance(read, Read)] == ringed


def test_a_sealed_hold_point_shows_its_photo_and_a_comeback_names_its_job(tmp_path: Path) -> None:
    with filled(tmp_path / "book", follows="0790") as book:
        bench = Bench.on(book)
        photo = bench.photo("A", "what closes it", drawn_photo(40))
        data, prints = report_data(book, at=AT, version="0.1.0")
        write_report(book, tmp_path / "report.pdf", at=AT, version="0.1.0")
    front = data["holds"]["list"][0]
    assert front["standing"] == "Closed after 1 refused try, sealed"
    assert f"Sealed. Photo {photo[:8]} of what closes it, T. Quayle" in text_of(front["notes"])
    assert [made["file"] for made in front["photos"]] == [
        made.wanted.file for made in prints if made.wanted.photo == photo
    ]
    assert data["head"]["state"] == "2 hold points open"
    assert "This is a comeback of job 0790." in text_of(data["cover"]["lead"])
    assert "Comeback. This job follows job 0790; its book was not at hand." in section(data, "O")
