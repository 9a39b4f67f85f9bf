"""The shipped plans: they read, they cover what is usually shown, and no limit is filled in."""

import re
import tomllib
from itertools import pairwise

import jsonschema
import pytest

from capture.errors import BadPlanFile
from capture.plans.combination import combine
from capture.plans.fragment import library, read_library
from capture.plans.reader import parse_plan
from capture.plans.schema import plan_schema
from capture.plans.sheet import parse_csv
from capture.plans.sheet_writer import write_csv
from capture.plans.writer import write_plan
from store.characteristic import ANSWERED_IN_WORDS
from store.plan import Job, Plan
from tests.capture.plan_rows import ROWS, Row

NAMES = tuple(name for name, _ in library())
JOB = Job(number="1", engine="four cylinders in line", customer="c", shop="s")
US = Job(number="1", engine="four cylinders in line", customer="c", shop="s", units="US")
# The usual order of closing, as far as the library goes (common practice, no source).
ORDER = ("gallery-plugs", "camshaft", "crank", "pistons", "front-cover", "sump")


@pytest.fixture(scope="module")
def whole() -> Plan:
    return combine(JOB, [read_library(name) for name in NAMES])


def test_the_library_lists_its_plans_in_the_order_of_work() -> None:
    assert NAMES == (
        "arrival", "plugs-and-galleries", "cam-tunnel", "mains-and-crank", "bores-pistons-rings",
        "deck-and-closing",
    )  # fmt: skip
    assert all(about.endswith(".") and len(about) < 110 for _, about in library())
    with pytest.raises(BadPlanFile, match="no plan 'crank' in the library; there are arrival, "):
        read_library("crank")


@pytest.mark.parametrize("job", [JOB, US], ids=["metric", "US"])
@pytest.mark.parametrize("name", NAMES)
def test_every_shipped_plan_stands_alone_and_is_written_back_the_same(name: str, job: Job) -> None:
    plan = combine(job, [read_library(name)])
    assert parse_plan(write_plan(plan).encode(), "a.toml") == plan
    assert parse_csv(write_csv(plan).encode(), "a.csv", job) == plan


@pytest.mark.parametrize("name", NAMES)
def test_every_shipped_plan_is_of_the_schema(name: str) -> None:
    validator = jsonschema.Draft202012Validator(plan_schema())
    assert list(validator.iter_errors(tomllib.loads(read_library(name).text))) == []


def test_all_of_the_library_is_one_plan_that_is_written_back_the_same(whole: Plan) -> None:
    assert parse_plan(write_plan(whole).encode(), "a.toml") == whole
    assert parse_csv(write_csv(whole).encode(), "a.csv", JOB) == whole


def test_no_limit_is_filled_in(whole: Plan) -> None:
    checks = [check for _, _, check in whole.walk()]
    assert [check.id for check in checks if check.limit or check.wear_limit or check.bands] == []
    asked = [check.asks for check in checks if check.asks]
    assert len(asked) > 100
    assert [words for words in asked if not re.match("maker's figure and page", words)] == []


def test_no_text_of_the_library_holds_a_figure_of_size() -> None:
    """Resolutions apart, and the pressure of a published rule with its paragraph beside it."""
    for name in NAMES:
        for line in read_library(name).text.splitlines():
            if "resolution" in line or "29 CFR 1910.242(b)" in line:
                continue
            assert not re.search(r"\d\s*(mm|in|thou|psi|kPa|N\.m|lbf)\b", line), line


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.what)
def test_a_row_of_the_trade_is_shown_by_the_library(whole: Plan, row: Row) -> None:
    hidden = set(whole.hidden_by(row.hidden_by))
    for key in row.checks:
        check = whole.characteristic(key)[1]
        assert check.question.endswith("?")
        assert check.kind == "computed" or check.formula == ""
    assert {key.split(".")[0] for key in row.checks} & hidden
    for key, readings in row.grids.items():
        assert len(whole.characteristic(key)[1].spots) == readings, key
    for key in row.computed:
        assert whole.characteristic(key)[1].kind == "computed"


