"""A check of many readings -> small tables, one for each attempt: as typed, where it was read."""

from collections.abc import Iterable
from typing import Any

from store.characteristic import Characteristic, Spot
from store.evidence import Derived, Read
from store.report import words
from store.report.figures import NBSP, count, listed, moment
from store.report.trail import Trail
from store.report.values import entered, zero_parts
from store.report.words import Bits
from store.round import Attempt, Check, Round

_ROUNDING = 1e-6  # of a step: 31.75 - 31.74 is a little more than 0.01 in binary
_MOST_ACROSS = 6
_NOT_READ = "not read"


def tables(check: Check, known: Round) -> list[dict[str, Any]]:
    """Return a table for every attempt at a grid, the first one first; none for no grid."""
    if not check.characteristic.is_grid:
        return []
    names = list(dict.fromkeys(a.name for a in check.readings))
    if check.missing and (check.name not in names) and not check.hidden and not check.excused:
        names.append(check.name)
    return [_table(check, name, known, last=name == names[-1]) for name in names]


def _table(check: Check, name: str, known: Round, *, last: bool) -> dict[str, Any]:
    readings = [a for a in check.readings if a.name == name]
    current = last and not all(a.void for a in readings)
    ringed = ringed_in(check, name, known)
    gauges = _gauges(readings)
    shown = _Cells(check, readings, ringed, name_gauges=len(gauges) > 1, asked=last)
    characteristic = check.characteristic
    axes = characteristic.axes or ("",)
    if characteristic.positions or characteristic.axes:
        heads = ["", *(axis or "readings" for axis in axes)]
        rows: list[list[str | Bits]] = [
            [_strong(position or "readings"), *(shown.cell(position, axis) for axis in axes)]
            for position in characteristic.positions or ("",)
        ]
    else:
        heads, rows = _in_a_row(characteristic, shown)
    title = "as left" if current and check.name == "as left" else name
    return {
        "title": f"{title}, as typed",
        "table": {
            "heads": heads,
            "widths": ["auto" if heads[0] == "" else 1, *([1] * (len(heads) - 1))],
            "rows": rows,
        },
        "notes": _notes(check, readings, gauges, known.home, asked=last),
    }


def _strong(text: str) -> Bits:
    return [{"bold": text}]


def _in_a_row(check: Characteristic, shown: "_Cells") -> tuple[list[str], list[list[str | Bits]]]:
    """Return repeats of one reading, so many to a row."""
    repeats = list(range(1, check.repeats + 1))
    across = min(len(repeats), _MOST_ACROSS)
    rows: list[list[str | Bits]] = []
    for start in range(0, len(repeats), across):
        part = repeats[start : start + across]
        cells: list[str | Bits] = [shown.one(Spot(repeat=repeat)) for repeat in part]
        rows.append(cells + [""] * (across - len(part)))
    last = "" if len(repeats) <= across else " and on"
    return [f"no.{NBSP}{n}{last if n == across else ''}" for n in repeats[:across]], rows


class _Cells:
    """Sets the readings of one attempt into cells."""

    def __init__(
        self,
        check: Check,
        readings: list[Attempt],
        ringed: frozenset[str],
        *,
        name_gauges: bool,
        asked: bool,
    ) -> None:
        self._check, self._readings, self._ringed = check, readings, ringed
        self._name_gauges, self._asked = name_gauges, asked

    def cell(self, position: str, axis: str) -> Bits:
        """Return all repeats at one position and axis."""
        bits: Bits = []
        for repeat in range(1, self._check.characteristic.repeats + 1):
            bits += [{"break": True}] if bits else []
            bits += self.one(Spot(position, axis, repeat))
        return bits

    def one(self, spot: Spot) -> Bits:
        """Return what was read at one spot: the struck and the replaced stay legible."""
        here = [a for a in self._readings if isinstance(a.record, Read) and a.record.spot == spot]
        standing = [a for a in here if a.struck is None]
        if not standing and not here:
            return [{"soft": _NOT_READ if self._asked else "\u2013"}]
        bits: Bits = []
        for attempt in here:
            bits += ["  "] if bits else []
            bits += self._reading(attempt, replaced=bool(standing) and attempt is not standing[-1])
        return bits if standing else [*bits, "  ", {"soft": _NOT_READ}]

    def _reading(self, attempt: Attempt, *, replaced: bool) -> Bits:
        record = attempt.record
        typed = entered(record) if isinstance(record, Read) else ""
        if attempt.struck is not None:
            return [{"struck": typed}]
        if replaced:
            return [{"soft": f"{typed}, then"}]
        bits: Bits = [{"ring": typed}] if attempt.stamp.entry in self._ringed else [typed]
        if self._name_gauges and isinstance(record, Read):
            bits.append({"soft": f" {record.gauge or 'no gauge'}"})
        return bits


