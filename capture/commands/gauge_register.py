"""The register of gauges, and every reading and verdict that rests on one."""

import re
from collections.abc import Iterator
from datetime import date
from typing import TYPE_CHECKING, Any, NamedTuple

from capture.entry import parse_reading
from capture.errors import BadReading, WrongUse
from capture.words.checks import spot_text
from capture.words.quantities import (
    count_text,
    given_text,
    is_told_as_depth,
    quantity_text,
)
from store.codec import Entry
from store.evidence import Derived, Judged, Read
from store.plan import ANSWERED_IN_WORDS, Characteristic, Gauge, Plan
from store.suspicion import chain_of, touched_by

if TYPE_CHECKING:
    from annotate.quantity import Quantity
    from capture.journey import Journey
    from store.round import Round
    from store.stock import GaugeState
    from store.telling import Telling

_SIZES = ("resolution", "permissible_error", "repeatability")
_DAYS = ("last_check", "due")
_ISO_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")


def register_lines(state: "GaugeState", today: str) -> Iterator[str]:
    """Yield one gauge of the register, in one line, with what is against it below."""
    gauge = state.gauge
    parts = [
        f"{gauge.id}  {gauge.kind}: reads to {given_text(gauge.resolution)}",
        f"may err by {given_text(gauge.permissible_error)}",
        f"checked {gauge.last_check}" if gauge.last_check else "last check not known",
    ]
    parts += [f"due {gauge.due}"] if gauge.due else []
    parts += ["reads a difference"] if gauge.difference else []
    yield ", ".join(parts)
    yield from _against(state, today)


def gauge_lines(state: "GaugeState", today: str) -> Iterator[str]:
    """Yield everything that is known of one gauge."""
    gauge = state.gauge
    yield from register_lines(state, today)
    if gauge.marked:
        yield f"    marked {gauge.marked}"
    if gauge.set_on:
        yield f"    set on {gauge.set_on}"
    if gauge.repeatability:
        spread = given_text(gauge.repeatability)
        yield f"    repeats to {spread} (standard deviation of {gauge.repeats} readings)"


def _against(state: "GaugeState", today: str) -> Iterator[str]:
    if state.gauge.due and state.gauge.due <= today:
        yield f"    OVERDUE: it was due for a check on {state.gauge.due}"
    if state.suspect:
        yield f"    SUSPECT since {state.since}: {state.suspect}"


def gauge_notes(plan: Plan, check: Characteristic, gauge: str, today: str) -> tuple[str, ...]:
    """Return what to say of a reading's gauges: which are overdue, or that none is named.

    ``gauge`` is the one typed, if any; those it was set on count too.
    """
    used = gauge or check.gauge
    if not used and plan.gauges and check.kind not in {*ANSWERED_IN_WORDS, "count", "pin"}:
        return ("no gauge was named, so that its error is not counted: say which with --gauge ID",)
    due = {each.id: each.due for each in plan.gauges}
    return tuple(
        f"gauge {each} was due for a check on {due[each]}: check it, then enter it with "
        f"'benchproof gauge BOOK {each} set --last-check DATE --due DATE'"
        for each in chain_of(plan, used)
        if due.get(each) and due[each] < today
    )


class Touched(NamedTuple):
    """An entry that rests on a gauge: a reading, or a value worked out from one."""

    key: str
    spot: str
    said: str
    state: str
    number: int
    entry: str
    by: str
    at: str


def touched(journey: "Journey", gauge: str, since: str) -> list[Touched]:
    """Return every standing reading and value that rests on a gauge, with its verdict."""
    told = journey.book.told
    return [_touched(told, entry) for entry in touched_by(told, gauge, since)]


def _touched(told: "Telling", entry: Entry) -> Touched:
    record = entry.evidence
    judged = told.verdicts.get(entry.hash)
    verdict = judged.evidence if judged else None
    spot, said, key = "", "", ""
    if isinstance(record, Read):
        check = told.check_at(record.key, told.now)
        spot = spot_text(record.spot) if check is not None and check.is_grid else ""
        key, said = record.key, " ".join(record.text.split())
    elif isinstance(record, Derived):
        check = told.check_at(record.key, told.now)
        depth = check is not None and is_told_as_depth(check)
        en = check is not None and check.kind == "agreement"
        value = record.quantity
        text = f"En {value.value:.2f}" if en else quantity_text(value, depth=depth)
        key, said = record.key, f"worked out: {text}"
    return Touched(
        key=key,
        spot=spot,
        said=said,
        state=verdict.verdict.state if isinstance(verdict, Judged) else "",
        number=entry.seq,
        entry=entry.hash,
        by=entry.by,
        at=entry.at,
    )


