"""What a check stands at, in words: its value in the unit it is printed in."""

from annotate.errors import UnitMismatch
from annotate.quantity import Quantity
from store.characteristic import Take
from store.evidence import Read
from store.judge import limit_for
from store.report import words
from store.report.figures import NBSP, Saying, count, quantity_said, saying
from store.report.words import Bits
from store.round import Attempt, Check
from store.standings.singles import alone_said

RATIOS = {"covered", "covered of near", "covered of far"}
TAKEN: dict[Take, str] = {
    "mean": "mean",
    "largest": "largest",
    "smallest": "smallest",
    "range": "largest less smallest",
    "out-of-round": "out-of-round",
    "taper": "taper",
}
_EN_DECIMALS = 2


def lead(check: Check) -> Bits:
    """Return the check in one line: sign, word, value, waiver."""
    bits: Bits = [words.state_bit(check)]
    said = value_said(check)
    if said:
        alone = alone_said(check)
        bits.append(f"  {said}{f'; {alone}' if alone else ''}")
    elif check.state == "not measured" and not check.excused:
        bits.append(f"  {words.why_not(check)}")
    if check.suspect:
        bits += ["  ", {"bold": "suspect"}]
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
    if current.words:
        return words.shortened(f"\u201c{current.words}\u201d")
    if check.characteristic.kind == "pin" and isinstance(current.record, Read):
        return current.record.text
    shown = displayed(check, current)
    return _number_said(check, *shown) if shown else current.why_no_value


def _number_said(check: Check, quantity: Quantity, say: Saying) -> str:
    if check.characteristic.kind == "agreement":
        return f"En{NBSP}{say.value(quantity.value)}"
    if check.characteristic.kind == "coverage":
        return _coverage_said(check, quantity, say)
    return f"{taken_said(check)}{say.value(quantity.value)}"


def taken_said(check: Check) -> str:
    """Return what a grid's number is, "mean of 8 readings ", empty for a check without a grid."""
    characteristic = check.characteristic
    if not characteristic.is_grid:
        return ""
    return f"{TAKEN[characteristic.take]} of {count(len(characteristic.spots), 'reading')} "


def _coverage_said(check: Check, quantity: Quantity, say: Saying) -> str:
    limit = limit_for(check.characteristic)
    if limit is not None and limit.of not in RATIOS:
        what = {"pin": "largest straight pin", "open area": "open area"}[limit.of]
        return f"{what} {say.value(quantity.value)}"
    of = words.covered_of(limit, check.location)
    return f"{say.value(quantity.value)} covered, {say.value(100 - quantity.value)} open, {of}"


def displayed(check: Check, attempt: Attempt) -> tuple[Quantity, Saying] | None:
    """Return an attempt's value in the unit it is printed in (the limit's), and how to say it."""
    if attempt.value is None:
        return None
    limit = limit_for(check.characteristic)
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
    # One reading of a grid is a depth; what is made of them all may be how far they are apart.
    depth = kind == "depth" and isinstance(attempt.record, Read)
    return quantity, saying(quantity, depth=depth or check.characteristic.is_told_as_depth)


def entered(record: Read) -> str:
    """Return a reading exactly as typed, with the words that were not typed with it."""
    face = f" {record.face}" if record.face and record.face not in record.text.upper() else ""
    if record.zero is None:
        return f"{record.text}{face}"
    way = f" {record.direction}" if record.direction and record.direction != "same" else ""
    way = "" if way.strip() in record.text.lower().split() else way
    return f"{record.text}{way}{face}"


def zero_parts(record: Read) -> tuple[str, str] | None:
    """Return what a difference gauge was zeroed to, and the part's size that this makes."""
    if record.zero is None or record.quantity is None:
        return None
    named = f" ({record.zero.words})" if record.zero.words else ""
    return f"zeroed to {quantity_said(record.zero.size)}{named}", quantity_said(record.quantity)


def zero_said(record: Read) -> str:
    """Return the same in one clause, empty where there was no zero."""
    parts = zero_parts(record)
    return f"{parts[0]}, so {parts[1]}" if parts else ""
