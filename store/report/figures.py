"""Numbers, units and times -> the words that are printed; nothing is computed here but rounding.

One number keeps one decimal count in every place it is printed: the value, its interval and its
bound are rounded alike, to a step no wider than the standard uncertainty (half of it for a
Monte Carlo result).
"""

from collections.abc import Sequence
from datetime import datetime
from math import ceil, floor, log10

from msgspec import Struct

from annotate.quantity import Quantity

NBSP = "\u00a0"
MINUS = "\u2212"
TIMES = "\u00d7"
_SPELT = {
    "1": "", "mm^2": "mm²", "in^2": "in²", "N.m": "N·m", "lbf.ft": "lbf·ft", "lbf.in": "lbf·in",
    "deg": "°", "um": "µm", "count": "", "turn": "turns",
}  # fmt: skip
_MOST_DECIMALS = 6
_SURE = 0.99
_ALL_BUT_SURE = 99
_KILO = 1000
_MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September",
    "October", "November", "December",
)  # fmt: skip


def unit_word(unit: str) -> str:
    """Return a unit as it is printed."""
    return _SPELT.get(unit, unit)


def decimals_of(quantity: Quantity) -> int:
    """Return how many decimals a quantity is printed with, in its own unit."""
    if quantity.unit in {"%", "1"} and quantity.quantiles:
        return 1 if quantity.unit == "%" else 3
    if (
        quantity.u < 0.5 * 10**-_MOST_DECIMALS
    ):  # nothing of it shows: six noughts say no more than one
        text = f"{quantity.value:.{_MOST_DECIMALS}f}".rstrip("0")
        return len(text.split(".")[1])
    step = quantity.u / 2 if quantity.quantiles else quantity.u
    decimals = min(_MOST_DECIMALS, max(0, ceil(-log10(step) - 1e-9)))
    if quantity.quantiles or not _is_nought(quantity.value, decimals):
        return decimals
    # A difference finer than its uncertainty is still not nought: its first figure is printed.
    finer = range(decimals, _MOST_DECIMALS + 1)
    return next((d for d in finer if not _is_nought(quantity.value, d)), decimals)


def _is_nought(value: float, decimals: int) -> bool:
    return not f"{value:.{decimals}f}".strip("-0.")


def number(value: float, decimals: int) -> str:
    """Return a number with a true minus sign and exactly this many decimals."""
    text = f"{value:.{decimals}f}"
    if not text.strip("-0."):
        text = text.lstrip("-")  # no "-0.0"
    return text.replace("-", MINUS)


def with_unit(value: float, unit: str, decimals: int) -> str:
    """Return a number and its unit, never to be parted by a line break."""
    word = unit_word(unit)
    gap = "" if unit in {"deg", "1", "count"} else NBSP
    return f"{number(value, decimals)}{gap}{word}"


def given(quantity: Quantity) -> str:
    """Return a value that was stated rather than measured (a limit, a resolution): all of it."""
    text = f"{quantity.value or 0.0:.10f}".rstrip("0").rstrip(".")
    word = unit_word(quantity.unit)
    gap = "" if quantity.unit in {"deg", "1", "count"} else NBSP
    return f"{text.replace('-', MINUS)}{gap}{word}"


class Saying(Struct, frozen=True):
    """How the values of one check are said: in one unit, with one decimal count.

    A depth is said with its word, BELOW or PROUD, and never with a bare sign.
    """

    unit: str
    decimals: int
    depth: bool = False

    def value(self, value: float) -> str:
        """Return one rounded value with its unit."""
        return self._worded(value, self.decimals)

    def interval(self, low: float, high: float) -> str:
        """Return "LOW to HIGH UNIT"; the word of a depth once where both ends share it."""
        one_word = not self.depth or (low > 0) == (high > 0)
        if not one_word:
            return f"{self.value(low)} to {self.value(high)}"
        first, last = (-high, -low) if self.depth and high <= 0 else (low, high)
        word = self._worded(last if not self.depth or high > 0 else -last, self.decimals)
        return f"{number(first, self.decimals)} to {word}"

    def stated(self, value: float) -> str:
        """Return a value that was stated, not measured, with all its decimals."""
        text = f"{value or 0.0:.8f}".rstrip("0").rstrip(".")
        return self._worded(value, len(text.partition(".")[2]))

    def bare(self, value: float) -> str:
        """Return one rounded value without its unit, for a scale that names it once."""
        return number(value, self.decimals)

    def unit_said(self) -> str:
        """Return what a scale with bare numbers is headed with."""
        return f"{unit_word(self.unit)}{' BELOW' if self.depth else ''}".strip()

    def tick(self, value: float, decimals: int) -> str:
        """Return a value on a scale; BELOW is left to the scale's own words, PROUD is not."""
        if self.depth and value > 0:
            return with_unit(value, self.unit, decimals)
        return self._worded(value, decimals)

    def _worded(self, value: float, decimals: int) -> str:
        if not self.depth:
            return with_unit(value, self.unit, decimals)
        if not number(abs(value), decimals).strip("0."):
            return "FLUSH"
        word = "BELOW" if value > 0 else "PROUD"
        return f"{with_unit(abs(value), self.unit, decimals)} {word}"


