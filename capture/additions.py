"""Words typed at the bench -> the checks and limits that a plan is changed by.

They are read as those of a plan file are: a limit typed here and one written there are the same.
"""

from collections.abc import Mapping
from math import isclose
from typing import Any

from msgspec.structs import replace

from annotate.errors import AnnotateError
from annotate.quantity import UNITS, Quantity
from capture.errors import WrongUse
from capture.plans.checks import read_check
from capture.plans.limits import Asked, read_limit
from capture.plans.table import Misfit, Table
from capture.plans.values import exact, unit_written
from capture.printed import read_printed
from store.plan import ANSWERED_IN_WORDS, Characteristic, Job, KitLine, Limit


def check_of(written: Mapping[str, Any], job: Job) -> Characteristic:
    """Return the check that the keys of a [[location.check]] describe.

    Empty ones count as left out. Raises WrongUse with the sentence a plan file would be refused
    with.
    """
    try:
        return read_check(_table(written, "check"), job)
    except Misfit as misfit:
        raise WrongUse(str(misfit)) from misfit


def limit_of(
    key: str, check: Characteristic, written: Mapping[str, Any], job: Job, *, printed: str = "",
    settled: str = "",
) -> Limit:  # fmt: skip
    """Return the limit that the keys of a limit = { ... } describe, for a check of a plan.

    ``printed`` is the limit as its source prints it: it is compared with itself where it is in
    two units, and with the figures; alone it gives them. ``settled`` says what was taken where
    they disagree, and why. Raises WrongUse, and for what can't be read as a print BadReading.
    """
    if check.kind in ANSWERED_IN_WORDS:
        raise WrongUse(f"{key} is a {check.kind}: it takes no limit")
    figures = dict(written)
    if check.kind == "coverage" and not figures.get("of"):
        figures["of"] = "covered"
    if printed:
        figures |= _printed_figures(key, check, figures, printed, settled)
    elif settled:
        raise WrongUse(f"{key}: nothing to settle: give the limit as it is printed too")
    try:
        limit = read_limit(_table(figures, "limit"), check.kind, job)
    except Misfit as misfit:
        raise WrongUse(f"{key}: {misfit}") from misfit
    if limit is None or isinstance(limit, Asked):
        raise WrongUse(f"{key}: no limit was given")
    if check.kind != "coverage":
        _refuse_other_units(key, check.unit, limit.at_least, limit.at_most)
    if printed and not settled:
        _refuse_another(key, limit, printed)
    return replace(limit, printed=printed, settled=settled)


def _printed_figures(
    key: str, check: Characteristic, figures: Mapping[str, Any], printed: str, settled: str
) -> dict[str, str]:
    """Return the figures of a print where none were typed; a print that disagrees is refused."""
    read = read_printed(printed, check.unit)
    typed = bool(figures.get("at_least") or figures.get("at_most"))
    if read.disagreements and not settled:
        raise WrongUse(
            f"{key}: {'; '.join(read.disagreements)}: look at the page again, then type the "
            "figures you take, and say with --settled which they are and why"
        )
    if read.disagreements and not typed:
        raise WrongUse(f"{key}: type the figures that were taken: --at-least, --at-most or both")
    if typed:
        return {}
    ends = (("at_least", read.at_least), ("at_most", read.at_most))
    return {name: f"{end.value!r} {end.unit}" for name, end in ends if end is not None}


def _refuse_another(key: str, limit: Limit, printed: str) -> None:
    """Refuse figures that are not those of the print, in the unit in which they were typed."""
    for name in ("at_least", "at_most"):
        typed: Quantity | None = getattr(limit, name)
        if typed is None:
            continue
        end: Quantity | None = getattr(read_printed(printed, typed.unit), name)
        if end is None or not isclose(end.to(typed.unit).value, typed.value, rel_tol=1e-9):
            told = "gives no such side" if end is None else f"says {end.value:g} {end.unit}"
            raise WrongUse(
                f"{key}: {name.replace('_', ' ')} {typed.value:g} {typed.unit} was typed, and the "
                f"print {told}: look at the page again, or say with --settled why"
            )


def kit_line_of(line_id: str, name: str, count: int, size: str, job: Job) -> KitLine:
    """Return a line of the kit list; ``size`` as the packing says, empty if it says none."""
    return KitLine(line_id, name, count, _size(line_id, size, job) if size else None)


def _size(line_id: str, size: str, job: Job) -> Quantity:
    table = _table({"id": line_id, "size": size}, "kit")
    try:
        return exact(table, "size", job, unit=unit_written(size, "mm"))
    except (Misfit, AnnotateError) as misfit:
        raise WrongUse(f"kit line {line_id}: {misfit}") from misfit


def _refuse_other_units(key: str, unit: str, *bounds: Quantity | None) -> None:
    for bound in bounds:
        if bound is not None and UNITS[bound.unit][1] != UNITS[unit][1]:
            raise WrongUse(f"{key} is read in {unit}: a limit in {bound.unit} does not go with it")


def _table(written: Mapping[str, Any], kind: str) -> Table:
    given = {name: value for name, value in written.items() if value not in (None, "", [], False)}
    return Table(given, kind=kind, file="", where=lambda *_: None)
