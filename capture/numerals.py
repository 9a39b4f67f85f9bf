"""The number at the start of typed text: exact value and last step, or why it is refused.

Taken: 12, 12.50, .5, 17/32, 1 3/8, 1-3/8 and the fraction characters (1½). Figures are the plain
0 to 9; what looks like a number of another form is refused, never passed over.
"""

import re
import unicodedata
from fractions import Fraction
from typing import Literal

from msgspec import Struct

from capture.errors import BadReading

LONGEST_TEXT = 100
LARGEST_DENOMINATOR = 1000
MOST_FIGURES = 12  # before the point and after it: a nanometre to a million kilometres

_VULGAR = {
    "½": "1/2", "⅓": "1/3", "⅔": "2/3", "¼": "1/4", "¾": "3/4", "⅕": "1/5", "⅖": "2/5",
    "⅗": "3/5", "⅘": "4/5", "⅙": "1/6", "⅚": "5/6", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
}  # fmt: skip
_FRACTION_SLASH = "\u2044"
# character -> plain spelling, None for itself
_ALIKE: dict[str, str | None] = {
    **dict.fromkeys("\u2010\u2011\u2012\u2013\u2212", "-"),
    **dict.fromkeys("\u2033\u201c\u201d", '"'),
    **dict.fromkeys("\u2032\u2018\u2019", "'"),
    **dict.fromkeys("\u00b5\u03bc", "u"),
    **dict.fromkeys(f"{_FRACTION_SLASH}±·°"),
    "\u2215": "/", "⋅": "·", "º": "°", "²": "^2", "≤": "<=", "≥": ">=",
}  # fmt: skip
_MIXED = re.compile(r"([0-9]+)[ -]([0-9]+)([/\u2044])([0-9]+)")
_FRACTION = re.compile(r"([0-9]+)([/\u2044])([0-9]+)")
_DECIMAL = re.compile(r"([0-9]*)(?:[.,]([0-9]+))?")
_THOUSANDS = re.compile(r"[1-9][0-9]{0,2}(?:,[0-9]{3})+(?![0-9])")
_EXPONENT = re.compile(r"[eE][+-]?[0-9]")
_STARTS_NUMBER = re.compile(r"[.,]?[0-9]")


class Numeral(Struct, frozen=True):
    """A typed number: exact value, last step (1/8 for 1 3/8, 0.1 for 9.1, 1 for 8) and form."""

    value: Fraction
    step: Fraction
    form: Literal["whole", "decimal", "fraction"]


def plain_text(text: str) -> str:
    """Return typed text in plain characters: one kind of space, dash, quote and slash.

    Raises BadReading for anything invisible, for figures other than 0 to 9, for unknown
    characters and for text longer than LONGEST_TEXT.
    """
    if len(text) > LONGEST_TEXT:
        raise BadReading(
            f"{len(text)} characters are too many for one reading", "type one number and its unit"
        )
    return " ".join("".join(_plain_character(character) for character in text).split())


def _plain_character(character: str) -> str:
    if " " <= character <= "~":
        return character
    if character in _VULGAR:
        return f" {_VULGAR[character]} "
    if character in _ALIKE:
        return _ALIKE[character] or character
    category = unicodedata.category(character)
    if category == "Zs":
        return " "
    code = f"U+{ord(character):04X}"
    if category[0] == "N":
        raise BadReading(f"{character!r} ({code}) is not a plain figure", "type figures 0 to 9")
    if category[0] in "CZ":
        raise BadReading(
            f"there is an invisible character ({code}) in it", "type the reading again by hand"
        )
    raise BadReading(
        f"the character {character!r} ({code}) has no meaning here",
        "type plain figures, letters and the signs . / - + % °",
    )


def starts_number(text: str) -> bool:
    """Return whether the text starts like a number."""
    return _STARTS_NUMBER.match(text) is not None


