"""Slips of reading and typing come in known sizes: whether a reading looks like one of them.

A slip is asked about, never corrected, and its words name no corrected number, which would lead
the hand. A false alarm teaches people to pass over all of them, so that silence is the rule: a
slip is suspected only where the reading lies far from all that is expected, and would lie among
it without the slip.

Sizes are common practice, no source: a thimble turns 0.025 in or 0.5 mm, a dial in thousandths of
an inch 0.100 in, one in hundredths of a millimetre 1 mm, one in fiftieths 2 mm.
"""

import re
from collections.abc import Iterable
from math import ceil, isclose, log, log10
from typing import NamedTuple

from msgspec import Struct

from annotate.quantity import UNITS, Quantity, conversion_factor
from capture.expected import Expected
from capture.unit_words import SIZES
from store.characteristic import Characteristic
from store.evidence import Read
from store.plan import Gauge

# How far from the middle of what is expected a reading must lie, in half widths of that (with the
# last step): nearer, it may be a true one.
APART = 4.0
# How wide, as a part of itself, what is expected may be to tell a hundred or a thousand times it.
_NARROW = 0.1
_ROUNDING = 1e-9
# unit -> (word, unit, how many of it) that the same number may have been meant in
OTHER_UNIT = {
    "mm": ("in", "in", 1.0),
    "in": ("mm", "mm", 1.0),
    "um": ("thou", "in", 0.001),
    "N.m": ("lbf.ft", "lbf.ft", 1.0),
    "lbf.ft": ("N.m", "N.m", 1.0),
    "kPa": ("psi", "psi", 1.0),
    "bar": ("psi", "psi", 1.0),
    "psi": ("kPa", "kPa", 1.0),
}
TEN = "a factor of ten"
# (factor, "so many times", "so much of"): a decimal point one place off, or left out
_POWERS = (
    (10, "ten", "a tenth"),
    (100, "a hundred", "a hundredth"),
    (1000, "a thousand", "a thousandth"),
)
_POWER_NAMES = frozenset(f"a factor of {times}" for _, times, _ in _POWERS)
_THIMBLE_TURN = {"in": 0.025, "mm": 0.5}
# (unit, resolution) -> one turn of the dial
_DIAL_TURNS = (("in", 0.001, 0.1), ("mm", 0.01, 1.0), ("mm", 0.02, 2.0))
_THIMBLE = re.compile(r"\bmic(s|rometers?|rometres?)?\b")
_DIAL = re.compile(r"\bdial\b")
_DIGITAL = re.compile(r"\b(digital|electronic)\b")


class Slip(Struct, frozen=True):
    """A suspected slip: what it is called, and how far off the reading lies, in words."""

    name: str
    gap: str

    @property
    def question(self) -> str:
        """What to ask: "0.0251 in away from the other readings here: one turn of the thimble?"."""
        return f"{self.gap}: {self.name}?"


class _Without(NamedTuple):
    """A reading without one slip: the slip's name, what it would be, and how to tell the gap."""

    name: str
    value: float
    gap: str  # {gap} and {words} are filled in
    is_ratio: bool = False


def suspect(
    read: Read, *, check: Characteristic, gauge: Gauge | None, expected: Iterable[Expected]
) -> tuple[Slip, ...]:
    """Return the slips that a reading looks like, none for an ordinary one.

    ``expected`` is what the value should be near, the most telling first: earlier readings of this
    check or of its neighbours, then the limit, a nominal size. For each slip the first of them
    that is narrow enough to tell decides alone. ``gauge`` says how large a turn is; without one
    the check's kind of instrument does. Raises UnitMismatch for an expectation of another kind.
    """
    quantity = read.quantity
    if quantity is None:
        return ()
    step = _step(read, quantity, gauge)
    ranges = [_in_unit(each, quantity.unit) for each in expected]
    told: dict[str, Slip] = {}
    for slip in _slips(quantity, check, gauge):
        if slip.name in _POWER_NAMES and not _POWER_NAMES.isdisjoint(told):
            continue  # the smallest factor that explains it: a wide range would take them all
        near = _met_without(slip, quantity, ranges, step)
        if near is not None:
            gap = abs(quantity.value - (near.low + near.high) / 2)
            words = slip.gap.format(gap=_spelled(gap, step, quantity.unit), words=near.words)
            told.setdefault(slip.name, Slip(slip.name, words))
    return (*told.values(), *_beyond_new(quantity, check, step))


def _in_unit(expected: Expected, unit: str) -> Expected:
    factor = conversion_factor(expected.unit, unit)
    return Expected(expected.words, expected.low * factor, expected.high * factor, unit)


def _step(read: Read, quantity: Quantity, gauge: Gauge | None) -> float:
    """Return how coarsely the reading was taken: the last step, the gauge's, or the typed +-."""
    steps = [2 * read.half_step, read.plus_minus or 0.0]
    if gauge is not None and UNITS[gauge.resolution.unit][1] == UNITS[quantity.unit][1]:
        steps.append(gauge.resolution.to(quantity.unit).value)
    return max(steps)


