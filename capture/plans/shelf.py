"""Gauges, parts and the kit list in a plan file."""

from datetime import date

from capture.plans.each import refuse_for_each
from capture.plans.table import Table
from capture.plans.values import exact, optional, unit_written
from store.plan import Gauge, Job, KitLine, Part


def read_gauge(table: Table, job: Job) -> Gauge:
    """Return a gauge of a table [[gauge]], in whatever unit it is read; raises Misfit."""
    unit = unit_written(table.words("resolution"), "mm")  # a torque wrench's is no length
    expansion = table.number("expansion_per_kelvin")
    return table.build(
        lambda: Gauge(
            id=table.words("id"),
            kind=table.words("kind"),
            resolution=exact(table, "resolution", job, unit=unit),
            permissible_error=exact(table, "permissible_error", job, unit=unit),
            repeatability=optional(table, "repeatability", job, unit=unit),
            repeats=table.whole("repeats"),
            last_check=_day(table, "last_check"),
            due=_day(table, "due"),
            set_on=table.words("set_on"),
            difference=table.yes("difference"),
            marked=table.words("marked"),
            **({} if expansion is None else {"expansion": expansion}),
        )
    )


def _day(table: Table, key: str) -> str:
    day = table.words(key)
    try:
        if day:
            date.fromisoformat(day)
    except ValueError as error:
        raise table.misfit(f"{day!r} is no day: write it as 2026-03-31", key) from error
    return day


def read_part(table: Table) -> Part:
    """Return a part of a table [[part]]; raises Misfit."""
    refuse_for_each(table)
    return table.build(
        lambda: Part(
            id=table.words("id"),
            name=table.words("name"),
            location=table.words("location"),
            kit=table.words("kit"),
        )
    )


def read_kit_line(table: Table, job: Job) -> KitLine:
    """Return a line of a table [[kit]]; raises Misfit."""
    return table.build(
        lambda: KitLine(
            id=table.words("id"),
            name=table.words("name"),
            count=table.whole("count"),
            size=optional(table, "size", job, unit="mm"),
        )
    )
