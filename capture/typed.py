"""A typed value: exact, with what was typed about its doubt; its spelling and its quantity."""

from fractions import Fraction
from math import sqrt
from typing import TYPE_CHECKING, Literal

from msgspec import Struct

from capture.errors import BadReading
from capture.numerals import LARGEST_DENOMINATOR, MOST_FIGURES
from capture.unit_words import SIZES, TENTH, THOU, kind_of

if TYPE_CHECKING:
    from annotate.quantity import Quantity

Face = Literal["", "BELOW", "FLUSH", "PROUD"]

# FLUSH without a number has no last step; a depth is usually read to 0.005 in (common practice,
# no source), so half of that is what the word alone is worth.
FLUSH_HALF_STEP_MM = Fraction("0.0635")


class Typed(Struct, frozen=True):
    """One typed value.

    ``text`` is exactly what was typed; ``exact`` the value in ``unit``, for a depth positive
    BELOW, negative PROUD and 0 FLUSH. ``plus_minus`` is the typed half width in ``unit``.
    ``half_step`` is half of the last step typed, in ``unit``: 0.05 for 9.1, 1/64 for 17/32 (as
    typed: 1/8 for 2/4), 0 for a count, which is not rounded. ``band`` holds both ends of a typed
    band, whose middle is ``exact``; its step is the finer of its ends'.
    """

    text: str
    exact: Fraction
    unit: str
    unit_assumed: bool
    plus_minus: Fraction | None
    half_step: Fraction
    face: Face = ""
    band: tuple[Fraction, Fraction] | None = None

    def __post_init__(self) -> None:
        kind = kind_of(self.unit)
        depth_ok = {
            "": self.exact >= 0,
            "BELOW": self.exact > 0,
            "FLUSH": self.exact == 0,
            "PROUD": self.exact < 0,
        }
        if not depth_ok[self.face] or (self.face and kind != "length"):
            raise BadReading(f"{self.exact} {self.unit} {self.face} is not a reading")
        if self.half_step < 0 or (self.half_step == 0) != (kind == "count"):
            raise BadReading(f"half a step of {self.half_step} {self.unit} cannot be")
        if self.plus_minus is not None and self.plus_minus <= 0:
            raise BadReading(f"+- {self.plus_minus} {self.unit} cannot be")
        if self.band and not (self.band[0] < self.band[1] and sum(self.band) == 2 * self.exact):
            raise BadReading(f"{self.exact} {self.unit} is not the middle of its band")


def quantity_of(typed: Typed) -> "Quantity":
    """Return the typed value as a Quantity in its own unit, with its standard uncertainty.

    A bare +- a says nothing of its distribution, so it is taken as the half width of a
    rectangular one, a/sqrt(3) (JCGM 100:2008 4.3.7); this is wider than reading it as a 95 %
    interval. Without a +- the half width is half of the last step (F.2.2.1), for a band half of
    its width if that is more. A count is exact. The gauge's own error is not in it.
    """
    from annotate.quantity import Quantity  # noqa: PLC0415 - loads numpy, start-up need not

    half_width = typed.half_step
    if typed.plus_minus is not None:
        half_width = typed.plus_minus
    elif typed.band is not None:
        half_width = max(half_width, (typed.band[1] - typed.band[0]) / 2)
    return Quantity(value=float(typed.exact), unit=typed.unit, u=float(half_width) / sqrt(3))


def converted(value: Fraction, from_unit: str, to_unit: str) -> Fraction:
    """Return a value in another unit of the same kind, exactly."""
    return value * SIZES[from_unit][1] / SIZES[to_unit][1]


def flush_half_step(unit: str) -> Fraction:
    """Return the half step of FLUSH without a number, in ``unit``."""
    return converted(FLUSH_HALF_STEP_MM, "mm", unit)


def spell(typed: Typed) -> str:
    """Return the canonical spelling of a typed value.

    Read again in a box of ``typed.unit`` (a depth in a depth box), it gives the same value, unit,
    step, +-, face and band; the unit is then typed unless it is "1", which has no word.
    """
    if typed.face == "FLUSH" and typed.half_step == flush_half_step(typed.unit):
        value = f"0 {typed.unit}" if typed.plus_minus is not None else ""
    elif typed.band is not None:
        low, word = _spell_value(typed.band[0], typed.half_step, typed.unit)
        high, _ = _spell_value(typed.band[1], typed.half_step, typed.unit)
        value = f"{low} to {high} {word}"
    else:
        value = " ".join(_spell_value(abs(typed.exact), typed.half_step, typed.unit))
    margin = _spell_margin(typed.plus_minus, typed.unit)
    return " ".join(f"{value} {margin} {typed.face}".split())


def _words(unit: str) -> list[tuple[str, Fraction]]:
    """Return the words that count in this unit, the unit itself first, with their scales."""
    if unit == "in":
        return [("in", Fraction(1)), ("thou", THOU), ("tenths", TENTH)]
    return [("" if unit == "1" else unit, Fraction(1))]


def _spell_value(value: Fraction, half_step: Fraction, unit: str) -> tuple[str, str]:
    """Return (number, word) that read back as this value with this step."""
    for word, scale in _words(unit):
        steps_in_one = scale / (2 * half_step) if half_step else Fraction(1)
        places = _power_of_ten(steps_in_one)
        if places is not None and places <= MOST_FIGURES:
            return _decimal_text(value / scale, places), word
        if steps_in_one.denominator == 1 and steps_in_one <= LARGEST_DENOMINATOR:
            return _fraction_text(value / scale, int(steps_in_one)), word
    raise BadReading(f"{value} {unit} to {half_step} has no spelling")


def _spell_margin(margin: Fraction | None, unit: str) -> str:
    """Return "+- 0.05 mm", in the first unit of its kind that can say it exactly."""
    if margin is None:
        return ""
    kind = SIZES[unit][0]
    units = [unit, *(other for other in SIZES if SIZES[other][0] == kind and other != "1")]
    numbers = [
        (converted(margin, unit, other) / scale, word)
        for other in units
        for word, scale in _words(other)
    ]
    for number, word in numbers:
        places = _places(number)
        if places is not None and number < 10**MOST_FIGURES:
            return f"+- {_decimal_text(number, places)} {word}"
    for number, word in numbers:
        if number.denominator <= LARGEST_DENOMINATOR and number < 10**MOST_FIGURES:
            return f"+- {_fraction_text(number, number.denominator)} {word}"
    raise BadReading(f"+- {margin} {unit} has no spelling")


def _power_of_ten(number: Fraction) -> int | None:
    """Return n where the number is 10**n with n >= 0, else None."""
    digits = str(number)
    return len(digits) - 1 if digits.rstrip("0") == "1" else None


def _places(number: Fraction) -> int | None:
    """Return how many decimals the number needs, None if more than MOST_FIGURES."""
    scaled = number * 10**MOST_FIGURES
    if scaled.denominator != 1:
        return None
    return max(0, MOST_FIGURES - len(digits := str(int(scaled))) + len(digits.rstrip("0")))


def _decimal_text(number: Fraction, places: int) -> str:
    whole, part = divmod(int(number * 10**places), 10**places)
    return f"{whole}.{part:0{places}d}" if places else str(whole)


def _fraction_text(number: Fraction, denominator: int) -> str:
    whole, top = divmod(int(number * denominator), denominator)
    if whole and top:
        return f"{whole} {top}/{denominator}"
    return f"{top or whole * denominator}/{denominator}"
