"""Typed text -> a value with its unit, or why it is refused and what to type instead.

One number and one unit; arithmetic is exact. Numbers are those of capture.numerals, unit words
those of capture.unit_words, bands and +- those of capture.amounts. A sign, a bare depth, 2. and
1e3, a mil, a fraction without a unit in a millimetre box, a comma where the job has no decimal
comma: refused. Where it has one, a point is a decimal point too, and 1,234 is still refused.
"""

import re
from fractions import Fraction
from typing import TYPE_CHECKING, Literal, NamedTuple

from capture.amounts import Amounts, read_amounts
from capture.errors import BadReading, WrongUse
from capture.numerals import plain_text, starts_number
from capture.typed import Face, Typed, converted, flush_half_step, quantity_of, spell
from capture.unit_words import METRIC_LENGTHS, UnitWord, example, kind_of

if TYPE_CHECKING:
    from annotate.quantity import Quantity

__all__ = [
    "Bound", "Typed", "parse_answer", "parse_length", "parse_limit", "parse_reading",
    "quantity_of", "spell",
]  # fmt: skip

Of = Literal["covered", "covered of near", "covered of far", "pin", "open area"]
Comparison = Literal["<", "<=", ">", ">="]

_FACE = re.compile(r"(?<![a-z])(below|flush|proud)(?![a-z])", re.IGNORECASE)
_FACES: dict[str, Face] = {"below": "BELOW", "flush": "FLUSH", "proud": "PROUD"}
_LIMIT = re.compile(r"([a-z ]*?) ?(<=|>=|<|>) ?([^<>=]+)", re.IGNORECASE)
_LIMIT_UNITS: dict[Of, str] = {
    "covered": "1", "covered of near": "1", "covered of far": "1",
    "pin": "mm", "open area": "mm^2",
}  # fmt: skip
_COMPARISONS: tuple[Comparison, ...] = ("<", "<=", ">", ">=")
_ANSWERS = {"yes": True, "y": True, "no": False, "n": False}


class Bound(NamedTuple):
    """A typed limit: what it speaks of, the comparison, and the value in ``unit``, exact."""

    of: Of
    comparison: Comparison
    value: Fraction
    unit: str


def parse_reading(
    text: str, *, unit: str, decimal_comma: bool = False, depth: bool = False
) -> Typed:
    """Return what was typed into a box of ``unit``, exact and in the unit typed.

    A number without a unit takes ``unit`` and is marked so. A depth needs BELOW, FLUSH or PROUD
    before or after it. Raises BadReading with the reason and what to type instead, WrongUse for a
    ``unit`` in which nothing can be typed.
    """
    kind = kind_of(unit)
    if depth and kind != "length":
        raise WrongUse(f"a depth is a length and cannot be typed in {unit}")
    plain, face = _take_face(plain_text(text), depth=depth, unit=unit)
    if face == "FLUSH" and not plain:
        return Typed(text, Fraction(0), unit, True, None, flush_half_step(unit), "FLUSH")
    if not starts_number(plain):
        raise _no_number(plain, unit=unit, depth=depth)
    amounts = read_amounts(plain, asked=unit, decimal_comma=decimal_comma)
    if kind == "count":
        return _count(text, amounts)
    _refuse_bare_fraction(amounts, unit=unit)
    if depth:
        _refuse_unclear_depth(amounts, face, unit=unit)
    return _in_unit_of_word(text, amounts, face, asked=unit)


def parse_length(text: str, *, unit: str = "mm", decimal_comma: bool = False) -> "Quantity":
    """Return a typed length above 0 as a Quantity in mm, such as for "1.8 mm +- 0.05 mm".

    Its standard uncertainty is that of quantity_of: a typed +- a gives a/sqrt(3), else half of
    the last step does. Use parse_reading where 0 is a value. Raises BadReading.
    """
    from annotate.quantity import Quantity  # noqa: PLC0415 - loads numpy, start-up need not

    typed = parse_reading(text, unit=unit, decimal_comma=decimal_comma)
    if typed.exact == 0:
        raise BadReading("a length of 0 cannot be used here", "type the measured length")
    own = quantity_of(typed)
    # Not Quantity.to: an inch is exactly 25.4 mm, and pint need not be loaded for it.
    return Quantity(
        value=float(converted(typed.exact, typed.unit, "mm")),
        unit="mm",
        u=own.u * float(converted(Fraction(1), typed.unit, "mm")),
    )


def parse_answer(text: str) -> bool:
    """Return True for yes or y, False for no or n; raises BadReading for every other word.

    "ok" is no answer: to "any chips left?" it may mean either.
    """
    answer = _ANSWERS.get(plain_text(text).casefold())
    if answer is None:
        raise BadReading("that is neither yes nor no", "type yes or no")
    return answer


