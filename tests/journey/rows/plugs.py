"""Galleries and plugs: bore, plug, press fit, depth by two datums, margin. Worked in mm."""

from annotate.quantity import Quantity
from capture.journey import Journey
from store.characteristic import Doubt
from tests.journey.rows.case import (
    Bench,
    Case,
    Wanted,
    gauge,
    grid,
    in_order,
    job,
    limit,
    typed,
)
from tests.journey.rows.independent import (
    Exact,
    Outcome,
    Spread,
    Tool,
    Trials,
    by_middle,
    by_trials,
    en,
    exact,
    mean,
    width,
)

IN = 25.4
LBF_FT = 1.3558179483314004  # N.m (NIST SP 811, App. B, from memory; calculated)

MIC = gauge("mic-25", "outside micrometer 0-25 mm", (0.01, "mm"), (0.004, "mm"))
BIG_MIC = gauge("mic-50", "outside micrometer 25-50 mm", (0.01, "mm"), (0.004, "mm"))
DEPTH = gauge("depth-1", "depth micrometer", (0.05, "mm"), (0.03, "mm"))
CALLIPER = gauge("cal-1", "calliper", (0.02, "mm"), (0.03, "mm"))
WRENCH = gauge("wrench-c", "torque wrench 50-250 lbf.ft", (1.0, "lbf.ft"), (6.0, "lbf.ft"))
FEEL = 0.01

# --- gallery plug 1: bore, plug, press fit


def bore_1(world: Exact | Trials, tool: Tool) -> list[Spread]:
    # Repeats at one-way differ by 0.01, across not: s^2 = 2 x 0.005^2 over 1 + 1 degrees of
    # freedom, s = 0.005 mm, and 0.005 / root 2 for the mean at each of the two.
    return list(tool.repeated({"one-way": (18.02, 18.03), "across": (18.04, 18.04)}).values())


def plug_1(tool: Tool) -> list[Spread]:
    # 0.713 in is 18.1102 mm, typed to 0.001 in
    return [
        tool.reads(18.10), tool.reads(18.11), tool.reads(0.713 * IN, 0.001 * IN),
        tool.reads(18.12),
    ]  # fmt: skip


def _of_plug_1() -> dict[str, Outcome]:
    first, drawn = Tool(Exact(), 0.01, 0.004), Tool(Trials(), 0.01, 0.004)
    bore, plug = mean(bore_1(first.world, first)), mean(plug_1(first))
    out_of_round = width(bore_1(drawn.world, drawn))
    return {
        # by hand: (18.025 + 18.04) / 2 = 18.0325; 18.04 - 18.025 = 0.015
        "bore": exact(bore),
        "bore-round": by_middle(0.015, out_of_round),
        # by hand: (18.10 + 18.11 + 18.1102 + 18.12) / 4 = 18.11005; 18.12 - 18.10 = 0.02
        "plug": exact(plug),
        "plug-round": by_trials(0.02, width(plug_1(drawn))),
        # by hand: 18.11005 - 18.0325 = 0.07755; one micrometer, its error cancels
        "press": exact(plug - bore),
    }


PLUG_1 = _of_plug_1()
# 0.080 mm: a maker's material standard for cup plugs (2013), largest less smallest
BORE_1 = Case(
    "plug bore diameter",
    "repeats, the second round in another order",
    (
        limit("GB1.bore-round", at_most=(0.05, "mm")),
        grid(
            "GB1.bore",
            {"one-way": "18.02", "across": "18.04", "across #2": "18.04", "one-way #2": "18.03"},
            gauge="mic-25",
        ),
    ),
    (
        Wanted("GB1.bore", "no limit", PLUG_1["bore"], "mm"),
        Wanted("GB1.bore-round", "within", PLUG_1["bore-round"], "mm"),
    ),
)
FIT_1 = Case(
    "plug outside diameter, press fit",
    "one of four readings in inches",
    (
        limit("GB1.plug-round", at_most=(0.080, "mm"), source="maker's standard for cup plugs"),
        limit("GB1.press", (0.04, "mm"), (0.11, "mm")),
        in_order("GB1.plug", "18.10", "18.11", "0.713 in", "18.12", gauge="mic-25"),
    ),
    (
        Wanted("GB1.plug", "no limit", PLUG_1["plug"], "mm"),
        Wanted("GB1.plug-round", "within", PLUG_1["plug-round"], "mm"),
        Wanted("GB1.press", "within", PLUG_1["press"], "mm"),
    ),
)

