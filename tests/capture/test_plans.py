"""The plan file: what is read, and that every slip is told with its place."""

import re
from math import sqrt
from pathlib import Path

import pytest

from annotate.quantity import Quantity
from capture.errors import BadPlanFile
from capture.plans.lines import line_of
from capture.plans.reader import parse_plan, read_plan
from store.characteristic import Band, Characteristic, Doubt, Limit
from store.plan import Gauge, HoldPoint, Job, KitLine, Part
from tests.capture.full_plan import FULL

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
        .replace("P1.plug - P1.bore", "P1.plug - P1.plug")
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


def test_a_full_plan_says_what_its_file_says() -> None:
    plan = parse_plan(FULL.encode(), "full.toml")
    assert [location.id for location in plan.locations] == ["C1", "G1", "G2", "M1", "M2"]
    assert plan.job == Job(
        number="T-9", engine="Bench rig, three cylinders", customer="Ada Quill",
        shop="Back Lane Bench", engine_number="BR-77", decimal_comma=True,
        instructions=("Keep the crankshaft.", 'Say when it is "odd".'), declined=("New pump",),
        left_out=("Hardness",), cautions=("Lift with a hoist.",),
    )  # fmt: skip
    assert plan.gauges == (
        Gauge(
            "mic-1", "outside micrometer 25-50 mm", Quantity(0.001, "mm"), Quantity(0.004, "mm"),
            repeatability=Quantity(0.0015, "mm"), repeats=6, last_check="2026-01-31",
            due="2027-01-31", set_on="setting rod 25 mm", expansion=1.2e-5, marked="No. 4",
        ),
        Gauge("bore-1", "bore gauge", Quantity(0.0005, "in"), Quantity(0.006, "mm"),
              difference=True),
        Gauge("wrench-1", "torque wrench", Quantity(1, "N.m"), Quantity(2, "N.m")),
    )  # fmt: skip
    assert plan.kit == (KitLine("shells", "Main shells", 2, Quantity(48.2, "mm")),)
    assert plan.parts[1] == Part("shell-2", "Shell 2", location="M2", kit="shells")
    assert plan.hold_points == (
        HoldPoint("crank", "Crankshaft goes in", ("M1", "M2", "G1"), debris=True),
        HoldPoint(
            "sump", "Sump goes on", ("crank", "C1", "G2"), roles=("overall", "close-up"),
            seal=True, caution="Nothing above it can be seen again.",
        ),
    )  # fmt: skip


def test_a_full_plans_locations_say_what_their_tables_say() -> None:
    plan = parse_plan(FULL.encode(), "full.toml")
    cam, gallery, rear = (plan.location(name) for name in ("C1", "G1", "G2"))
    assert (cam.near, cam.far, cam.group) == ("bush hole", "oilway", "cam oil holes")
    assert (gallery.gallery, gallery.plug, gallery.characteristics) == (True, False, ())
    assert (rear.plug, rear.near) == (True, "bearing hole")
    covered, flat, pin, routes = cam.characteristics
    assert covered.shape == "slot"
    assert covered.far_diameter.value == pytest.approx(0.2815 * 25.4, rel=1e-14)
    assert covered.far_diameter.u == pytest.approx(0.00005 * 25.4 / sqrt(3), rel=1e-14)
    assert covered.limit == Limit(
        "builder's own", at_least=Quantity(9.5, "mm^2"), of="open area", rule="simple"
    )
    assert (flat.flat, flat.limit.at_most) == (True, Quantity(35, "%"))
    assert (pin.limit, pin.asks) == (None, "maker's figure and page: pin that must pass")
    assert routes.of == ("C1.covered.pin", "C1.pin")


def test_a_full_plans_checks_say_what_their_tables_say() -> None:
    plan = parse_plan(FULL.encode(), "full.toml")
    depth, sealant = plan.location("G2").characteristics
    assert (depth.datum, depth.positions, depth.take) == (
        "rear face", ("up", "right", "down", "left"), "range",
    )  # fmt: skip
    assert depth.limit.at_least == Quantity(-0.2, "mm")  # PROUD
    assert (sealant.kind, sealant.unit) == ("note", "1")
    bore, journal, clearance = plan.location("M2").characteristics
    assert bore == Characteristic(
        id="bore", kind="length", question="Housing bore 2?", unit="mm", gauge="bore-1",
        limit=Limit(
            "builder's own", Quantity(48.210, "mm"), Quantity(48.226, "mm"),
            printed="48.210-48.226 mm (1.8980-1.8987 in)",
        ),
        wear_limit=Limit(
            "builder's own", at_most=Quantity(48.25, "mm"), printed="max 48.25 mm (1.9886 in)",
            settled="48.25 mm: the drawing has it too",
        ),
        judged_by="wear",
        instrument="bore gauge", resolution=Quantity(0.002, "mm"), positions=("front", "rear"),
        axes=("0deg", "60deg", "120deg"), repeats=2, part="shell-2", found=True,
        material="grey iron", doubts=(Doubt("burr", Quantity(0.003, "mm")),),
        caution="Keep the caps in order.",
    )  # fmt: skip
    assert journal.asks == "maker's figure and page: journal 2"
    assert clearance.formula == "M2.bore - M2.journal"
    assert clearance.bands == (
        Band("standard shell", Quantity(0.03, "mm"), Quantity(0.06, "mm")),
        Band("next shell", at_least=Quantity(0.06, "mm")),
    )


