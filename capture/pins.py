"""Two pins tried in a hole: the largest that passed and the smallest that stopped, as a band."""

import re
from typing import NamedTuple

from capture.entry import Typed, parse_reading
from capture.errors import BadReading, WrongUse
from capture.numerals import plain_text
from capture.unit_words import kind_of

_WORD = re.compile(r"(?<![a-z])(pass(?:es|ed)?|stop(?:s|ped)?)(?![a-z])", re.IGNORECASE)
_JOINT = re.compile(r"^ ?[,;]? ?(?:and )?|(?: and)? ?[,;]? ?$", re.IGNORECASE)
_EXAMPLES = {"in": ("0.106", "0.118"), "um": ("2700", "3000"), "cm": ("0.27", "0.30")}


class _Pin(NamedTuple):
    passed: bool
    size: str


def parse_pins(text: str, *, unit: str, decimal_comma: bool = False) -> Typed:
    """Return the band from the largest pin that passed to the smallest that stopped.

    Typed as "2.7 mm passed, 3.0 mm stopped", in either order, or as "2.7 to 3.0 mm". Where none
    passed, 0 did. A pin without a unit takes ``unit``. Raises BadReading, also for one pin alone,
    for two units, and where a pin stopped that is no thicker than one that passed; WrongUse for a
    ``unit`` that is no length.
    """
    if kind_of(unit) != "length":
        raise WrongUse(f"a pin is a length and not {unit}")
    plain = plain_text(text)
    if _WORD.search(plain):
        sizes = _two_pins(plain, unit=unit, decimal_comma=decimal_comma)
        passed, stopped = (
            parse_reading(size, unit=unit, decimal_comma=decimal_comma) for size in sizes
        )
        return _band(text, passed, stopped)
    typed = parse_reading(text, unit=unit, decimal_comma=decimal_comma)
    if typed.band is None:
        raise BadReading(
            "a pin reading is two pins: the one that passed and the one that stopped",
            f"type it as {_example(unit)}",
        )
    return typed


def _example(unit: str) -> str:
    passed, stopped = _EXAMPLES.get(unit, ("2.7", "3.0"))
    return f"{passed} {unit} passed, {stopped} {unit} stopped"


def _two_pins(plain: str, *, unit: str, decimal_comma: bool) -> tuple[str, str]:
    """Return the typed size of the pin that passed and of the one that stopped."""
    pins = _pins(plain, unit=unit, decimal_comma=decimal_comma)
    passed = [pin.size for pin in pins if pin.passed]
    stopped = [pin.size for pin in pins if not pin.passed]
    if len(passed) > 1 or len(stopped) > 1:
        raise BadReading(
            "one pin passed and one stopped, no more are kept",
            f"type the largest that passed and the smallest that stopped, as {_example(unit)}",
        )
    if not stopped:
        raise BadReading(
            "what stopped is not said",
            f"try the next thicker pin and type both, as {_example(unit)}",
        )
    if not passed:
        raise BadReading(
            "what passed is not said",
            f"type both, as {_example(unit)}; where no pin passed, 0 {unit} passed",
        )
    return passed[0], stopped[0]


def _pins(plain: str, *, unit: str, decimal_comma: bool) -> list[_Pin]:
    """Return every pin in the text, its word typed before or after its size."""
    words = list(_WORD.finditer(plain))
    edges = [0, *(edge for word in words for edge in word.span()), len(plain)]
    pieces = [plain[start:end] for start, end in zip(edges[::2], edges[1::2], strict=True)]
    word_first = not pieces[0].strip()
    spare = pieces.pop(0 if word_first else -1).strip(" .")
    # The first size of "2.7 passed" has nothing before it; a comma there is the number's own.
    first = [] if word_first else [pieces.pop(0).strip()]
    if spare or (decimal_comma and any(re.match(r" ?,[0-9]", piece) for piece in pieces)):
        raise BadReading(
            f"{spare!r} is no part of it" if spare else "the comma may be a decimal one",
            f"type it as {_example(unit)}",
        )
    sizes = first + [_JOINT.sub("", piece) for piece in pieces]
    return [
        _Pin(word[0].lower().startswith("pass"), size)
        for word, size in zip(words, sizes, strict=True)
    ]


def _band(text: str, passed: Typed, stopped: Typed) -> Typed:
    """Return the band of two pins, refused where they are no band."""
    if any(pin.band is not None or pin.plus_minus is not None for pin in (passed, stopped)):
        raise BadReading("a pin is one size", "type each without +- and without a band")
    if passed.unit != stopped.unit:
        raise BadReading(
            f"the pins have different units, {passed.unit} and {stopped.unit}",
            "type one unit behind each number",
        )
    if passed.exact >= stopped.exact:
        raise BadReading(
            "the pin that stopped is no thicker than the one that passed", "try both pins again"
        )
    half_step = min(passed.half_step, stopped.half_step)
    if any((pin.exact / (2 * half_step)).denominator != 1 for pin in (passed, stopped)):
        raise BadReading("one pin is a fraction and one a decimal", "type both in the same way")
    return Typed(
        text=text,
        exact=(passed.exact + stopped.exact) / 2,
        unit=passed.unit,
        unit_assumed=passed.unit_assumed or stopped.unit_assumed,
        plus_minus=None,
        half_step=half_step,
        band=(passed.exact, stopped.exact),
    )
