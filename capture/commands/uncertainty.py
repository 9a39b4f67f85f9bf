"""Uncertainty budgets and agreements -> lines for a person, and the JSON for a program.

Terms are those of JCGM 100:2008 (GUM): standard uncertainty u, degrees of freedom, coverage
factor k, expanded uncertainty U.
"""

from collections.abc import Iterable, Iterator
from math import ceil, hypot, log10, sqrt
from typing import Any

from capture.words.quantities import given_text, quantity_text
from store.agree import Agreement
from store.budgets.budget import Budget, Source, merged
from store.evidence import Derived, Read
from store.plan import Gauge
from store.round import Attempt, Round

_FIGURES = 2  # of an uncertainty: more are not known
_HEAD = ("source", "+-", "shape", "u", "degrees of freedom", "share")
_HALF_WIDTH = {"rectangular": sqrt(3)}


def budget_lines(key: str, budget: Budget) -> Iterator[str]:
    """Yield value, every source with its contribution, and the sum of them."""
    yield f"{key}: {quantity_text(budget.quantity())}"
    sources = tuple(source for source in merged(budget.sources) if source.u)
    if not sources or budget.u == 0:
        yield "it is exact: nothing makes it uncertain"
        return
    yield from _table([_HEAD, *(_row(alike, budget) for alike in _alike(sources))])
    yield f"combined standard uncertainty u = {_figures(budget.u)} {budget.unit}"
    yield f"effective degrees of freedom: {_dof(budget.dof)}"
    judged = _judged_expanded(budget)
    yield (
        f"expanded uncertainty U = {_figures(judged)} {budget.unit} (k = {judged / budget.u:.2f}, "
        "95 %): what verdicts and intervals use"
    )
    yield (
        f"by the joint shape of its sources it would be {_figures(budget.expanded())} "
        f"{budget.unit} (k = {budget.factor():.2f})"
    )


def cancelled(walked: Round, current: Attempt | None, budget: Budget) -> tuple[Gauge, ...]:
    """Return the gauges whose error is in what a value was worked out from, and no more in it.

    A gauge's permissible error is one for all its readings (``store.budgets.worth``).
    """
    record = current.record if current is not None else None
    sources = merged(budget.sources)
    if not isinstance(record, Derived) or any(source.shape == "sampled" for source in sources):
        return ()
    told = {source.words for source in sources if source.u}
    reads = [walked.attempt(digest).record for digest in record.from_entries]
    used = [read.gauge for read in reads if isinstance(read, Read) and read.plus_minus is None]
    return tuple(
        gauge
        for gauge in walked.plan.gauges
        if used.count(gauge.id) > 1
        and gauge.permissible_error.value > 0
        and f"error of {gauge.id}" not in told
    )


def cancelled_lines(gauges: Iterable[Gauge]) -> Iterator[str]:
    """Yield what is not in the table because it cancels, and when that flatters."""
    for gauge in gauges:
        yield (
            f"the error of {gauge.id}, up to {given_text(gauge.permissible_error)}, is taken as "
            "one for all its readings and cancels: that flatters two sizes far apart on its scale, "
            "or one inside and one outside"
        )


def _judged_expanded(budget: Budget) -> float:
    """Return half the 95 % interval that is judged: of the quantity as it is kept."""
    low, high = budget.quantity().interval()
    return (high - low) / 2


def _alike(sources: tuple[Source, ...]) -> list[list[Source]]:
    """Return the sources, those of one kind and size together, the largest first."""
    found: dict[tuple[str, str, str, float | None], list[Source]] = {}
    for source in sources:
        kind = (source.words, source.shape, _figures(abs(source.u)), source.dof)
        found.setdefault(kind, []).append(source)
    return sorted(found.values(), key=lambda alike: -_joint_u(alike))


def _joint_u(alike: list[Source]) -> float:
    return hypot(*(source.u for source in alike))


def _row(alike: list[Source], budget: Budget) -> tuple[str, ...]:
    one = alike[0]
    many = f"{len(alike)} x " if len(alike) > 1 else ""
    wide = _HALF_WIDTH.get(one.shape)
    share = 100 * _joint_u(alike) ** 2 / budget.u**2
    return (
        one.words,
        f"{many}{_figures(abs(one.u) * wide)} {budget.unit}" if wide else "",
        one.shape,
        f"{many}{_figures(abs(one.u))} {budget.unit}",
        _dof(one.dof),
        f"{share:.0f} %" if share >= 1 else "below 1 %",
    )


def _table(rows: list[tuple[str, ...]]) -> Iterator[str]:
    widths = [max(len(row[n]) for row in rows) for n in range(len(rows[0]))]
    for row in rows:
        cells = (f"{cell:<{width}}" for cell, width in zip(row, widths, strict=True))
        yield f"  {'  '.join(cells)}".rstrip()


def agreement_lines(key: str, of: tuple[str, str], agreed: Agreement) -> Iterator[str]:
    """Yield En, the difference and what it may be, and which reading is worth repeating."""
    word = "agree" if agreed.en <= 1 else "do NOT agree"
    unit = agreed.difference.unit
    apart = quantity_text(agreed.difference.quantity())
    yield f"{key}: {of[0]} and {of[1]} {word}, En {agreed.en:.2f} (up to 1 agrees)"
    yield f"apart by {apart}, and may be by {_figures(agreed.expanded)} {unit} (95 %)"
    if agreed.shared:
        yield f"common to both, and left out: {', '.join(dict.fromkeys(agreed.shared))}"
    again = _worth_repeating(of, agreed)
    yield f"worth reading again: {again}" if again else "neither is worth more reading again"
    yield from budget_lines(f"{of[0]} minus {of[1]}", agreed.difference)


def _worth_repeating(of: tuple[str, str], agreed: Agreement) -> str:
    return {"": "", "first": of[0], "second": of[1]}[agreed.worth_repeating]


def budget_answer(budget: Budget) -> dict[str, Any]:
    """Return a budget for a program."""
    return {
        "value": budget.value,
        "unit": budget.unit,
        "u": budget.u,
        "dof": budget.dof,
        "k": _judged_expanded(budget) / budget.u if budget.u else None,
        "expanded": _judged_expanded(budget) if budget.u else 0.0,
        "level": 0.95,
        "by_joint_shape": {
            "k": budget.factor() if budget.u else None,
            "expanded": budget.expanded() if budget.u else 0.0,
        },
        "sources": [
            {
                "source": source.words,
                "half_width": abs(source.u) * sqrt(3) if source.shape in _HALF_WIDTH else None,
                "shape": source.shape,
                "contribution": source.u,
                "dof": source.dof,
                "share": source.u**2 / budget.u**2 if budget.u else 0.0,
            }
            for source in merged(budget.sources)
        ],
    }


def agreement_answer(key: str, of: tuple[str, str], agreed: Agreement) -> dict[str, Any]:
    """Return an agreement for a program."""
    return {
        "key": key,
        "of": list(of),
        "en": agreed.en,
        "agree": agreed.en <= 1,
        "expanded": agreed.expanded,
        "shared": list(agreed.shared),
        "worth_repeating": _worth_repeating(of, agreed) or None,
        "difference": budget_answer(agreed.difference),
    }


def _figures(u: float) -> str:
    """Return an uncertainty to its first two figures, without a power of ten."""
    if u <= 0:
        return "0"
    places = _FIGURES - ceil(log10(u) + 1e-12)
    return f"{u:.{max(0, places)}f}"


def _dof(dof: float | None) -> str:
    return "infinite" if dof is None else f"{dof:.1f}".removesuffix(".0")
