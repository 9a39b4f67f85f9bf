"""The readings of a grid as a table: positions down, axes across, the deciding ones marked."""

from collections.abc import Iterator

from capture.words.quantities import quantity_text
from store.characteristic import Spot
from store.evidence import Derived
from store.round import Check

_EMPTY = "."
_GAP = "  "


def grid_lines(check: Check) -> Iterator[str]:
    """Yield the table: a row for each position and time, a column for each axis.

    "*" marks the readings that decided the value (the largest and smallest of a range, say).
    """
    asked = check.characteristic
    decisive = _decisive(check)
    columns = asked.axes or ("",)
    rows = [
        (position, repeat)
        for position in asked.positions or ("",)
        for repeat in range(1, asked.repeats + 1)
    ]
    table = [["", *columns]] if asked.axes else []
    for position, repeat in rows:
        head = position if asked.repeats == 1 else f"{position} #{repeat}".strip()
        spots = (Spot(position, axis, repeat) for axis in columns)
        table.append([head, *(_cell(check, spot, decisive) for spot in spots)])
    widths = [max(len(row[n]) for row in table) for n in range(len(table[0]))]
    for n, row in enumerate(table):
        title = "grid" if n == 0 else ""
        cells = (f"{cell:<{width}}" for cell, width in zip(row, widths, strict=True))
        yield f"{title:<8} {_GAP.join(cells)}".rstrip()
    if decisive and len(decisive) < len(asked.spots):
        yield f"{'':<8} * decided the {asked.take}"


def _decisive(check: Check) -> frozenset[str]:
    record = check.current.record if check.current else None
    return frozenset(record.decisive) if isinstance(record, Derived) else frozenset()


def _cell(check: Check, spot: Spot, decisive: frozenset[str]) -> str:
    attempt = check.cells.get(spot)
    if attempt is None or attempt.value is None:
        return _EMPTY
    depth = check.characteristic.kind == "depth"
    mark = "*" if attempt.stamp.entry in decisive else ""
    return f"{quantity_text(attempt.value, depth=depth)}{mark}"
