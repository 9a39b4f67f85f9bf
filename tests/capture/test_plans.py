"""The plan file: what is read, and that every slip is told with its place."""

import re
from math import sqrt
from pathlib import Path

import pytest

from annotate.quantity import Quantity
from capture.errors import BadPlanFile
from capture.plans.lines import line_of
from capture.plans.reader import parse_plan, read_plan
from capture.unit_words import SIZES

PLAN = """format = 1

[job]
number = "T-1"
engine = "two-cylinder test rig"
customer = "Nobody"
shop = "The Back Room"

[[gauge]]
id = "mic-1"
kind = "micrometer 25-50"
resolution = "0.001 mm"
permissible_error = "0.004 mm"

[[location]]
id = "C2"
name = "Cam bearing 2"

  [[location.check]]
  id = "covered"
  kind = "coverage"
  question = "How much of the oil hole is covered?"
  near_diameter = "8.05 mm +- 0.05 mm"
  wall = "1.9 mm"
  limit = { at_most = "40 %", of = "covered", source = "builder's own" }

[[location]]
id = "P1"
name = "Plug 1"

  [[location.check]]
  id = "bore"
  kind = "length"
  question = "Bore?"
  gauge = "mic-1"

  [[location.check]]
  id = "plug"
  kind = "length"
  question = "Plug?"

  [[location.check]]
  id = "press"
  kind = "computed"
  question = "Press fit?"
  formula = "P1.plug - P1.bore"
  limit = { at_least = "1 thou", at_most = "0.10 mm", source = "builder's own", rule = "simple" }

  [[location.check]]
  id = "routes"
  kind = "agreement"
  question = "Do bore and plug agree?"
  of = ["P1.plug", "P1.bore"]

[[hold_point]]
id = "cover"
name = "Cover"
hides = ["C2", "P1"]
roles = ["fitted", "overall"]
"""


def refusal(text: str) -> str:
    with pytest.raises(BadPlanFile) as refused:
        parse_plan(text.encode(), "bench.toml")
    return str(refused.value)


def line_with(text: str, part: str) -> int:
    return next(n for n, line in enumerate(text.splitlines(), 1) if part in line)


def test_a_plan_says_what_its_file_says() -> None:
    plan = parse_plan(PLAN.encode(), "bench.toml")
    keys = [key for key, _, _ in plan.walk()]
    assert keys == ["C2.covered", "P1.bore", "P1.plug", "P1.press", "P1.routes"]
    _, covered = plan.characteristic("C2.covered")
    assert covered.limit is not None
    assert covered.limit.at_most == Quantity(40, "%")
    assert (covered.limit.of, covered.limit.rule) == ("covered", "guarded")
    # JCGM 100:2008 4.3.7: a half width of a rectangle, and F.2.2.1: half of the last step
    assert covered.near_diameter == Quantity(8.05, "mm", u=0.05 / sqrt(3))
    assert covered.wall is not None
    assert covered.wall.u == pytest.approx(0.05 / sqrt(3))
    _, press = plan.characteristic("P1.press")
    assert press.limit is not None
    assert press.limit.at_least == Quantity(0.001, "in")
    assert press.limit.rule == "simple"
    assert plan.hold_point("cover").roles == ("overall", "fitted")
    assert plan.gauges[0].permissible_error == Quantity(0.004, "mm")


def test_a_check_without_a_limit_gets_none() -> None:
    plan = parse_plan(PLAN.encode(), "bench.toml")
    assert plan.characteristic("P1.bore")[1].limit is None


def test_us_units_are_taken_for_lengths_only() -> None:
    plan = parse_plan(
        PLAN.replace('shop = "The Back Room"', 'shop = "The Back Room"\nunits = "US"').encode(), "x"
    )
    assert plan.characteristic("P1.bore")[1].unit == "in"
    assert plan.characteristic("C2.covered")[1].unit == "%"


def bore_as(kind: str, lines: str) -> str:
    """Return the plan of a US job with its first length made another check."""
    return (
        PLAN.replace('shop = "The Back Room"', 'shop = "The Back Room"\nunits = "US"')
        .replace('kind = "length"', f'kind = "{kind}"', 1)
        .replace('  gauge = "mic-1"', f"  {lines}", 1)
        .replace('of = ["P1.plug", "P1.bore"]', 'of = ["P1.plug", "P1.plug"]')
    )


