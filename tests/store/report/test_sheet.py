"""The blank build sheet, read back from its PDF."""

import re
from pathlib import Path

import pytest
from pypdf import PdfReader

from capture.plans.reader import parse_plan
from store.errors import CannotWrite
from store.plan import Plan
from store.report import typeset
from store.report.boxes import boxes
from store.report.sheet import sheet_data, write_sheet
from store.report.sheet_rows import Printed
from store.report.typeset import ReportFailed
from tests.capture.full_plan import FULL
from tests.capture.small_plan import PLAN

AT = "2026-11-16T17:20:00+01:00"


def plan_of(text: str) -> Plan:
    return parse_plan(text.encode(), "plan.toml")


def words(pdf: Path, first: int = 0, last: int | None = None) -> str:
    """Return the text of pages on one line, its many kinds of space as one."""
    text = " ".join(page.extract_text() for page in PdfReader(pdf).pages[first:last])
    return re.sub(r"[\s\u00a0]+", " ", text.replace("\u200b", ""))


@pytest.fixture(scope="module")
def pdf(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("sheet") / "sheet.pdf"
    return write_sheet(plan_of(FULL), out, Printed(AT, book="job-9", entries=12))


def test_every_check_stands_there_with_its_question_and_how_it_is_entered(pdf: Path) -> None:
    text = words(pdf)
    for key, location, check in plan_of(FULL).walk():
        assert key in text
        assert check.question in text
        assert location.name in text
    assert "benchproof reading job-9 G2.sealant TEXT" in text
    assert "benchproof reading job-9 M1.bore TEXT TEXT ..." in text
    assert "benchproof coverage PHOTO --book job-9 --check C1.covered" in text
    assert "benchproof close job-9 crank" in text


def test_the_head_names_job_engine_and_page_and_the_foot_the_plan(pdf: Path) -> None:
    pages = len(PdfReader(pdf).pages)
    for number in range(pages):
        text = words(pdf, number, number + 1)
        assert "Job T-9" in text
        assert "Build sheet · Bench rig, three cylinders" in text
        assert f"Page {number + 1} of {pages}" in text
        assert "The plan as it stood after 12 entries" in text
        assert "16 November 2026" in text


def test_cautions_gauges_and_what_the_owner_asked_for_are_on_the_first_page(pdf: Path) -> None:
    first = words(pdf, 0, 1)
    for said in ("Lift with a hoist.", "Keep the crankshaft.", "New pump", "mic-1",
                 "checked 2026-01-31, due 2027-01-31", "no. BR-77"):  # fmt: skip
        assert said in first


def test_no_limit_stands_beside_an_empty_box(pdf: Path) -> None:
    """No figure of a limit may be seen before the boxes are filled, in whatever form."""
    text = words(pdf, 0, -1)
    for figure in ("48.21", "48.226", "48.25", "1.35", "0.2 mm", "9.5 mm", "35 %", "at most",
                   "at least"):  # fmt: skip
        assert figure not in text


def test_the_last_page_has_the_limits_in_words_with_their_sources(pdf: Path) -> None:
    last = words(pdf, -1)
    assert "G2.depth at least 0.2 mm PROUD and at most 1.35 mm BELOW" in last
    assert "M1.bore, M2.bore new: at least 48.21 mm and at most 48.226 mm builder's own" in last
    assert "wear, decides: at most 48.25 mm" in last
    assert "C1.pin still to be looked up maker's figure and page: pin that must pass" in last
    # The rims of a coverage are placed later, with the sheet beside the screen.
    assert "C1.covered" not in last
    assert "9.5" not in last


def test_a_hold_point_stands_where_the_last_of_what_it_hides_was_walked() -> None:
    walked = sheet_data(plan_of(FULL), Printed(AT))["round"]
    ids = [part["id"] for part in walked]
    assert ids == ["C1", "G1", "G2", "M1", "M2", "crank", "sump"]
    small = sheet_data(plan_of(PLAN), Printed(AT))["round"]
    assert [part["id"] for part in small] == ["C1", "P1", "cover"]
    crank, sump = walked[-2:]
    assert crank["hides"] == "It hides G1, M1, M2."
    assert "debris log" in crank["asks"]
    assert sump["first"] == "Closed before it: crank."
    assert "close-up" in sump["asks"]


def count_of(key: str, plan: Plan) -> int:
    made = boxes(plan, plan.characteristic(key)[1])
    return sum(len(block["sides"]) * block["columns"] for block in made["blocks"])


def test_a_grid_has_one_box_for_each_reading_in_the_order_in_which_they_are_entered() -> None:
    plan = plan_of(FULL)
    check = plan.characteristic("M1.bore")[1]
    (block,) = boxes(plan, check)["blocks"]
    assert len(check.spots) == 2 * 3 * 2
    assert (block["heads"], block["sides"]) == (
        ["0deg", "60deg", "120deg"],
        ["front, no. 1", "rear, no. 1", "front, no. 2", "rear, no. 2"],
    )
    read = [(side, head) for side in block["sides"] for head in block["heads"]]
    entered = [(f"{s.position}, no. {s.repeat}", s.axis) for s in check.spots]
    assert read == entered


@pytest.mark.parametrize("positions", [1, 2, 5, 6, 7, 13])
@pytest.mark.parametrize("axes", [0, 2, 9])
@pytest.mark.parametrize("repeats", [1, 3])
def test_no_box_is_lost_however_large_the_grid(positions: int, axes: int, repeats: int) -> None:
    def named(letter: str, count: int) -> str:
        return ", ".join(f'"{letter}{n}"' for n in range(count))

    grid = (
        f"positions = [{named('p', positions)}]\naxes = [{named('a', axes)}]\nrepeats = {repeats}"
    )
    text = PLAN.replace('question = "Bore?"', f'question = "Bore?"\n{grid}')
    plan = plan_of(text)
    made = boxes(plan, plan.characteristic("P1.bore")[1])
    assert count_of("P1.bore", plan) == positions * max(1, axes) * repeats
    assert all(block["columns"] <= 6 for block in made["blocks"])


def test_each_kind_of_check_has_what_is_written_for_it() -> None:
    plan = plan_of(FULL)

    def made(key: str) -> dict[str, object]:
        return boxes(plan, plan.characteristic(key)[1])

    assert made("G2.depth")["circle"] == ["BELOW", "FLUSH", "PROUD"]
    assert made("M1.bore")["circle"] == ["bigger", "smaller"]  # read with a difference gauge
    assert made("M1.bore")["lines"] == ["zeroed on"]
    assert made("M1.journal")["circle"] == []
    assert count_of("C1.pin", plan) == 2
    assert made("C1.covered")["blocks"] == []
    assert made("G2.sealant")["lines"] == [""]
    small = plan_of(PLAN)
    assert boxes(small, small.characteristic("P1.clean")[1])["ticks"] == ["yes", "no"]


def test_plugs_galleries_parts_and_photos_are_asked_for_at_their_location() -> None:
    walked = {part["id"]: part for part in sheet_data(plan_of(FULL), Printed(AT))["round"]}
    assert [thing["name"] for thing in walked["G2"]["things"]] == ["plug", "photos"]
    assert [thing["name"] for thing in walked["G1"]["things"]] == ["debris", "photos"]
    assert [thing["name"] for thing in walked["M1"]["things"]] == ["Shell 1", "photos"]
    assert walked["C1"]["things"][0]["ticks"] == ["overall", "close-up"]


def test_what_is_worked_out_has_no_box() -> None:
    walked = {part["id"]: part for part in sheet_data(plan_of(FULL), Printed(AT))["round"]}
    assert [worked["key"] for worked in walked["M1"]["worked"]] == ["M1.clearance"]
    assert [check["key"] for check in walked["M1"]["checks"]] == ["M1.bore", "M1.journal"]


def test_a_sheet_of_what_is_left_leaves_out_the_rest() -> None:
    printed = Printed(AT, keys=frozenset({"M2.journal", "C1.covered"}))
    data = sheet_data(plan_of(FULL), printed)
    keys = [check["key"] for part in data["round"] for check in part.get("checks", ())]
    assert keys == ["C1.covered", "M2.journal"]
    assert data["count"].startswith("2 checks")
    assert [row[0] for row in data["limits"]] == ["M2.journal"]


def test_the_same_sheet_has_the_same_bytes(pdf: Path, tmp_path: Path) -> None:
    again = write_sheet(plan_of(FULL), tmp_path / "b.pdf", Printed(AT, book="job-9", entries=12))
    assert again.read_bytes() == pdf.read_bytes()


def test_it_is_set_on_the_paper_that_is_asked_for(tmp_path: Path) -> None:
    # ISO 216: A4 is 210 x 297 mm; ANSI/ASME Y14.1: A is 8 1/2 x 11 in. A point is 1/72 in.
    for paper, points in (("a4", (595.28, 841.89)), ("letter", (612.0, 792.0))):
        made = write_sheet(plan_of(PLAN), tmp_path / f"{paper}.pdf", Printed(AT, paper=paper))
        box = PdfReader(made).pages[0].mediabox
        assert (float(box.width), float(box.height)) == pytest.approx(points, abs=0.01)


def test_text_that_looks_like_markup_is_printed_as_it_stands(tmp_path: Path) -> None:
    odd = '#panic(1) *x* $y$ \\\\ "z" <here> \U0001f600'
    text = PLAN.replace("Core plug 1", odd.replace('"', '\\"'))
    made = write_sheet(plan_of(text), tmp_path / "odd.pdf", Printed(AT))
    printed = words(made)
    assert "#panic(1) *x* $y$" in printed
    assert "U+1F600" in printed


def test_a_sheet_that_cannot_be_kept_leaves_nothing_behind(tmp_path: Path) -> None:
    with pytest.raises(CannotWrite, match="choose another folder"):
        write_sheet(plan_of(PLAN), tmp_path / "nowhere" / "sheet.pdf", Printed(AT))
    assert list(tmp_path.iterdir()) == []


def test_a_typesetter_that_does_not_end_is_stopped(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(typeset, "_SECONDS", 0.001)
    with pytest.raises(ReportFailed, match="the sheet was not finished"):
        write_sheet(plan_of(PLAN), tmp_path / "sheet.pdf", Printed(AT))
    assert list(tmp_path.iterdir()) == []


def test_a_page_that_cannot_be_set_is_one_sentence(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(typeset, "_SIGNS", "sheet.typ")  # and not the signs it needs
    with pytest.raises(ReportFailed, match=r"the sheet could not be set: .*signs\.typ"):
        write_sheet(plan_of(PLAN), tmp_path / "sheet.pdf", Printed(AT))
    assert list(tmp_path.iterdir()) == []