def test_every_location_is_hidden_by_a_hold_point(whole: Plan) -> None:
    hidden = {at for hold in whole.hold_points for at in whole.hidden_by(hold.id)}
    assert {location.id for location in whole.locations} - hidden == set()


def test_the_hold_points_stand_in_the_usual_order_of_closing(whole: Plan) -> None:
    ids = [hold.id for hold in whole.hold_points]
    assert [ids.index(a) < ids.index(b) for a, b in pairwise(ORDER)] == [True] * 5
    assert set(whole.closed_before("sump")) >= set(ORDER) - {"sump"}
    cams = {f"C{n}" for n in range(1, 6)}
    assert cams <= set(whole.hidden_by("camshaft"))
    assert whole.hold_point("gallery-plugs").debris
    assert all(location.gallery for location in whole.locations if location.id.startswith("Q-"))


# What is done before what at the plugs (common practice, no source).
PLUG_WORK = ("GO1", "KO1", "Q-main", "GB1", "G1")


def test_the_plugs_are_walked_in_the_order_of_the_work(whole: Plan) -> None:
    """Old depths before the plugs are out, galleries cleaned, bores, then the fitted depths."""
    ids = [location.id for location in whole.locations]
    assert [ids.index(a) < ids.index(b) for a, b in pairwise(PLUG_WORK)] == [True] * 4
    # A cover stands in the walk behind the last that it hides: what it does not hide is later.
    for hold, later in (("old-plugs", "Q-main"), ("gallery-plugs", "G1"), ("core-plugs", "K1")):
        assert max(map(ids.index, whole.hidden_by(hold))) < ids.index(later), hold


def test_a_plug_can_be_counted_in_at_every_plug(whole: Plan) -> None:
    plugs = {location.id for location in whole.locations if location.plug}
    assert plugs == {part.location for part in whole.parts if part.id.startswith("plug-")}
    assert len(plugs) == 12


def test_readings_say_what_they_are_read_with_and_to(whole: Plan) -> None:
    sizes = [(key, c) for key, _, c in whole.walk() if c.kind in {"length", "depth"}]
    assert len(sizes) > 100
    assert [key for key, check in sizes if not check.instrument] == []
    without = {key.split(".")[1] for key, check in sizes if check.resolution is None}
    assert without == {"strip"}  # a band, not a number to a step
    pressures = [c for _, _, c in whole.walk() if c.kind in {"pressure", "torque", "time"}]
    assert all(check.instrument for check in pressures)


def test_a_us_job_has_us_units_throughout() -> None:
    plan = combine(US, [read_library(name) for name in NAMES])
    units = {check.unit for _, _, check in plan.walk() if check.kind not in ANSWERED_IN_WORDS}
    assert units == {"in", "psi", "psi/min", "lbf.ft", "lbf.in", "min", "deg", "turn", "count", "%",
                     "1"}  # fmt: skip
    resolutions = {c.resolution.unit for _, _, c in plan.walk() if c.resolution}
    assert resolutions == {"in", "turn"}


@pytest.mark.parametrize(
    "words",
    ["rated hoist", "mushroomed head", "29 CFR 1910.242(b)", "bleed it", "safety data sheet",
     "thin brass", "do not scrape dry", "a photo is a screening aid"],
)  # fmt: skip
def test_the_usual_cautions_are_shown(whole: Plan, words: str) -> None:
    cautions = [check.caution for _, _, check in whole.walk()]
    cautions += [hold.caution for hold in whole.hold_points]
    said = [caution for caution in cautions if words.lower() in caution.lower()]
    assert said


def test_what_can_hurt_defers_to_the_makers_manual(whole: Plan) -> None:
    dangerous = re.compile(r"hoist|eye protection|stand clear|wrench the hand")
    cautions = {check.caution for _, _, check in whole.walk() if dangerous.search(check.caution)}
    cautions |= {h.caution for h in whole.hold_points if dangerous.search(h.caution)}
    assert len(cautions) >= 5
    assert [caution for caution in cautions if "maker's manual decide" not in caution] == []
