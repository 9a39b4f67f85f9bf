"""The columns of a plan in a spreadsheet, and which key of the plan file each cell is."""

from functools import cache

from msgspec import Struct

from capture.plans.keys import TABLES, Key

TABLE = "table"
HOLD_POINT = "hold point"
# The tables that have rows of their own; every other row is a check, or a bare location.
ROWS = ("hold_point", "gauge", "part", "kit")
# Where a name of the plan file is another's already: (table, key) -> column.
_OTHERWISE = {
    ("location", "id"): "location",
    ("check", "id"): "check",
    ("limit", "of"): "limit of",
}
_WEAR = "wear"
_NO_COLUMN = ("table", "tables")


class Column(Struct, frozen=True):
    """A column: what it is called, and the key that its cells are in each table.

    ``keys`` holds (table, key): a location's name and a gauge's stand in one column. ``within`` is
    the limit that a cell belongs to.
    """

    name: str
    keys: dict[str, Key]
    within: str = ""


@cache
def columns() -> tuple[Column, ...]:
    """Return every column in the order in which they are written."""
    found: dict[tuple[str, str], dict[str, Key]] = {}
    for table in ("location", "check", "hold_point", "gauge", "part", "kit"):
        for key in TABLES[table]:
            if key.name in {"limit", "wear_limit"}:
                for inner in TABLES["limit"]:
                    name = _OTHERWISE.get(("limit", inner.name), _words(inner.name))
                    called = f"{_WEAR} {name}" if key.name == "wear_limit" else name
                    found.setdefault((called, key.name), {})["check"] = inner
            elif key.form not in _NO_COLUMN or key.name in {"bands", "doubts"}:
                called = _OTHERWISE.get((table, key.name), _words(key.name))
                found.setdefault((called, ""), {})[table] = key
    first = [("location", ""), ("name", ""), ("check", ""), ("id", "")]
    order = [*first, *(pair for pair in found if pair not in first)]
    return tuple(Column(name, found[name, within], within) for name, within in order)


def column_of(table: str, key: str, within: str = "") -> str:
    """Return the column in which a key of a table stands, empty if it has none."""
    for column in columns():
        if column.within == within and table in column.keys and column.keys[table].name == key:
            return column.name
    return ""


def _words(name: str) -> str:
    return name.replace("_", " ")
