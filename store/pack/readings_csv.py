"""Every value of a job as a table: readings.csv (RFC 4180, UTF-8), one line for each value given.

The table is a convenience and follows from the chain: verify makes it anew and compares.
"""

import csv
import io
from collections.abc import Iterator

from store.evidence import Read
from store.plan import Limit
from store.report.limits import limit_in_words
from store.round import Attempt, Check, Place, Round

NAME = "readings.csv"
COLUMNS = (
    ("key", "location and check: what a reading is filed under"),
    ("location", "the location's name"),
    ("check", "what was asked"),
    ("attempt", "as found, attempt 1, 2 ...: work, or another part, begins the next"),
    ("spot", "where in a grid of readings it belongs; empty for the only one"),
    ("text", "the reading exactly as it was typed; empty for what was measured or worked out"),
    ("value", "the value; of a depth it is counted into the metal, so BELOW is positive"),
    ("unit", "the unit of value, u, low and high; 1 is a plain number or a fraction"),
    ("side", "of a depth: BELOW, FLUSH or PROUD of its datum"),
    ("u", "standard uncertainty, in that unit"),
    ("low", "lower end of the interval that holds the true value 95 times in 100"),
    ("high", "upper end of it"),
    ("verdict", "within, outside, too close to call, not measured, or no limit"),
    ("limit", "what it was judged by, with its source"),
    ("gauge", "the gauge it was read with"),
    ("by", "who entered it"),
    ("at", "when it was entered, by the computer's clock"),
    ("struck", "why it was struck, and by whom; empty if it was not"),
    ("void", "why it counts no longer although it was not struck"),
    ("entry", "SHA-256 of the line of the ledger that says so"),
)
_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def readings_csv(known: Round) -> str:
    """Return the table, in the order of the round and of entry, with a line of names first."""
    out = io.StringIO()
    table = csv.writer(out)
    table.writerow(name for name, _ in COLUMNS)
    for place in known.places:
        for check in place.checks:
            table.writerows(_row(place, check, attempt) for attempt in _values(check))
    return out.getvalue()


def columns_text() -> str:
    """Return what each column says, a line for each."""
    return "".join(f"  {name:<10}{says}\n" for name, says in COLUMNS)


def _values(check: Check) -> Iterator[Attempt]:
    yield from check.readings
    yield from check.attempts
    yield from (second.attempt for second in check.seconds)


def _row(place: Place, check: Check, attempt: Attempt) -> list[str]:
    record, value = attempt.record, attempt.value
    low, high = value.interval() if value else (0.0, 0.0)
    struck = attempt.struck
    return [
        check.key,
        _safe(place.location.name),
        _safe(check.characteristic.question),
        attempt.name,
        record.spot.words if isinstance(record, Read) else "",
        _safe(record.text) if isinstance(record, Read) else "",
        *([_figure(value.value), value.unit] if value else ["", ""]),
        _side(check, attempt),
        *([_figure(value.u), _figure(low), _figure(high)] if value else ["", "", ""]),
        attempt.state,
        _safe(_limit(check, attempt.verdict.limit)) if attempt.verdict else "",
        record.gauge if isinstance(record, Read) else "",
        _safe(attempt.stamp.by),
        attempt.stamp.at,
        _safe(f"{struck.reason} ({struck.stamp.by})") if struck else "",
        _safe(attempt.void),
        attempt.stamp.entry,
    ]


def _figure(value: float) -> str:
    """Return nine figures: the last ones of a double differ between processors."""
    return f"{value:.9g}"


def _side(check: Check, attempt: Attempt) -> str:
    if isinstance(attempt.record, Read) and attempt.record.face:
        return attempt.record.face
    if check.characteristic.kind != "depth" or attempt.value is None:
        return ""
    if attempt.value.value == 0:
        return "FLUSH"
    return "BELOW" if attempt.value.value > 0 else "PROUD"


def _limit(check: Check, limit: Limit) -> str:
    is_coverage = check.characteristic.kind == "coverage"
    of = f"{limit.of} " if is_coverage else ""
    said = limit_in_words(limit, depth=check.characteristic.kind == "depth")
    said = said.replace("\u00a0", " ")  # a printed page's blank, which no search finds
    return f"{of}{said}; {limit.source}"


def _safe(text: str) -> str:
    """Return a text that no spreadsheet takes for a formula: a ' stands before one that looks so.

    Plain signed numbers are left alone.
    """
    if not text.startswith(_FORMULA):
        return text
    try:
        float(text)
    except ValueError:
        return f"'{text}"
    return text
