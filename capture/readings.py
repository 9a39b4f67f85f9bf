"""Typed text for one check of a plan -> the reading that is kept, or why it is refused."""

from fractions import Fraction

from annotate.errors import AnnotateError
from annotate.quantity import Quantity
from capture.entry import Typed, parse_answer, parse_reading
from capture.errors import CaptureError, WrongUse
from store import derive
from store.errors import StoreError
from store.evidence import Read
from store.plan import Characteristic, Gauge, Plan


def read_of(plan: Plan, key: str, text: str, *, gauge: str = "", read_at: str = "") -> Read:
    """Return the reading of what was typed for a check.

    ``gauge`` is by default the one the plan names; its resolution and permissible error are in
    the uncertainty. Raises BadReading, WrongUse, BadPlan.
    """
    _, check = plan.characteristic(key)
    _refuse_what_is_not_typed(key, check)
    gauge = gauge or check.gauge
    tool = _gauge(plan, gauge)
    if check.kind == "yes-no":
        answer = parse_answer(text)
        return Read(key=key, text=text, quantity=None, answer=answer, gauge=gauge, read_at=read_at)
    typed = parse_reading(
        text,
        unit=check.unit,
        decimal_comma=plan.job.decimal_comma,
        depth=check.kind == "depth",
    )
    return Read(
        key=key,
        text=text,
        quantity=_quantity(typed, tool),
        exact=exact_text(typed.exact),
        unit_assumed=typed.unit_assumed,
        face=typed.face,
        gauge=gauge,
        read_at=read_at,
    )


def worth_of(plan: Plan, read: Read) -> Quantity | None:
    """Return what a kept reading's text is worth when read again, None if it is refused now."""
    try:
        return read_of(plan, read.key, read.text, gauge=read.gauge).quantity
    except (CaptureError, StoreError, AnnotateError):
        return None


def exact_text(exact: Fraction) -> str:
    """Return an exact value as a decimal where that ends within twelve places, else a fraction."""
    scaled = exact * 10**12
    if scaled.denominator != 1:
        return str(exact)
    sign, figures = ("-" if scaled < 0 else ""), f"{abs(int(scaled)):013d}"
    return f"{sign}{figures[:-12]}.{figures[-12:]}".rstrip("0").rstrip(".")


def _quantity(typed: Typed, tool: Gauge | None) -> Quantity:
    margin = _half_width(typed)
    return derive.reading_quantity(
        float(typed.exact),
        typed.unit,
        half_step=float(typed.half_step),
        plus_minus=None if margin is None else float(margin),
        gauge=tool,
    )


def _half_width(typed: Typed) -> Fraction | None:
    """Return what was typed about the doubt: the +-, or half of the band."""
    if typed.plus_minus is None and typed.band is not None:
        return max(typed.half_step, (typed.band[1] - typed.band[0]) / 2)
    return typed.plus_minus


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
