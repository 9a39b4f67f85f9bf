"""Checks that were entered once and leave nothing to ask -> rows of one table, a line each.

A report in which every plain reading has a drawing of its own is read by nobody. What was struck,
tried again, waived, asked about or found anything but within keeps its own room.
"""

from collections.abc import Iterable
from typing import Any

from store.characteristic import ANSWERED_IN_WORDS
from store.evidence import Marked, Read
from store.judge import limit_for
from store.report import attempts, grids, limits, words
from store.report.drawing import Lane, limits_said, small_line
from store.report.trail import Trail
from store.report.values import RATIOS, displayed, taken_said, value_said
from store.report.words import Bits
from store.round import Attempt, Check, Round
from store.standings.singles import alone_said

_QUIET = {"within", "no limit"}
_MOST = 6  # readings in one cell
_LANE = (
    "Each was entered once and lies within its limit, or has none. Small, below each number: its "
    "95\u00a0% interval. Hatched is not allowed; the blade reaches to the worst it could be."
)
_IN_WORDS = "Each was answered once."


def needs_no_room(check: Check, known: Round, trail: Trail) -> bool:
    """Return whether a line of a table says everything that is known of a check."""
    if len(check.attempts) > 1 or check.waivers or check.slips or check.suspect:
        return False
    if check.seconds or check.excused or trail.began(check):
        return False
    if any(a.struck is not None or a.void or a.earlier_verdicts for a in check.attempts):
        return False
    if check.characteristic.kind in ANSWERED_IN_WORDS:
        return all(not words.is_long(a.words) for a in check.attempts)
    return _is_quiet_number(check, known)


def _is_quiet_number(check: Check, known: Round) -> bool:
    """Return whether a measured check is one number with nothing beside it to be told."""
    current = check.current
    if current is None or current.value is None or check.state not in _QUIET:
        return False
    if isinstance(current.record, Marked) or check.characteristic.kind == "agreement":
        return False
    if check.characteristic.is_grid and not _fits_a_line(check, known):
        return False
    if current.band is not None or alone_said(check) or words.is_long(current.stamp.by):
        return False
    record = current.record
    if isinstance(record, Read) and (record.photos or words.is_long(record.text)):
        return False
    # A limit that was settled, replaced or stands beside another one has a story.
    return not limits.pedigree(check, known)


def _fits_a_line(check: Check, known: Round) -> bool:
    """Return whether a few readings along one way can stand in one cell, each read once."""
    characteristic, readings = check.characteristic, check.readings
    if characteristic.positions and characteristic.axes:
        return False
    if check.missing or len(readings) != len(characteristic.spots) or len(readings) > _MOST:
        return False
    if any(a.struck is not None or a.void or a.stamp.by != readings[0].stamp.by for a in readings):
        return False
    records = [a.record for a in readings if isinstance(a.record, Read)]
    if len({r.gauge for r in records}) != 1 or any(r.photos or r.doubts for r in records):
        return False
    return not grids.ringed_in(check, check.name, known)


def row_of(run: Iterable[Check], trail: Trail) -> dict[str, Any]:
    """Return one row of the report for checks that follow one another, in their order."""
    checks = tuple(run)
    in_words = all(check.characteristic.kind in ANSWERED_IN_WORDS for check in checks)
    if in_words:
        heads, widths = ["asked", "answer", "who, when", "verdict"], [1.7, 1.2, 1.6, 1.1]
        rows = [_answer(check, trail.home) for check in checks]
    else:
        heads = ["asked", "found", "against its limit", "as entered", "verdict"]
        widths = [1.35, 1.0, 1.4, 1.5, 0.95]
        rows = [_number(check, trail) for check in checks]
    return {
        "name": "Answered in words" if in_words else "Found",
        "question": _IN_WORDS if in_words else _LANE,
        "aside": "",
        "lead": [], "line": None, "agreement": None, "sentences": [], "grids": [],
        "readings": {"heads": heads, "widths": widths, "rows": rows},
        "notes": [bits for check in checks for bits in _beside(check, trail)],
        "expert": None, "budget": [], "method": "",
    }  # fmt: skip


