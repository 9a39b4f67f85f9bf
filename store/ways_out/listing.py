"""Every value of a job, and where every check stands, as rows: the one source of columns.

The pack's readings.csv, what ``benchproof export`` writes, a book's index.db and the shop's index
have these columns, under these names. A cell is a text, a number, yes or no, or nothing (None).
"""

from collections.abc import Iterator
from math import isinf
from typing import Literal, NamedTuple

from annotate.quantity import LEVEL, Quantity
from store.characteristic import Characteristic, Limit
from store.evidence import Read
from store.judge import limit_for
from store.report.limits import limit_in_words
from store.round import Attempt, Check, Place, Round

Cell = str | float | int | bool | None
Row = dict[str, Cell]
Distribution = Literal["exact", "normal", "t", "trials"]
DISTRIBUTIONS: tuple[Distribution, ...] = ("exact", "normal", "t", "trials")


class Column(NamedTuple):
    """A column of a table: its name, what is in it, and what it says."""

    name: str
    form: Literal["text", "number", "whole", "yes-no"]
    says: str


_KEY = Column("key", "text", "location and check: what a reading is filed under")
_LOCATION = Column("location", "text", "the location's name")
_CHECK = Column("check", "text", "what was asked")
_VALUE = (
    Column("value", "number", "the value; a depth is counted into the metal, so BELOW is positive"),
    Column("unit", "text", "unit of value, u, low, high and limit; 1: a plain number, a fraction"),
    Column("side", "text", "of a depth: BELOW, FLUSH or PROUD of its datum"),
    Column("u", "number", "standard uncertainty, in that unit"),
    Column("low", "number", "lower end of the interval that holds the true value 95 times in 100"),
    Column("high", "number", "upper end of it"),
    Column("level", "number", "how often such an interval holds the true value: 0.95"),
    Column("distribution", "text", "exact (u is 0), normal, t, or trials: a Monte Carlo result"),
    Column("dof", "number", "degrees of freedom of a t; empty: infinite, or not told"),
)  # fmt: skip
_JUDGED = (
    Column("probability", "number", "probability that the true value is within the limit, 0 to 1"),
    Column("limit", "text", "what it is judged by, with its source"),
    Column("at_least", "number", "the least that the limit allows, in that unit"),
    Column("at_most", "number", "the most that it allows"),
    Column("rule", "text", "guarded: 95 % odds either way decide; simple: the value alone does"),
)  # fmt: skip
_BY = Column("by", "text", "who entered it")
_AT = Column("at", "text", "when it was entered, by the computer's clock (ISO 8601)")
_VERDICT = "within, outside, too close to call, not measured, or no limit"

READINGS = (
    _KEY, _LOCATION, _CHECK,
    Column("attempt", "text", "as found, attempt 1, 2 ...: work, or another part, begins the next"),
    Column("spot", "text", "where in a grid of readings it belongs; empty for the only one"),
    Column("text", "text", "the reading as it was typed; empty for what was measured, worked out"),
    *_VALUE,
    Column("verdict", "text", _VERDICT),
    *_JUDGED,
    Column("gauge", "text", "the gauge it was read with"),
    _BY, _AT,
    Column("counts", "yes-no", "yes: neither struck nor void; the last such one is the check's"),
    Column("struck", "text", "why it was struck, and by whom; empty if it was not"),
    Column("void", "text", "why it counts no longer although it was not struck"),
    Column("photo", "text", "SHA-256 of the photo it was measured on, of those that show it read"),
    Column("entry", "text", "SHA-256 of the line of the ledger that says so"),
)  # fmt: skip

CHECKS = (
    _KEY, _LOCATION, _CHECK,
    Column("kind", "text", "what is asked for: length, depth, coverage, yes-no ..."),
    Column("state", "text", f"where it stands: {_VERDICT}"),
    Column("why", "text", "one clause beside it, often empty"),
    Column("proven", "yes-no", "whether it is within, or recorded where no limit is asked for"),
    Column("waived", "yes-no", "whether somebody decided in writing to go on without"),
    Column("hidden", "yes-no", "whether a part that is on hides it"),
    Column("attempt", "text", "which attempt counts: as found, attempt 1, 2 ..., as left"),
    Column("attempts", "whole", "how many values were given for it, counted or not"),
    *_VALUE,
    *_JUDGED,
    Column("gauge", "text", "the gauge of the reading that counts"),
    _BY, _AT,
    Column("photo", "text", "SHA-256 of the photo it was measured on, of those that show it read"),
    Column("entry", "text", "SHA-256 of the line of the ledger that gave the value"),
)  # fmt: skip


def reading_rows(known: Round) -> Iterator[Row]:
    """Yield every value ever given, counted or not, in the order of the round and of entry."""
    for place in known.places:
        for check in place.checks:
            for attempt in _values(check):
                yield _reading(place, check, attempt)