# --- core plug 1: the kit holds the wrong size


def core_bore(world: Exact | Trials) -> list[Spread]:
    # Two by two readings alike: they spread by nothing. The feel of the telescoping gauge remains.
    rows = {"one-way": (36.02, 36.02), "across": (36.02, 36.02)}
    return list(Tool(world, 0.01, 0.004).repeated(rows, doubt=FEEL).values())


def _core_plug(world: Exact | Trials) -> list[Spread]:
    tool = Tool(world, 0.01, 0.004)
    return [tool.reads(value) for value in (37.51, 37.50, 37.50, 37.51)]


def _core_press() -> Outcome:
    # by hand: (37.51 + 37.50 + 37.50 + 37.51) / 4 - 36.02 = 1.485 mm: a nominal size too large
    tool = Tool(Exact(), 0.01, 0.004)
    rows = {"one-way": (36.02, 36.02), "across": (36.02, 36.02)}
    bore = mean(list(tool.repeated(rows, doubt=FEEL).values()))
    return exact(mean([tool.reads(value) for value in (37.51, 37.50, 37.50, 37.51)]) - bore)


def _wrong_kit(journey: Journey) -> None:
    in_order("KB1.plug", "37.51", "37.50", "37.50", "37.51", gauge="mic-50")(journey)
    (hint,) = journey.fit_hints("KB1.plug")
    assert hint.startswith("the part is 37.5")


FEELING = (Doubt("feel of the telescoping gauge", Quantity(FEEL, "mm")),)
CORE_1 = Case(
    "plug bore diameter",
    "readings alike, with a doubt",
    (
        limit("KB1.bore-round", at_most=(0.05, "mm")),
        in_order("KB1.bore", "36.02", "36.02", "36.02", "36.02", gauge="mic-50", doubts=FEELING),
    ),
    (
        Wanted("KB1.bore", "no limit", exact(mean(core_bore(Exact()))), "mm"),
        Wanted("KB1.bore-round", "within", by_trials(0.0, width(core_bore(Trials()))), "mm"),
    ),
)
WRONG_KIT = Case(
    "plug outside diameter, press fit",
    "the kit holds the wrong size",
    (
        limit("KB1.press", (0.05, "mm"), (0.12, "mm")),
        limit("KB1.plug-round", at_most=(0.080, "mm"), source="maker's standard for cup plugs"),
        _wrong_kit,
    ),
    (
        Wanted("KB1.plug", "no limit", exact(mean(_core_plug(Exact()))), "mm"),
        Wanted("KB1.plug-round", "within", by_trials(0.01, width(_core_plug(Trials()))), "mm"),
        Wanted("KB1.press", "outside", _core_press(), "mm"),
    ),
)

# --- installed depth: gallery plug 1 by two datums, gallery plug 3 proud, core plug 1 by a manual


def depth_1(tool: Tool) -> list[Spread]:
    # 0.26 in is 6.604 mm, typed to 0.01 in; the mean is (6.4 + 6.5 + 6.604 + 6.4) / 4 = 6.476
    return [
        tool.reads(6.4, 0.1), tool.reads(6.5, 0.1), tool.reads(0.26 * IN, 0.01 * IN),
        tool.reads(6.4, 0.1),
    ]  # fmt: skip


def by_shoulder(world: Exact | Trials) -> Spread:
    # One calliper for both: 4.4 + (2.1 + 2.0 + 2.1 + 2.2) / 4 = 6.5 mm, its error counts twice
    tool = Tool(world, 0.02, 0.03)
    return tool.reads(4.4, 0.1) + mean([tool.reads(v, 0.1) for v in (2.1, 2.0, 2.1, 2.2)])


def _of_depth_1() -> dict[str, Outcome]:
    first, world = Tool(Exact(), 0.05, 0.03), Trials()
    drawn = Tool(world, 0.05, 0.03)
    depth, there = mean(depth_1(first)), depth_1(drawn)
    return {
        "depth": exact(depth),
        "tilt": by_trials(0.204, width(there)),  # 6.604 - 6.4
        "past-chamfer": exact(depth - first.reads(1.5, 0.1)),  # 6.476 - 1.5 = 4.976
        "by-shoulder": exact(by_shoulder(Exact())),
        "agree": Outcome(en(mean(there), by_shoulder(world)), 0.0, 0.03),
        # 16.2 - (6.476 + 8.0) = 1.724: the depth micrometer's error cancels, the calliper's stays
        "margin": exact(first.reads(16.2, 0.1) - depth - Tool(Exact(), 0.02, 0.03).reads(8.0, 0.1)),
    }


