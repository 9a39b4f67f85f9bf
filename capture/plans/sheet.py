"""A plan in a spreadsheet (CSV): one row for each check. The columns are told in FORMAT.md."""

import csv
import re
import tomllib
from collections.abc import Iterator
from difflib import get_close_matches
from io import StringIO
from pathlib import Path
from typing import Any

from capture.errors import BadPlanFile
from capture.plans.columns import HOLD_POINT, ROWS, TABLE, Column, column_of, columns
from capture.plans.each import multiplied
from capture.plans.keys import FORMAT, Key
from capture.plans.reader import plan_of, read_bytes, records_of
from capture.plans.table import Table
from store.plan import Job, Plan

_SEPARATORS = (";", ",", "\t")
_BETWEEN = "|"
_YES = {"yes": True, "true": True, "x": True, "no": False, "false": False}

Row = dict[str, str]


def read_csv(path: Path, job: Job) -> Plan:
    """Return the plan in a CSV file, for a job; raises BadPlanFile naming row and column."""
    return parse_csv(read_bytes(path), path.name, job)


def parse_csv(raw: bytes, file_name: str, job: Job) -> Plan:
    """Return the plan in the bytes of a CSV file; ``file_name`` is for messages only.

    Commas, semicolons or tabs between the cells, with or without a byte order mark.
    """
    sheet = _Sheet(file_name)
    for number, row in _rows(_text(raw, file_name), file_name):
        sheet.take(number, row)
    many = multiplied(sheet.document(), {})

    def where(name: str, number: tuple[int, ...], key: str) -> str | None:
        return sheet.where(name, many.origin(name, number), key)

    top = Table(many.document, kind="plan", file=file_name, where=where)
    records = records_of(top, job)
    if not records.locations:
        raise BadPlanFile(f"{file_name}: a plan needs at least one row with a location")
    return plan_of(job, records, file_name)


def _text(raw: bytes, file_name: str) -> str:
    wide = raw.startswith((b"\xff\xfe", b"\xfe\xff"))
    try:
        return raw.decode("utf-16" if wide else "utf-8-sig")
    except UnicodeDecodeError as error:
        raise BadPlanFile(f'{file_name} is not in UTF-8: save it as "CSV UTF-8"') from error


def _rows(text: str, file_name: str) -> Iterator[tuple[int, Row]]:
    """Yield (row as the spreadsheet counts, column -> cell) of every row that says something."""
    head = text.lstrip("\r\n").split("\n", 1)[0]
    separator = max(_SEPARATORS, key=head.count)
    reader = csv.reader(StringIO(text, newline=""), delimiter=separator, strict=True)
    header: list[str] = []
    try:
        for number, cells in enumerate(reader, 1):
            plain = [_bare(cell) for cell in cells]
            if not any(plain):
                continue
            if not header:
                header = _header(plain, file_name)
                continue
            if any(plain[len(header) :]):
                raise BadPlanFile(f"{file_name}, row {number}: more cells than columns")
            cells_by_column = zip(header, plain, strict=False)
            yield number, {column: cell for column, cell in cells_by_column if cell}
    except csv.Error as error:
        raise BadPlanFile(f"{file_name}, line {reader.line_num} is not CSV: {error}") from error


def _bare(cell: str) -> str:
    """Return a cell without what is round it; ' before = + - @ keeps it a text in a spreadsheet."""
    cell = cell.strip()
    return cell[1:] if re.match(r"'[=+\-@']", cell) else cell


def _header(cells: list[str], file_name: str) -> list[str]:
    known = [TABLE, *(column.name for column in columns()), HOLD_POINT]
    header = [" ".join(cell.replace("_", " ").lower().split()) for cell in cells]
    for name in header:
        if name not in known and name:
            near = get_close_matches(name, known, n=1, cutoff=0.5)
            hint = f"did you mean {near[0]!r}?" if near else f"known: {', '.join(known)}"
            raise BadPlanFile(f"{file_name}, first row: unknown column {name!r}; {hint}")
        if name and header.count(name) > 1:
            raise BadPlanFile(f"{file_name}, first row: column {name!r} is there twice")
    if "location" not in header:
        raise BadPlanFile(f"{file_name}, first row: there is no column 'location'")
    return header


