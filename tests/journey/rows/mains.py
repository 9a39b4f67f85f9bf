"""Main bearings and crankshaft. Worked in mm; 1 in is 25.4 mm, 1 thou 0.0254 mm."""

from capture.journey import Journey
from store.characteristic import Characteristic
from tests.journey.rows.case import (
    Bench,
    Case,
    Wanted,
    added,
    decided_by,
    gauge,
    grid,
    in_order,
    job,
    limit,
    no_limit,
    rule_of_thumb,
    typed,
)
from tests.journey.rows.independent import (
    Exact,
    Outcome,
    Spread,
    Tool,
    Trials,
    by_trials,
    en,
    exact,
    highest,
    lowest,
    mean,
    width,
)

IN = 25.4
THOU = 0.0254
LBF_IN = 0.1129848290276167  # N.m (NIST SP 811, App. B, from memory; calculated)
LBF_FT = 1.3558179483314004  # N.m, the same

# A micrometer may be out by 0.005 mm between 75 and 100 mm: DIN 863 (an extract, second hand).
MIC = gauge(
    "mic-100", "outside micrometer 75-100 mm", (0.001, "mm"), (0.005, "mm"),
    repeats_to=0.0006, found_in=10,
)  # fmt: skip
BORE = gauge("bore-d", "bore gauge", (0.001, "mm"), (0.002, "mm"), difference=True)
HOUSING_GAUGE = gauge("bore-3", "bore gauge, three points", (0.0001, "in"), (0.00015, "in"))
DIAL = gauge("dial-1", "dial indicator 0-1 in", (0.001, "in"), (0.001, "in"))
BEAM = gauge("beam-1", "torque wrench, beam type", (1.0, "lbf.in"), (2.0, "lbf.in"))
WRENCH = gauge("wrench-b", "torque wrench 20-100 N.m", (1.0, "N.m"), (2.0, "N.m"))


def mic(world: Exact | Trials) -> Tool:
    return Tool(world, 0.001, 0.005, repeats_to=0.0006, found_in=10)


# --- crank journal. TM 5-3805-281-24-2 (US Army, public domain): main journal 95.201-95.227 mm,
# out of round 0.025 mm, taper 0.0025 mm for each inch of length (here two inches: 0.005 mm).

JOURNAL_1 = {"A X": "95.215", "B Y": "3.7485 in", "A Y": "95.213 mm", "B X": "95214 um"}


def journal_1(world: Exact | Trials) -> dict[str, Spread]:
    # 3.7485 in is 95.2119 mm, typed to 0.0001 in; 95214 um is typed to 0.001 mm
    tool = mic(world)
    return {
        "AX": tool.reads(95.215), "BY": tool.reads(95.2119, 0.0001 * IN),
        "AY": tool.reads(95.213), "BX": tool.reads(95.214),
    }  # fmt: skip


def _of_journal_1() -> dict[str, Outcome]:
    there = journal_1(Trials())
    ax, ay, bx, by = (there[spot] for spot in ("AX", "AY", "BX", "BY"))
    # by hand: 95.214 - 95.2119 = 0.0021 beats 95.215 - 95.213; 95.213 - 95.2119 = 0.0011
    return {
        "round": by_trials(0.0021, highest([abs(ax - ay), abs(bx - by)])),
        "taper": by_trials(0.0011, highest([abs(ax - bx), abs(ay - by)])),
        "smallest": by_trials(95.2119, lowest(list(there.values()))),
    }


OF_1 = _of_journal_1()
# 0.0004 in for each inch of diameter: TM 10-3930-647-14&P (US Army, public domain)
PER_INCH = "0.0004 in per inch, TM 10-3930-647-14&P"


def round_rule(main: str) -> Characteristic:
    return rule_of_thumb(
        "round-rule", f"0.0004 * MB{main}.journal - MB{main}.journal-round",
        "Out of round: what is left of 0.0004 in per inch?", "in", PER_INCH,
    )  # fmt: skip


# Mean: (95.215 + 95.2119 + 95.213 + 95.214) / 4 = 95.213475 mm. What is left of the rule:
# 0.0004 x 95.213475 - 0.0021 = 0.03598539 mm; nearly all of its uncertainty is the 0.0021's.
CRANK_1 = Case(
    "crank journal",
    "in mm, um and inches, in any order",
    (
        limit("MB1.journal", (95.201, "mm"), (95.227, "mm")),
        limit("MB1.journal-round", at_most=(0.025, "mm")),
        limit("MB1.journal-taper", at_most=(0.005, "mm")),
        limit("MB1.journal-smallest", (95.171, "mm"), which="wear"),
        added("MB1", round_rule("1")),
        grid("MB1.journal", JOURNAL_1, gauge="mic-100"),
    ),
    (
        Wanted("MB1.journal", "within", exact(mean(list(journal_1(Exact()).values()))), "mm"),
        Wanted("MB1.journal-round", "within", OF_1["round"], "mm"),
        Wanted("MB1.journal-taper", "within", OF_1["taper"], "mm"),
        Wanted("MB1.journal-smallest", "within", OF_1["smallest"], "mm"),
        Wanted("MB1.round-rule", "within", Outcome(0.03598539, OF_1["round"].u, 0.015), "mm"),
    ),
)


