"""Do the checks that a plan was given at the bench go with it? Units, gauges, formulas.

A plan file is refused with its line; here there is no line, only the check.
"""

from collections.abc import Iterable

from annotate.quantity import UNITS, Quantity
from store.characteristic import ANSWERED_IN_WORDS, Characteristic, Limit
from store.errors import BadPlan
from store.formulas.dimensions import check_unit
from store.formulas.formula import Ref, parse
from store.formulas.wiring import Wiring
from store.plan import Plan

_UNIT_OF_PART = {"": "1", "covered": "1", "pin": "mm", "offset": "mm", "area": "mm^2",
                 "equivalent": "mm"}  # fmt: skip
_UNIT_OF_LIMIT = {"pin": "mm", "open area": "mm^2"}


def refuse_misfits(plan: Plan, keys: Iterable[str]) -> None:
    """Raise BadPlan, saying which, if one of these checks can't be read, judged or worked out."""
    wiring = Wiring(plan)
    for key in keys:
        check = wiring.checks[key]
        _refuse_units(plan, key, check)
        if check.kind == "computed":
            _refuse_formula(wiring, key, check)


def _refuse_units(plan: Plan, key: str, check: Characteristic) -> None:
    if check.unit not in UNITS:
        raise BadPlan(f"{key}: {check.unit!r} is no unit known here")
    if check.asks and check.kind in ANSWERED_IN_WORDS:
        raise BadPlan(f"{key}: a {check.kind} takes no limit, so none can be asked for")
    for limit in (check.limit, check.wear_limit):
        if limit is not None:
            _refuse_limit(key, check, limit)
    unit = "1" if check.kind == "coverage" else check.unit
    for band in check.bands:
        _refuse_kinds(key, unit, f"band {band.name!r}", (band.at_least, band.at_most))
    for doubt in check.doubts:
        _refuse_kinds(key, unit, f"the doubt {doubt.what!r}", (doubt.half_width,))
    if check.gauge:
        gauge = plan.gauge(check.gauge)
        _refuse_kinds(key, unit, f"gauge {gauge.id}", (gauge.resolution,))


def _refuse_limit(key: str, check: Characteristic, limit: Limit) -> None:
    if check.kind in ANSWERED_IN_WORDS:
        raise BadPlan(f"{key}: a {check.kind} takes no limit")
    unit = check.unit
    if check.kind == "coverage":
        unit = _UNIT_OF_LIMIT.get(limit.of, "1")
    _refuse_kinds(key, unit, "a limit", (limit.at_least, limit.at_most))
    low, high = limit.at_least, limit.at_most
    if low is not None and high is not None and low.to(high.unit).value > high.value:
        raise BadPlan(f"{key}: nothing is at least {low.value} {low.unit} and at most "
                      f"{high.value} {high.unit}")  # fmt: skip


def _refuse_kinds(key: str, unit: str, what: str, values: Iterable[Quantity | None]) -> None:
    for value in values:
        if value is not None and UNITS[value.unit][1] != UNITS[unit][1]:
            raise BadPlan(f"{key} is in {unit}: {what} in {value.unit} does not go with it")


def _refuse_formula(wiring: Wiring, key: str, check: Characteristic) -> None:
    try:
        check_unit(parse(check.formula), lambda ref: _unit_of(ref, wiring), check.unit)
    except BadPlan as error:
        raise BadPlan(f"{key}: {error}") from error
    if key in wiring.circular:
        raise BadPlan(f"{key}: the formula rests on itself, by way of the checks it names")


def _unit_of(ref: Ref, wiring: Wiring) -> str:
    """Return the unit of what a name stands for; raises BadPlan for a name that is not there."""
    check = wiring.checks.get(ref.key)
    if check is None:
        raise BadPlan(f"{ref.key} is not a check here")
    if check.kind in {*ANSWERED_IN_WORDS, "agreement"}:
        raise BadPlan(f"{ref.key} is a {check.kind}: nothing can be worked out from it")
    if ref.part and check.kind != "coverage":
        raise BadPlan(f"{ref.text}: only a coverage has parts")
    for word in ref.at:
        if word not in (*check.positions, *check.axes):
            raise BadPlan(f"{ref.text}: {word!r} is no position or axis of {ref.key}")
    return _UNIT_OF_PART[ref.part] if check.kind == "coverage" else check.unit
