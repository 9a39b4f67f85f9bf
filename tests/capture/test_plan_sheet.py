"""A plan in a spreadsheet: what is read, what is told, and that what is written reads back."""

import re

import pytest
from msgspec.structs import replace

from annotate.quantity import Quantity
from capture.errors import BadPlanFile
from capture.plans.columns import columns
from capture.plans.reader import parse_plan
from capture.plans.sheet import parse_csv, read_csv
from capture.plans.sheet_writer import write_csv
from store.characteristic import Characteristic, Limit
from store.plan import HoldPoint, Job, Location, Plan
from tests.capture.full_plan import FULL
from tests.capture.plan_page import FOLDER, PAGE
from tests.capture.small_plan import PLAN

JOB = Job(number="1", engine="e", customer="c", shop="s")
PRESS = "location 'P1', check 'press'"
SHEET = """location;name;check;kind;question;unit;at least;at_most;source;Axes;repeats;formula;\
hold point
P1;Core plug 1;bore;length;Bore?;mm;;;;along | across;2;;Side cover

P1;;plug;length;"Plug; mean?";mm;;;;;;;
;;press;computed;Press fit?;;0.04 mm;0.11 mm;builder's own;;;P1.plug - P1.bore;
P2;Core plug 2;seen;yes-no;Is it in?;;;;;;;;Side cover | paint
"""


def read(text: str) -> Plan:
    return parse_csv(text.encode(), "plan.csv", JOB)


def refusal(text: str) -> str:
    with pytest.raises(BadPlanFile) as refused:
        read(text)
    return str(refused.value)


def test_a_sheet_says_what_its_cells_say() -> None:
    plan = read(SHEET)
    assert plan.job == JOB
    assert plan.locations == (
        Location(
            "P1",
            "Core plug 1",
            (
                Characteristic(
                    "bore", "length", "Bore?", "mm", axes=("along", "across"), repeats=2
                ),
                Characteristic("plug", "length", "Plug; mean?", "mm"),
                Characteristic(
                    "press", "computed", "Press fit?", "mm", formula="P1.plug - P1.bore",
                    limit=Limit("builder's own", Quantity(0.04, "mm"), Quantity(0.11, "mm")),
                ),
            ),
        ),
        Location("P2", "Core plug 2", (Characteristic("seen", "yes-no", "Is it in?", "1"),)),
    )  # fmt: skip
    assert plan.hold_points == (
        HoldPoint("Side-cover", "Side cover", ("P1", "P2")),
        HoldPoint("paint", "paint", ("P2",)),
    )


@pytest.mark.parametrize(
    "raw",
    [
        b"\xef\xbb\xbf" + SHEET.encode(),
        SHEET.encode("utf-16"),
        SHEET.replace("\n", "\r\n").encode(),
        SHEET.replace('"Plug; mean?"', '"Plug@ mean?"')
        .replace(";", ",")
        .replace("@", ";")
        .encode(),
        SHEET.replace('"Plug; mean?"', "Plug@ mean?").replace(";", "\t").replace("@", ";").encode(),
    ],
    ids=["mark", "utf-16", "crlf", "commas", "tabs"],
)
def test_separators_and_marks_of_any_spreadsheet_are_taken(raw: bytes) -> None:
    assert parse_csv(raw, "plan.csv", JOB) == read(SHEET)


def test_the_units_of_the_job_count() -> None:
    plan = parse_csv(SHEET.replace("?;mm;", "?;;").encode(), "plan.csv", replace(JOB, units="US"))
    assert plan.characteristic("P1.bore")[1].unit == "in"
    assert plan.characteristic("P1.press")[1].unit == "mm"  # its limit's


def test_one_row_may_stand_for_several_locations() -> None:
    plan = read(
        "location,name,for each,check,kind,question,hold point\n"
        "M{n},Main {n},1 | 2 | 3,clean,yes-no,Is main {n} clean?,caps\n"
    )
    assert [location.name for location in plan.locations] == ["Main 1", "Main 2", "Main 3"]
    assert plan.hold_points[0].hides == ("M1", "M2", "M3")


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        (";kind;", ";kinds;", "first row: unknown column 'kinds'; did you mean 'kind'?"),
        (";repeats;", ";axes;", "first row: column 'axes' is there twice"),
        ("location;", "id;", "first row: there is no column 'location'"),
        (";length;Bore", ";lenght;Bore", "row 2, column 'kind': location 'P1', check 'bore': kind"),
        ("across;2;", "across;two;", "row 2, column 'repeats': 'two'"),
        ("0.04 mm", "0.04", f"row 5, column 'at least': {PRESS}, limit: at_least: '0.04' has no"),
        ("builder's own", "", f"row 5, column 'source': {PRESS}, limit: lacks 'source'"),
        ("P1.plug - P1.bore", "P1.plug - P1.hole", "row 5, column 'formula': "),
        ("P1;;plug", "P1;Another;plug", "row 4, column 'name': P1 had 'Core plug 1' before"),
        ("P1;Core plug 1;bore;", ";Core plug 1;bore;", "row 2, column 'location': which location"),
        ("press;computed;Press fit?", "press;computed;",
         f"row 5, column 'question': {PRESS}: lacks 'question'"),
        ("P2;Core", "P 2;Core", "row 6: location 'P 2': 'P 2' is not an id"),
        ("paint\n", "paint;more\n", "row 6: more cells than columns"),
        ("Press fit?;;0.04", 'Press fit?;"mm;0.04', "is not CSV"),
    ],
)  # fmt: skip
def test_a_slip_is_told_with_its_row_and_column(old: str, new: str, told: str) -> None:
    changed = SHEET.replace(old, new, 1)
    assert changed != SHEET
    sentence = refusal(changed)
    assert sentence.startswith("plan.csv")
    assert told in sentence