class _Sheet:
    """Rows on the way to the tables of a plan file, and where each of them stood."""

    def __init__(self, file_name: str) -> None:
        self.file_name = file_name
        self._locations: dict[str, dict[str, Any]] = {}
        self._others: dict[str, list[dict[str, Any]]] = {name: [] for name in ROWS}
        self._hides: list[tuple[str, str]] = []  # (hold point, location)
        self._row: dict[tuple[str, tuple[int, ...]], int] = {}
        self._last = ""

    def take(self, number: int, row: Row) -> None:
        """Take one row; raises BadPlanFile."""
        kind = row.pop(TABLE, "check").lower().replace(" ", "_")
        if kind in ROWS:
            others = self._others[kind]
            self._row[kind, (len(others),)] = number
            others.append(self._cells(number, kind, row))
        elif kind in {"check", "location"}:
            self._take_check(number, row)
        else:
            names = ", ".join(name.replace("_", " ") for name in ROWS)
            raise self._refusal(number, TABLE, f"{kind!r} is not one of check, {names}")
        for column in row:
            raise self._refusal(number, column, f"a {kind.replace('_', ' ')} has no such cell")

    def _take_check(self, number: int, row: Row) -> None:
        name = row.get("location", self._last)
        if not name:
            raise self._refusal(number, "location", "which location does this row belong to?")
        row["location"] = self._last = name
        self._hides += [(hold, name) for hold in _list(row.pop(HOLD_POINT, ""))]
        new = name not in self._locations
        location = self._locations.setdefault(name, {"check": []})
        place = list(self._locations).index(name)
        if new:
            self._row["location", (place,)] = number
        for key, value in self._cells(number, "location", row).items():
            if location.setdefault(key, value) != value:
                column = column_of("location", key)
                raise self._refusal(number, column, f"{name} had {location[key]!r} before")
        check = self._cells(number, "check", row)
        if check:
            self._row["location.check", (place, len(location["check"]))] = number
            location["check"].append(check)

    def _cells(self, number: int, table: str, row: Row) -> dict[str, Any]:
        """Take out of a row the cells of one table."""
        found: dict[str, Any] = {}
        for column in columns():
            if table in column.keys and column.name in row:
                key = column.keys[table]
                value = self._value(number, column, key, row.pop(column.name))
                into = found.setdefault(column.within, {}) if column.within else found
                into[key.name] = value
        return found

    def _value(self, number: int, column: Column, key: Key, cell: str) -> Any:  # noqa: ANN401 - TOML
        """Return what TOML would hold for a cell."""
        if key.form in {"texts", "choices", "each"}:
            return _list(cell)
        if key.form == "yes":
            if cell.lower() not in _YES:
                raise self._refusal(number, column.name, f"{cell!r} is neither yes nor no")
            return _YES[cell.lower()]
        try:
            if key.form == "whole":
                return int(cell)
            if key.form == "number":
                return float(cell)
            if key.form == "tables":
                return tomllib.loads(f"cell = {cell}")["cell"]
        except (ValueError, tomllib.TOMLDecodeError) as error:
            raise self._refusal(number, column.name, f"{cell!r}: {error}") from error
        return cell

    def document(self) -> dict[str, Any]:
        """Return the tables of the plan file that these rows are."""
        return {
            "format": FORMAT,
            "location": list(self._locations.values()),
            **self._others,
            "hold_point": self._hold_points(),
        }

    def _hold_points(self) -> list[dict[str, Any]]:
        """Return the hold points of their own rows, and of the column, with what they hide."""
        holds = [
            {**hold, "hides": list(hold.get("hides", []))} for hold in self._others["hold_point"]
        ]
        for wanted, location in self._hides:
            hold = next((h for h in holds if wanted in {h.get("id"), h.get("name")}), None)
            if hold is None:
                hold = {"id": _id_of(wanted), "name": wanted, "hides": []}
                holds.append(hold)
            hold["hides"] += [one for one in self._each(location) if one not in hold["hides"]]
        return holds

    def _each(self, location: str) -> list[str]:
        """Return the ids of a location that is written once for several."""
        words = self._locations[location].get("for_each")
        return [location.replace("{n}", word) for word in words] if words else [location]

    def where(self, name: str, number: tuple[int, ...], key: str) -> str | None:
        """Return "plan.csv, row 7, column 'kind'"."""
        parts = name.split(".")
        within = parts[2] if len(parts) > 2 else ""  # noqa: PLR2004 - below location.check
        base = ".".join(parts[:2])
        row = self._row.get((base, number[: len(parts[:2])]))
        if row is None:
            return None
        is_limit = within in {"limit", "wear_limit"}
        table = "check" if base == "location.check" else base
        column = column_of(table, key if is_limit or not within else within, within * is_limit)
        return f"{self.file_name}, row {row}" + (f", column {column!r}" if column else "")

    def _refusal(self, number: int, column: str, why: str) -> BadPlanFile:
        return BadPlanFile(f"{self.file_name}, row {number}, column {column!r}: {why}")


def _list(cell: str) -> list[str]:
    return [word.strip() for word in cell.split(_BETWEEN) if word.strip()]


def _id_of(words: str) -> str:
    """Return an id for a hold point that has only a name."""
    return re.sub(r"[^A-Za-z0-9]+", "-", words).strip("-")[:32].strip("-") or "hold"
