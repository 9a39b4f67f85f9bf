"""A row of the data table: what is done at the bench, and what must come of it."""

from collections.abc import Callable, Mapping
from typing import NamedTuple

from annotate.quantity import Quantity
from capture.journey import Journey
from store.change import Change, CheckAdded, DecidingSet, GaugeSet, LimitSet
from store.characteristic import Characteristic, Doubt, Limit, Of, Rule, Spot, Which
from store.plan import Gauge, Job
from tests.journey.rows.independent import Outcome

Act = Callable[[Journey], object]
Size = tuple[float, str]

INVENTED = "Tarnwick workshop manual (invented), page 12"


class Wanted(NamedTuple):
    """What a check must stand at: its word, and its number where it has one.

    ``unit`` is the one that ``number`` is worked out in; ``band`` what its table says to fit.
    ``truth`` is the known answer of a picture, which the 95 % interval must hold.
    """

    key: str
    state: str
    number: Outcome | None = None
    unit: str = ""
    band: str = ""
    truth: float | None = None


class Case(NamedTuple):
    """``row`` is one of tests/capture/plan_rows.py, ``what`` says what this case adds to it."""

    row: str
    what: str
    acts: tuple[Act, ...]
    wanted: tuple[Wanted, ...]


class Bench(NamedTuple):
    """One book: plans of the library with their lists trimmed, and the cases worked in it.

    ``edit`` changes the text of the combined plan, as a shop does before it starts.
    """

    name: str
    job: Job
    plans: tuple[str, ...]
    each: Mapping[str, tuple[str, ...]]
    cases: tuple[Case, ...]
    gauges: tuple[Gauge, ...] = ()
    edit: Callable[[str], str] = str


def job(number: str, units: str = "metric") -> Job:
    return Job(
        number=number, engine="Tarnwick 41, four in line", customer="Ada Quill",
        shop="Back Lane Bench", units="US" if units == "US" else "metric",
    )  # fmt: skip


def gauge(
    name: str, kind: str, step: Size, error: Size, *,
    repeats_to: float = 0.0, found_in: int = 0, difference: bool = False,
) -> Gauge:  # fmt: skip
    """A gauge as its register says; ``repeats_to`` is in the unit of its step."""
    return Gauge(
        name, kind, Quantity(*step), Quantity(*error),
        repeatability=Quantity(repeats_to, step[1]) if repeats_to else None, repeats=found_in,
        last_check="2026-10-01", difference=difference,
    )  # fmt: skip


def registered(tool: Gauge) -> Act:
    return _changing(GaugeSet(tool))


def typed(
    key: str, text: str, *, gauge: str = "", zero: str = "", part_c: float | None = None,
    gauge_c: float | None = None,
) -> Act:  # fmt: skip
    """A reading as it is typed, at the next spot of a grid."""
    return lambda journey: journey.reading(
        key, text, gauge=gauge, part_c=part_c, gauge_c=gauge_c,
        zero=journey.zero_on(zero) if zero else None,
    )  # fmt: skip


def grid(key: str, readings: Mapping[str, str], *, gauge: str = "", zero: str = "") -> Act:
    """Readings at named spots, in the order they stand: "top along", "left", "across #2"."""

    def act(journey: Journey) -> None:
        spots = {_spot_words(spot): spot for spot in journey.plan.characteristic(key)[1].spots}
        on = journey.zero_on(zero) if zero else None
        for words, text in readings.items():
            journey.reading(key, text, gauge=gauge, spot=spots[words], zero=on)

    return act


def in_order(
    key: str, *texts: str, gauge: str = "", doubts: tuple[Doubt, ...] = (),
    part_c: float | None = None, gauge_c: float | None = None,
) -> Act:  # fmt: skip
    """Readings of a grid one after the other, as the bench asks for them."""

    def act(journey: Journey) -> None:
        for text in texts:
            journey.reading(key, text, gauge=gauge, doubts=doubts, part_c=part_c, gauge_c=gauge_c)

    return act


def limit(
    key: str, at_least: Size | None = None, at_most: Size | None = None, *,
    which: Which = "new", of: Of = "covered", rule: Rule = "guarded", source: str = INVENTED,
) -> Act:  # fmt: skip
    """A limit given at the bench."""
    low, high = (Quantity(*size) if size else None for size in (at_least, at_most))
    limited = LimitSet(key, Limit(source, low, high, of=of, rule=rule), which)
    return _changing(limited, "looked up at the bench")


def no_limit(key: str) -> Act:
    return _changing(LimitSet(key, None), "the maker gives no figure")


def decided_by(key: str, which: Which) -> Act:
    return _changing(DecidingSet(key, which), "the part is used again")


def added(location: str, check: Characteristic) -> Act:
    """A check that the plan lacked, given at the bench."""
    return _changing(CheckAdded(location, check))


def rule_of_thumb(name: str, formula: str, question: str, unit: str, source: str) -> Characteristic:
    """A limit that depends on a size: what is left of what is allowed must be 0 or more."""
    return Characteristic(
        name, "computed", question, unit, Limit(source, at_least=Quantity(0.0, unit)),
        formula=formula,
    )  # fmt: skip


def _changing(change: Change, reason: str = "") -> Act:
    return lambda journey: journey.change_plan(change, reason)


def _spot_words(spot: Spot) -> str:
    again = f"#{spot.repeat}" if spot.repeat > 1 else ""
    return " ".join(word for word in (spot.position, spot.axis, again) if word)
