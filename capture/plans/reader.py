"""Plan file (TOML) -> Plan. The format is told in FORMAT.md beside this module.

Every refusal names the file, the line where it can be known, the place in the plan's own words
and the key: "bench.toml, line 41: location 'C2', check 'covered': limit lacks 'source'".
"""

import tomllib
from pathlib import Path
from typing import get_args

from annotate.errors import AnnotateError
from annotate.quantity import UNITS, Quantity
from capture.entry import Typed, parse_reading, quantity_of
from capture.errors import BadPlanFile, CaptureError
from capture.plans.table import Misfit, Table
from capture.typed import converted
from capture.unit_words import find_unit_word
from store.errors import BadPlan
from store.plan import (
    Characteristic,
    Gauge,
    HoldPoint,
    Job,
    Kind,
    Limit,
    Location,
    Of,
    Plan,
    Role,
    Rule,
)

FORMAT = 1
MAX_BYTES = 4_000_000
# The unit of a number where the kind leaves no choice, and of a typed one without a unit.
UNIT_OF_KIND = {
    "coverage": "%",
    "torque": "N.m",
    "pressure": "kPa",
    "count": "count",
    "yes-no": "1",
    "agreement": "1",
}


def read_plan(path: Path) -> Plan:
    """Return the plan in a TOML file; raises BadPlanFile with one sentence."""
    try:
        with path.open("rb") as file:
            raw = file.read(MAX_BYTES + 1)
    except OSError as error:
        why = error.strerror or "it can't be opened"
        raise BadPlanFile(f"the plan {path} can't be read: {why}") from error
    if len(raw) > MAX_BYTES:
        raise BadPlanFile(f"{path.name} has more than {MAX_BYTES // 1_000_000} MB: not a plan")
    return parse_plan(raw, path.name)


def parse_plan(raw: bytes, file_name: str) -> Plan:
    """Return the plan in the bytes of a TOML file; ``file_name`` is for messages only."""
    try:
        text = raw.decode("utf-8")
        document = tomllib.loads(text)
    except UnicodeDecodeError as error:
        raise BadPlanFile(f"{file_name} is not text in UTF-8: save it as a plain text") from error
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise BadPlanFile(f"{file_name} is not TOML: {error}") from error
    top = Table(document, file=file_name, text=text)
    try:
        return _plan(top)
    except Misfit as misfit:
        raise BadPlanFile(str(misfit)) from misfit
    except BadPlan as error:
        raise BadPlanFile(f"{file_name}: {error}") from error


def _plan(top: Table) -> Plan:
    found = top.whole("format")
    if found != FORMAT:
        raise top.misfit(f"format {found} is not read here, only {FORMAT}", "format")
    job = _job(top.table("job"))
    plan = Plan(
        job=job,
        gauges=tuple(_gauge(t, job) for t in top.tables("gauge")),
        locations=tuple(_location(t, job) for t in top.tables("location")),
        hold_points=tuple(_hold_point(t) for t in top.tables("hold_point")),
    )
    top.finish()
    if not plan.locations:
        raise top.misfit("a plan needs at least one [[location]]")
    return plan


def _job(table: Table) -> Job:
    job = Job(
        number=table.words("number"),
        engine=table.words("engine"),
        customer=table.words("customer"),
        shop=table.words("shop"),
        engine_number=table.words("engine_number", ""),
        units=table.choice("units", ("metric", "US"), "metric"),
        decimal_comma=table.yes("decimal_comma"),
        instructions=table.several("instructions"),
        declined=table.several("declined"),
        left_out=table.several("left_out"),
        cautions=table.several("cautions"),
    )
    table.finish()
    return job


def _gauge(table: Table, job: Job) -> Gauge:
    gauge = table.build(
        lambda: Gauge(
            id=table.words("id"),
            kind=table.words("kind"),
            resolution=_exact(table, "resolution", job),
            permissible_error=_exact(table, "permissible_error", job),
            last_check=table.words("last_check", ""),
            set_on=table.words("set_on", ""),
        )
    )
    table.finish()
    return gauge


def _location(table: Table, job: Job) -> Location:
    checks = table.tables("check")
    location = table.build(
        lambda: Location(
            id=table.words("id"),
            name=table.words("name"),
            characteristics=tuple(_check(t, job) for t in checks),
            near=table.words("near", "bearing hole"),
            far=table.words("far", "block hole"),
        )
    )
    table.finish()
    if not checks:
        raise table.misfit("a location needs at least one [[location.check]]")
    return location


def _check(table: Table, job: Job) -> Characteristic:
    kind = table.choice("kind", get_args(Kind))
    limit = _limit(table.table("limit"), kind, job) if "limit" in table else None
    unit = _unit(table, kind, job, limit)
    pair = table.several("of")
    if pair and len(pair) != 2:  # noqa: PLR2004 - a pair
        raise table.misfit('names two checks, as ["LOCATION.CHECK", "LOCATION.CHECK"]', "of")
    check = table.build(
        lambda: Characteristic(
            id=table.words("id"),
            kind=kind,
            question=table.words("question"),
            unit=unit,
            limit=limit,
            datum=table.words("datum", ""),
            gauge=table.words("gauge", ""),
            of=(pair[0], pair[1]) if pair else None,
            near_diameter=_given(table, "near_diameter", job),
            far_diameter=_given(table, "far_diameter", job),
            wall=_given(table, "wall", job),
            bore_diameter=_given(table, "bore_diameter", job),
            flat=table.yes("flat"),
            caution=table.words("caution", ""),
        )
    )
    _refuse_contradictions(table, check)
    table.finish()
    return check


