"""The dial of a difference gauge: its value without a sign, and the direction in words.

A bore gauge zeroed to a size reads how much bigger or smaller the part is. Printed sources
contradict each other on the dial's sign, so that a sign is refused and the word is asked for.
"""

import re
from fractions import Fraction
from typing import TYPE_CHECKING

from msgspec.structs import replace

from capture.entry import Typed, parse_reading
from capture.errors import BadReading, WrongUse
from capture.numerals import plain_text
from capture.typed import converted
from capture.unit_words import kind_of

if TYPE_CHECKING:
    from store.evidence import Direction

# "same" without a number has no last step; a difference gauge is read to 0.0001 in (common
# practice, no source), so half of that is what the word is worth. A coarser gauge counts by itself.
SAME_HALF_STEP_MM = Fraction("0.00127")

_WORD = re.compile(r"(?<![a-z])(bigger|larger|smaller|same)(?![a-z])", re.IGNORECASE)
_DIRECTIONS: "dict[str, Direction]" = {
    "bigger": "bigger", "larger": "bigger", "smaller": "smaller", "same": "same",
}  # fmt: skip


def parse_difference(
    text: str, *, unit: str, decimal_comma: bool = False
) -> "tuple[Typed, Direction]":
    """Return what the dial shows, 0 or more, and whether the part is bigger, smaller or the same.

    Typed as "0.0021 in bigger", "2.1 thou smaller", "same": of the part, against what the gauge
    was zeroed to. Raises BadReading for a sign, a missing word, a word that the number
    contradicts and a band; WrongUse for a ``unit`` that is no length.
    """
    if kind_of(unit) != "length":
        raise WrongUse(f"a difference gauge reads a length and not {unit}")
    rest, direction = _take_direction(plain_text(text), unit=unit)
    if direction == "same" and not rest:
        half_step = converted(SAME_HALF_STEP_MM, "mm", unit)
        return Typed(text, Fraction(0), unit, True, None, half_step), direction
    if rest[:1] in {"+", "-", "±"}:
        raise BadReading(
            "a sign on a difference is read in two ways: printed sources contradict each other",
            f"type it as 0.02 {unit} bigger or smaller, of the part",
        )
    typed = parse_reading(rest, unit=unit, decimal_comma=decimal_comma)
    _refuse_unclear_difference(typed, direction, unit=unit)
    return replace(typed, text=text), direction


def _take_direction(plain: str, *, unit: str) -> "tuple[str, Direction]":
    """Return the text without its direction word, and the direction; empty if there is none."""
    match = _WORD.search(plain)
    if match is None:
        return plain, ""
    before, after = plain[: match.start()].strip(), plain[match.end() :].strip()
    if (before and after) or _WORD.search(after):
        raise BadReading(
            "the direction stands once, before or after the number and its unit",
            f"type it as 0.02 {unit} bigger",
        )
    return before or after, _DIRECTIONS[match[0].lower()]


def _refuse_unclear_difference(typed: Typed, direction: "Direction", *, unit: str) -> None:
    """Refuse a difference whose direction is not said, or not the one its number says."""
    if typed.band is not None:
        raise BadReading(
            "a dial shows one number", f"type the middle and a +-, as 0.02 +- 0.01 {unit} bigger"
        )
    if not direction:
        raise BadReading(
            "a difference needs its direction",
            f"type it as 0.02 {unit} bigger or smaller, or same",
        )
    if typed.exact == 0 and direction != "same":
        raise BadReading(f"0 is not {direction}", "type same")
    if typed.exact != 0 and direction == "same":
        raise BadReading("same is a difference of 0", "type same alone, or bigger or smaller")
