"""What the reading box understood as it is typed: by the rules that file it, without the book."""

import re
from fractions import Fraction
from math import ceil, log10
from typing import Literal, NamedTuple

from annotate.errors import AnnotateError
from annotate.quantity import Quantity
from capture.desk.location.beside import Beside
from capture.entry import parse_reading
from capture.errors import BadReading, CaptureError
from capture.readings import read_of
from capture.typed import converted
from capture.unit_words import kind_of
from capture.words.quantities import given_text, quantity_text
from capture.words.refusals import sentence_of
from store.characteristic import Characteristic
from store.errors import StoreError
from store.evidence import Read
from store.plan import Plan
from store.report.figures import unit_word

Way = Literal["number", "pin", "answer", "words", "photo", "worked out"]

# What the other unit is, for the eye only.
_OTHER = {
    "mm": "in", "in": "mm", "um": "in", "cm": "in", "N.m": "lbf.ft", "lbf.ft": "N.m",
    "lbf.in": "N.m", "kPa": "psi", "psi": "kPa", "bar": "psi", "mm^2": "in^2", "in^2": "mm^2",
}  # fmt: skip
_MOST_PLACES = {"in": 4, "mm": 3}
_FACE = re.compile(r"(?<![a-z])(below|flush|proud)(?![a-z])", re.IGNORECASE)
_DIRECTION = re.compile(r"(?<![a-z])(bigger|larger|smaller|same)(?![a-z])", re.IGNORECASE)

_THE_SIZE = "that looks like the size itself: type what the dial shows, bigger or smaller"
_DIAL_MM = 10  # no dial of a bore gauge goes farther: common practice, no source


class Echo(NamedTuple):
    """What Return would do. ``text`` is what it would file; empty if it would file nothing.

    ``understood`` is the value with its unit and side, ``other`` the same in the other unit.
    ``refusal`` is why nothing would be filed and what to type instead. ``held`` is a pin that
    passed, which Return keeps until the one that stopped is typed.
    """

    text: str = ""
    understood: str = ""
    other: str = ""
    refusal: str = ""
    held: str = ""


def way_of(check: Characteristic) -> Way:
    """Return how a check takes its value."""
    if check.kind == "coverage":
        return "photo"
    if check.is_worked_out:
        return "worked out"
    if check.kind == "pin":
        return "pin"
    return {"yes-no": "answer", "note": "words"}.get(check.kind, "number")  # type: ignore[return-value] # of Way


def sides_of(check: Characteristic, *, is_difference: bool) -> tuple[str, ...]:
    """Return the words that a bare number may be given at one key, none where it needs none."""
    if check.kind == "depth":
        return ("BELOW", "PROUD")
    return ("bigger", "smaller") if is_difference else ()


def side_in(text: str) -> str:
    """Return the side that was typed with a depth, which the next bare numbers then have."""
    match = _FACE.search(text)
    word = match[1].upper() if match else ""
    return word if word in {"BELOW", "PROUD"} else ""


def whole_text(check: Characteristic, text: str, beside: Beside) -> str:
    """Return the text as it is filed: with the side chosen, or the pin that passed before it."""
    typed = text.strip()
    if check.kind == "pin" and beside.passed and typed:
        return f"{beside.passed} passed, {typed} stopped"
    if not typed or not beside.side:
        return typed
    said = _DIRECTION if beside.side in {"bigger", "smaller"} else _FACE
    return typed if said.search(typed) else f"{typed} {beside.side}"


def echo_of(plan: Plan, key: str, text: str, beside: Beside) -> Echo:
    """Return what would be filed for a text in the box of a check, or why nothing would."""
    _, check = plan.characteristic(key)
    whole = text if check.kind == "note" else whole_text(check, text, beside)
    if not whole.strip():
        return Echo()
    if _is_the_size(plan, check, whole, beside):
        return Echo(refusal=_THE_SIZE)
    if beside.zero_asked:
        return Echo(refusal=beside.zero_asked)
    if check.kind == "pin" and not beside.passed and (held := _one_pin(plan, check, whole)):
        return held
    try:
        read = read_of(plan, key, whole, **beside.filed())
        _refuse_relabelled(check, whole, read, beside)
    except (CaptureError, StoreError, AnnotateError) as refused:
        return Echo(refusal=sentence_of(refused))
    return Echo(whole, _understood(check, read), _other(check, read))