def parse_limit(text: str) -> Bound:
    """Return (of, comparison, value, unit) of a limit such as "covered of near <= 40 %".

    A covered fraction may stand without a unit if it is below 1; a pin and an open area need
    theirs. Raises BadReading.
    """
    match = _LIMIT.fullmatch(plain_text(text))
    of_typed, comparison_typed, value_typed = match.groups() if match else ("", "", "")
    of = next((known for known in _LIMIT_UNITS if known == of_typed.casefold()), None)
    if of is None:
        raise BadReading(
            "that is not a limit",
            f"type one of {', '.join(_LIMIT_UNITS)}, then <, <=, > or >=, then the value",
        )
    asked = _LIMIT_UNITS[of]
    typed = parse_reading(value_typed, unit=asked)
    if typed.plus_minus is not None or typed.band is not None:
        raise BadReading("a limit is one number", "type it without +- and without a band")
    if asked == "1":
        _refuse_unclear_share(typed)
    elif typed.unit_assumed:
        raise BadReading("the limit has no unit", f"type {value_typed} {asked}")
    comparison = next(known for known in _COMPARISONS if known == comparison_typed)
    return Bound(of, comparison, typed.exact, typed.unit)


def _take_face(plain: str, *, depth: bool, unit: str) -> tuple[str, Face]:
    """Return the text without its face word, and the word."""
    match = _FACE.search(plain)
    if match is None:
        return plain, ""
    if not depth:
        raise BadReading(
            f"{match[0].upper()} belongs to a depth, and this is none", f"type {example(unit)}"
        )
    before, after = plain[: match.start()].strip(), plain[match.end() :].strip()
    if (before and after) or _FACE.search(after):
        raise BadReading(
            "the face word stands once, before or after the number and its unit",
            f"type it as 0.30 {unit} BELOW",
        )
    return before or after, _FACES[match[0].lower()]


def _no_number(plain: str, *, unit: str, depth: bool) -> BadReading:
    """Return why text that does not start with a number is refused: nothing, a sign, a word."""
    if plain[:1] not in {"+", "-", "±"}:
        found = f"{plain!r} does not start with a number" if plain else "no number was typed"
        return BadReading(found, f"type {example(unit)}")
    if depth:
        return BadReading(
            "a sign on a depth is read in two ways", f"type it as 0.30 {unit} BELOW or PROUD"
        )
    return BadReading(
        "a size has no sign and is never negative", "type the whole size without a sign"
    )


def _refuse_bare_fraction(amounts: Amounts, *, unit: str) -> None:
    """Refuse 17/32 without a unit in a metric box."""
    if amounts.word is None and amounts.value.form == "fraction" and unit in METRIC_LENGTHS:
        raise BadReading(
            "a fraction without a unit is meant in inches more often than in millimetres",
            f"type the unit behind it: in, or {unit}",
        )


def _refuse_unclear_depth(amounts: Amounts, face: Face, *, unit: str) -> None:
    """Refuse a depth whose side is not said, or not the one its number says."""
    if amounts.end is not None:
        raise BadReading(
            "a depth is one number", "type the middle and a +-, as 0.30 mm +- 0.05 mm BELOW"
        )
    if not face:
        raise BadReading(
            "a depth needs its side", f"type it as 0.30 {unit} BELOW or PROUD, or FLUSH"
        )
    if amounts.value.value != 0 and face == "FLUSH":
        raise BadReading("FLUSH is a depth of 0", "type FLUSH alone, or BELOW or PROUD")
    if amounts.value.value == 0 and face != "FLUSH":
        raise BadReading(f"0 is not {face}", "type FLUSH")


def _refuse_unclear_share(typed: Typed) -> None:
    """Refuse a covered fraction that may be a percentage, or is more than all."""
    if typed.unit_assumed and typed.exact >= 1:
        raise BadReading("a fraction is below 1", f"type {typed.text} % if per cent is meant")
    if converted(typed.exact, typed.unit, "1") > 1:
        raise BadReading("no more than all of a hole can be covered", "type 0 % to 100 %")


def _count(text: str, amounts: Amounts) -> Typed:
    """Return a typed count, which is whole and exact."""
    value = amounts.value
    if value.form != "whole" or amounts.end is not None or amounts.margin is not None:
        raise BadReading("a count is one whole number", "count again and type it, such as 3")
    return Typed(text, value.value, "count", amounts.word is None, None, Fraction(0))


def _in_unit_of_word(text: str, amounts: Amounts, face: Face, *, asked: str) -> Typed:
    """Return the typed value in the unit that was typed, or else in the one asked for."""
    word = amounts.word or UnitWord(asked)
    exact, step, band, plus_minus = amounts.value.value, amounts.value.step, None, None
    if amounts.end is not None:
        band = (exact * word.scale, amounts.end.value * word.scale)
        exact, step = (exact + amounts.end.value) / 2, min(step, amounts.end.step)
    if amounts.margin is not None:
        margin_word = amounts.margin_word or word
        plus_minus = amounts.margin.value * converted(
            margin_word.scale, margin_word.unit, word.unit
        )
    half_step = step * word.scale / 2
    if face == "FLUSH" and amounts.value.form == "whole":
        half_step = flush_half_step(word.unit)  # a bare 0 adds nothing to the word
    return Typed(
        text=text,
        exact=(-exact if face == "PROUD" else exact) * word.scale,
        unit=word.unit,
        unit_assumed=amounts.word is None,
        plus_minus=plus_minus,
        half_step=half_step,
        face=face,
        band=band,
    )
