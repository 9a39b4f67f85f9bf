"""Limits in a plan file: figures with their source, or the figure still to be looked up."""

from typing import get_args

from msgspec import Struct

from annotate.errors import AnnotateError
from annotate.quantity import Quantity
from capture.plans.table import Table
from capture.plans.values import exact, signed, unit_written, usual_unit
from store.plan import Job, Limit, Of

_UNIT_OF_PART: dict[Of, str] = {"pin": "mm", "open area": "mm^2"}
_FIGURES = ("at_least", "at_most", "source", "of", "rule")


class Asked(Struct, frozen=True):
    """A limit that is empty yet: the figure to be looked up, in words."""

    words: str


def read_limit(table: Table | None, kind: str, job: Job) -> Limit | Asked | None:
    """Return the limit of a check of this kind, or what it asks for. Raises Misfit."""
    if table is None:
        return None
    if "ask" in table:
        for key in _FIGURES:
            if key in table:
                raise table.misfit(f"'ask' stands alone: there is no {key!r} yet", "ask")
        if not table.words("ask").strip():
            raise table.misfit("says nothing: name the figure to be looked up", "ask")
        return Asked(table.words("ask"))
    return _limit(table, kind, job)


def _limit(table: Table, kind: str, job: Job) -> Limit:
    of = _of(table, kind)
    unit = usual_unit(kind, job)
    if kind == "coverage":
        unit = _UNIT_OF_PART.get(of, "%")
    if not table.words("source").strip():
        raise table.misfit("source says nothing" if "source" in table else "lacks 'source'")
    limit = table.build(
        lambda: Limit(
            source=table.words("source"),
            at_least=_bound(table, "at_least", kind, job, unit),
            at_most=_bound(table, "at_most", kind, job, unit),
            of=of,
            rule=table.choice("rule", "guarded"),
        )
    )
    refuse_upside_down(table, limit.at_least, limit.at_most)
    return limit


def _of(table: Table, kind: str) -> Of:
    if kind == "coverage" and "of" not in table:
        raise table.misfit(f"lacks 'of': one of {', '.join(get_args(Of))}")
    if kind != "coverage" and "of" in table:
        raise table.misfit("'of' belongs to the limit of a coverage only", "of")
    return table.choice("of", "covered")


def _bound(table: Table, key: str, kind: str, job: Job, unit: str) -> Quantity | None:
    """Return one side of a limit: an exact value."""
    if key not in table:
        return None
    if kind in {"depth", "computed"}:
        asked = unit_written(table.words(key), unit) if kind == "computed" else unit
        return signed(table, key, job, unit=asked)
    bound = exact(table, key, job, unit=unit)
    whole = {"%": 100, "1": 1}.get(bound.unit) if kind == "coverage" else None
    if whole is not None and bound.value > whole:
        raise table.misfit("no more than all of a hole can be covered: 0 % to 100 %", key)
    return bound


def refuse_upside_down(table: Table, low: Quantity | None, high: Quantity | None) -> None:
    """Raise Misfit where a lower figure is above the upper one."""
    if low is None or high is None:
        return
    try:
        above = low.to(high.unit).value > high.value
    except AnnotateError as error:
        raise table.misfit(f"at_least and at_most do not go together: {error}") from error
    if above:
        raise table.misfit("at_least is above at_most", "at_least")