def _margins_agree() -> Outcome:
    world = Trials()
    depth, calliper = Tool(world, 0.05, 0.03), Tool(world, 0.02, 0.03)
    margin = depth.reads(16.2, 0.1) - mean(depth_1(depth)) - calliper.reads(8.0, 0.1)
    return Outcome(en(margin, Tool(world, 0.1).reads(1.7)), 0.0, 0.05)


DEPTH_1 = _of_depth_1()
TWO_DATUMS = Case(
    "installed depth, by two datums",
    "mm and inches, BELOW before and after",
    (
        limit("G1.depth", (6.0, "mm"), (7.0, "mm")),
        limit("G1.tilt", at_most=(0.5, "mm")),
        limit("G1.past-chamfer", (2.0, "mm")),
        grid(
            "G1.depth",
            {"down": "0.26 in BELOW", "up": "6.4 mm BELOW", "left": "6.4 below",
             "right": "BELOW 6.5 mm"},
            gauge="depth-1",
        ),
        typed("GB1.chamfer", "1.5 mm BELOW", gauge="depth-1"),
        in_order("G1.from-shoulder", "2.1", "2.0", "2.1", "2.2", gauge="cal-1"),
        typed("G1.shoulder", "4.4 mm BELOW", gauge="cal-1"),
    ),
    (
        Wanted("G1.depth", "within", DEPTH_1["depth"], "mm"),
        Wanted("G1.tilt", "within", DEPTH_1["tilt"], "mm"),
        Wanted("G1.past-chamfer", "within", DEPTH_1["past-chamfer"], "mm"),
        Wanted("G1.depth-by-shoulder", "no limit", DEPTH_1["by-shoulder"], "mm"),
        Wanted("G1.datums-agree", "within", DEPTH_1["agree"]),
    ),
)  # fmt: skip
MARGIN = Case(
    "margin to the oil passage behind a plug, two ways",
    "calculated, and seen through the passage",
    (
        limit("G1.margin", (1.0, "mm"), source="builder's own"),
        typed("GB1.passage", "16.2 mm BELOW", gauge="depth-1"),
        typed("GB1.plug-length", "8.0 mm", gauge="cal-1"),
        typed("G1.margin-seen", "1.7 mm"),
    ),
    (
        Wanted("GB1.passage", "no limit", exact(Tool(Exact(), 0.05, 0.03).reads(16.2, 0.1)), "mm"),
        Wanted("G1.margin", "within", DEPTH_1["margin"], "mm"),
        Wanted("G1.margin-seen", "no limit", exact(Tool(Exact(), 0.1).reads(1.7)), "mm"),
        Wanted("G1.margins-agree", "within", _margins_agree()),
    ),
)


def _proud() -> Outcome:
    # PROUD is above the face, a depth below 0: (-0.4 - 0.3 - 0.5 - 0.4) / 4 = -0.4 mm
    tool = Tool(Exact(), 0.05, 0.03)
    return exact(mean([tool.reads(-value, 0.1) for value in (0.4, 0.3, 0.5, 0.4)]))


PROUD = Case(
    "installed depth, by two datums",
    "PROUD of the face",
    (
        limit("G3.depth", (0.5, "mm"), (1.5, "mm")),
        in_order(
            "G3.depth", "0.4 mm PROUD", "0.3 PROUD", "PROUD 0.5 mm", "0.4 mm proud",
            gauge="depth-1",
        ),
    ),
    (Wanted("G3.depth", "outside", _proud(), "mm"),),
)  # fmt: skip


def _core_depths(world: Exact | Trials) -> list[Spread]:
    # In inches; no gauge is named. A fraction is known to half of its last part: 1/16 of an inch.
    bare = Tool(world, 0.0)
    return [
        bare.reads(2.125, 1 / 8), bare.reads(2.125, 1 / 8), bare.reads(2.13, 0.01),
        bare.reads(54.0 / IN, 0.1 / IN),
    ]  # fmt: skip


