"""The readings of a grid as a table: what was struck, and which one lies furthest off."""

from fractions import Fraction
from statistics import median
from typing import NamedTuple

from annotate.quantity import UNITS
from capture.desk.location.echo import figures_of
from capture.words.quantities import is_told_as_depth, quantity_text
from store.characteristic import Characteristic, Spot
from store.evidence import Read
from store.plan import Gauge, Plan
from store.report.figures import unit_word
from store.round import Attempt, Check

_MOST_ACROSS = 6  # repeats without positions or axes are broken into rows of so many
_FEWEST_TO_RING = 3


class Cell(NamedTuple):
    """One spot: the reading that counts, those struck before it, whether it is ringed."""

    spot: Spot
    text: str = ""
    struck: tuple[str, ...] = ()
    ringed: bool = False


class Table(NamedTuple):
    """Rows of cells. ``rows`` are (heading, cells); a heading ends with the unit."""

    columns: tuple[str, ...]
    rows: tuple[tuple[str, tuple[Cell, ...]], ...]
    result: str = ""
    note: str = ""

    @property
    def cells(self) -> tuple[Cell, ...]:
        """Every cell, row by row."""
        return tuple(cell for _, cells in self.rows for cell in cells)


def table_of(check: Check, plan: Plan) -> Table:
    """Return the table of a check that is a grid."""
    asked = check.characteristic
    unit = unit_word(asked.unit)
    heading = f"{unit} BELOW" if asked.kind == "depth" else unit
    ringed = worst_of(check, plan)
    columns, shaped = _shape(asked)
    rows = tuple(
        (", ".join(word for word in (name, heading) if word),
         tuple(_cell(check, spot, ringed) for spot in spots))
        for name, spots in shaped
    )  # fmt: skip
    note = "Ringed: furthest off, by more than the gauge's step." if ringed else ""
    return Table(columns, rows, _result(check), note)


def worst_of(check: Check, plan: Plan) -> Spot | None:
    """Return the spot that lies further from the middle than any other, by more than a step.

    The middle is the median of three readings or more; the step is the gauge's, or the coarsest
    typed if that is more. None where no reading stands out: common practice, no source.
    """
    there = {spot: a.record for spot, a in check.cells.items() if isinstance(a.record, Read)}
    sizes = {s: r for s, r in there.items() if r.quantity and r.quantity.unit == _unit(there)}
    if len(sizes) < _FEWEST_TO_RING or len(sizes) < len(there):
        return None
    values = {spot: _value(read) for spot, read in sizes.items()}
    middle = median(values.values())
    off = sorted(((abs(value - middle), spot) for spot, value in values.items()), reverse=True)
    step = max(_step(read, plan) for read in sizes.values())
    return off[0][1] if off[0][0] - off[1][0] > step else None


def _unit(there: dict[Spot, Read]) -> str:
    first = next(iter(there.values()), None)
    return first.quantity.unit if first and first.quantity else ""


def _value(read: Read) -> Fraction:
    """Return the size: as typed, or for a difference that of the part."""
    if read.zero is None or read.quantity is None:
        return Fraction(read.exact)
    return Fraction(str(read.quantity.value))


def _step(read: Read, plan: Plan) -> Fraction:
    unit = read.quantity.unit if read.quantity else ""
    tool = next((gauge for gauge in plan.gauges if gauge.id == read.gauge), None)
    return max(Fraction(str(2 * read.half_step)), _resolution(tool, unit))


def _resolution(tool: Gauge | None, unit: str) -> Fraction:
    if tool is None or UNITS[tool.resolution.unit][1] != UNITS[unit][1]:
        return Fraction(0)
    return Fraction(str(round(tool.resolution.to(unit).value, 9)))


def _shape(asked: Characteristic) -> tuple[tuple[str, ...], list[tuple[str, list[Spot]]]]:
    """Return the columns, and (name, spots) of each row."""
    times = range(1, asked.repeats + 1)
    again = [f"no. {n}" if asked.repeats > 1 else "" for n in times]
    if asked.axes:
        rows = [
            (
                ", ".join(w for w in (position, word) if w),
                [Spot(position, a, n) for a in asked.axes],
            )
            for position in asked.positions or ("",)
            for n, word in zip(times, again, strict=True)
        ]
        return asked.axes, rows
    if asked.positions:
        return asked.positions, [
            (word, [Spot(position, "", n) for position in asked.positions])
            for n, word in zip(times, again, strict=True)
        ]
    across = min(_MOST_ACROSS, asked.repeats)
    columns = tuple(f"no. {n}" for n in range(1, across + 1)) if asked.repeats <= across else ()
    return columns, [
        (f"{start} to {min(start + across - 1, asked.repeats)}" if not columns else "",
         [Spot("", "", n) for n in range(start, min(start + across, asked.repeats + 1))])
        for start in range(1, asked.repeats + 1, across)
    ]  # fmt: skip


def _cell(check: Check, spot: Spot, ringed: Spot | None) -> Cell:
    at_spot = [a for a in check.readings if isinstance(a.record, Read) and a.record.spot == spot]
    counting = check.cells.get(spot)
    struck = tuple(_text(check, a) for a in at_spot if a.struck is not None)
    return Cell(spot, _text(check, counting) if counting else "", struck, spot == ringed)


def _text(check: Check, attempt: Attempt) -> str:
    read = attempt.record
    if not isinstance(read, Read):
        return ""
    if read.zero is not None and attempt.value is not None:
        return quantity_text(attempt.value).removesuffix(f" {check.characteristic.unit}")
    side = read.face if read.face in {"PROUD", "FLUSH"} else ""
    return (
        f"{figures_of(read, check.characteristic.unit)} {side}".strip() if side != "FLUSH" else side
    )


def _result(check: Check) -> str:
    asked = check.characteristic
    if check.value is None:
        return ""
    return f"{asked.take} {quantity_text(check.value, depth=is_told_as_depth(asked))}"


def step_from(table: Table, spot: Spot, across: int, down: int) -> Spot:
    """Return the spot that lies so many cells away in the table, the last one at its edge."""
    places = [(y, x) for y, (_, cells) in enumerate(table.rows) for x, cell in enumerate(cells)
              if cell.spot == spot]  # fmt: skip
    if not places:
        return spot
    y, x = places[0]
    y = min(max(y + down, 0), len(table.rows) - 1)
    row = table.rows[y][1]
    return row[min(max(x + across, 0), len(row) - 1)].spot
