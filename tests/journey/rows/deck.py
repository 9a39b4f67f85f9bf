"""Deck, head and priming. Worked in mm; 1 in is 25.4 mm."""

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
    by_trials,
    en,
    exact,
    highest,
    lowest,
    mean,
)

IN = 25.4
PSI = 6.894757293168361  # kPa (NIST SP 811, App. B, from memory; calculated)

BRIDGE = gauge("bridge-1", "bridge and dial indicator", (0.01, "mm"), (0.02, "mm"))
PRESSURE = gauge("pg-2", "pressure gauge 0-100 psi", (1.0, "psi"), (2.0, "psi"))
WRENCH = gauge("wrench-e", "torque wrench 20-100 N.m", (1.0, "N.m"), (2.0, "N.m"))


def _flatness() -> Outcome:
    # 0.002 in is 0.0508 mm, the largest with 0.05 close behind: a tie within the feeler's steps
    bare = Tool(Trials(), 0.0)
    thou = [bare.reads(n * 0.001 * IN, 0.001 * IN) for n in (2, 1, 2)]
    return by_trials(0.0508, highest([*thou, *(bare.reads(v, 0.01) for v in (0.05, 0.03, 0.04))]))


# 0.003 in across is common practice, no source. No leaf of 0.002 in reaches 0.0762 mm.
FLATNESS = Case(
    "deck flatness",
    "six lines, feeler in thou and mm",
    (
        limit("DK.flatness", at_most=(0.003, "in")),
        grid(
            "DK.flatness",
            {
                "diagonal-1": "0.002 in", "diagonal-2": "0.04", "left": "2 thou",
                "right": "0.05 mm", "front": ".001 in", "rear": "0.03 mm",
            },
        ),
    ),
    (Wanted("DK.flatness", "within", _flatness(), "mm"),),
)  # fmt: skip


def by_design(world: Exact | Trials) -> Spread:
    # by hand: 216.40 - (88.9 / 2 + 145.00 + 26.60) = 216.40 - 216.05 = 0.35 mm BELOW
    bare = Tool(world, 0.0)
    stroke = bare.reads(3.500 * IN, 0.001 * IN)
    return bare.reads(216.40, 0.01) - (
        stroke / 2 + bare.reads(145.00, 0.01) + bare.reads(26.60, 0.01)
    )


def below(world: Exact | Trials) -> Spread:
    # by hand: (0.33 + (0.37 + 0.36) / 2) / 2 = 0.3475 mm BELOW; s^2 = 2 x 0.005^2 / 2
    rows = {"front": (0.33, 0.33), "rear": (0.37, 0.36)}
    return mean(list(Tool(world, 0.01, 0.02).repeated(rows).values()))


def proud(world: Exact | Trials) -> Spread:
    # by hand: (-0.05 - 0.06 - 0.05 - 0.04) / 4 = -0.05 mm, PROUD
    rows = {"front": (-0.05, -0.05), "rear": (-0.06, -0.04)}
    return mean(list(Tool(world, 0.01, 0.02).repeated(rows).values()))


def _agree(deck: str) -> Outcome:
    world = Trials()
    measured = below(world) if deck == "below" else proud(world)
    return Outcome(en(measured, by_design(world)), 0.0, 0.04)


DECK_1 = Case(
    "deck clearance, measured and by design",
    "BELOW, rocked, in another order",
    (
        limit("D1.deck-clearance", (0.2, "mm"), (0.5, "mm")),
        typed("DH.deck-height", "216.40"),
        typed("DH.stroke", "3.500 in"),
        typed("DH.rod-length", "145.00 mm"),
        typed("DH.compression-height", "26.60"),
        grid(
            "D1.deck-clearance",
            {
                "rear": "0.37 mm BELOW", "front": "0.33 BELOW", "front #2": "BELOW 0.33",
                "rear #2": "0.36 below",
            },
            gauge="bridge-1",
        ),
    ),
    (
        Wanted("DH.by-design", "no limit", exact(by_design(Exact())), "mm"),
        Wanted("D1.deck-clearance", "within", exact(below(Exact())), "mm"),
        Wanted("D1.as-designed", "within", _agree("below")),
    ),
)  # fmt: skip
# 0.05 PROUD is 0.35 mm, a score of uncertainties, from 0.3 BELOW and from the design.
DECK_2 = Case(
    "deck clearance, measured and by design",
    "PROUD against a limit BELOW",
    (
        limit("D2.deck-clearance", (0.3, "mm")),
        in_order(
            "D2.deck-clearance", "0.05 mm PROUD", "0.06 PROUD", "PROUD 0.05", "0.04 proud",
            gauge="bridge-1",
        ),
    ),
    (
        Wanted("D2.deck-clearance", "outside", exact(proud(Exact())), "mm"),
        Wanted("D2.as-designed", "outside", _agree("proud")),
    ),
)  # fmt: skip

TEN = (81.0, 82.0, 80.0, 81.0, 82.0, 81.0, 83.0, 82.0, 81.0, 82.0)


def _least() -> Outcome:
    tool = Tool(Trials(), 1.0, 2.0)
    return by_trials(80.0, lowest([tool.reads(value) for value in TEN]))


HEAD = Case(
    "torque stages and lubricant",
    "ten head bolts",
    (
        limit("HD.stage-2", (74.0, "N.m"), (90.0, "N.m")),
        typed("HD.lubricant", "dry, as the manual says"),
        in_order("HD.stage-2", *(f"{value:.0f}" for value in TEN), gauge="wrench-e"),
    ),
    (
        Wanted("HD.lubricant", "no limit"),
        Wanted("HD.stage-2", "within", _least(), "N.m"),
    ),
)

PRIMING = Case(
    "priming: oil seen at every point",
    "one stays dry",
    (
        limit("PR.pressure", (270.0, "kPa")),
        typed("PR.pressure", "45 psi", gauge="pg-2"),
        typed("PR.oil", "mineral 30, batch 8-114"),
        typed("O-main-1.oil-seen", "yes"),
        typed("O-cam-front.oil-seen", "y"),
        typed("O-rocker-rear.oil-seen", "no"),
    ),
    (
        # 45 psi is 310.3 kPa; 2 psi either way is 13.8 kPa
        Wanted("PR.pressure", "within", exact(PSI * Tool(Exact(), 1.0, 2.0).reads(45.0)), "kPa"),
        Wanted("O-main-1.oil-seen", "within"),
        Wanted("O-cam-front.oil-seen", "within"),
        Wanted("O-rocker-rear.oil-seen", "outside"),
    ),
)

DECK = Bench(
    "deck", job("A-6"), ("deck-and-closing",),
    {"cyl": ("1", "2"), "oil_point": ("main-1", "cam-front", "rocker-rear")},
    (FLATNESS, DECK_1, DECK_2, HEAD, PRIMING),
    gauges=(BRIDGE, PRESSURE, WRENCH),
)  # fmt: skip