def _asked(check: Check) -> Bits:
    characteristic = check.characteristic
    bits: Bits = [characteristic.question, {"break": True}, {"soft": check.key}]
    if characteristic.part:
        bits.append({"soft": f", on part {characteristic.part}"})
    if characteristic.datum:
        bits += [{"break": True}, {"soft": f"from {characteristic.datum}"}]
    return bits


def _answer(check: Check, home: str) -> list[str | Bits]:
    current = check.current
    said: Bits = [{"tight": _worded(current)}] if current is not None else []
    return [_asked(check), said, _who(check, home), [words.state_bit(check, 10.5)]]


def _worded(current: Attempt) -> str:
    return current.words or ("yes" if current.answer else "no")


def _who(check: Check, home: str) -> str | Bits:
    """Return by whom and when; where nothing was answered, why not."""
    current = check.current
    return attempts.when_and_who(current, home) if current else words.why_not(check)


def _number(check: Check, trail: Trail) -> list[str | Bits]:
    current = check.current
    if check.characteristic.kind in ANSWERED_IN_WORDS or current is None:
        asked, said, who, verdict = _answer(check, trail.home)
        return [asked, said, "", who, verdict]
    return [
        _asked(check),
        _found(check, current),
        _against(check, current),
        _entered(check, current, trail),
        _verdict(check),
    ]


def _found(check: Check, current: Attempt) -> Bits:
    shown = displayed(check, current)
    taken = taken_said(check)
    bits: Bits = [{"bold": value_said(check).removeprefix(taken)}]
    if taken:
        bits += [{"break": True}, {"soft": taken.strip()}]
    if shown is None or words.is_counted(shown[0]):
        return bits
    quantity, say = shown
    known = quantity.u > 0 or quantity.quantiles
    reach = say.interval(*quantity.interval()) if known else "no uncertainty stated"
    return [*bits, {"break": True}, {"soft": reach}]


def _against(check: Check, current: Attempt) -> Bits:
    """Return the limit line without figures, and below it the limit in words with its source."""
    limit, shown = limit_for(check.characteristic), displayed(check, current)
    if limit is None or shown is None or current.verdict is None:
        return [{"soft": "the plan gives no limit"}]
    quantity, say = shown
    ends = (0.0, 100.0) if say.unit == "%" and limit.of in RATIOS else None
    line = small_line(Lane("", quantity, current.verdict, say), limit, say, ends=ends)
    return [{"line": line}, {"soft": f"{limits_said(limit, say)}; {limit.source}"}]


def _entered(check: Check, current: Attempt, trail: Trail) -> Bits:
    typed, tool = attempts.entered_with(check, current, trail)
    if check.characteristic.is_grid:
        records = [a.record for a in check.readings if isinstance(a.record, Read)]
        typed, tool = grids.typed_in_a_line(check), records[0].gauge or "no gauge named"
    elif check.characteristic.formula:
        typed, tool = check.characteristic.formula, ""
    bits: Bits = [{"tight": typed}, f", {tool}" if tool else ""]
    return [*bits, {"break": True}, {"soft": attempts.when_and_who(current, trail.home)}]


def _verdict(check: Check) -> Bits:
    bits: Bits = [words.state_bit(check, 10.5)]
    said = words.odds_in_short(check.verdict) if check.verdict is not None else ""
    return [*bits, {"break": True}, {"soft": said}] if said else bits


def _beside(check: Check, trail: Trail) -> list[Bits]:
    """Return what has to be said below the table of one of its checks."""
    said: list[Bits] = [[words.sentence(zero)] for zero in grids.zeros_said(check.readings)]
    if decided := grids.decided_by(check, trail):
        said.append([decided])
    said += attempts.notes(check, trail.home)
    return [[{"bold": f"{check.key}: "}, *bits] for bits in said]
