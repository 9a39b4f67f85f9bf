"""Words typed at the bench -> the checks and limits that a plan is changed by.

They are read as those of a plan file are: a limit typed here and one written there are the same.
"""

from collections.abc import Mapping
from typing import Any

from annotate.quantity import UNITS, Quantity
from capture.errors import WrongUse
from capture.plans.checks import read_check
from capture.plans.limits import Asked, read_limit
from capture.plans.table import Misfit, Table
from capture.plans.values import optional
from store.characteristic import ANSWERED_IN_WORDS, Characteristic, Limit
from store.plan import Job, KitLine


def check_of(written: Mapping[str, Any], job: Job) -> Characteristic:
    """Return the check that the keys of a [[location.check]] describe.

    Empty ones count as left out. Raises WrongUse with the sentence a plan file would be refused
    with.
    """
    try:
        return read_check(_table(written, "check", f"check {written.get('id')!r}"), job)
    except Misfit as misfit:
        raise WrongUse(str(misfit)) from misfit


def limit_of(key: str, check: Characteristic, written: Mapping[str, Any], job: Job) -> Limit:
    """Return the limit that the keys of a limit = { ... } describe, for a check of a plan.

    A coverage's is of "covered" unless it says otherwise. Raises WrongUse.
    """
    if check.kind in ANSWERED_IN_WORDS:
        raise WrongUse(f"{key} is a {check.kind}: it takes no limit")
    of = {"of": "covered"} if check.kind == "coverage" and not written.get("of") else {}
    try:
        limit = read_limit(_table({**written, **of}, "limit"), check.kind, job)
    except Misfit as misfit:
        raise WrongUse(f"{key}: {misfit}") from misfit
    if limit is None or isinstance(limit, Asked):
        raise WrongUse(f"{key}: no limit was given")
    if check.kind != "coverage":
        _refuse_other_units(key, check.unit, limit.at_least, limit.at_most)
    return limit


def kit_line_of(line_id: str, name: str, count: int, size: str, job: Job) -> KitLine:
    """Return a line of the kit list; ``size`` as the packing says, empty if it says none."""
    return KitLine(line_id, name, count, _size(line_id, size, job) if size else None)


def _size(line_id: str, size: str, job: Job) -> Quantity | None:
    table = _table({"id": line_id, "size": size}, "kit")
    try:
        return optional(table, "size", job, unit="mm")
    except Misfit as misfit:
        raise WrongUse(f"kit line {line_id}: {misfit}") from misfit


def _refuse_other_units(key: str, unit: str, *bounds: Quantity | None) -> None:
    for bound in bounds:
        if bound is not None and UNITS[bound.unit][1] != UNITS[unit][1]:
            raise WrongUse(f"{key} is read in {unit}: a limit in {bound.unit} does not go with it")


def _table(written: Mapping[str, Any], kind: str, place: str = "") -> Table:
    given = {name: value for name, value in written.items() if value not in (None, "", [], False)}
    return Table(given, kind=kind, file="", where=lambda *_: None, place=place)
