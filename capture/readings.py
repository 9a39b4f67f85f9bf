"""Typed text for one check of a plan -> the reading that is kept, or why it is refused."""

from fractions import Fraction

from msgspec.structs import replace

from annotate.errors import AnnotateError
from annotate.quantity import Quantity
from capture.directions import parse_difference
from capture.entry import Typed, parse_answer, parse_reading
from capture.errors import BadReading, CaptureError, WrongUse
from capture.pins import parse_pins
from store.budgets.worth import reading_quantity
from store.characteristic import ANSWERED_IN_WORDS, Characteristic, Doubt, Spot
from store.errors import StoreError
from store.evidence import Direction, Read, Zero
from store.plan import Gauge, Plan

LONGEST_NOTE = 2000
ABSOLUTE_ZERO_C = -273.15


def read_of(
    plan: Plan,
    key: str,
    text: str,
    *,
    gauge: str | None = "",
    read_at: str = "",
    spot: Spot = Spot(),  # noqa: B008 - a frozen record
    zero: Zero | None = None,
    doubts: tuple[Doubt, ...] = (),
    part_c: float | None = None,
    gauge_c: float | None = None,
    photos: tuple[str, ...] = (),
) -> Read:
    """Return the reading of what was typed for a check, at its ``spot`` of a grid.

    ``gauge`` is by default the one the plan names, None where none was used (a photo was); its
    resolution and permissible error are in the uncertainty. A difference gauge needs its ``zero``,
    and its dial is typed with the direction in words; the quantity is then the part's size. A note
    is any words. Raises BadReading, WrongUse, BadPlan, and UnitMismatch for a gauge or a zero of
    another kind.
    """
    _, check = plan.characteristic(key)
    _refuse_what_is_not_typed(key, check)
    _refuse_no_spot(key, check, spot)
    _refuse_no_temperature(part_c, gauge_c)
    gauge = "" if gauge is None else gauge or check.gauge
    tool = _gauge(plan, gauge)
    read = Read(
        key=key, text=text, quantity=None, gauge=gauge, read_at=read_at, spot=spot, zero=zero,
        doubts=doubts, part_c=part_c, gauge_c=gauge_c, photos=photos,
    )  # fmt: skip
    if check.kind in ANSWERED_IN_WORDS:
        return _in_words(read, check)
    _refuse_no_zero(check, tool, zero)
    typed, direction = _typed(plan, check, text, is_difference=zero is not None)
    read = replace(
        read,
        exact=exact_text(typed.exact),
        half_step=float(typed.half_step),
        plus_minus=_float_or_none(_half_width(typed)),
        unit_assumed=typed.unit_assumed,
        face=typed.face,
        direction=direction,
    )
    quantity = reading_quantity(
        read, unit=typed.unit, gauge=tool, material=check.material, doubts=check.doubts
    )
    _refuse_no_size(zero, quantity)
    return replace(read, quantity=quantity)


def reread(plan: Plan, read: Read) -> Read | None:
    """Return a kept reading with its text read again, None if it is refused now."""
    try:
        return read_of(
            plan,
            read.key,
            read.text,
            gauge=read.gauge or None,
            spot=read.spot,
            zero=read.zero,
            doubts=read.doubts,
            part_c=read.part_c,
            gauge_c=read.gauge_c,
        )
    except (CaptureError, StoreError, AnnotateError):
        return None


def exact_text(exact: Fraction) -> str:
    """Return an exact value as a decimal where that ends within twelve places, else a fraction."""
    scaled = exact * 10**12
    if scaled.denominator != 1:
        return str(exact)
    sign, figures = ("-" if scaled < 0 else ""), f"{abs(int(scaled)):013d}"
    return f"{sign}{figures[:-12]}.{figures[-12:]}".rstrip("0").rstrip(".")