# TM 5-3810-300-24&P3 (US Army, public domain): side plugs 2 to 2-1/4 in below the machined face.
# (2.125 + 2.125 + 2.13 + 54.0 / 25.4) / 4 = 2.1265 in; 54.0 / 25.4 = 2.12598 is not the largest:
# 2.13 - 2.125 = 0.005.
CORE_DEPTH = Case(
    "installed depth, by two datums",
    "fractions of an inch against a printed limit",
    (
        limit("K1.depth", (2.0, "in"), (2.25, "in"), source="TM 5-3810-300-24&P3"),
        limit("K1.tilt", at_most=(0.25, "in")),
        grid(
            "K1.depth",
            {"up": "2 1/8 in BELOW", "left": "54.0 mm BELOW", "right": '2-1/8" BELOW',
             "down": "2.13 in BELOW"},
        ),
        typed("K1.sealant", "anaerobic, batch 7741"),
    ),
    (
        Wanted("K1.depth", "within", exact(mean(_core_depths(Exact()))), "in"),
        Wanted("K1.tilt", "within", by_trials(0.005, width(_core_depths(Trials()))), "in"),
        Wanted("K1.sealant", "no limit"),
    ),
)  # fmt: skip

# --- threaded plug, galleries, old depths


# TM 5-3810-300-24&P3: end plugs 150-180 lb-ft (204-244 N.m). 165 lbf.ft is 223.7 N.m.
THREADED = Case(
    "threaded plug: thread, sealant and batch, torque, turns, below the face",
    "torque in lbf.ft against a limit in N.m",
    (
        limit("H1.torque", (204, "N.m"), (244, "N.m"), source="TM 5-3810-300-24&P3"),
        limit("H1.turns", (1.0, "turn"), (2.0, "turn")),
        limit("H1.below-face", (0.5, "mm"), (1.5, "mm")),
        typed("H1.thread", "tapered pipe, 3/8, 18 to the inch"),
        typed("H1.sealant", "thread sealant, batch 20-118"),
        typed("H1.torque", "165 lbf.ft", gauge="wrench-c"),
        typed("H1.turns", "1.5 turns"),
        typed("H1.below-face", "1.45 mm BELOW", gauge="depth-1"),
    ),
    (
        Wanted("H1.thread", "no limit"),
        Wanted("H1.sealant", "no limit"),
        Wanted(
            "H1.torque", "within",
            exact(LBF_FT * Tool(Exact(), 1.0, 6.0).reads(165.0)), "N.m",
        ),
        Wanted("H1.turns", "within", exact(Tool(Exact(), 0.1).reads(1.5)), "turn"),
        # 0.05 mm inside of 1.5; rounding and gauge together reach 0.055, and hardly ever do
        Wanted("H1.below-face", "within", exact(Tool(Exact(), 0.05, 0.03).reads(1.45)), "mm"),
    ),
)  # fmt: skip

OLD = Case(
    "plugs counted out and in, old depth",
    "as they were found",
    (
        lambda journey: journey.take_out("G1", size="18 mm cup", words="6.5 BELOW, stained"),
        lambda journey: journey.take_out("K1", size="36 mm cup", words="9.4 BELOW"),
        typed("GO1.old-depth", "6.5 mm BELOW", gauge="depth-1"),
        typed("KO1.old-depth", "3/8 in BELOW"),
    ),
    (
        Wanted("GO1.old-depth", "no limit", exact(Tool(Exact(), 0.05, 0.03).reads(6.5, 0.1)), "mm"),
        # 9.525 mm +- 1/16 in
        Wanted("KO1.old-depth", "no limit", exact(IN * Tool(Exact(), 1 / 8).reads(0.375)), "mm"),
    ),
)
GALLERY = Case(
    "galleries brushed, blown, looked through",
    "chips are still seen",
    (
        typed("Q-main.brushed", "yes"),
        typed("Q-main.blown", "y"),
        typed("Q-main.seen-through", "no"),
    ),
    (
        Wanted("Q-main.brushed", "within"),
        Wanted("Q-main.blown", "within"),
        Wanted("Q-main.seen-through", "outside"),
    ),
)

PLUGS = Bench(
    "plugs", job("A-2"), ("plugs-and-galleries",),
    {
        "gallery": ("main",), "front_plug": ("1",), "rear_plug": ("3",), "core": ("1",),
        "threaded": ("1",),
    },
    (
        OLD, GALLERY, BORE_1, FIT_1, CORE_1, WRONG_KIT, TWO_DATUMS, MARGIN, PROUD, CORE_DEPTH,
        THREADED,
    ),
    gauges=(MIC, BIG_MIC, DEPTH, CALLIPER, WRENCH),
)  # fmt: skip
