"""A limit as its source prints it, often in two units, and whether the two say the same.

Printed manuals hold slips such as a dropped figure in one of the two units. Each side is taken as
rounded or cut off where it was printed, so that the two may differ by one last step of the coarser
one; what differs more is told, and a range that falls as well. Nothing is put right here.
"""

import re
from fractions import Fraction
from itertools import chain
from typing import Literal, NamedTuple

from msgspec import Struct

from annotate.quantity import Quantity
from capture.errors import BadReading
from capture.numerals import plain_text, read_numeral, starts_number
from capture.typed import converted
from capture.unit_words import UnitWord, find_unit_word, kind_of

# What the other side is in where its unit is not printed.
OTHER_UNIT = {
    "in": "mm", "mm": "in", "um": "in", "cm": "in", "in^2": "mm^2", "mm^2": "in^2",
    "lbf.ft": "N.m", "lbf.in": "N.m", "N.m": "lbf.ft",
    "psi": "kPa", "kPa": "psi", "bar": "psi", "psi/min": "kPa/min", "kPa/min": "psi/min",
}  # fmt: skip

_SIDES = re.compile(r"([^()]*?) ?\(([^()]*)\) ?([^()]*)")
_SIDE_OF_FACE = re.compile(r"(?<![a-z])(below|flush|proud)(?![a-z])", re.IGNORECASE)
_BOUND = re.compile(r"(?<![a-z/])(maximum|minimum|max|min)(?![a-z/])[.:]?", re.IGNORECASE)
Bound = Literal["", "max", "min"]
Form = Literal["number", "range", "middle and +-"]
_JOINTS: dict[Form, re.Pattern[str]] = {
    "middle and +-": re.compile(r" ?(?:±|\+/-|\+-) ?"),
    "range": re.compile(r" to | ?- ?", re.IGNORECASE),
}


class Printed(Struct, frozen=True):
    """A printed limit: its ends in ``unit``, and what its two sides disagree about.

    One number alone is both ends; after max it is ``at_most`` only, after min ``at_least`` only.
    Each of ``disagreements`` is a plain sentence. While there is one, the limit must not be used:
    the builder says which side is taken, and why.
    """

    at_least: Quantity | None
    at_most: Quantity | None
    unit: str
    disagreements: tuple[str, ...] = ()


class _Number(NamedTuple):
    """A printed number: how it stands there, its value and last step in the side's unit."""

    text: str
    value: Fraction
    step: Fraction


class _Side(NamedTuple):
    """One side of the print: its form and numbers as they stand, in its own unit."""

    text: str
    form: Form
    numbers: tuple[_Number, ...]
    unit: str
    word: str
    is_bare: bool  # its unit was not printed

    @property
    def ends(self) -> tuple[Fraction, Fraction]:
        """The lower and the upper end, in the side's unit."""
        first, last = self.numbers[0].value, self.numbers[-1].value
        if self.form == "middle and +-":
            return first - last, first + last
        return min(first, last), max(first, last)


def read_printed(text: str, unit: str, *, decimal_comma: bool = False) -> Printed:
    """Return a limit as printed, such as "0.10-0.25 mm (0.004-0.010 in)".

    The ends are those of the side printed in ``unit``, else of the first side, in its own unit.
    A side without a unit is in ``unit`` if it is the first, and in the usual other unit if it is
    the second. Raises BadReading for what is no such print, WrongUse for an unknown ``unit``.
    """
    if side := _SIDE_OF_FACE.search(text):
        raise BadReading(
            f"{side[1].upper()} is not read in a print",
            "type each end apart, such as at least 1.5 mm BELOW",
        )
    bound, plain = _take_bound(plain_text(text), unit=unit)
    sides = _sides(plain, unit=unit, decimal_comma=decimal_comma)
    taken = next((side for side in sides if side.unit == unit), sides[0])
    if bound and any(side.form != "number" for side in sides):
        raise BadReading(
            f"{bound} belongs to one number, and this is a {taken.form}", "type one of the two"
        )
    low, high = (Quantity(float(end), taken.unit) for end in taken.ends)
    return Printed(
        at_least=None if bound == "max" else low,
        at_most=None if bound == "min" else high,
        unit=taken.unit,
        disagreements=tuple(chain(*map(_falling, sides), _differing(*sides))),
    )


