"""Plan -> CSV for a spreadsheet, which reads back as the same plan."""

import csv
from io import StringIO
from typing import Any

from capture.errors import BadPlanFile
from capture.plans.columns import ROWS, TABLE, columns
from capture.plans.document import document_of
from capture.plans.sheet import parse_csv
from capture.plans.writer import inline
from store.plan import Plan

# Written even where nothing is in them: what a new row will want.
_ALWAYS = {
    "location", "name", "check", "kind", "question", "unit", "at least", "at most", "source",
    "asks", "positions", "axes", "repeats", "formula",
}  # fmt: skip


def write_csv(plan: Plan) -> str:
    """Return a CSV text, with commas, that reads as this plan for its job.

    Raises BadPlanFile for a plan that no spreadsheet can say: a | in the name of a position, say.
    """
    rows = _rows(document_of(plan))
    used = {name for row in rows for name in row}
    every = [TABLE, *dict.fromkeys(column.name for column in columns())]
    header = [name for name in every if name in used | _ALWAYS]
    out = StringIO()
    writer = csv.DictWriter(out, header, restval="", lineterminator="\r\n")
    writer.writeheader()
    writer.writerows({name: _guarded(cell) for name, cell in row.items()} for row in rows)
    if parse_csv(out.getvalue().encode(), "the plan", plan.job) != plan:
        raise BadPlanFile("a spreadsheet can't say all that this plan holds")
    return out.getvalue()


def _rows(document: dict[str, Any]) -> list[dict[str, str]]:
    rows = []
    for location in document["location"]:
        first = _cells("location", location)
        checks = [_cells("check", check) for check in location.get("check", [])]
        own = {"location": first["location"]}
        rows += [
            {**(own if number else first), **check} for number, check in enumerate(checks or [{}])
        ]
    for kind in ROWS:
        word = kind.replace("_", " ")
        rows += [{TABLE: word, **_cells(kind, table)} for table in document.get(kind, [])]
    return rows


def _cells(kind: str, table: dict[str, Any]) -> dict[str, str]:
    cells = {}
    for column in columns():
        inner = table.get(column.within, {}) if column.within else table
        key = column.keys.get(kind)
        if key is not None and key.name in inner:
            cells[column.name] = _text(key.form, inner[key.name])
    return cells


def _text(form: str, value: Any) -> str:  # noqa: ANN401 - whatever a plan file holds
    if form == "tables":
        return inline(value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    return " | ".join(value) if isinstance(value, list) else str(value)


def _guarded(cell: str) -> str:
    """Return a cell that no spreadsheet takes for something to work out."""
    return f"'{cell}" if cell[:1] in {"=", "+", "-", "@", "'"} and cell[1:2] else cell