def check_rows(known: Round) -> Iterator[Row]:
    """Yield where every check stands, those that were not measured too, in the round's order."""
    for place in known.places:
        for check in place.checks:
            yield _standing(place, check)


def figure(value: float) -> float:
    """Return a number to nine figures: the last ones of a double differ between processors."""
    return float(f"{value:.9g}")


def _values(check: Check) -> Iterator[Attempt]:
    yield from check.readings
    yield from check.attempts
    yield from (second.attempt for second in check.seconds)


def _reading(place: Place, check: Check, attempt: Attempt) -> Row:
    record, struck = attempt.record, attempt.struck
    verdict = attempt.verdict
    return {
        "key": check.key,
        "location": place.location.name,
        "check": check.characteristic.question,
        "attempt": attempt.name,
        "spot": record.spot.words if isinstance(record, Read) else "",
        "text": record.text if isinstance(record, Read) else "",
        **_value(check.characteristic, attempt),
        "verdict": attempt.state,
        **_judged(check.characteristic, attempt, verdict.limit if verdict else None),
        "gauge": record.gauge if isinstance(record, Read) else "",
        "by": attempt.stamp.by,
        "at": attempt.stamp.at,
        "counts": attempt.counts,
        "struck": f"{struck.reason} ({struck.stamp.by})" if struck else "",
        "void": attempt.void,
        "photo": _photos(attempt),
        "entry": attempt.stamp.entry,
    }


def _standing(place: Place, check: Check) -> Row:
    current, asked = check.current, check.characteristic
    record = current.record if current else None
    limit = current.verdict.limit if current and current.verdict else limit_for(asked)
    return {
        "key": check.key,
        "location": place.location.name,
        "check": asked.question,
        "kind": asked.kind,
        "state": check.state,
        "why": check.why,
        "proven": check.proven,
        "waived": check.waiver is not None,
        "hidden": check.hidden,
        "attempt": check.name,
        "attempts": len(check.attempts),
        **_value(asked, current),
        **_judged(asked, current, limit),
        "gauge": record.gauge if isinstance(record, Read) else "",
        "by": current.stamp.by if current else "",
        "at": current.stamp.at if current else "",
        "photo": _photos(current) if current else "",
        "entry": current.stamp.entry if current else "",
    }


def _value(asked: Characteristic, attempt: Attempt | None) -> Row:
    value = attempt.value if attempt else None
    if attempt is None or value is None:
        return {column.name: "" if column.form == "text" else None for column in _VALUE}
    low, high = value.interval()
    is_t = value.dof is not None and not isinf(value.dof)
    return {
        "value": figure(value.value),
        "unit": value.unit,
        "side": _side(asked, attempt, value),
        "u": figure(value.u),
        "low": figure(low),
        "high": figure(high),
        "level": LEVEL,
        "distribution": _distribution(value),
        "dof": figure(value.dof) if is_t and value.dof is not None and value.u > 0 else None,
    }


def _distribution(value: Quantity) -> Distribution:
    if value.quantiles:
        return "trials"
    if value.u == 0:
        return "exact"
    return "normal" if value.dof is None or isinf(value.dof) else "t"


def _judged(asked: Characteristic, attempt: Attempt | None, limit: Limit | None) -> Row:
    """Return what is said of a limit; its figures only beside a value that was judged by it."""
    verdict = attempt.verdict if attempt else None
    value = attempt.value if attempt and verdict else None
    within = verdict.probability_within if verdict else None
    least, most = (
        figure(side.to(value.unit).value) if side and value else None
        for side in ((limit.at_least, limit.at_most) if limit else (None, None))
    )
    return {
        "probability": None if within is None else figure(within),
        "limit": _limit(asked, limit) if limit else "",
        "at_least": least,
        "at_most": most,
        "rule": limit.rule if limit else "",
    }


def _limit(asked: Characteristic, limit: Limit) -> str:
    of = f"{limit.of} " if asked.kind == "coverage" else ""
    said = limit_in_words(limit, depth=asked.kind == "depth")
    said = said.replace("\u00a0", " ")  # a printed page's blank, which no search finds
    return f"{of}{said}; {limit.source}"


def _side(asked: Characteristic, attempt: Attempt, value: Quantity) -> str:
    if isinstance(attempt.record, Read) and attempt.record.face:
        return attempt.record.face
    if asked.kind != "depth":
        return ""
    if value.value == 0:
        return "FLUSH"
    return "BELOW" if value.value > 0 else "PROUD"


def _photos(attempt: Attempt) -> str:
    if isinstance(attempt.record, Read):
        return " ".join(attempt.record.photos)
    return attempt.photo