def test_rows_of_other_tables_are_told_with_their_row_too() -> None:
    head = "table,location,check,id,name,kind,question,resolution,hides,found,bands\n"
    one = ",A,x,,a,length,?,,,,\n"
    assert "row 3, column 'table': 'guage' is not one of check, hold point, gauge" in refusal(
        f"{head}{one}guage,,,,,,,,,,\n"
    )
    assert "row 3, column 'resolution': gauge 'm': resolution: '1' has no unit" in refusal(
        f"{head}{one}gauge,,,m,,mic,,1,,,\n"
    )
    assert "row 3, column 'hides': a gauge has no such cell" in refusal(
        f"{head}{one}gauge,,,m,,mic,,1 mm,A,,\n"
    )
    assert "row 2, column 'found': 'perhaps' is neither yes nor no" in refusal(
        f"{head},A,x,,,length,?,,,perhaps,\n"
    )
    assert "row 2, column 'bands': location 'A', check 'x', band 1: lacks 'name'" in refusal(
        f'{head},A,x,,a,length,?,,,,"[{{ at_most = ""1 mm"" }}]"\n'
    )
    assert "row 2, column 'bands': '[{'" in refusal(f"{head},A,x,,a,length,?,,,,[{{\n")


def test_an_empty_or_foreign_sheet_is_refused(tmp_path) -> None:
    assert "a plan needs at least one row with a location" in refusal("location,name\n")
    with pytest.raises(BadPlanFile, match="not in UTF-8"):
        parse_csv("location\nB\xe4r".encode("cp1252"), "plan.csv", JOB)
    with pytest.raises(BadPlanFile, match="can't be read"):
        read_csv(tmp_path / "nothing.csv", JOB)
    path = tmp_path / "plan.csv"
    path.write_text(SHEET, encoding="utf-8")
    assert read_csv(path, JOB) == read(SHEET)


@pytest.mark.parametrize(
    "text", [PLAN, FULL, (FOLDER / "demo.toml").read_text(encoding="utf-8")], ids=len
)
def test_a_plan_written_for_a_spreadsheet_reads_back_the_same(text: str) -> None:
    plan = parse_plan(text.encode(), "a.toml")
    written = write_csv(plan)
    assert parse_csv(written.encode(), "b.csv", plan.job) == plan
    assert written.splitlines()[0].startswith("table,location,name,check,id,")


def test_no_cell_is_worked_out_by_a_spreadsheet() -> None:
    location = Location("A", "=1+1", (Characteristic("x", "yes-no", "'-x", "1"),))
    written = write_csv(Plan(job=JOB, locations=(location,)))
    assert "'=1+1" in written
    assert not re.search(r"(^|,)[=+@-]", written, re.MULTILINE)


def test_a_plan_that_no_spreadsheet_can_say_is_refused() -> None:
    job = replace(JOB, cautions=("Lift with a hoist.",))
    odd = Location("A", " a ", (Characteristic("x", "yes-no", "?", "1"),))
    assert "hoist" not in write_csv(
        Plan(job=job, locations=(replace(odd, name="a"),))
    )  # the job is given beside it
    with pytest.raises(BadPlanFile, match="a spreadsheet can't say all"):
        write_csv(Plan(job=JOB, locations=(odd,)))


def test_the_sheet_on_the_page_can_be_read() -> None:
    (block,) = re.findall(r"```csv\n(.*?)```", PAGE.read_text(encoding="utf-8"), re.DOTALL)
    plan = read(block)
    assert plan.characteristic("P1.press")[1].formula == "P1.plug - P1.bore"
    assert plan.hold_points[0].hides == ("P1",)


def test_every_column_has_its_own_name() -> None:
    names = [column.name for column in columns()]
    assert len(set(names)) == len(names)
    assert {"location", "wear at most", "limit of", "expansion per kelvin"} <= set(names)