@pytest.mark.parametrize(
    ("formula", "told"),
    [
        ("P1.plug-P1.bore", "if the - is a minus, put a blank on both sides of it"),
        ("P1.plug-2 mm", "put a blank on both sides of it"),
        ("P1.plug - P1.hole", "column 11: P1.hole is not a check here"),
        ("P1.plug * P1.bore", "the formula comes to length * length, and the check's unit is mm"),
        ("P1.plug - 2", "of length and a bare number; give the number its unit"),
        ("P1.plug - ", "column 11: a number, a name LOCATION.CHECK or a bracket is wanted here"),
        ("P1.plug - P1.press", "the formula rests on itself"),
        ("P1.plug - P1.routes", "P1.routes is a agreement: nothing can be worked out"),
        ("P1.plug[top] - P1.bore", "P1.plug[top]: 'top' is no position or axis of P1.plug"),
        ("taper(P1.bore)", "taper needs 2 positions or more of P1.bore"),
        ("P1.plug.pin - P1.bore", "P1.plug.pin: only a coverage has parts"),
        ("C2.covered.area", "the formula comes to length * length"),
        ("C2.covered", "the formula comes to a bare number"),
    ],
)
def test_a_formula_that_cannot_be_worked_out_is_told_with_its_line(formula: str, told: str) -> None:
    changed = PLAN.replace("P1.plug - P1.bore", formula)
    sentence = refusal(changed)
    assert told in sentence
    assert sentence.startswith(
        f"bench.toml, line {line_with(changed, 'formula = ')}: location 'P1', check 'press': "
    )


def test_a_formula_may_take_parts_of_a_coverage_and_of_a_grid() -> None:
    parse_plan(PLAN.replace("P1.plug - P1.bore", "P1.plug - C2.covered.pin").encode(), "a")
    grid = PLAN.replace(
        '  question = "Bore?"',
        '  question = "Bore?"\n  positions = ["a", "b"]\n  axes = ["x", "y"]',
    ).replace("P1.plug - P1.bore", "out_of_round(P1.bore) + taper(P1.bore) + P1.bore[a, x]")
    plan = parse_plan(grid.encode(), "a")
    assert "P1.bore[a, x]" in plan.characteristic("P1.press")[1].formula


def test_the_refusal_of_a_difference_says_the_formula_to_write() -> None:
    told = refusal(
        PLAN.replace('kind = "computed"', 'kind = "difference"').replace(
            'formula = "P1.plug - P1.bore"', 'of = ["P1.plug", "P1.bore"]'
        )
    )
    assert 'kind = "computed" and formula = "P1.plug - P1.bore" in the place of' in told


def printed(words: str) -> str:
    """Return the plan with another limit of its press fit."""
    old = 'limit = { at_least = "1 thou", at_most = "0.10 mm", source = "builder\'s own"'
    assert old in PLAN
    return PLAN.replace(old, f'limit = {{ {words}, source = "p. 41"')


def limit_of(text: str) -> Limit | None:
    return parse_plan(text.encode(), "bench.toml").characteristic("P1.press")[1].limit


def test_a_limit_may_be_written_as_it_is_printed() -> None:
    limit = limit_of(printed('printed = "0.10-0.25 mm (0.004-0.010 in)"'))
    assert (limit.at_least, limit.at_most) == (Quantity(0.10, "mm"), Quantity(0.25, "mm"))
    assert limit.printed == "0.10-0.25 mm (0.004-0.010 in)"
    us = printed('printed = "0.10-0.25 mm (0.004-0.010 in)", at_least = "0.004 in"').replace(
        'at_least = "0.004 in"', 'at_least = "0.004 in", at_most = "0.010 in"'
    )
    assert limit_of(us).at_most == Quantity(0.010, "in")
    assert limit_of(printed('printed = "max 0.25 mm"')).at_least is None


# Both slips are from printed manuals: "0.10-0.25 mm (0.004-0.0010 in)", and 3.4980 in printed as
# 88.749 mm where it is 88.849 mm (TM 5-3805-260-24).
@pytest.mark.parametrize(
    ("words", "told"),
    [
        ('printed = "0.10-0.25 mm (0.004-0.0010 in)"', "find out which is right"),
        ('printed = "max 3.4980 in (88.749 mm)"', "say in 'settled' which was taken and why"),
        ('printed = "max 3.4980 in (88.749 mm)", settled = "mm"', "write it as at_least"),
        ('printed = "max 3.4980 in (88.749 mm)", at_most = "3.498 in"', "say in 'settled'"),
        ('printed = "max 0.25 mm", at_most = "0.26 mm"', "at_most: not what is printed"),
        ('printed = "0.10-0.25 mm", at_most = "0.25 mm"', "at_least: not what is printed"),
        ('printed = "0.25 mm"', "one number alone: write max or min before it"),
        ('printed = "about 0.25 mm"', "printed: 'about 0.25 mm': 'about 0.25 mm' does not start"),
        ('printed = "max 5 N.m"', "'N.m' is a torque"),
        ('at_most = "0.25 mm", settled = "yes"', "settled: settles nothing"),
    ],
)  # fmt: skip
def test_a_print_that_says_two_things_is_told_with_its_line(words: str, told: str) -> None:
    changed = printed(words)
    sentence = refusal(changed)
    assert told in sentence
    line = line_with(changed, 'source = "p. 41"')
    assert sentence.startswith(f"bench.toml, line {line}: location 'P1', check 'press', limit: ")


