"""Rows of a job as a table for spreadsheets: readings.csv (RFC 4180, UTF-8), a line for each value.

The table is a convenience and follows from the chain: verify makes it anew and compares.
"""

import csv
import io
import re
from collections.abc import Iterable

from store.round import Round
from store.ways_out.listing import READINGS, Cell, Column, Row, reading_rows

NAME = "readings.csv"
# What spreadsheets take for the beginning of a formula, the wide forms of it too.
_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20")
_MARK = "'"
_PLAIN = re.compile(r"[+-]?[0-9]+(\.[0-9]*)?")
POLICY = """\
A text that a spreadsheet could take for a formula, one that begins with = + - @ (wide ones too), a
tab or a line break, has one ' before it, and so has a text that begins with a ': take one ' off
the front of any text that has one, and it is as it was typed. A plain number, as -0.3, is left
alone. Open the table as UTF-8 with the comma as its only separator: where a spreadsheet takes the
semicolon for one, a text with a semicolon falls into pieces, and no mark is before those.
"""


def readings_csv(known: Round) -> str:
    """Return every value of a job, in the order of the round and of entry, under its columns."""
    return table_text(READINGS, reading_rows(known))


def table_text(columns: tuple[Column, ...], rows: Iterable[Row]) -> str:
    """Return rows as a table with a line of names first."""
    out = io.StringIO()
    table = csv.writer(out)
    table.writerow(column.name for column in columns)
    table.writerows([_text(row[column.name]) for column in columns] for row in rows)
    return out.getvalue()


def columns_text(columns: tuple[Column, ...] = READINGS) -> str:
    """Return what each column says, a line for each."""
    return "".join(f"  {column.name:<13}{column.says}\n" for column in columns)


def _text(cell: Cell) -> str:
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, int):
        return str(cell)
    return f"{cell:.9g}" if isinstance(cell, float) else _safe(cell)


def _safe(text: str) -> str:
    """Return a text that no spreadsheet takes for a formula, and that can be had back: POLICY."""
    if text.startswith((*_FORMULA, _MARK)) and not _PLAIN.fullmatch(text):
        return f"{_MARK}{text}"
    return text
