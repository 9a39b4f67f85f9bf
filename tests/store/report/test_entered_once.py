"""What was entered once and leaves nothing to ask is one line; anything else keeps its own room."""

from pathlib import Path
from typing import Any

import pytest

from annotate.quantity import Quantity
from store.book import Book
from store.characteristic import Characteristic, Limit, Spot
from store.evidence import Read
from store.plan import HoldPoint, Job, Location, Plan
from store.report.document import report_data, write_report
from store.written.acts import rework
from tests.store.report.report_job import AT, Bench, mm
from tests.store.report.test_cases import OWN, said

TABLE = "Found"
_SIDES = Limit(OWN, at_least=mm(1.0), at_most=mm(2.0))


def plan() -> Plan:
    job = Job("1", "Ostrel three", "W. Harrowgate", "Tarnside Bench")
    checks = (
        Characteristic("end", "length", "End float?", "mm", limit=_SIDES),
        Characteristic("free", "length", "How long?", "mm"),
        Characteristic("twice", "computed", "Twice that?", "mm", formula="2 * P1.free"),
        Characteristic(
            "lip", "depth", "How deep?", "mm", limit=Limit(OWN, at_most=mm(2.0)),
            positions=("12h", "4h", "8h"), take="mean", caution="Guard your eyes.",
        ),
        Characteristic("clean", "yes-no", "Is it clean?", "1"),
    )  # fmt: skip
    return Plan(job, (Location("P1", "Plug", checks),), (HoldPoint("A", "Cover", ("P1",)),))


def read(key: str, text: str, value: Quantity, **more: Any) -> Read:
    number = text.split(maxsplit=1)[0]
    return Read(f"P1.{key}", text, value, number, half_step=0.02, **more)


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    bench = Bench(tmp_path / "book", plan())
    bench.read(read("end", "1.53 mm", mm(1.53)))
    bench.read(read("free", "7.9 mm", mm(7.9)))
    for position, depth in (("12h", 0.81), ("4h", 0.86), ("8h", 0.84)):
        spot = Spot(position)
        bench.read(read("lip", f"{depth} mm", mm(depth), face="BELOW", spot=spot))
    bench.read(Read("P1.clean", "yes", None, answer=True))
    return bench


def rows(book: Book) -> dict[str, str]:
    """Return the rows of P1's checks by their heading, as text."""
    data, _ = report_data(book, at=AT, version="0.1.0")
    shown = data["places"][0]["checks"]
    return {each["name"]: " ".join(said(each)).replace("\u00a0", " ") for each in shown}


def test_a_location_where_all_is_well_is_one_table(bench: Bench, tmp_path: Path) -> None:
    with bench.book as book:
        data, _ = report_data(book, at=AT, version="0.1.0")
        (only,) = data["places"][0]["checks"]
        assert only["name"] == TABLE
        table = only["readings"]
        assert len(table["heads"]) == len(table["widths"]) == 5
        assert all(len(row) == 5 for row in table["rows"])
        end, free, twice, lip, clean = (
            " ".join(said(row)).replace("\u00a0", " ") for row in table["rows"]
        )
        assert "1.53 mm" in end
        assert "1.51 to 1.55 mm" in end  # 95 % of a half step of 0.02 on either side
        assert f"at least 1 mm and at most 2 mm; {OWN}" in end
        assert "odds more than 99 in 100" in end
        assert "entry 2" in end
        assert "the plan gives no limit" in free
        assert "2 * P1.free" in twice
        assert "mean of 3 readings" in lip
        assert "12h 0.81 mm BELOW, 4h 0.86 mm BELOW, 8h 0.84 mm BELOW" in lip
        assert "yes" in clean
        (line,) = (bit for bit in table["rows"][0][2] if isinstance(bit, dict) and "line" in bit)
        assert [wall["side"] for wall in line["line"]["walls"]] == ["left", "right"]
        assert "1.53\u00a0mm" in line["line"]["alt"]  # who can't see it hears it
        # The caution of one of them is not lost.
        assert "P1.lip:  Caution.  Guard your eyes." in " ".join(said(only["notes"]))
        write_report(book, tmp_path / "report.pdf", at=AT, version="0.1.0")
        assert (tmp_path / "report.pdf").read_bytes().startswith(b"%PDF")


def test_what_is_not_within_keeps_its_own_drawing(bench: Bench) -> None:
    with bench.book as book:
        bench.do(rework, ("P1.end",), "shim changed")
        bench.read(read("end", "2.31 mm", mm(2.31)))
        text = rows(book)
        assert "Odds of being outside" in text["Size"]
        assert "1.53 mm" in text["Size"]
        assert "2.31 mm" not in text[TABLE]


def test_what_was_struck_or_read_again_keeps_its_own_room(bench: Bench) -> None:
    with bench.book as book:
        attempt = bench.read(read("free", "9.7 mm", mm(9.7)))
        bench.strike(attempt.stamp.entry, "turned round")
        text = rows(book)
        assert "turned round" in text["Size"]
        assert "9.7 mm" in text["Size"]


def test_a_location_with_one_check_has_room_for_its_drawing(tmp_path: Path) -> None:
    whole = plan()
    alone = Plan(whole.job, (Location("P1", "Plug", whole.locations[0].characteristics[:1]),))
    bench = Bench(tmp_path / "book", alone)
    with bench.book as book:
        bench.read(read("end", "1.53 mm", mm(1.53)))
        data, _ = report_data(book, at=AT, version="0.1.0")
        (only,) = data["places"][0]["checks"]
        assert only["line"] is not None
        assert only["name"] == "Size"


def test_a_hold_point_counts_what_needs_no_eye_and_names_the_rest(bench: Bench) -> None:
    with bench.book as book:
        data, _ = report_data(book, at=AT, version="0.1.0")
        (row,) = data["holds"]["list"][0]["table"]["rows"]
        assert "Plug: 5 checks" in row[1]
        bench.do(rework, ("P1.end",), "shim changed")
        bench.read(read("end", "2.31 mm", mm(2.31)))
        data, _ = report_data(book, at=AT, version="0.1.0")
        together, alone = data["holds"]["list"][0]["table"]["rows"]
        assert "Plug: 4 checks" in together[1]
        assert "End float?" in alone[1]
        assert "outside" in " ".join(said(alone[2]))