def unit_of_bore(kind: str, lines: str) -> str:
    plan = parse_plan(bore_as(kind, lines).encode(), "bench.toml")
    return plan.characteristic("P1.bore")[1].unit


@pytest.mark.parametrize(
    ("kind", "bounds", "unit"),
    [
        ("pressure", 'at_least = "40 psi"', "psi"),
        ("torque", 'at_least = "60 lbf ft", at_most = "70 lbf ft"', "lbf.ft"),
        ("torque", 'at_most = "90 lbf.in"', "lbf.in"),
        ("length", 'at_most = "1.9995 in"', "in"),
        ("length", 'at_most = "2.5 thou"', "in"),
        ("length", 'at_most = "0.06 mm"', "mm"),
        ("length", 'at_least = "1 thou", at_most = "0.06 mm"', "in"),
    ],
)
def test_a_bare_number_is_in_the_unit_of_its_limit(kind: str, bounds: str, unit: str) -> None:
    assert unit_of_bore(kind, f'limit = {{ {bounds}, source = "x" }}') == unit


def test_a_limit_in_two_unusual_units_asks_which_a_bare_number_has() -> None:
    limit = 'limit = { at_least = "3 bar", at_most = "60 psi", source = "x" }'
    assert "the limit has two units" in refusal(bore_as("pressure", limit))
    assert unit_of_bore("pressure", f'unit = "psi"\n  {limit}') == "psi"


@pytest.mark.parametrize(
    ("kind", "written", "unit"),
    [
        ("torque", "lbf ft", "lbf.ft"), ("torque", "ft-lb", "lbf.ft"), ("torque", "Nm", "N.m"),
        ("pressure", "psi", "psi"), ("pressure", "KPA", "kPa"), ("length", "inch", "in"),
        ("length", "mm", "mm"),
    ],
)  # fmt: skip
def test_a_unit_is_spelled_as_a_reading_spells_it(kind: str, written: str, unit: str) -> None:
    assert unit_of_bore(kind, f'unit = "{written}"') == unit


@pytest.mark.parametrize(
    ("kind", "written", "told"),
    [
        ("torque", "nm", "'nm' is a nanometre"),
        ("torque", "psi", "psi is no unit for a torque"),
        ("torque", "lb", "that is a weight"),
        ("length", "thou", "'thou' is a part of a unit: write 'in'"),
        ("length", "furlong", "'furlong' is not known as a unit"),
    ],
)
def test_a_unit_that_cannot_be_is_told(kind: str, written: str, told: str) -> None:
    assert told in refusal(bore_as(kind, f'unit = "{written}"'))


def test_the_format_page_lists_every_unit_of_a_typed_kind() -> None:
    page = (Path(__file__).parents[2] / "capture" / "plans" / "FORMAT.md").read_text()
    for unit, (kind, _) in SIZES.items():
        if kind in {"length", "area", "torque", "pressure"}:
            assert f'"{unit}"' in page, unit


@pytest.mark.parametrize("bound", ["400 %", "100.1 %"])
def test_more_than_all_of_a_hole_is_no_limit(bound: str) -> None:
    assert "no more than all of a hole" in refusal(PLAN.replace('"40 %"', f'"{bound}"'))


