"""The engine as it came in: words, the leak test, the count of the plugs."""

from capture.journey import Journey
from tests.journey.rows.case import (
    Bench,
    Case,
    Wanted,
    gauge,
    job,
    limit,
    no_limit,
    typed,
)
from tests.journey.rows.independent import Exact, Outcome, Tool, exact

PSI = 6.894757293168361  # kPa, from lbf and inch (NIST SP 811, App. B, from memory; calculated)
PRESSURE = gauge("pg-1", "pressure gauge 0-60 psi", (0.5, "psi"), (1.0, "psi"))


def _told_by_the_owner(journey: Journey) -> None:
    journey.owner_said("instruction", "Keep the camshaft.", how="letter")
    journey.owner_said("declined", "Line boring of the mains.", how="telephone, 20 November")


IDENTITY = Case(
    "identity, state, owner's instructions and declined advice",
    "in words, with what the owner said",
    (
        typed("A1.identity", "Block T41-2207, head T41-H-118, no plate."),
        typed("A1.state", "Starter ring chipped, no dipstick."),
        typed("A1.photographed", "yes"),
        typed("A1.owner", "yes"),
        _told_by_the_owner,
    ),
    (
        Wanted("A1.identity", "no limit"),
        Wanted("A1.state", "no limit"),
        Wanted("A1.photographed", "within"),
        Wanted("A1.owner", "within"),
    ),
)


def _drop() -> Outcome:
    # 40.0 psi at the start, 36.5 at the end, after 20 min: 3.5 psi / 20 min = 0.175 psi/min. The
    # gauge's own error is the same at both ends and cancels; the clock is read to a minute.
    world = Exact()
    psi, clock = Tool(world, 0.5, 1.0), Tool(world, 1.0)
    return exact((psi.reads(40.0) - psi.reads(36.5)) / clock.reads(20.0))


def _pressure(value: float) -> Outcome:
    return exact(Tool(Exact(), 0.5, 1.0).reads(value))


# 40 psi for 20 min: TM 5-3895-359-14&P (US Army, public domain)
LEAK = Case(
    "leak test of the water jacket",
    "typed in psi in a metric job",
    (
        typed("L1.at-start", "40.0 psi", gauge="pg-1"),
        typed("L1.held", "20 min"),
        typed("L1.at-end", "36.5 psi", gauge="pg-1"),
        typed("L1.dry", "no"),
        # 0.175 psi/min is 1.21 kPa/min: far above 0.5
        limit("L1.drop", at_most=(0.5, "kPa/min")),
        limit("L1.at-start", at_least=(37.0, "psi")),
        no_limit("L1.held"),
    ),
    (
        Wanted("L1.at-start", "within", _pressure(40.0), "psi"),
        Wanted("L1.at-end", "no limit", _pressure(36.5), "psi"),
        Wanted("L1.held", "no limit", exact(Tool(Exact(), 1.0).reads(20.0)), "min"),
        Wanted("L1.drop", "outside", _drop(), "psi/min"),
        Wanted("L1.dry", "outside"),
    ),
)


def _counted(journey: Journey) -> None:
    journey.reading("N1.out", "12")
    journey.reading("N1.in", "11")
    assert journey.round().check("N1.left-over").state == "outside"
    journey.reading("N1.in", "12")
    journey.reading("N1.none-open", "yes")


COUNT = Case(
    "plugs counted out and in, old depth",
    "one is left over at first",
    (limit("N1.left-over", at_most=(0, "count")), _counted),
    (
        Wanted("N1.out", "no limit", Outcome(12, 0, 0), "count"),
        Wanted("N1.in", "no limit", Outcome(12, 0, 0), "count"),
        Wanted("N1.left-over", "within", Outcome(0, 0, 0), "count"),
        Wanted("N1.none-open", "within"),
    ),
)

ARRIVAL = Bench(
    "arrival", job("A-1"), ("arrival",), {}, (IDENTITY, LEAK, COUNT), gauges=(PRESSURE,)
)
