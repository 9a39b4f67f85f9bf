"""The numbers and unit words of one typed reading: value, far end of a band, +-.

What can be read in two ways is refused:

- 1-5/8 is one and five eighths. A band is ``0.038-0.051`` (decimals on both sides), ``25 - 38``
  (spaces on both sides of the dash) or ``25 to 38``; ``1-2`` is refused.
- A +- belongs to the value before it and takes its unit word. A unit behind the +- alone counts
  for both numbers only if it is the unit of the box.
"""

import re

from msgspec import Struct

from capture.errors import BadReading
from capture.numerals import Numeral, read_numeral, starts_number
from capture.unit_words import UnitWord, find_unit_word

_PLUS_MINUS = re.compile(r" ?(?:±|\+/-|\+-) ?")
_BAND = re.compile(r"(?P<unit>[^0-9]*?)(?P<joint> to | ?- ?)(?P<end>[0-9.,].*)", re.IGNORECASE)


class Amounts(Struct, frozen=True):
    """The numbers as typed, and what their unit words mean (None where none was typed).

    ``end`` is the far end of a band whose near end is ``value``.
    """

    value: Numeral
    end: Numeral | None
    margin: Numeral | None
    word: UnitWord | None
    margin_word: UnitWord | None


def read_amounts(plain: str, *, asked: str, decimal_comma: bool) -> Amounts:
    """Return the amounts in plain text that starts with a number; ``asked`` is the box's unit.

    Raises BadReading.
    """
    parts = _PLUS_MINUS.split(plain)
    value, end, words = _read_value(parts[0], decimal_comma=decimal_comma)
    word = find_unit_word(words, asked=asked) if words else None
    if len(parts) == 1:
        return Amounts(value, end, None, word, None)
    if len(parts) > 2 or not starts_number(parts[1]):  # noqa: PLR2004 - a value and its margin
        raise BadReading("+- stands once, between two numbers", "type it as 1.80 mm +- 0.05 mm")
    if end is not None:
        raise BadReading("a band already is its own +-", "type the band or the +-, not both")
    margin, margin_words = read_numeral(parts[1], decimal_comma=decimal_comma)
    if margin.value == 0:
        raise BadReading("no measurement is known to +- 0", "leave the +- out")
    word, margin_word = _margin_units(word, margin_words.strip(), asked=asked)
    return Amounts(value, None, margin, word, margin_word)


def _read_value(text: str, *, decimal_comma: bool) -> tuple[Numeral, Numeral | None, str]:
    """Return a number, the far end of its band or None, and the unit words behind them."""
    value, rest = read_numeral(text, decimal_comma=decimal_comma)
    band = _BAND.fullmatch(rest)
    if band is None:
        return value, None, rest.strip()
    end, words = read_numeral(band["end"], decimal_comma=decimal_comma)
    _refuse_unclear_band(value, end, band["joint"])
    words = words.strip()
    if band["unit"].strip() not in {"", words}:
        raise BadReading(
            "the ends of the band have different units", "type one unit, behind both numbers"
        )
    return value, end, words


def _refuse_unclear_band(first: Numeral, last: Numeral, joint: str) -> None:
    """Refuse a band that may be something else, and one that does not rise."""
    forms = {first.form, last.form}
    if "fraction" in forms or (joint == "-" and forms != {"decimal"}):
        raise BadReading(
            "the dash can be read in two ways",
            "type a fraction as 1-5/8, a band as 0.02 to 0.03 with decimals",
        )
    if joint in {" -", "- "}:
        raise BadReading("the dash has a space on one side only", "type a band as 0.02 to 0.03")
    if first.value >= last.value:
        raise BadReading("the band does not rise", "type the smaller number first")


def _margin_units(
    word: UnitWord | None, margin_words: str, *, asked: str
) -> tuple[UnitWord | None, UnitWord | None]:
    """Return the unit words of the value and of its +-, None where neither was typed."""
    if not margin_words:
        return word, word
    margin_word = find_unit_word(margin_words, asked=word.unit if word else asked)
    if word is None and margin_word != UnitWord(asked):
        raise BadReading(
            "the unit behind the +- may be meant for one number or for both",
            "type a unit behind each number, such as 1.80 mm +- 0.05 mm",
        )
    return word or margin_word, margin_word