@pytest.mark.parametrize(
    ("old", "new", "at", "told"),
    [
        (', source = "builder\'s own" }', " }", "at_most",
         "location 'C2', check 'covered', limit: lacks 'source'"),
        ("wall = ", "wal = ", "wal =", "unknown key 'wal'; did you mean 'wall'?"),
        ('"1.9 mm"', '"1.9 furlongs"', "wall", "location 'C2', check 'covered': wall: '1.9 furl"),
        ('"1.9 mm"', '"1.9"', "wall", "'1.9' has no unit: write it as \"1.9 mm\""),
        ('"1.9 mm"', "1.9", "wall", 'wall: must be a text in quotes, as "..."'),
        ('"1.9 mm"', '"0 mm"', "wall", "wall: must be above 0"),
        ('kind = "coverage"', 'kind = "covrage"', 'kind = "cov', "'covrage' is not one of"),
        ('  question = "Bore?"\n', "", "[[location.check]]",
         "location 'P1', check 'bore': lacks 'question'"),
        ('of = "covered", ', "", "limit = { at_most", "limit: lacks 'of': one of covered"),
        ('"40 %"', '"40 mm"', "limit = { at_most", "at_most: '40 mm'"),
        ('"0.10 mm"', '"0.10 mm +- 0.01 mm"', "limit = { at_least", "takes one exact value"),
        ('at_least = "1 thou"', 'at_least = "1 in"', "limit = { at_least", "above at_most"),
        ('["fitted", "overall"]', '["fited"]', "roles", "'fited' is not one of overall"),
        ('["P1.plug", "P1.bore"]', '["P1.plug"]', "of = [", "names two checks"),
        ('gauge = "mic-1"', "gauge = 7", "gauge = ", "must be a text"),
        ('question = "Bore?"', 'question = " "', "question = ", "question says nothing"),
        ('id = "C2"', 'id = "C 2"', 'id = "C', "'C 2' is not an id"),
    ],
)  # fmt: skip
def test_a_slip_is_told_with_its_line_and_place(old: str, new: str, at: str, told: str) -> None:
    changed = PLAN.replace(old, new, 1)
    assert changed != PLAN
    sentence = refusal(changed)
    assert told in sentence
    found = re.match(r"bench\.toml, line (\d+): ", sentence)
    assert found
    # The line of the key if it has one of its own, else of the table it is missing in.
    line = changed.splitlines()[int(found[1]) - 1]
    assert at in line or line.strip().startswith("[[")


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("format = 1", "format = 2", "format 2 is not read here, only 1"),
        ("format = 1\n", "", "lacks 'format': write it as format = 1"),
        ("format = 1", "format = true", "format: must be a whole number"),
        ("[job]", "[jop]", "unknown key 'jop'; did you mean 'job'?"),
        ('hides = ["C2", "P1"]', 'hides = ["C9"]', "hold point cover: hides 'C9', not a location"),
        ('of = ["P1.plug", "P1.bore"]', 'of = ["P1.plug", "P1.hole"]', "'of' names 'P1.hole'"),
        ('gauge = "mic-1"', 'gauge = "mic-2"', "gauge 'mic-2' is not in the gauge list"),
        ('id = "P1"', 'id = "C2"', "location or hold point 'C2' is there twice"),
        ("[job]", "[job", "is not TOML: "),
    ],
)
def test_a_contradiction_is_told_with_the_file(old: str, new: str, told: str) -> None:
    sentence = refusal(PLAN.replace(old, new, 1))
    assert sentence.startswith("bench.toml")
    assert told in sentence
    assert "\n" not in sentence


def test_a_depth_needs_its_datum() -> None:
    assert "needs 'datum'" in refusal(PLAN.replace('kind = "length"', 'kind = "depth"', 1))


def test_yes_no_takes_no_limit() -> None:
    changed = PLAN.replace('kind = "length"', 'kind = "yes-no"').replace(
        'question = "Bore?"', 'question = "Bore?"\nlimit = { at_most = "1", source = "x" }'
    )
    assert "yes is within and no is outside" in refusal(changed)


def test_only_a_coverage_has_holes() -> None:
    changed = PLAN.replace('question = "Bore?"', 'question = "Bore?"\nwall = "2.0 mm"')
    assert "only a coverage has 'wall'" in refusal(changed)


def test_a_file_that_is_no_text_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BadPlanFile, match="not text in UTF-8"):
        parse_plan(b"\xff\xfe\x00", "bench.toml")
    with pytest.raises(BadPlanFile, match="can't be read"):
        read_plan(tmp_path / "nothing.toml")


def test_the_line_finder_counts_tables_within_their_parent() -> None:
    second = line_of(PLAN, "location.check", (1, 1), "question")
    assert second == line_with(PLAN, 'question = "Plug?"')
    assert line_of(PLAN, "location.check", (7, 7), "question") is None