def _journal_2() -> list[Spread]:
    tool = mic(Exact())
    return [tool.reads(value) for value in (95.150, 95.151, 95.150, 95.149)]


# 95.150 is 0.051 mm, a dozen uncertainties, below 95.201.
CRANK_2 = Case(
    "crank journal",
    "worn",
    (
        limit("MB2.journal", (95.201, "mm"), (95.227, "mm")),
        in_order("MB2.journal", "95.150", "95.151", "95.150", "95.149", gauge="mic-100"),
    ),
    (Wanted("MB2.journal", "outside", exact(mean(_journal_2())), "mm"),),
)

JOURNAL_3_IN = (3.0012, 3.0000, 3.0006, 3.0000)


def _round_3() -> tuple[Outcome, Outcome]:
    # At A 3.0012 - 3.0000 = 0.0012 in, twice that at B: no tie, so first order does. The rule gives
    # 0.0004 x 3.00045 - 0.0012 = 0.00000018 in. For 3.000 in the manual prints 0.0012 itself.
    tool = mic(Exact())
    a, b, c, d = (tool.reads(value * IN, 0.0001 * IN) for value in JOURNAL_3_IN)
    return exact((a - b) / IN), exact((0.0004 * mean([a, b, c, d]) - (a - b)) / IN)


CRANK_3 = Case(
    "crank journal",
    "as much out of round as is allowed for its size",
    (
        no_limit("MB3.journal"),
        added("MB3", round_rule("3")),
        in_order(
            "MB3.journal", "3.0012 in", '3.0000"', "3.0006 in", "3.0000 inch", gauge="mic-100"
        ),
    ),
    (
        Wanted("MB3.journal-round", "no limit", _round_3()[0], "in"),
        Wanted("MB3.round-rule", "too close to call", _round_3()[1], "in"),
    ),
)


# --- main housing bore. TM 9-2815-256-24, p. 3-185 (US Army, public domain): 3.325-3.326 in.


def _housing() -> tuple[Outcome, Outcome]:
    values = (3.3254, 3.3256, 3.3255, 3.3255, 3.3257, 3.3254)
    found = mean([Tool(Exact(), 0.0001).reads(v) for v in values])
    shared = Exact().uniform(0.00015)  # one error of the gauge, whole in the mean
    tool = Tool(Trials(), 0.0001)
    rows = [[tool.reads(v) for v in row] for row in (values[:3], values[3:])]
    round_ = [width(row) for row in rows]
    # by hand: front 3.3256 - 3.3254 = 0.0002, rear 3.3257 - 3.3254 = 0.0003 in
    return exact(found + shared), by_trials(0.0003, highest(round_))


HOUSING = Case(
    "main housing bore",
    "in inches in a metric job",
    (
        limit("MB1.housing", (3.325, "in"), (3.326, "in")),
        limit("MB1.housing-round", at_most=(0.001, "in")),
        grid(
            "MB1.housing",
            {
                "front 0deg": "3.3254 in", "front 60deg": "3.3256 in", "front 120deg": "3.3255 in",
                "rear 0deg": "3.3255 in", "rear 120deg": "3.3254 in", "rear 60deg": "3.3257 in",
            },
            gauge="bore-3",
        ),
    ),
    (
        Wanted("MB1.housing", "within", _housing()[0], "in"),
        Wanted("MB1.housing-round", "within", _housing()[1], "in"),
    ),
)  # fmt: skip


# --- oil clearance. TM 5-3805-281-24-2: 0.030-0.107 mm. TM 9-2815-202-34, p. 4-156: new
# 0.0016-0.0050 in, worn 0.0060 in (US Army, public domain).


def clearance_1(world: Exact | Trials) -> tuple[Spread, Spread]:
    """Bore and clearance. The gauge was zeroed on the journal: what that is out by cancels."""
    zero, tool = mean(list(journal_1(world).values())), Tool(world, 0.001, 0.002)
    # 2.7 thou is 0.06858 mm, typed to a tenth: (0.068 + 0.06858 + 0.070) / 3 = 0.06886
    dial = mean([tool.reads(0.068), tool.reads(2.7 * THOU, 0.1 * THOU), tool.reads(0.070)])
    return zero + dial, zero + dial - zero