def touched_lines(found: list[Touched]) -> Iterator[str]:
    """Yield what rests on a gauge, one entry a line."""
    verdicts = sum(bool(each.state) for each in found)
    many = count_text(len(found), "entry", "entries")
    yield f"{many} rest on it, {count_text(verdicts, 'verdict')} among them:"
    for each in found:
        where = f" {each.spot}" if each.spot else ""
        state = f", {each.state}" if each.state else ""
        yield (
            f"  entry {each.number}: {each.key}{where}, {each.said}{state} "
            f"(by {each.by}, {each.at[:10]})"
        )


def unproven_lines(walked: "Round", gauge: str) -> Iterator[str]:
    """Yield what stands unproven now for a suspicion, and which of it is hidden already."""
    words = next((s.gauge.id for s in walked.gauges if s.gauge.id == gauge and s.suspect), "")
    resting = [c for c in walked.checks if words and c.suspect.startswith(f"{words} is suspect")]
    if resting:
        yield f"unproven now: {', '.join(check.key for check in resting)}"
    hidden = [check.key for check in resting if check.hidden]
    if hidden:
        yield f"of these hidden already, behind what is closed: {', '.join(hidden)}"


def entered_gauge(plan: Plan, gauge_id: str, typed: dict[str, Any], today: str) -> Gauge:
    """Return a gauge as it is to be entered: what is not typed stays as the register has it.

    ``today`` is the day on which it is entered, as 2026-11-03. Raises WrongUse for what is
    lacking, changes nothing, can't be read or can't be true, BadPlan.
    """
    known = next((gauge for gauge in plan.gauges if gauge.id == gauge_id), None)
    members: dict[str, Any] = {"id": gauge_id}
    if known is not None:
        members = {name: getattr(known, name) for name in known.__struct_fields__}
    members |= {
        name: _read(name, value, plan) for name, value in typed.items() if value is not None
    }
    needed = ("kind", "resolution", "permissible_error")
    lacking = [f"--{name.replace('_', '-')}" for name in needed if name not in members]
    if lacking:
        raise WrongUse(f"{gauge_id} is not in the register yet: it also needs {', '.join(lacking)}")
    entered = Gauge(**members)
    if entered == known:
        raise WrongUse(f"{gauge_id} is in the register just so: say what is to be changed")
    _refuse_untrue(entered, today)
    return entered


def refuse_a_day_to_come(name: str, day: str, today: str) -> None:
    """Raise WrongUse for a day that has not been yet; what is no day is refused elsewhere."""
    if _ISO_DAY.match(day) and day[:10] > today:
        option = f"--{name.replace('_', '-')}"
        raise WrongUse(f"{option} {day} is still to come, today is {today}: write the day it was")


def _refuse_untrue(gauge: Gauge, today: str) -> None:
    """Refuse what would make a gauge seem better kept than it can be."""
    refuse_a_day_to_come("last_check", gauge.last_check, today)
    if gauge.due and gauge.last_check and gauge.due <= gauge.last_check:
        raise WrongUse(
            f"--due {gauge.due} is not after the last check, {gauge.last_check}: look at both days"
        )
    if gauge.set_on == gauge.id:
        raise WrongUse(f"--set-on {gauge.id}: a gauge is not set on itself, name another")


def _read(name: str, value: Any, plan: Plan) -> Any:  # noqa: ANN401 - one member of many kinds
    if name in _SIZES:
        return _size(name, value, plan)
    if name in _DAYS:
        return _day(name, value)
    return value


def _size(name: str, text: str, plan: Plan) -> "Quantity":
    """Return an exact size in the unit it is typed in: a torque wrench's is no length."""
    from annotate.quantity import Quantity  # noqa: PLC0415 - loads numpy
    from capture.plans.values import unit_written  # noqa: PLC0415 - only where one is entered

    option = f"--{name.replace('_', '-')}"
    unit = unit_written(text, "mm")
    try:
        typed = parse_reading(text, unit=unit, decimal_comma=plan.job.decimal_comma)
    except BadReading as refused:
        raise WrongUse(f"{option} {text!r}: {refused}") from refused
    if typed.unit_assumed:
        raise WrongUse(f'{option} {text!r} has no unit: type it as "{text.strip()} {unit}"')
    return Quantity(float(typed.exact), typed.unit)


def _day(name: str, text: str) -> str:
    try:
        return date.fromisoformat(text).isoformat()
    except ValueError:
        option = name.replace("_", "-")
        raise WrongUse(f"--{option} {text!r} is no day: write it as 2026-11-03") from None