def test_a_settled_print_keeps_which_was_taken_and_why() -> None:
    words = 'printed = "max 3.4980 in (88.749 mm)", at_most = "3.4980 in", settled = "in: drawing"'
    limit = limit_of(printed(words))
    assert limit == Limit(
        "p. 41", at_most=Quantity(3.498, "in"), rule="simple",
        printed="max 3.4980 in (88.749 mm)", settled="in: drawing",
    )  # fmt: skip


def test_a_us_job_takes_the_us_unit_and_resolution() -> None:
    text = FULL.replace('units = "metric"', 'units = "US"').replace(
        'unit_us = "in"', 'unit = "mm"\n  unit_us = "in"'
    )
    plan = parse_plan(text.encode(), "full.toml")
    assert plan.characteristic("G2.depth")[1].unit == "in"
    assert plan.characteristic("M1.bore")[1].resolution == Quantity(0.0001, "in")
    metric = parse_plan(text.replace('units = "US"', 'units = "metric"').encode(), "full.toml")
    assert metric.characteristic("G2.depth")[1].unit == "mm"


@pytest.mark.parametrize(
    ("old", "new", "at", "told"),
    [
        ('kind = "computed"', 'kind = "difference"', 'kind = "diff',
         "'difference' is written as a computed check now: kind = \"computed\" and formula ="),
        ('ask = "maker', 'source = "x", ask = "maker', "limit = { source",
         "check 'pin', limit: 'ask' stands alone: there is no 'source' yet"),
        ("ask = \"maker's figure and page: pin that must pass\"", 'ask = " "', "limit = { ask",
         "ask: says nothing: name the figure to be looked up"),
        ('at_most = "0.06 mm" },', 'at_most = "0.06 N.m" },', "bands = [",
         "band 1: N.m does not go with the check's unit mm"),
        ('half_width = "0.003 mm"', 'half_width = "0 mm"', "doubts",
         "a doubt of +- 0.0 mm is none"),
        ('doubts = [ { what = "burr"', 'doubts = [ { wat = "burr"', "doubts",
         "doubt 1: unknown key 'wat'; did you mean 'what'?"),
        ('due = "2027-01-31"', 'due = "next year"', "due", "write it as 2026-03-31"),
        ("repeats = 6\n", "", "[[gauge]]", "in how many repeats was repeatability found?"),
        ('resolution = "1 N.m"\n', 'resolution = "1 mm"\n', "permissible_error",
         "permissible_error: '2 N.m'"),
        ('for_each = "main"\nid = "M', 'for_each = "mian"\nid = "M', "for_each",
         "location 'M{main}': for_each: must be a list of texts, or the name of one in [each]"),
        ('question = "Journal {main}?"', "question = 3", "question = 3",
         "location 'M1', check 'journal': question: must be a text"),
        ("repeats = 2\n", "repeats = 100\n", "[[location.check]]", "1 to 99 repeats, not 100"),
        ('formula = "M{main}.bore - M{main}.journal"', "", "[[location.check]]",
         "a computed check, and only a computed one, has 'formula'"),
        ('kind = "note"', 'kind = "note"\n  limit = { ask = "x" }', "limit",
         "words are not judged: it takes no 'limit'"),
        ('kind = "agreement"', 'kind = "agreement"\n  gauge = "mic-1"', "gauge",
         "what is never typed has no 'gauge'"),
        ("  wear_limit = {", "  # wear_limit = {",
         "[[location.check]]", "judged by a wear limit that is not given"),
        ("count = 2", "count = -2", "[[kit]]", "-2 pieces"),
        ('location = "M{main}"', 'location = "N{main}"', "",
         "part shell-1: 'N1' is not a location"),
        ('hides = ["crank",', 'hides = ["krank",', "", "hides 'krank', not a location here"),
        ('hides = ["M{main}"', 'hides = ["sump", "M{main}"', "", "would hide itself"),
        ('at_least = "0,2 mm PROUD"', 'at_least = "2 mm"', "limit = { at_least",
         "at_least is above at_most"),
    ],
)  # fmt: skip
def test_a_slip_in_a_full_plan_is_told_with_its_line(
    old: str, new: str, at: str, told: str
) -> None:
    changed = FULL.replace(old, new, 1)
    assert changed != FULL
    sentence = refusal(changed)
    assert told in sentence
    found = re.match(r"bench\.toml, line (\d+): ", sentence)
    if at:
        assert found
        assert at in changed.splitlines()[int(found[1]) - 1]