def _refuse_contradictions(table: Table, check: Characteristic) -> None:
    if check.kind == "depth" and not check.datum:
        raise table.misfit("a depth needs 'datum': the face it is measured from", "datum")
    if check.flat and check.bore_diameter is not None:
        raise table.misfit("a face is flat or part of a bore, not both", "flat")
    holes = ("near_diameter", "far_diameter", "wall", "bore_diameter")
    for key in holes:
        if getattr(check, key) is not None and check.kind != "coverage":
            raise table.misfit(f"only a coverage has {key!r}", key)
    if check.limit is not None and check.kind == "yes-no":
        raise table.misfit("yes is within and no is outside: it takes no limit", "limit")


def _unit(table: Table, kind: str, job: Job, limit: Limit | None) -> str:
    """Return the unit of a number typed without one: as written, else the limit's own."""
    usual = _usual_unit(kind, job)
    if "unit" in table:
        return _written_unit(table, kind, usual)
    if limit is None or kind in {"coverage", "agreement"}:
        return usual
    # A bare 40 beside a limit in psi is 40 psi to whoever reads the plan.
    own = {bound.unit for bound in (limit.at_least, limit.at_most) if bound is not None}
    if len(own) > 1 and usual not in own:
        raise table.misfit("the limit has two units: say in 'unit' which a bare number has")
    return usual if usual in own else own.pop()


def _usual_unit(kind: str, job: Job) -> str:
    return UNIT_OF_KIND.get(kind, "in" if job.units == "US" else "mm")


def _written_unit(table: Table, kind: str, usual: str) -> str:
    """Return the unit that a plan names, in any spelling that a reading may have."""
    words = table.words("unit", usual)
    unit = words if words in UNITS else ""
    if not unit:
        try:
            found = find_unit_word(words, asked=usual)
        except CaptureError as error:
            raise table.misfit(f"{words!r}: {error}", "unit") from error
        if found.scale != 1:
            raise table.misfit(f"{words!r} is a part of a unit: write {found.unit!r}", "unit")
        unit = found.unit
    if UNITS[unit][1] != UNITS[usual][1]:
        raise table.misfit(f"{unit} is no unit for a {kind}", "unit")
    return unit


def _limit(table: Table, kind: str, job: Job) -> Limit:
    of = table.choice("of", get_args(Of), "covered")
    if kind == "coverage" and "of" not in table:
        raise table.misfit(f"lacks 'of': one of {', '.join(get_args(Of))}")
    if kind != "coverage" and "of" in table:
        raise table.misfit("'of' belongs to the limit of a coverage only", "of")
    unit = _usual_unit(kind, job)
    if kind == "coverage":
        unit = {"pin": "mm", "open area": "mm^2"}.get(of, "%")
    limit = table.build(
        lambda: Limit(
            source=table.words("source"),
            at_least=_bound(table, "at_least", unit, job),
            at_most=_bound(table, "at_most", unit, job),
            of=of,
            rule=table.choice("rule", get_args(Rule), "guarded"),
        )
    )
    table.finish()
    if limit.at_least and limit.at_most and _above(limit.at_least, limit.at_most):
        raise table.misfit("at_least is above at_most", "at_least")
    return limit


def _above(low: Quantity, high: Quantity) -> bool:
    return low.to(high.unit).value > high.value


def _bound(table: Table, key: str, unit: str, job: Job) -> Quantity | None:
    """Return one side of a limit: an exact value."""
    return _exact(table, key, job, unit=unit) if key in table else None


def _exact(table: Table, key: str, job: Job, *, unit: str = "mm") -> Quantity:
    """Return a value that is meant exactly as written, in the unit it is written in."""
    typed = _typed(table, key, unit, job)
    if typed.plus_minus is not None or typed.band is not None:
        raise table.misfit("takes one exact value, without +-", key)
    if unit == "%" and converted(typed.exact, typed.unit, "1") > 1:
        raise table.misfit("no more than all of a hole can be covered: 0 % to 100 %", key)
    return Quantity(value=float(typed.exact), unit=typed.unit)


def _given(table: Table, key: str, job: Job) -> Quantity | None:
    """Return what the builder knows of a hole: a length in mm with its uncertainty."""
    if key not in table:
        return None
    typed = _typed(table, key, "mm", job)
    if typed.exact <= 0:
        raise table.misfit("must be above 0", key)
    return quantity_of(typed).to("mm")


def _typed(table: Table, key: str, unit: str, job: Job) -> Typed:
    """Return a typed value whose unit is written: a plan is read by others, months later."""
    text = table.words(key)
    try:
        typed = parse_reading(text, unit=unit, decimal_comma=job.decimal_comma)
    except (CaptureError, AnnotateError) as error:
        raise table.misfit(f"{text!r}: {error}", key) from error
    if typed.unit_assumed and unit not in {"1", "count"}:
        raise table.misfit(f'{text!r} has no unit: write it as "{text} {unit}"', key)
    return typed


def _hold_point(table: Table) -> HoldPoint:
    roles = table.several("roles")
    for role in roles:
        if role not in get_args(Role):
            raise table.misfit(f"{role!r} is not one of {', '.join(get_args(Role))}", "roles")
    hold = table.build(
        lambda: HoldPoint(
            id=table.words("id"),
            name=table.words("name"),
            hides=table.several("hides"),
            roles=tuple(role for role in get_args(Role) if role in roles),
            caution=table.words("caution", ""),
        )
    )
    table.finish()
    if not hold.hides:
        raise table.misfit("lacks 'hides': the locations it hides", "hides")
    return hold