def _met_without(
    slip: _Without, quantity: Quantity, ranges: list[Expected], step: float
) -> Expected | None:
    """Return the expectation that the reading would meet without this slip, None if none."""
    for near in ranges:
        middle = abs(near.low + near.high) / 2
        if slip.name in _POWER_NAMES - {TEN} and near.high - near.low > _NARROW * middle:
            continue  # a hundredth of a true reading may lie in a limit, near zero it always does
        shift, off, half = _distances(slip, quantity.value, near, step)
        if shift >= APART * half:
            # In decimals exactly at the edge is in; in binary it may be a hair past it.
            return near if off <= half * (1 + _ROUNDING) else None
    return None  # all too wide to tell this slip from a true reading


def _distances(
    slip: _Without, value: float, near: Expected, step: float
) -> tuple[float, float, float]:
    """Return how far the slip moves the reading, how far off it then is, and the half width.

    As ratios for a unit: 0.003 mm is much further from 0.04 to 0.11 mm than the difference says.
    """
    side = 1 if value > 0 else -1
    low, high = sorted((side * near.low, side * near.high))
    if slip.is_ratio and low > 0:
        middle = (log(low) + log(high)) / 2
        half = (log(high) - log(low)) / 2 + step / (2 * side * value)
        return (
            abs(log(side * value) - log(side * slip.value)),
            abs(log(side * slip.value) - middle),
            half,
        )
    middle, half = (near.low + near.high) / 2, (near.high - near.low) / 2 + step
    return abs(value - slip.value), abs(slip.value - middle), half


def _slips(quantity: Quantity, check: Characteristic, gauge: Gauge | None) -> list[_Without]:
    """Return what the reading would be without each known slip."""
    value, unit = quantity.value, quantity.unit
    found = []
    if UNITS[unit][1] == "length":
        found += [
            _Without(name, value + side * turn, "{gap} away from {words}")
            for name, turn in _turns(check, gauge, unit)
            for side in (1, -1)
        ]
    if value != 0:
        found += _other_unit(value, unit)
        for factor, times, part in _POWERS:
            name = f"a factor of {times}"
            far = name != TEN
            found += [
                _Without(name, value / factor, f"about {times} times {{words}}", is_ratio=far),
                _Without(name, value * factor, f"about {part} of {{words}}", is_ratio=far),
            ]
    return found


def _other_unit(value: float, unit: str) -> list[_Without]:
    """Return what the reading would be if its number had been meant in another unit."""
    if unit not in OTHER_UNIT:
        return []
    word, other, scale = OTHER_UNIT[unit]
    factor = float(SIZES[other][1] / SIZES[unit][1]) * scale
    gap = f"near {{words}} only as {word}, not as {unit}"
    return [_Without(f"{word} taken for {unit}", value * factor, gap, is_ratio=True)]


def _turns(check: Characteristic, gauge: Gauge | None, unit: str) -> list[tuple[str, float]]:
    """Return (name, size in ``unit``) of one turn of what the gauge is read on."""
    kind = (gauge.kind if gauge else check.instrument).casefold()
    resolution = gauge.resolution if gauge else check.resolution
    if _DIGITAL.search(kind) or resolution is None or UNITS[resolution.unit][1] != "length":
        return []
    scale_unit = "in" if resolution.unit == "in" else "mm"
    to_unit = float(SIZES[scale_unit][1] / SIZES[unit][1])
    if _THIMBLE.search(kind):
        return [("one turn of the thimble", _THIMBLE_TURN[scale_unit] * to_unit)]
    read_to = resolution.to(scale_unit).value
    return [
        ("one turn of the dial", turn * to_unit)
        for dial_unit, finest, turn in _DIAL_TURNS
        if _DIAL.search(kind) and dial_unit == scale_unit and isclose(finest, read_to)
    ]


def _beyond_new(quantity: Quantity, check: Characteristic, step: float) -> tuple[Slip, ...]:
    """Return the slip of a used part that seems less worn than a new one may be.

    Which way it wears is what its two limits say: the wear limit opens on one side only.
    """
    new, wear = check.limit, check.wear_limit
    if not (new and wear) or not (check.found or check.judged_by == "wear"):
        return ()
    low, high = quantity.interval()
    opens_down = _opens(new.at_least, wear.at_least, side=-1)
    opens_up = _opens(new.at_most, wear.at_most, side=1)
    if opens_down and not opens_up and new.at_most is not None:
        over = low - step - new.at_most.to(quantity.unit).value
        gap = quantity.value - new.at_most.to(quantity.unit).value
        name, words = "bigger than new", "above the largest that a new one may be"
    elif opens_up and not opens_down and new.at_least is not None:
        over = new.at_least.to(quantity.unit).value - high - step
        gap = new.at_least.to(quantity.unit).value - quantity.value
        name, words = "smaller than new", "below the smallest that a new one may be"
    else:
        return ()
    return (Slip(name, f"{_spelled(gap, step, quantity.unit)} {words}"),) if over > 0 else ()


def _opens(new: Quantity | None, wear: Quantity | None, *, side: int) -> bool:
    """Return whether a wear limit allows more than the new limit on one side (-1 or 1)."""
    if wear is None or new is None:
        return False
    return side * (wear.to(new.unit).value - new.value) > 0


def _spelled(gap: float, step: float, unit: str) -> str:
    places = max(0, ceil(-log10(step) - 1e-9)) if step > 0 else 4
    return f"{gap:.{places}f} {unit}"