def _take_bound(plain: str, *, unit: str) -> tuple[Bound, str]:
    """Return "max" or "min" where the text says so, and the text without it."""
    is_time = "time" in kind_of(unit)  # where min behind a number is minutes
    match = _BOUND.match(plain) if is_time else _BOUND.search(plain)
    if match is None:
        return "", plain
    before, after = plain[: match.start()].strip(), plain[match.end() :].strip()
    if (before and after[:1] not in {"", "("}) or (not is_time and _BOUND.search(after)):
        raise BadReading(
            "max or min stands once, before or after the number", "type max 0.017 in (0.43 mm)"
        )
    return ("max" if match[1].lower().startswith("max") else "min"), f"{before} {after}".strip()


def _sides(plain: str, *, unit: str, decimal_comma: bool) -> tuple[_Side, ...]:
    """Return the one or two sides of a print, each in its own unit."""
    match = _SIDES.fullmatch(plain)
    if match is None:
        if "(" in plain or ")" in plain:
            raise BadReading("the brackets do not hold one second unit", "type 3.5 in (88.9 mm)")
        return (_read_side(plain, default=unit, asked=unit, decimal_comma=decimal_comma),)
    if match[3]:
        raise BadReading(f"{match[3]!r} stands behind the bracket", "type it before the bracket")
    second = _read_side(match[2], default=unit, asked=unit, decimal_comma=decimal_comma)
    other = OTHER_UNIT.get(unit, unit)
    # 0.004 (0.10 mm) in a box of mm is in inches: nobody prints one unit twice.
    default = other if second.unit == unit and not second.is_bare else unit
    first = _read_side(match[1], default=default, asked=unit, decimal_comma=decimal_comma)
    if second.is_bare:
        other = OTHER_UNIT.get(first.unit, first.unit)
        second = _read_side(match[2], default=other, asked=unit, decimal_comma=decimal_comma)
    return first, second


def _read_side(side: str, *, default: str, asked: str, decimal_comma: bool) -> _Side:
    """Return one side; without a unit it is in ``default``."""
    side = side.strip()
    first, rest = _read_number(side, decimal_comma=decimal_comma)
    form: Form = "number"
    numbers = [first]
    for form_joined, joint in _JOINTS.items():
        match = joint.match(rest)
        if match and starts_number(rest[match.end() :]):
            last, rest = _read_number(rest[match.end() :], decimal_comma=decimal_comma)
            form, numbers = form_joined, [first, last]
            break
    words = rest.strip()
    word = find_unit_word(words, asked=asked) if words else UnitWord(default)
    scaled = [_Number(n.text, n.value * word.scale, n.step * word.scale) for n in numbers]
    text = side if words else f"{side} {word.unit}"
    return _Side(text, form, tuple(scaled), word.unit, words or word.unit, not words)


def _read_number(text: str, *, decimal_comma: bool) -> tuple[_Number, str]:
    if not starts_number(text):
        raise BadReading(
            f"{text!r} does not start with a number" if text else "a number is missing",
            "type it as printed, such as 0.10-0.25 mm (0.004-0.010 in)",
        )
    numeral, rest = read_numeral(text, decimal_comma=decimal_comma)
    return _Number(text[: len(text) - len(rest)], numeral.value, numeral.step), rest


def _falling(side: _Side) -> list[str]:
    """Return the sentence that a range falls, if it does."""
    if side.form != "range" or side.numbers[0].value < side.numbers[-1].value:
        return []
    first, last = side.numbers
    word = "falls" if first.value > last.value else "is no range"
    return [f"{first.text} to {last.text} {side.word} {word}"]


def _differing(first: _Side, second: _Side | None = None) -> list[str]:
    """Return a sentence for each pair of numbers that are not the same in the two units."""
    if second is None:
        return []
    if first.unit == second.unit:
        return [f"both {first.text} and {second.text} are in {first.unit}"]
    if first.form != second.form:
        return [f"{first.text} is a {first.form}, {second.text} is a {second.form}"]
    return [
        sentence
        for one, other in zip(first.numbers, second.numbers, strict=True)
        if (sentence := _difference(one, first, other, second))
    ]


def _difference(one: _Number, first: _Side, other: _Number, second: _Side) -> str:
    """Return a sentence if two numbers differ by more than one step of the coarser, else ""."""
    there = converted(one.value, first.unit, second.unit)
    gap = abs(there - other.value)
    if gap <= max(converted(one.step, first.unit, second.unit), other.step):
        return ""
    scale = find_unit_word(second.word, asked=second.unit).scale
    # A fraction says no number of decimals: three show a 64th.
    places = 3 if "/" in other.text else len(re.sub(r"^[0-9]*[.,]?", "", other.text))
    told, apart = (f"{float(number / scale):.{places}f}" for number in (there, gap))
    return (
        f"{one.text} {first.word} is {told} {second.word}, "
        f"printed {other.text} {second.word}: {apart} {second.word} apart"
    )