def ringed_in(check: Check, name: str, known: Round) -> frozenset[str]:
    """Return the decisive readings that lie farther off than all others by more than a step.

    The step is that of the reading's gauge, else what the check is usually read to, else the last
    step typed. Where every reading decides (a mean), or none is left to compare with, none is.
    """
    derived = [a for a in check.attempts if a.name == name and isinstance(a.record, Derived)]
    if not derived or not isinstance(derived[-1].record, Derived):
        return frozenset()
    record = derived[-1].record
    cells = {
        a.stamp.entry: a for a in check.readings if a.stamp.entry in record.from_entries and a.value
    }
    others = [a for entry, a in cells.items() if entry not in record.decisive]
    return frozenset(
        entry
        for entry in record.decisive
        if entry in cells and others and _is_far(cells[entry], others, _step(cells[entry], known))
    )


def _is_far(attempt: Attempt, others: list[Attempt], step: float) -> bool:
    value = attempt.value
    if value is None:
        return False
    apart = [abs(value.value - o.value.to(value.unit).value) for o in others if o.value]
    return min(apart) - step > _ROUNDING * step


def _step(attempt: Attempt, known: Round) -> float:
    """Return the step of what a reading was taken with, in the reading's unit."""
    record = attempt.record
    if not isinstance(record, Read) or attempt.value is None:
        return 0.0
    unit = attempt.value.unit
    for gauge in known.plan.gauges:
        if gauge.id == record.gauge:
            return gauge.resolution.to(unit).value
    usual = known.plan.characteristic(record.key)[1].resolution
    return usual.to(unit).value if usual else 2 * record.half_step


def _gauges(readings: list[Attempt]) -> list[str]:
    records = [a.record for a in readings if a.struck is None]
    return list(dict.fromkeys(r.gauge for r in records if isinstance(r, Read)))


def _notes(
    check: Check, readings: list[Attempt], gauges: list[str], home: str, *, asked: bool
) -> list[Bits]:
    found: list[Bits] = []
    if readings:
        found.append([_taken_how(readings, gauges)])
    if check.missing and asked and not check.excused:
        spots = [spot.words or "the only one" for spot in check.missing]
        number = f"{len(spots)} of {count(len(check.characteristic.spots), 'reading')}"
        found.append([{"bold": f"Not read yet, {number}: "}, f"{listed(spots, 8)}."])
    found += [[words.sentence(zero)] for zero in zeros_said(readings)]
    for attempt in readings:
        if attempt.struck is not None:
            found.append(words.struck(attempt.struck, attempt.stamp, home))
    return found


def _taken_how(readings: list[Attempt], gauges: list[str]) -> str:
    """Return with what, when, by whom and how warm the readings of one attempt were taken."""
    records = [a.record for a in readings if isinstance(a.record, Read)]
    tools = [gauge or "a gauge that was not named" for gauge in gauges]
    when = sorted({r.read_at or a.stamp.at for a, r in zip(readings, records, strict=True)})
    span = moment(when[0]) if len(when) == 1 else f"{moment(when[0])} to {moment(when[-1])}"
    people = listed(list(dict.fromkeys(a.stamp.by for a in readings)))
    unit = next((r.quantity.unit for r in records if r.took_a_unit and r.quantity), "")
    assumed = f" Where no unit was typed, {unit} was taken." if unit else ""
    warm = list(dict.fromkeys(filter(None, map(warmth, records))))
    degrees = f" {words.sentence('; '.join(warm))}" if warm else ""
    number = count(len(readings), "reading")
    with_what = f" with {listed(tools)}" if tools else ""
    return f"{number}{with_what}: {people}, {span}.{assumed}{degrees}"


def zeros_said(readings: Iterable[Attempt]) -> list[str]:
    """Return what a difference gauge was zeroed to and the sizes that makes, once for each zero."""
    sizes: dict[str, dict[str, None]] = {}
    for attempt in readings:
        if isinstance(attempt.record, Read) and (parts := zero_parts(attempt.record)):
            sizes.setdefault(parts[0], {})[parts[1]] = None
    return [f"{zero}, so {listed(list(made))}" for zero, made in sizes.items()]


def typed_in_a_line(check: Check) -> str:
    """Return the readings of a check that was read once, as typed: "12h 1.7 mm, 4h 1.8 mm"."""
    said = []
    for attempt in check.readings:
        if isinstance(record := attempt.record, Read):
            place = " ".join(filter(None, (record.spot.position, record.spot.axis)))
            said.append(f"{place} {entered(record)}".strip())
    return ", ".join(said)


def warmth(record: Read) -> str:
    """Return how warm part and gauge were, empty where nobody said."""
    known = [
        f"{what} at {degrees:g}{NBSP}°C"
        for what, degrees in (("part", record.part_c), ("gauge", record.gauge_c))
        if degrees is not None
    ]
    return ", ".join(known)


def decided_by(check: Check, trail: Trail) -> str:
    """Return in words which readings made the number of a grid, empty where all of them did."""
    record = check.current.record if check.current else None
    if not isinstance(record, Derived) or not record.decisive:
        return ""
    if not check.characteristic.is_grid or set(record.decisive) == set(record.from_entries):
        return ""
    found = [trail.attempt(entry) for entry in record.decisive]
    spots = [
        f"{made[1].record.spot.words or 'the only one'} ({entered(made[1].record)})"
        for made in found
        if made is not None and isinstance(made[1].record, Read)
    ]
    return f"Made by {listed(spots)}." if spots else ""
