"""The formulas of a plan: that they name checks of it, and come to the unit of their own."""

import re

from annotate.errors import AnnotateError
from capture.errors import BadPlanFile
from capture.plans.records import Records
from store.characteristic import Characteristic
from store.errors import BadPlan
from store.formulas import formula
from store.formulas.dimensions import check_unit
from store.formulas.formula import OF_A_GRID, Call, Name, Ref
from store.plan import Plan

_JOINED_MINUS = re.compile(r"\S-|-\S")
_UNIT_OF_PART = {"covered": "%", "pin": "mm", "offset": "mm", "area": "mm^2",
                 "equivalent": "mm"}  # fmt: skip
_LEAST = {"out_of_round": ("axes", 2), "taper": ("positions", 2)}


def refuse_formulas(plan: Plan, records: Records, file_name: str) -> None:
    """Raise BadPlanFile for a formula that can't be worked out, with its line where it has one."""
    checks = {key: check for key, _, check in plan.walk()}
    for key, check in checks.items():
        if check.kind != "computed":
            continue
        try:
            _refuse(check, checks, key)
        except (BadPlan, AnnotateError) as error:
            why = f"{error}{_hint(check.formula, str(error))}"
            table = records.tables.get(key)
            told = table.misfit(why, "formula") if table else f"{file_name}: {key}: {why}"
            raise BadPlanFile(str(told)) from error


def _hint(text: str, told: str) -> str:
    """Return what to do where a minus was taken for a part of an id."""
    if _JOINED_MINUS.search(text) and "blank" not in told:
        return "; if the - is a minus, put a blank on both sides of it"
    return ""


def _refuse(check: Characteristic, checks: dict[str, Characteristic], key: str) -> None:
    parsed = formula.parse(check.formula)
    check_unit(parsed, lambda ref: _unit_of(ref, checks), check.unit)
    if _rests_on(key, key, checks, set()):
        raise BadPlan("the formula rests on itself, by way of the checks it names")
    for node in formula.walk(parsed):
        if isinstance(node, Call) and node.function in OF_A_GRID:
            (name,) = node.arguments
            members, least = _LEAST[node.function]
            if isinstance(name, Name) and len(getattr(checks[name.ref.key], members)) < least:
                raise BadPlan(f"{node.function} needs {least} {members} or more of {name.ref.key}")


def _unit_of(ref: Ref, checks: dict[str, Characteristic]) -> str:
    """Return the unit of what a name stands for; raises BadPlan for a name that is not there."""
    check = checks.get(ref.key)
    if check is None:
        raise BadPlan(f"{ref.key} is not a check here")
    if check.kind in {"yes-no", "note", "agreement"}:
        raise BadPlan(f"{ref.key} is a {check.kind}: nothing can be worked out from it")
    if ref.part and check.kind != "coverage":
        raise BadPlan(f"{ref.text}: only a coverage has parts")
    for word in ref.at:
        if word not in (*check.positions, *check.axes):
            raise BadPlan(f"{ref.text}: {word!r} is no position or axis of {ref.key}")
    if check.kind == "coverage":
        return _UNIT_OF_PART[ref.part or "covered"]
    return check.unit


def _rests_on(key: str, on: str, checks: dict[str, Characteristic], seen: set[str]) -> bool:
    try:
        below = {ref.key for ref in formula.names(formula.parse(checks[key].formula))}
    except (BadPlan, KeyError):
        return False
    below -= seen
    seen |= below
    return on in below or any(_rests_on(one, on, checks, seen) for one in below)
