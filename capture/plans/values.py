"""Numbers in a plan: "8.05 mm +- 0.05 mm" and what they are worth, each with its unit."""

import re
from fractions import Fraction
from math import sqrt

from annotate.errors import AnnotateError
from annotate.quantity import UNITS, Quantity
from capture.entry import Typed, parse_reading, quantity_of
from capture.errors import CaptureError
from capture.plans.table import Table
from capture.typed import converted
from capture.unit_words import find_unit_word
from store.plan import Job

# The unit of a number where the kind leaves no choice, and of a typed one without a unit.
UNIT_OF_KIND = {
    "coverage": "%",
    "torque": "N.m",
    "pressure": "kPa",
    "angle": "deg",
    "time": "min",
    "count": "count",
    "yes-no": "1",
    "note": "1",
    "agreement": "1",
}
WITHOUT_WORD = ("1", "count")
_NUMBER = re.compile(r"[-\s]*[0-9.,/½¼¾⅛⅜⅝⅞⁄\s-]*")  # noqa: RUF001 - what a fraction is typed with
_FACE = re.compile(r"\b(below|flush|proud)\b", re.IGNORECASE)


def usual_unit(kind: str, job: Job) -> str:
    """Return the unit of a number typed without one, where the plan names none."""
    return UNIT_OF_KIND.get(kind, "in" if job.units == "US" else "mm")


def unit_written(text: str, usual: str) -> str:
    """Return a unit of the kind that the text's own unit is of; ``usual`` if it tells nothing.

    For "0.5 N.m" that is "N.m": what the text is then asked in.
    """
    words = text[_NUMBER.match(text).end() :].strip()  # type: ignore[union-attr] # matches ""
    asked_first = list(dict.fromkeys([usual, *UNITS]))
    for unit in asked_first if words else ():
        try:
            find_unit_word(words, asked=unit)
        except CaptureError:
            continue
        return unit
    return usual


def unit_named(table: Table, key: str, usual: str, *, any_kind: bool = False) -> str:
    """Return the unit that a plan names, in any spelling that a reading may have.

    It is of the kind of ``usual`` unless ``any_kind``. Raises Misfit.
    """
    words = table.words(key)
    unit = words if words in UNITS else ""
    if not unit:
        try:
            asked = unit_written(words, usual) if any_kind else usual
            found = find_unit_word(words, asked=asked)
        except CaptureError as error:
            raise table.misfit(f"{words!r}: {error}", key) from error
        if found.scale != 1:
            raise table.misfit(f"{words!r} is a part of a unit: write {found.unit!r}", key)
        unit = found.unit
    if UNITS[unit][1] != UNITS[usual][1] and not any_kind:
        raise table.misfit(f"{unit} is no unit for a {UNITS[usual][1]}", key)
    return unit


def exact(table: Table, key: str, job: Job, *, unit: str) -> Quantity:
    """Return a value that is meant exactly as written, in the unit it is written in."""
    typed = _typed(table, key, table.words(key), unit, job)
    return _exact(table, key, typed)


def optional(table: Table, key: str, job: Job, *, unit: str) -> Quantity | None:
    """Return an exact value above 0, None where it is not given."""
    if key not in table:
        return None
    value = exact(table, key, job, unit=unit)
    if value.value <= 0:
        raise table.misfit("must be above 0", key)
    return value


def signed(table: Table, key: str, job: Job, *, unit: str) -> Quantity:
    """Return an exact value that may be negative, or a depth: "0.10 mm PROUD" is negative."""
    text = table.words(key)
    if _FACE.search(text):
        return _exact(table, key, _typed(table, key, text, unit, job, depth=True))
    bare = text.lstrip(" -")
    value = _exact(table, key, _typed(table, key, bare, unit, job))
    return Quantity(-value.value, value.unit) if text.lstrip().startswith("-") else value


def _exact(table: Table, key: str, typed: Typed) -> Quantity:
    if typed.plus_minus is not None or typed.band is not None:
        raise table.misfit("takes one exact value, without +-", key)
    return Quantity(value=float(typed.exact), unit=typed.unit)


def given(table: Table, key: str, job: Job) -> Quantity | None:
    """Return what the builder knows of a hole: a length in mm with its uncertainty."""
    if key not in table:
        return None
    typed = _typed(table, key, table.words(key), "mm", job)
    if typed.exact <= 0:
        raise table.misfit("must be above 0", key)
    # Not Quantity.to: an inch is exactly 25.4 mm, and pint need not be loaded for it.
    in_mm = float(converted(Fraction(1), typed.unit, "mm"))
    u = quantity_of(typed).u * in_mm
    return Quantity(value=float(converted(typed.exact, typed.unit, "mm")), unit="mm", u=u)


def half_width(quantity: Quantity) -> float:
    """Return the +- that a given value was written with, in its unit."""
    return quantity.u * sqrt(3)


def _typed(table: Table, key: str, text: str, unit: str, job: Job, *, depth: bool = False) -> Typed:
    """Return a typed value whose unit is written: a plan is read by others, months later."""
    try:
        typed = parse_reading(text, unit=unit, decimal_comma=job.decimal_comma, depth=depth)
    except (CaptureError, AnnotateError) as error:
        raise table.misfit(f"{text!r}: {error}", key) from error
    if typed.unit_assumed and unit not in WITHOUT_WORD and typed.exact != 0:
        raise table.misfit(f'{text!r} has no unit: write it as "{text} {unit}"', key)
    return typed