def saying(quantity: Quantity, *, depth: bool = False) -> Saying:
    """Return how a quantity and everything compared with it are said: the one rounding rule.

    ``saying(q).value(q.value)`` is the value with its unit, ``.interval(low, high)`` its interval.
    """
    return Saying(quantity.unit, decimals_of(quantity), depth)


def quantity_said(quantity: Quantity, *, depth: bool = False) -> str:
    """Return a measured value with its unit, rounded by its own uncertainty: "3.05 mm"."""
    return saying(quantity, depth=depth).value(quantity.value)


def odds(probability: float) -> str:
    """Return a probability as whole chances in 100, rounded down and never up to certainty.

    Down, because 94.96 printed as 95 would contradict a rule that asks for 95.
    """
    chances = floor(100 * probability + 1e-9)
    if chances >= _ALL_BUT_SURE:
        return f"more than{NBSP}99 in{NBSP}100" if probability > _SURE else f"99 in{NBSP}100"
    if chances < 1:
        return f"fewer than{NBSP}1 in{NBSP}100"
    return f"{chances} in{NBSP}100"


def moment(iso: str) -> str:
    """Return a time as "16 Nov 2026, 11:40" by its own clock; text that is no time stays as is."""
    try:
        when = datetime.fromisoformat(iso)
    except ValueError:
        return iso
    return f"{date_said(iso)}, {when:%H:%M}"


def date_said(iso: str) -> str:
    """Return the date of a time as "16 Nov 2026"; text that is no time stays as is."""
    try:
        when = datetime.fromisoformat(iso)
    except ValueError:
        return iso
    # Own month names: strftime would follow the locale of whoever prints.
    return f"{when.day}{NBSP}{_MONTHS[when.month - 1][:3]}{NBSP}{when.year}"


def day(iso: str) -> str:
    """Return the date of a time as "16 November 2026"; text that is no time stays as is."""
    try:
        when = datetime.fromisoformat(iso)
    except ValueError:
        return iso
    return f"{when.day}{NBSP}{_MONTHS[when.month - 1]}{NBSP}{when.year}"


def size(bytes_count: int) -> str:
    """Return a file's size: "840 bytes", "12.4 kB", "3.1 MB" (powers of ten)."""
    if bytes_count < _KILO:
        return f"{bytes_count}{NBSP}bytes"
    kilo = bytes_count / _KILO
    # Below half a step under 1000: "1000.0 kB" is a megabyte.
    return f"{kilo:.1f}{NBSP}kB" if kilo < _KILO - 0.05 else f"{kilo / _KILO:.1f}{NBSP}MB"


def listed(words: Sequence[str], most: int = 0) -> str:
    """Return "a", "a and b", "a, b and c"; past ``most`` (0: no end) the rest is counted."""
    shown = list(words) if not most or len(words) <= most else list(words[:most])
    if len(shown) < len(words):
        shown.append(f"{len(words) - len(shown)} more")
    return " and ".join(filter(None, (", ".join(shown[:-1]), *shown[-1:])))


def count(number_of: int, one: str, many: str = "") -> str:
    """Return "1 photo", "3 photos", "no photos"."""
    plural = many or one + "s"
    return f"{number_of or 'no'} {one if number_of == 1 else plural}"