def _strip_agrees() -> Outcome:
    # The strip says 0.051 to 0.076: 0.0635 +- 0.0125. |0.06886 - 0.0635| is well within that.
    world = Trials()
    return Outcome(en(clearance_1(world)[1], 0.0635 + world.uniform(0.0125)), 0.0, 0.02)


CLEARANCE_1 = Case(
    "oil clearance",
    "bore gauge zeroed on the journal, and a strip",
    (
        limit("MB1.clearance", (0.030, "mm"), (0.107, "mm")),
        grid(
            "MB1.bore",
            {
                "30deg-left": "0.068 mm bigger", "up-down": "2.7 thou bigger",
                "30deg-right": "0.070 larger",
            },
            gauge="bore-d", zero="MB1.journal",
        ),
        typed("MB1.strip", "0.051 to 0.076 mm"),
    ),
    (
        Wanted("MB1.bore", "no limit", exact(clearance_1(Exact())[0]), "mm"),
        Wanted("MB1.clearance", "within", exact(clearance_1(Exact())[1]), "mm"),
        Wanted("MB1.strip", "no limit", exact(0.0635 + Exact().uniform(0.0125)), "mm"),
        Wanted("MB1.routes-agree", "within", _strip_agrees()),
    ),
)  # fmt: skip


def _clearance_2() -> Outcome:
    # One micrometer for both: its error cancels. (95.283 + 95.284 + 95.282) / 3 - 95.150 = 0.133
    tool = mic(Exact())
    bore = mean([tool.reads(value) for value in (95.283, 95.284, 95.282)])
    return exact(bore - mean([tool.reads(v) for v in (95.150, 95.151, 95.150, 95.149)]))


CLEARANCE_2 = Case(
    "oil clearance",
    "too much, by one micrometer",
    (
        limit("MB2.clearance", (0.030, "mm"), (0.107, "mm")),
        in_order("MB2.bore", "95.283", "95.284", "95.282", gauge="mic-100"),
    ),
    (Wanted("MB2.clearance", "outside", _clearance_2(), "mm"),),
)


def _clearance_3() -> Outcome:
    # Zeroed on a ring of 3.0010 in, which is typed to 0.0001: (3.0010 + 0.0033) less the journal's
    # 3.00045 is 0.00385 in. Nothing cancels.
    world = Exact()
    journal, dial = mic(world), Tool(world, 0.001, 0.002)
    ring = 3.0010 * IN + world.uniform(0.00005 * IN)
    bore = ring + mean([dial.reads(v * THOU, 0.1 * THOU) for v in (3.3, 3.2, 3.4)])
    less = mean([journal.reads(value * IN, 0.0001 * IN) for value in JOURNAL_3_IN])
    return exact((bore - less) / IN)


CLEARANCE_3 = Case(
    "oil clearance",
    "bore gauge zeroed on a ring, in inches",
    (
        limit("MB3.clearance", (0.0016, "in"), (0.0050, "in")),
        limit("MB3.clearance", at_most=(0.0060, "in"), which="wear"),
        grid(
            "MB3.bore",
            {
                "up-down": "0.0033 in bigger", "30deg-left": "3.2 thou bigger",
                "30deg-right": "3.4 thou bigger",
            },
            gauge="bore-d", zero="3.0010 in",
        ),
    ),
    (Wanted("MB3.clearance", "within", _clearance_3(), "in"),),
)  # fmt: skip


# --- thrust. TM 10-4320-307-24, p. 4-135: end play 0.007-0.017 in, worn limit 0.022 in; TM
# 9-2815-256-24, p. 3-185: thrust clearance is journal width less bearing width, 0.002-0.008 in
# (US Army, public domain).


def end_floats(world: Exact | Trials) -> tuple[Spread, Spread]:
    # By hand: 0.031 - 0.012 = 0.019 in. 0.83 - 0.35 = 0.48 mm, read on a dial of 0.001 in.
    tool = Tool(world, 0.001 * IN, 0.001 * IN)
    front = tool.reads(31 * THOU) - tool.reads(12 * THOU)
    return front, tool.reads(0.83, 0.01) - tool.reads(0.35, 0.01)


def _new_is_outside(journey: Journey) -> None:
    assert journey.round().check("T1.end-float").state == "outside"


