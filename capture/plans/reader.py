"""Plan file (TOML) -> Plan. The format is told in FORMAT.md beside this module.

Every refusal names the file, the line where it can be known, the place in the plan's own words
and the key: "bench.toml, line 41: location 'C2', check 'covered': limit lacks 'source'".
"""

import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any, get_args

from capture.errors import BadPlanFile
from capture.plans.checks import read_check
from capture.plans.each import multiplied, refuse_for_each
from capture.plans.formulas import refuse_formulas
from capture.plans.keys import FORMAT
from capture.plans.lines import line_of
from capture.plans.records import Records
from capture.plans.shelf import read_gauge, read_kit_line, read_part
from capture.plans.table import Misfit, Table, Where
from capture.plans.trimming import settled
from store.errors import BadPlan
from store.plan import HoldPoint, Job, Location, Plan, Role

MAX_BYTES = 4_000_000


def read_plan(path: Path) -> Plan:
    """Return the plan in a TOML file; raises BadPlanFile with one sentence."""
    return parse_plan(read_bytes(path), path.name)


def read_bytes(path: Path) -> bytes:
    """Return the bytes of a plan file; raises BadPlanFile if it can't be read or is no plan."""
    try:
        with path.open("rb") as file:
            raw = file.read(MAX_BYTES + 1)
    except OSError as error:
        why = error.strerror or "it can't be opened"
        raise BadPlanFile(f"the plan {path} can't be read: {why}") from error
    if len(raw) > MAX_BYTES:
        raise BadPlanFile(f"{path.name} has more than {MAX_BYTES // 1_000_000} MB: not a plan")
    return raw


def parse_plan(raw: bytes, file_name: str) -> Plan:
    """Return the plan in the bytes of a TOML file; ``file_name`` is for messages only."""
    text = decoded(raw, file_name)
    job = parse_job(text, file_name)
    records = parse_records(text, file_name, job)
    if not records.locations:
        raise BadPlanFile(f"{file_name}: a plan needs at least one [[location]]")
    return plan_of(job, records, file_name)


def decoded(raw: bytes, file_name: str) -> str:
    """Return the text of a plan file; raises BadPlanFile if it is none."""
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise BadPlanFile(f"{file_name} is not text in UTF-8: save it as a plain text") from error


def parse_job(text: str, file_name: str) -> Job:
    """Return the job that a plan's text names in [job]; raises BadPlanFile."""
    try:
        table = _top(_document(text, file_name), text, file_name).table("job")
        if table is None:
            raise BadPlanFile(f"{file_name}: lacks the table [job]: number, engine, customer, shop")
        return _job(table)
    except Misfit as misfit:
        raise BadPlanFile(str(misfit)) from misfit


def parse_records(
    text: str, file_name: str, job: Job, each: Mapping[str, tuple[str, ...]] | None = None
) -> Records:
    """Return the locations, hold points, gauges, parts and kit of a plan's text, for a job.

    ``each`` goes before the lists of its [each]. Raises BadPlanFile.
    """
    many = multiplied(_document(text, file_name), each or {})

    def where(name: str, number: tuple[int, ...], key: str) -> str | None:
        line = line_of(text, name, many.origin(name, number), key)
        return f"{file_name}, line {line}" if line else None

    try:
        top = Table(many.document, kind="plan", file=file_name, where=where)
    except Misfit as misfit:
        raise BadPlanFile(str(misfit)) from misfit
    return records_of(top, job)


def records_of(top: Table, job: Job) -> Records:
    """Return the records of a plan that may have been written in any way; raises BadPlanFile."""
    try:
        return _records(top, job)
    except Misfit as misfit:
        raise BadPlanFile(str(misfit)) from misfit


def plan_of(job: Job, records: Records, file_name: str) -> Plan:
    """Return the plan of records that refer to each other; raises BadPlanFile where they can't."""
    records = settled(records)
    try:
        plan = Plan(
            job=job,
            locations=records.locations,
            hold_points=records.hold_points,
            gauges=records.gauges,
            parts=records.parts,
            kit=records.kit,
        )
    except BadPlan as error:
        raise BadPlanFile(f"{file_name}: {error}") from error
    refuse_formulas(plan, records, file_name)
    return plan


def _document(text: str, file_name: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise BadPlanFile(f"{file_name} is not TOML: {error}") from error


def _top(document: dict[str, Any], text: str, file_name: str) -> Table:
    where: Where = lambda name, number, key: (  # noqa: E731 - one line of sense
        f"{file_name}, line {line}" if (line := line_of(text, name, number, key)) else None
    )
    return Table(document, kind="plan", file=file_name, where=where)


def _records(top: Table, job: Job) -> Records:
    found = top.whole("format")
    if found != FORMAT:
        raise top.misfit(f"format {found} is not read here, only {FORMAT}", "format")
    top.lists("each")
    tables = top.tables("location")
    return Records(
        locations=tuple(_location(table, job) for table in tables),
        tables={
            f"{table.words('id')}.{check.words('id')}": check
            for table in tables
            for check in table.tables("check")
        },
        hold_points=tuple(_hold_point(table) for table in top.tables("hold_point")),
        gauges=tuple(read_gauge(table, job) for table in top.tables("gauge")),
        parts=tuple(read_part(table) for table in top.tables("part")),
        kit=tuple(read_kit_line(table, job) for table in top.tables("kit")),
    )


def job_of(content: dict[str, Any]) -> Job:
    """Return the job of what a table [job] would hold; raises BadPlanFile."""
    try:
        return _job(Table(content, kind="job", file="the job", where=lambda *_: None))
    except Misfit as misfit:
        raise BadPlanFile(str(misfit)) from misfit


def _job(table: Table) -> Job:
    return Job(
        number=table.words("number"),
        engine=table.words("engine"),
        customer=table.words("customer"),
        shop=table.words("shop"),
        engine_number=table.words("engine_number"),
        units=table.choice("units", "metric"),
        decimal_comma=table.yes("decimal_comma"),
        instructions=table.several("instructions"),
        declined=table.several("declined"),
        left_out=table.several("left_out"),
        cautions=table.several("cautions"),
    )


def _location(table: Table, job: Job) -> Location:
    refuse_for_each(table)
    checks = table.tables("check")
    location = table.build(
        lambda: Location(
            id=table.words("id"),
            name=table.words("name"),
            characteristics=tuple(read_check(each, job) for each in checks),
            plug=table.yes("plug"),
            gallery=table.yes("gallery"),
            group=table.words("group"),
            **table.present("near", "far"),
        )
    )
    if not (checks or location.plug or location.gallery):
        raise table.misfit("a location needs at least one [[location.check]]")
    return location


def _hold_point(table: Table) -> HoldPoint:
    roles = table.several("roles")
    hold = table.build(
        lambda: HoldPoint(
            id=table.words("id"),
            name=table.words("name"),
            hides=table.several("hides"),
            roles=tuple(role for role in get_args(Role) if role in roles),
            debris=table.yes("debris"),
            seal=table.yes("seal"),
            caution=table.words("caution"),
        )
    )
    if not hold.hides:
        raise table.misfit("lacks 'hides': the locations it hides", "hides")
    return hold
