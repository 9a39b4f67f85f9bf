"""Checks in a plan file: one [[location.check]] -> Characteristic."""

from annotate.quantity import UNITS, Quantity
from capture.plans.limits import Asked, read_limit, refuse_upside_down
from capture.plans.table import Table
from capture.plans.values import (
    exact,
    given,
    optional,
    signed,
    unit_named,
    unit_written,
    usual_unit,
)
from store.characteristic import ANSWERED_IN_WORDS, TYPED, Band, Characteristic, Doubt, Kind, Limit
from store.plan import Job

GONE = {
    "difference": 'is written as a computed check now: kind = "computed" and formula = '
    "\"{0} - {1}\" in the place of 'of'"
}
_HOLES = ("near_diameter", "far_diameter", "wall", "bore_diameter", "flat", "shape")
_TYPED_ONLY = (
    "instrument", "gauge", "resolution", "resolution_us", "doubts", "positions", "axes", "repeats",
    "take", "material",
)  # fmt: skip
_JUDGED_ONLY = ("limit", "wear_limit", "judged_by", "asks", "bands")


def read_check(table: Table, job: Job) -> Characteristic:
    """Return one check. Raises Misfit naming its line, location, check and key."""
    _refuse_gone(table)
    kind: Kind = table.choice("kind")
    _refuse_misplaced(table, kind)
    limit = read_limit(table.table("limit"), kind, job)
    wear_limit = read_limit(table.table("wear_limit"), kind, job)
    asks = _asks(table, limit, wear_limit)
    limits = [each for each in (limit, wear_limit) if isinstance(each, Limit)]
    unit = _unit(table, kind, job, limits)
    check = table.build(
        lambda: Characteristic(
            id=table.words("id"),
            kind=kind,
            question=table.words("question"),
            unit=unit,
            limit=limit if isinstance(limit, Limit) else None,
            wear_limit=wear_limit if isinstance(wear_limit, Limit) else None,
            judged_by=table.choice("judged_by", "new"),
            asks=asks,
            datum=table.words("datum"),
            gauge=table.words("gauge"),
            instrument=table.words("instrument"),
            resolution=_resolution(table, job, unit),
            positions=table.several("positions"),
            axes=table.several("axes"),
            repeats=table.whole("repeats", 1),
            take=table.choice("take", "mean"),
            bands=tuple(_band(each, job, unit, kind) for each in table.tables("bands")),
            formula=table.words("formula"),
            of=_routes(table),
            part=table.words("part"),
            found=table.yes("found"),
            material=table.words("material"),
            doubts=tuple(_doubt(each, job, unit) for each in table.tables("doubts")),
            near_diameter=given(table, "near_diameter", job),
            far_diameter=given(table, "far_diameter", job),
            wall=given(table, "wall", job),
            bore_diameter=given(table, "bore_diameter", job),
            flat=table.yes("flat"),
            shape=table.choice("shape", "round"),
            caution=table.words("caution"),
        )
    )
    _refuse_contradictions(table, check)
    return check


def _refuse_gone(table: Table) -> None:
    """Tell what to write in the place of a kind that is no longer."""
    kind = table.words("kind")
    if kind in GONE:
        routes = (*table.several("of"), "LOCATION.CHECK", "LOCATION.CHECK")
        raise table.misfit(f"{kind!r} {GONE[kind].format(*routes)}", "kind")


def _refuse_misplaced(table: Table, kind: Kind) -> None:
    """Refuse keys that a check of this kind has no use for."""
    for key in _HOLES:
        if key in table and kind != "coverage":
            raise table.misfit(f"only a coverage has {key!r}", key)
    for key in _TYPED_ONLY:
        if key in table and kind not in TYPED:
            raise table.misfit(f"what is never typed has no {key!r}", key)
    for key in _JUDGED_ONLY:
        if key in table and kind in ANSWERED_IN_WORDS:
            why = "yes is within and no is outside" if kind == "yes-no" else "words are not judged"
            raise table.misfit(f"{why}: it takes no {key!r}", key)


def _asks(table: Table, limit: Limit | Asked | None, wear_limit: Limit | Asked | None) -> str:
    asked = [each.words for each in (limit, wear_limit) if isinstance(each, Asked)]
    if asked and "asks" in table:
        raise table.misfit("the limit asks already: write it once", "asks")
    return "; ".join(dict.fromkeys(asked)) or table.words("asks")


def _unit(table: Table, kind: Kind, job: Job, limits: list[Limit]) -> str:
    """Return the unit of a number typed without one: as written, else the limit's own."""
    usual = usual_unit(kind, job)
    key = "unit_us" if job.units == "US" and "unit_us" in table else "unit"
    if key in table:
        return unit_named(table, key, usual, any_kind=kind == "computed")
    if not limits or kind in {"coverage", "agreement"}:
        return usual
    # A bare 40 beside a limit in psi is 40 psi to whoever reads the plan.
    bounds = [bound for limit in limits for bound in (limit.at_least, limit.at_most)]
    own = {bound.unit for bound in bounds if bound is not None}
    if len(own) > 1 and usual not in own:
        raise table.misfit("the limit has two units: say in 'unit' which a bare number has")
    return usual if usual in own else own.pop()


def _resolution(table: Table, job: Job, unit: str) -> Quantity | None:
    us = job.units == "US" and "resolution_us" in table
    return optional(table, "resolution_us" if us else "resolution", job, unit=unit)


def _routes(table: Table) -> tuple[str, str] | None:
    routes = table.several("of")
    if routes and len(routes) != 2:  # noqa: PLR2004 - a pair
        raise table.misfit('names two checks, as ["LOCATION.CHECK", "LOCATION.CHECK"]', "of")
    return (routes[0], routes[1]) if routes else None


def _band(table: Table, job: Job, unit: str, kind: Kind) -> Band:
    may_be_negative = kind in {"depth", "computed"}

    def bound(key: str) -> Quantity | None:
        if key not in table:
            return None
        read = signed if may_be_negative else exact
        return read(table, key, job, unit=unit_written(table.words(key), unit))

    band = table.build(lambda: Band(table.words("name"), bound("at_least"), bound("at_most")))
    _refuse_other_units(table, unit, band.at_least, band.at_most)
    refuse_upside_down(table, band.at_least, band.at_most)
    return band


def _doubt(table: Table, job: Job, unit: str) -> Doubt:
    return table.build(
        lambda: Doubt(table.words("what"), exact(table, "half_width", job, unit=unit))
    )


def _refuse_contradictions(table: Table, check: Characteristic) -> None:
    if check.kind == "depth" and not check.datum:
        raise table.misfit("a depth needs 'datum': the face it is measured from", "datum")
    if check.flat and check.bore_diameter is not None:
        raise table.misfit("a face is flat or part of a bore, not both", "flat")
    if check.judged_by == "wear" and check.wear_limit is None and not check.asks:
        raise table.misfit("there is no wear_limit to decide", "judged_by")
    for limit in (check.limit, check.wear_limit):
        if limit is not None and check.kind != "coverage":
            _refuse_other_units(table, check.unit, limit.at_least, limit.at_most)


def _refuse_other_units(table: Table, unit: str, *bounds: Quantity | None) -> None:
    for bound in bounds:
        if bound is not None and UNITS[bound.unit][1] != UNITS[unit][1]:
            raise table.misfit(f"{bound.unit} does not go with the check's unit {unit}")