THRUST = Case(
    "thrust, end float, from both ends",
    "beyond the new limit, within the worn",
    (
        limit("T1.end-float", (0.007, "in"), (0.017, "in")),
        limit("T1.end-float", at_most=(0.022, "in"), which="wear"),
        typed("T1.front-forward", "31 thou", gauge="dial-1"),
        typed("T1.front-back", "12 thou", gauge="dial-1"),
        typed("T1.rear-forward", "0.83 mm", gauge="dial-1"),
        typed("T1.rear-back", "0.35 mm", gauge="dial-1"),
        _new_is_outside,
        decided_by("T1.end-float", "wear"),
    ),
    (
        Wanted("T1.end-float", "within", exact(end_floats(Exact())[0]), "mm"),
        Wanted("T1.end-float-rear", "no limit", exact(end_floats(Exact())[1]), "mm"),
        Wanted("T1.ends-agree", "within", Outcome(en(*end_floats(Trials())), 0.0, 0.05)),
    ),
)


def _width(name: str) -> Characteristic:
    return Characteristic(name, "length", f"{name.capitalize()} at the thrust?", "in")


def _thrust_clearance() -> Outcome:
    tool = Tool(Exact(), 0.001)
    return exact(tool.reads(1.536) - tool.reads(1.529))


# 1.536 - 1.529 = 0.007 in. Two roundings of 0.0005 never reach the 0.001 that is left to 0.008.
WIDTHS = Case(
    "thrust, end float, from both ends",
    "worked out from the widths, as a manual prints it",
    (
        added("T1", _width("journal-width")),
        added("T1", _width("bearing-width")),
        added(
            "T1",
            Characteristic(
                "by-widths", "computed", "Thrust clearance: journal width less bearing width?",
                "in", formula="T1.journal-width - T1.bearing-width",
            ),
        ),
        limit("T1.by-widths", (0.002, "in"), (0.008, "in")),
        typed("T1.journal-width", "1.536"),
        typed("T1.bearing-width", "1.529 in"),
    ),
    (Wanted("T1.by-widths", "within", _thrust_clearance(), "in"),),
)  # fmt: skip


def _jump() -> Outcome:
    # 14 lbf.in is 1.5818 N.m; less 0.9 N.m (typed to 0.1, which the wrench does not show: 1 lbf.in)
    tool = Tool(Exact(), LBF_IN, 2 * LBF_IN)
    return exact(tool.reads(14 * LBF_IN, LBF_IN) - tool.reads(0.9, 0.1))


TURNING = Case(
    "turning torque after each cap and each piston",
    "a cap, in lbf.in and N.m",
    (
        typed("M1.turning-before", "0.9 N.m", gauge="beam-1"),
        typed("M1.turning-after", "14 lbf.in", gauge="beam-1"),
    ),
    (
        Wanted(
            "M1.turning-after", "no limit",
            exact(Tool(Exact(), LBF_IN, 2 * LBF_IN).reads(14 * LBF_IN)), "N.m",
        ),
        Wanted("M1.turning-jump", "no limit", _jump(), "N.m"),
    ),
)  # fmt: skip


def _lower(*readings: tuple[float, float]) -> Spread:
    tool = Tool(Trials(), 1.0, 2.0)
    return lowest([tool.reads(value, step) for value, step in readings])


# 30 lbf.ft is 40.67 N.m: the left bolt is the lower, but only just. 91 N.m is half of one of its
# uncertainties (the wrench's 2 N.m, u 1.2) above 90.5.
STAGES = Case(
    "torque stages and lubricant",
    "a main cap, in N.m and lbf.ft",
    (
        typed("M1.lubricant", "engine oil, as the manual says"),
        limit("M1.stage-1", at_least=(36.0, "N.m")),
        limit("M1.stage-2", at_least=(90.5, "N.m")),
        limit("M1.stage-angle", (55.0, "deg"), (65.0, "deg")),
        grid("M1.stage-1", {"right": "30 lbf.ft", "left": "40"}, gauge="wrench-b"),
        in_order("M1.stage-2", "92 Nm", "91 N.m", gauge="wrench-b"),
        in_order("M1.stage-angle", "60", "62 deg"),
    ),
    (
        Wanted("M1.lubricant", "no limit"),
        Wanted(
            "M1.stage-1", "within", by_trials(40.0, _lower((40.0, 1.0), (30 * LBF_FT, LBF_FT))),
            "N.m",
        ),
        Wanted(
            "M1.stage-2", "too close to call", by_trials(91.0, _lower((92.0, 1.0), (91.0, 1.0))),
            "N.m",
        ),
        Wanted("M1.stage-angle", "within", exact(Tool(Exact(), 1.0).reads(60.0)), "deg"),
    ),
)  # fmt: skip

MAINS = Bench(
    "mains", job("A-4"), ("mains-and-crank",), {"main": ("1", "2", "3")},
    (
        CRANK_1, CRANK_2, CRANK_3, HOUSING, CLEARANCE_1, CLEARANCE_2, CLEARANCE_3, THRUST, WIDTHS,
        TURNING, STAGES,
    ),
    gauges=(MIC, BORE, HOUSING_GAUGE, DIAL, BEAM, WRENCH),
)  # fmt: skip
