"""What a check stands at, in words: its value in the unit it is printed in."""

from annotate.errors import UnitMismatch
from annotate.quantity import Quantity
from store.report import words
from store.report.figures import NBSP, Saying, saying
from store.report.words import Bits
from store.round import Attempt, Check

RATIOS = {"covered", "covered of near", "covered of far"}
_EN_DECIMALS = 2


def lead(check: Check) -> Bits:
    """Return the check in one line: sign, word, value, waiver."""
    bits: Bits = [{"state": check.state}]
    said = value_said(check)
    if said:
        bits.append(f"  {said}")
    elif check.state == "not measured":
        bits.append(f"  {words.why_not(check)}")
    if check.waiver is not None:
        bits += ["  ", {"slip": "waived"}]
    return bits


def value_said(check: Check) -> str:
    """Return the value that counts in words, empty if there is none."""
    current = check.current
    if current is None:
        return ""
    if current.answer is not None:
        return "answered yes" if current.answer else "answered no"
    shown = displayed(check, current)
    if shown is None:
        return current.why_no_value
    quantity, say = shown
    if check.characteristic.kind == "agreement":
        return f"En{NBSP}{say.value(quantity.value)}"
    if check.characteristic.kind != "coverage":
        return say.value(quantity.value)
    return _coverage_said(check, quantity, say)


def _coverage_said(check: Check, quantity: Quantity, say: Saying) -> str:
    limit = check.characteristic.limit
    if limit is not None and limit.of not in RATIOS:
        what = {"pin": "largest straight pin", "open area": "open area"}[limit.of]
        return f"{what} {say.value(quantity.value)}"
    of = words.covered_of(limit, check.location)
    return f"{say.value(quantity.value)} covered, {say.value(100 - quantity.value)} open, {of}"


def displayed(check: Check, attempt: Attempt) -> tuple[Quantity, Saying] | None:
    """Return an attempt's value in the unit it is printed in (the limit's), and how to say it."""
    if attempt.value is None:
        return None
    limit = check.characteristic.limit
    side = (limit.at_most or limit.at_least) if limit else None
    kind = check.characteristic.kind
    quantity = attempt.value
    if kind == "agreement":
        return quantity, Saying(quantity.unit, _EN_DECIMALS)
    if side is not None:
        try:
            quantity = quantity.to(side.unit)
        except UnitMismatch:
            side = None
    if kind == "coverage" and quantity.unit == "1":
        quantity = quantity.to("%")
    return quantity, saying(quantity, depth=kind == "depth")
