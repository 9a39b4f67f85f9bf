"""The uncertainty budget of every judged value, line by line (GUM, JCGM 100:2008): an appendix."""

from math import floor, hypot, inf, log10
from typing import Any

from annotate.errors import AnnotateError
from store.budgets.budget import Budget, Source, merged
from store.errors import StoreError
from store.evidence import Derived, Marked
from store.report import words
from store.report.figures import NBSP, TIMES, Saying, count, with_unit
from store.report.trail import Trail
from store.report.values import displayed
from store.round import Check, Round

_SHAPES = {
    "rectangular": "rectangle",
    "normal": "normal",
    "t": "t",
    "sampled": "by trials",
    "triangular": "triangle",
}
_MOST_DOF = 999
_FIGURES = 2
LEAD = (
    "What makes each judged value uncertain, largest first, as standard uncertainties in the "
    "unit of the value."
)


def appendix(known: Round, trail: Trail) -> dict[str, Any]:
    """Return the data of the appendix: a table of sources for every value judged by a limit.

    Values measured on a photo have theirs at their location. A budget that can't be worked out
    again is said to be so.
    """
    made = [
        _of_check(check, trail)
        for check in known.checks
        if check.current is not None
        and check.current.verdict is not None
        and check.characteristic.kind != "agreement"
        and not isinstance(check.current.record, Marked)
        and check.current.value is not None
    ]
    return {
        "code": "u",
        "title": "Uncertainty budgets",
        "lead": f"{LEAD} {count(len(made), 'value')}.",
        "list": made,
    }


def _of_check(check: Check, trail: Trail) -> dict[str, Any]:
    current = check.current
    shown = displayed(check, current) if current else None
    if current is None or shown is None:
        return {}
    quantity, say = shown
    data: dict[str, Any] = {
        "name": check.key,
        "question": words.asked(check),
        "head": f"{say.value(quantity.value)}, u = {_figures(quantity.u, quantity.unit)}",
        "rows": [],
        "note": "",
    }
    try:
        budget = trail.working.budget(current.stamp.entry).to(quantity.unit)
    except (StoreError, AnnotateError) as error:
        return {**data, "note": f"The budget can't be worked out again: {error}."}
    data["rows"] = _rows(budget)
    data["note"] = _note(budget, check, say)
    return data


def _rows(budget: Budget) -> list[dict[str, Any]]:
    """Return a row for each source; those that say the same are one row, added as squares."""
    together: dict[tuple[str, str], list[Source]] = {}
    for source in merged(budget.sources):
        together.setdefault((source.words, source.shape), []).append(source)
    rows = []
    for (said, shape), sources in together.items():
        u = hypot(*(source.u for source in sources))
        times = f", {len(sources)}{NBSP}{TIMES}" if len(sources) > 1 else ""
        rows.append(
            {
                "source": f"{said}{times}",
                "shape": _SHAPES.get(shape, shape),
                "u": _figures(u, budget.unit),
                "dof": _dof(sources[0].dof),
                "share": u,
            }
        )
    return sorted(rows, key=lambda row: -row["share"])


def _note(budget: Budget, check: Check, say: Saying) -> str:
    current = check.current
    cited = ""
    if current is not None and isinstance(current.record, Derived):
        number = len(current.record.from_entries)
        cited = f" From {count(number, 'reading or value', 'readings and values')}."
    together = f"Together u = {_figures(budget.u, budget.unit)}"
    together += f", degrees of freedom {_dof(budget.dof)}"
    if current is None or current.value is None:
        return f"{together}.{cited}"
    low, high = current.value.to(budget.unit).interval()
    return f"{together}; 95{NBSP}% interval {say.interval(low, high)}.{cited}"


def _dof(dof: float | None) -> str:
    return "\u221e" if dof is None or dof == inf or dof > _MOST_DOF else f"{floor(dof)}"


def _figures(u: float, unit: str) -> str:
    """Return a standard uncertainty with two figures and its unit."""
    if u <= 0:
        return with_unit(0.0, unit, 0)
    decimals = max(0, _FIGURES - 1 - floor(log10(u)))
    return with_unit(u, unit, decimals)
