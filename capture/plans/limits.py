"""Limits in a plan file: figures with their source, or the figure still to be looked up."""

from math import isclose
from typing import get_args

from msgspec import Struct

from annotate.errors import AnnotateError
from annotate.quantity import Quantity
from capture.errors import CaptureError
from capture.plans.table import Table
from capture.plans.values import exact, signed, unit_written, usual_unit
from capture.printed import Printed, read_printed
from store.characteristic import Limit, Of
from store.plan import Job

_UNIT_OF_PART: dict[Of, str] = {"pin": "mm", "open area": "mm^2"}
_FIGURES = ("at_least", "at_most", "printed", "settled", "source", "of", "rule")
_SAME = 1e-9  # relative: two ways to one number differ by binary rounding only


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
        raise table.misfit(
            "source says nothing" if "source" in table else "lacks 'source'", "source"
        )
    at_least = _bound(table, "at_least", kind, job, unit)
    at_most = _bound(table, "at_most", kind, job, unit)
    if "settled" in table and "printed" not in table:
        raise table.misfit("settles nothing: write the limit as its source prints it", "settled")
    if "printed" in table:
        at_least, at_most = _printed(table, job, unit, at_least, at_most)
    limit = table.build(
        lambda: Limit(
            source=table.words("source"),
            at_least=at_least,
            at_most=at_most,
            of=of,
            rule=table.choice("rule", "guarded"),
            printed=table.words("printed"),
            settled=table.words("settled"),
        )
    )
    refuse_upside_down(table, limit.at_least, limit.at_most)
    return limit


def _of(table: Table, kind: str) -> Of:
    if kind == "coverage" and "of" not in table:
        raise table.misfit(f"lacks 'of': one of {', '.join(get_args(Of))}", "of")
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


def _printed(
    table: Table, job: Job, unit: str, at_least: Quantity | None, at_most: Quantity | None
) -> tuple[Quantity | None, Quantity | None]:
    """Return the ends of a limit as printed, or the figures written beside it.

    Where the print says two things, the figures and why they were taken must be written.
    """
    written = [bound for bound in (at_least, at_most) if bound is not None]
    print_ = _read_print(table, job, written[0].unit if written else unit)
    if print_.disagreements:
        if written and table.words("settled").strip():
            return at_least, at_most
        raise table.misfit(
            f"{'; '.join(print_.disagreements)}: find out which is right, write it as at_least and "
            "at_most, and say in 'settled' which was taken and why",
            "printed",
        )
    if written:
        _refuse_another_figure(table, print_, at_least, at_most)
        return at_least, at_most
    if print_.at_least == print_.at_most:
        raise table.misfit("one number alone: write max or min before it", "printed")
    return print_.at_least, print_.at_most


def _read_print(table: Table, job: Job, unit: str) -> Printed:
    try:
        return read_printed(table.words("printed"), unit, decimal_comma=job.decimal_comma)
    except CaptureError as error:
        raise table.misfit(f"{table.words('printed')!r}: {error}", "printed") from error


def _refuse_another_figure(
    table: Table, print_: Printed, at_least: Quantity | None, at_most: Quantity | None
) -> None:
    """Refuse a figure that is not the one printed, unless it is settled why."""
    pairs = (("at_least", at_least, print_.at_least), ("at_most", at_most, print_.at_most))
    for key, written, printed in pairs:
        same = (
            written is not None
            and printed is not None
            and isclose(written.value, printed.to(written.unit).value, rel_tol=_SAME)
        )
        one_number = print_.at_least == print_.at_most and written is None
        if not (same or one_number or written is printed is None or table.words("settled")):
            raise table.misfit(
                f"not what is printed ({table.words('printed')}): correct one of them, or say in "
                "'settled' which was taken and why",
                key,
            )


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