def figures_of(read: Read, unit: str) -> str:
    """Return a reading's figures as finely as they were typed, its unit only if not ``unit``."""
    if read.quantity is None:
        return read.text
    own = read.quantity.unit
    figures = _figures(abs(Fraction(read.exact)), 2 * read.half_step)
    return figures if own == unit else f"{figures} {unit_word(own)}"


def number_of(plan: Plan, key: str, text: str) -> Fraction | None:
    """Return the bare number of a text typed for a check, None where it can't be read."""
    _, check = plan.characteristic(key)
    try:
        typed = parse_reading(text, unit=check.unit, decimal_comma=plan.job.decimal_comma)
    except CaptureError:
        return None
    return typed.exact


def _is_the_size(plan: Plan, check: Characteristic, text: str, beside: Beside) -> bool:
    """Return whether a size was typed where only a difference from one is read."""
    if not beside.wants_zero and beside.zero is None:
        return False
    bare = _DIRECTION.sub("", text).strip()
    try:
        typed = parse_reading(bare, unit=check.unit, decimal_comma=plan.job.decimal_comma)
    except CaptureError:
        return False
    if kind_of(typed.unit) != "length":
        return False
    most_mm = _DIAL_MM if beside.zero is None else beside.zero.size.to("mm").value / 2
    return converted(typed.exact, typed.unit, "mm") > most_mm


def _one_pin(plan: Plan, check: Characteristic, text: str) -> Echo | None:
    """Return the echo of one pin alone, which is the one that passed; None for anything else."""
    try:
        typed = parse_reading(text, unit=check.unit, decimal_comma=plan.job.decimal_comma)
    except CaptureError:
        return None
    if typed.band is not None or typed.plus_minus is not None:
        return None
    value = Quantity(float(typed.exact), typed.unit)
    return Echo(understood=f"{given_text(value)} passed", held=text.strip())


def _refuse_relabelled(check: Characteristic, text: str, read: Read, beside: Beside) -> None:
    """Refuse the figure of a torque read by the wrong scale when it comes with another unit."""
    if check.kind != "torque" or beside.not_again is None or read.unit_assumed:
        return
    if Fraction(read.exact) == beside.not_again and read.quantity and (
        read.quantity.unit != check.unit
    ):  # fmt: skip
        raise BadReading(
            f"{text} is the same figure with another unit",
            "a torque read by the wrong scale is done again: slacken it, tighten it by the "
            "right scale, and type what that reads",
        )


def _understood(check: Characteristic, read: Read) -> str:
    if check.kind == "yes-no":
        return "Yes" if read.answer else "No"
    if read.quantity is None:
        return "as typed"
    if read.zero is not None:
        return quantity_text(read.quantity)
    unit = unit_word(read.quantity.unit)
    if check.kind == "pin":
        return f"{' '.join(read.text.split())}" if _says(read.text) else _band_text(read, unit)
    if read.face == "FLUSH":
        return "FLUSH"
    return f"{figures_of(read, read.quantity.unit)} {unit} {read.face}".strip()


def _says(text: str) -> bool:
    return "pass" in text.casefold()


def _band_text(read: Read, unit: str) -> str:
    half = read.plus_minus or 0.0
    middle = float(Fraction(read.exact))
    step = 2 * read.half_step
    return f"{_bare(middle - half, step)} passed, {_bare(middle + half, step)} {unit} stopped"


def _other(check: Characteristic, read: Read) -> str:
    """Return the value in the other unit, a figure finer than the last step typed."""
    quantity = read.quantity
    if quantity is None or quantity.unit not in _OTHER or check.kind == "pin":
        return ""
    other = _OTHER[quantity.unit]
    exact = Fraction(quantity.value) if read.zero is not None else abs(Fraction(read.exact))
    if not exact:
        return ""
    step = float(converted(Fraction(read.half_step) * 2, quantity.unit, other))
    most = _MOST_PLACES.get(other, 1)
    places = min(most, max(0, ceil(-log10(step) - 1e-9) + 1)) if step > 0 else most
    return f"{float(converted(exact, quantity.unit, other)):.{places}f} {unit_word(other)}"


def _figures(exact: Fraction, step: float) -> str:
    return _bare(float(exact), step)


def _bare(value: float, step: float) -> str:
    """Return a number with as many decimals as its step has; all of them for a fraction's."""
    places = max(0, ceil(-log10(step) - 1e-9)) if step > 0 else 0
    text = f"{value:.{places}f}"
    if abs(float(text) - value) <= 1e-9 * max(1.0, abs(value)):
        return text
    return f"{value:.6f}".rstrip("0").rstrip(".")