def read_numeral(text: str, *, decimal_comma: bool) -> tuple[Numeral, str]:
    """Return the number that plain text starts with, and the rest as it stands.

    Raises BadReading if there is none, or one that can be read in two ways.
    """
    if _THOUSANDS.match(text):
        raise _comma_refusal(text)
    if match := _MIXED.match(text):
        whole, top, _, bottom = match.groups()
        numeral = _mixed(whole, top, bottom)
    elif match := _FRACTION.match(text):
        _refuse_glued(*match.groups())
        numeral = _fraction(match[1], match[3])
    else:
        match = _DECIMAL.match(text)
        if match is None or not match[0]:
            raise BadReading("there is no number at the start", "type figures, then the unit")
        if "," in match[0] and not decimal_comma:
            raise _comma_refusal(text)
        numeral = _decimal(match[1], match[2] or "")
    rest = text[match.end() :]
    _refuse_broken_number(match[0], rest)
    return numeral, rest


def _decimal(before: str, after: str) -> Numeral:
    _check_figures(before, after)
    value = Fraction(int(before + after), 10 ** len(after))
    return Numeral(value, Fraction(1, 10 ** len(after)), "decimal" if after else "whole")


def _fraction(top: str, bottom: str) -> Numeral:
    _check_figures(top)
    if int(bottom) == 0:
        raise BadReading(f"{top}/{bottom} divides by nothing", "type the fraction again")
    if int(top) == 0:
        raise BadReading(f"{top}/{bottom} is nothing", "leave the fraction out")
    if int(bottom) > LARGEST_DENOMINATOR:
        raise BadReading(
            f"1/{bottom} is finer than any scale (1/{LARGEST_DENOMINATOR} at most)",
            "type the number as a decimal",
        )
    return Numeral(Fraction(int(top), int(bottom)), Fraction(1, int(bottom)), "fraction")


def _mixed(whole: str, top: str, bottom: str) -> Numeral:
    _check_figures(whole)
    fraction = _fraction(top, bottom)
    if fraction.value >= 1:
        raise BadReading(
            f"{whole} {top}/{bottom} has a fraction that is not below 1",
            "type it again with the right fraction, such as 1 3/8",
        )
    return Numeral(int(whole) + fraction.value, fraction.step, "fraction")


def _check_figures(*groups: str) -> None:
    if any(len(group) > MOST_FIGURES for group in groups):
        raise BadReading(
            f"more than {MOST_FIGURES} figures in a row are no reading", "type the number again"
        )


def _refuse_glued(top: str, slash: str, bottom: str) -> None:
    # Copied from a page, 1 7/32 with this slash loses its space.
    if slash == _FRACTION_SLASH and len(top) > 1:
        raise BadReading(
            f"{top}/{bottom} may be {top[0]} {top[1:]}/{bottom} that lost its space",
            f"type {top}/{bottom} or {top[0]} {top[1:]}/{bottom} with a plain slash",
        )


def _comma_refusal(text: str) -> BadReading:
    typed = re.sub(r"[^0-9,].*", "", text).rstrip(",")
    point, bare = typed.replace(",", "."), typed.replace(",", "")
    if not _THOUSANDS.match(text):
        return BadReading(f"the comma in {typed} is not used in this job", f"type {point}")
    choice = bare if typed.count(",") > 1 else f"{point} or {bare}"
    return BadReading(f"{typed} may be thousands or a decimal", f"type {choice}")


def _refuse_broken_number(number: str, rest: str) -> None:
    """Refuse what would otherwise be a number cut short: 2. 1.2.3 1/2/3 1.234,5 1e3 8 mm 9."""
    if rest[:1] in {".", ","}:
        raise BadReading(
            f"{number} is followed by {rest[:1]!r} and no figure that goes with it",
            "type one decimal point, with figures behind it, and no thousands marks",
        )
    if rest.lstrip()[:1] in {"/", _FRACTION_SLASH}:
        raise BadReading(
            f"{number} goes on with a slash",
            "type a fraction as 17/32 or 1 3/8, without spaces round the slash",
        )
    if _EXPONENT.match(rest):
        raise BadReading("an exponent is easily mistyped", "write the number out, such as 0.001")
    if starts_number(rest.lstrip()):
        raise BadReading(
            "there is more than one number",
            "type one number and its unit; a fraction as 1 3/8, a band as 0.02 to 0.03",
        )
