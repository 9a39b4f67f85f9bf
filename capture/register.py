"""What is typed of a gauge -> the gauge as it is to be entered in the register."""

import re
from collections.abc import Mapping
from datetime import date
from typing import Any

from annotate.quantity import UNITS, Quantity
from capture.entry import parse_reading
from capture.errors import BadReading, Unfit, WrongUse
from capture.plans.values import unit_written
from store.plan import Gauge, Plan

NEEDED = ("kind", "resolution", "permissible_error")
_SIZES = ("resolution", "permissible_error", "repeatability")
_DAYS = ("last_check", "due")
_ISO_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")


def lacking(plan: Plan, gauge_id: str, typed: Mapping[str, Any]) -> tuple[str, ...]:
    """Return what must be typed of a gauge that the register does not have yet, and was not."""
    if any(gauge.id == gauge_id for gauge in plan.gauges):
        return ()
    return tuple(name for name in NEEDED if typed.get(name) is None)


def entered_gauge(plan: Plan, gauge_id: str, typed: Mapping[str, Any], today: str) -> Gauge:
    """Return a gauge as it is to be entered: what is not typed stays as the register has it.

    ``typed`` is by the member's name, None for what is not typed; sizes are texts with their
    unit, days are ISO 8601. ``today`` is the day on which it is entered. Raises Unfit, by the
    member's name, for what is lacking, can't be read or can't be true; WrongUse for what changes
    nothing; BadPlan.
    """
    if short := lacking(plan, gauge_id, typed):
        raise Unfit(dict.fromkeys(short, f"{gauge_id} is not in the register yet: this is needed"))
    known = next((gauge for gauge in plan.gauges if gauge.id == gauge_id), None)
    members: dict[str, Any] = {"id": gauge_id}
    if known is not None:
        members = {name: getattr(known, name) for name in known.__struct_fields__}
    members |= {
        name: _read(name, value, plan) for name, value in typed.items() if value is not None
    }
    entered = Gauge(**members)
    if entered == known:
        raise WrongUse(f"{gauge_id} is in the register just so: say what is to be changed")
    _refuse_untrue(entered, today)
    return entered


def day_to_come(day: str, today: str) -> str:
    """Return what is wrong with a day that has not been yet, else ""; what is no day passes."""
    if _ISO_DAY.match(day) and day[:10] > today:
        return f"{day} is still to come, today is {today}: write the day it was"
    return ""


def _refuse_untrue(gauge: Gauge, today: str) -> None:
    """Refuse what would make a gauge seem better kept than it can be."""
    if coming := day_to_come(gauge.last_check, today):
        raise Unfit({"last_check": coming})
    if gauge.due and gauge.last_check and gauge.due <= gauge.last_check:
        sentence = f"{gauge.due} is not after the last check, {gauge.last_check}: look at both days"
        raise Unfit({"due": sentence})
    if gauge.set_on == gauge.id:
        raise Unfit({"set_on": f"{gauge.id}: a gauge is not set on itself, name another"})


def _read(name: str, value: Any, plan: Plan) -> Any:  # noqa: ANN401 - one member of many kinds
    if name in _SIZES:
        return _size(name, value, plan)
    if name in _DAYS and value:
        return _day(name, value)
    return value


def _size(name: str, text: str, plan: Plan) -> Quantity:
    """Return an exact size in the unit it is typed in: a torque wrench's is no length."""
    unit = unit_written(text, "mm")
    try:
        typed = parse_reading(text, unit=unit, decimal_comma=plan.job.decimal_comma)
    except BadReading as refused:
        raise Unfit({name: f"{text!r}: {refused}"}) from refused
    if typed.unit_assumed:
        raise Unfit({name: f'{text!r} has no unit: type it as "{text.strip()} {unit}"'})
    if UNITS[typed.unit][1] == "ratio":
        sentence = f"{text!r} is a share: type how much that comes to, in the unit the gauge reads"
        raise Unfit({name: sentence})
    return Quantity(float(typed.exact), typed.unit)


def _day(name: str, text: str) -> str:
    try:
        return date.fromisoformat(text).isoformat()
    except ValueError:
        raise Unfit({name: f"{text!r} is no day: write it as 2026-11-03"}) from None