def _in_words(read: Read, check: Characteristic) -> Read:
    """Return a reading that is answered in words: yes or no, or a note."""
    if read.zero is not None:
        raise WrongUse(f"{read.key} is answered in words: nothing was zeroed for it")
    if check.kind == "yes-no":
        return replace(read, answer=parse_answer(read.text))
    return replace(read, text=_note(read.text))


def _note(text: str) -> str:
    """Return a note as it was typed; refused if nothing can be read in it."""
    if not text.strip():
        raise BadReading("nothing was typed", "type the answer in words")
    if len(text) > LONGEST_NOTE:
        raise BadReading(
            f"{len(text)} characters are too many for a note",
            f"shorten it to {LONGEST_NOTE}, or keep it as a paper",
        )
    if not text.replace("\n", " ").replace("\t", " ").isprintable():
        raise BadReading("there is an invisible character in it", "type the note again by hand")
    return text


def _typed(
    plan: Plan, check: Characteristic, text: str, *, is_difference: bool
) -> tuple[Typed, Direction]:
    """Return what was typed for a check that is a number, with the direction of a difference."""
    decimal_comma = plan.job.decimal_comma
    if is_difference:
        return parse_difference(text, unit=check.unit, decimal_comma=decimal_comma)
    if check.kind == "pin":
        return parse_pins(text, unit=check.unit, decimal_comma=decimal_comma), ""
    depth = check.kind == "depth"
    return parse_reading(text, unit=check.unit, decimal_comma=decimal_comma, depth=depth), ""


def _refuse_no_size(zero: Zero | None, size: Quantity) -> None:
    if zero is not None and size.value <= 0:
        raise BadReading(
            "the difference is larger than what the gauge was zeroed to",
            "look at the dial and at the zero again",
        )


def _half_width(typed: Typed) -> Fraction | None:
    """Return what was typed about the doubt: the +-, or half of the band."""
    if typed.plus_minus is None and typed.band is not None:
        return max(typed.half_step, (typed.band[1] - typed.band[0]) / 2)
    return typed.plus_minus


def _float_or_none(number: Fraction | None) -> float | None:
    return None if number is None else float(number)


def _gauge(plan: Plan, gauge: str) -> Gauge | None:
    if not gauge:
        return None
    for known in plan.gauges:
        if known.id == gauge:
            return known
    there = ", ".join(known.id for known in plan.gauges) or "none"
    raise WrongUse(f"no gauge {gauge!r} in this job; there are {there}")


def _refuse_what_is_not_typed(key: str, check: Characteristic) -> None:
    if check.kind == "coverage":
        raise WrongUse(f"{key} is measured on a photo: use 'benchproof coverage'")
    if check.of is not None:
        first, second = check.of
        raise WrongUse(f"{key} is worked out from {first} and {second}: type those")
    if check.is_worked_out:
        raise WrongUse(f"{key} is worked out as {check.formula}: type what stands in it")


def _refuse_no_spot(key: str, check: Characteristic, spot: Spot) -> None:
    if spot in check.spots:
        return
    if not check.is_grid:
        raise WrongUse(f"{key} is read once, not at {spot.words}")
    there = "; ".join(each.words or "no. 1" for each in check.spots)
    raise WrongUse(f"{key} is read at {there}: say at which")


def _refuse_no_temperature(*temperatures_c: float | None) -> None:
    for degrees in temperatures_c:
        if degrees is not None and not ABSOLUTE_ZERO_C <= degrees < float("inf"):
            raise WrongUse(f"{degrees} °C is no temperature")


def _refuse_no_zero(check: Characteristic, tool: Gauge | None, zero: Zero | None) -> None:
    """Refuse a difference without its zero, and a zero where no difference is read."""
    if tool is not None and tool.difference:
        if check.kind != "length":
            raise WrongUse(f"{tool.id} reads a difference of lengths, and {check.id} is none")
        if zero is None:
            raise WrongUse(f"{tool.id} reads a difference: say what it was zeroed to")
    elif zero is not None:
        raise WrongUse(f"{tool.id if tool else 'no gauge'} reads no difference and has no zero")
