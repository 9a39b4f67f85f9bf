"""Everything that is known of one check -> lines for a person, and the JSON for a program."""

from collections.abc import Iterator
from typing import Any

from msgspec import to_builtins

from capture.commands.books import check_answer, spot_answer
from capture.commands.grids import grid_lines
from capture.commands.walked import attempt_line
from capture.words.checks import disagreement, notes_of, spot_text, value_text
from capture.words.quantities import (
    given_text,
    interval_text,
    is_told_as_depth,
    limit_text,
    quantity_text,
    verdict_line,
)
from store.attempt import numbered
from store.characteristic import Limit
from store.evidence import Derived, Read, SlipAsked
from store.judge import limit_for, other_limit
from store.report.figures import listed
from store.round import Attempt, Check, Round, Second

_DOUBTED = "; a second person's marks do NOT agree, and this verdict goes by the first alone"


def full_lines(walked: Round, check: Check) -> Iterator[str]:
    """Yield what is asked, where it stands, how it got there, and what it is good for."""
    yield f"{check.key}  {check.location.name}"
    yield f"  question {check.characteristic.question}"
    yield f"  stands   {_standing(check)}"
    for note in notes_of(check):
        yield f"           {note}"
    yield from (f"  {line}" for line in _verdict_lines(check))
    yield from (f"  {line}" for line in _limit_lines(check))
    yield from (f"  {line}" for line in _how_lines(walked, check))
    if check.characteristic.is_grid:
        yield from (f"  {line}" for line in grid_lines(check))
    yield from _attempt_lines(walked, check)
    home = walked.home
    yield from (f"  second   {_second_text(check, second, home)}" for second in check.seconds)
    yield from (f"  asked    {_slip_text(told.record)}" for told in check.slips)
    for hold_id in check.hold_points:
        hold = walked.hold(hold_id)
        yield f"  hidden   by {hold_id}, {hold.hold_point.name}: {hold.state}"
    if check.characteristic.caution:
        yield f"  caution: {check.characteristic.caution}"


def _standing(check: Check) -> str:
    state = "excused" if check.excused else check.state
    value = f", {value_text(check, check.current)}" if check.current else ""
    return f"{state}{value} ({check.name})"


def _verdict_lines(check: Check) -> Iterator[str]:
    current = check.current
    if current is None:
        return
    depth, kind = is_told_as_depth(check.characteristic), check.characteristic.kind
    if current.value is not None and current.value.u > 0:
        interval = interval_text(current.value, depth=depth)
        yield f"value    {quantity_text(current.value, depth=depth)} (95 %: {interval})"
    for verdict, limit in (
        (current.verdict, limit_for(check.characteristic)),
        (current.other, other_limit(check.characteristic)),
    ):
        if verdict is not None and limit is not None:
            line = verdict_line(verdict, limit_text(verdict.limit, depth=depth, kind=kind))
            yield line + (_DOUBTED if disagreement(check) is not None else "")


def _limit_lines(check: Check) -> Iterator[str]:
    asked = check.characteristic
    two = asked.limit is not None and asked.wear_limit is not None
    for name, limit in (("limit", asked.limit), ("wear", asked.wear_limit)):
        if limit is not None:
            decides = ", decides" if two and limit is limit_for(asked) else ""
            depth = is_told_as_depth(asked)
            words = limit_text(limit, depth=depth, kind=asked.kind)
            yield f"{name:<8} {words} [{limit.source}{decides}]"
            yield from _pedigree(limit)
    if asked.asks and limit_for(asked) is None:
        yield f"wanted   {asked.asks}"
    for band in asked.bands:
        low, high = band.at_least, band.at_most
        ends = [f"from {given_text(low)}"] if low else []
        ends += [f"to {given_text(high)}"] if high else []
        yield f"band     {band.name}: {' '.join(ends)}"


def _pedigree(limit: Limit) -> Iterator[str]:
    if limit.printed:
        yield f"         printed as {limit.printed}"
    if limit.settled:
        yield f"         settled: {limit.settled}"


def _how_lines(walked: Round, check: Check) -> Iterator[str]:
    asked = check.characteristic
    gauge = next((g for g in walked.plan.gauges if g.id == asked.gauge), None)
    if gauge is not None:
        yield f"gauge    {gauge.id}, {gauge.kind}, reads to {given_text(gauge.resolution)}"
    elif asked.instrument:
        yield f"with     {asked.instrument}"
    if asked.datum:
        yield f"datum    {asked.datum}"
    if asked.formula:
        yield f"formula  {asked.formula}"
    if asked.of:
        yield f"routes   {asked.of[0]} and {asked.of[1]}"
    if asked.part:
        yield f"part     {asked.part}"
    for doubt in asked.doubts:
        yield f"doubt    +- {given_text(doubt.half_width)}: {doubt.what}"


def _attempt_lines(walked: Round, check: Check) -> Iterator[str]:
    home = walked.home
    for attempt in (*check.attempts, *check.readings):
        if line := attempt_line(check, attempt, home):
            yield f"  {line}"
    if check.current:
        stamp = check.current.stamp
        yield f"  counts   entry {numbered(stamp, home)}, by {stamp.by}, {stamp.at}"
        yield from _read_lines(check.current.record)
        yield from _rests_on(walked, check.current.record)


def _rests_on(walked: Round, record: object) -> Iterator[str]:
    """Yield which entries a value was worked out from: what a wrong one is struck by."""
    if isinstance(record, Derived):
        stamps = [walked.attempt(digest).stamp for digest in record.from_entries]
        word = "entry" if len(stamps) == 1 else "entries"
        numbers = listed([numbered(stamp, walked.home) for stamp in stamps])
        yield f"           worked out from {word} {numbers}"


def _read_lines(record: object) -> Iterator[str]:
    if not isinstance(record, Read):
        return
    if record.read_at:
        yield f"           read at {record.read_at}"
    if record.part_c is not None or record.gauge_c is not None:
        yield f"           part {record.part_c:g} C, gauge {record.gauge_c:g} C"
    for doubt in record.doubts:
        yield f"           doubt +- {given_text(doubt.half_width)}: {doubt.what}"
    for photo in record.photos:
        yield f"           photo {photo[:12]}"


def _second_text(check: Check, second: Second, home: str) -> str:
    value = value_text(check, second.attempt)
    by = f"by {second.attempt.stamp.by}, entry {numbered(second.attempt.stamp, home)}"
    if second.en is None:
        return f"{value} ({by}): can't be compared, {second.why}"
    word = "agree" if second.en <= 1 else "do NOT agree"
    return f"{value} ({by}): the two {word}, En {second.en:.2f}"


def _slip_text(asked: object) -> str:
    if not isinstance(asked, SlipAsked):
        return ""
    where = f" {asked.spot.words}" if asked.spot.words else ""
    words = f" ({asked.words})" if asked.words else ""
    return f"{asked.text.strip()}{where}: {'; '.join(asked.suspected)} {asked.answer}{words}"


def full_answer(walked: Round, check: Check) -> dict[str, Any]:
    """Return everything that is known of a check, for a program."""
    asked = check.characteristic
    return {
        **check_answer(check),
        "kind": asked.kind,
        "unit": asked.unit,
        "limit": _limit_answer(asked.limit),
        "wear_limit": _limit_answer(asked.wear_limit),
        "judged_by": asked.judged_by,
        "formula": asked.formula,
        "gauge": asked.gauge,
        "all_attempts": [_attempt_answer(check, attempt) for attempt in check.attempts],
        "all_readings": [_attempt_answer(check, attempt) for attempt in check.readings],
        "seconds": [_second_answer(check, second) for second in check.seconds],
        "slips": _slips_answer(check),
        "hold_points": [
            {"id": hold_id, "state": walked.hold(hold_id).state} for hold_id in check.hold_points
        ],
    }


def _second_answer(check: Check, second: Second) -> dict[str, Any]:
    return {**_attempt_answer(check, second.attempt), "en": second.en, "why": second.why}


def _slips_answer(check: Check) -> list[dict[str, Any]]:
    asked = [told.record for told in check.slips if isinstance(told.record, SlipAsked)]
    return [
        {"text": slip.text, "suspected": list(slip.suspected), "answer": slip.answer}
        for slip in asked
    ]


def _limit_answer(limit: Limit | None) -> dict[str, Any] | None:
    if limit is None:
        return None
    sides = {"at_least": limit.at_least, "at_most": limit.at_most}
    return {
        **{n: None if q is None else {"value": q.value, "unit": q.unit} for n, q in sides.items()},
        "source": limit.source,
        "rule": limit.rule,
        "of": limit.of,
        "printed": limit.printed,
        "settled": limit.settled,
    }


def _attempt_answer(check: Check, attempt: Attempt) -> dict[str, Any]:
    from capture.commands.answer import quantity_answer  # noqa: PLC0415 - only with --json

    record = attempt.record
    return {
        "name": attempt.name,
        "said": value_text(check, attempt),
        "value": None if attempt.value is None else quantity_answer(attempt.value),
        "band": attempt.band and to_builtins(attempt.band),
        "state": attempt.state,
        "counts": attempt.counts,
        "void": attempt.void,
        "struck": attempt.struck.reason if attempt.struck else None,
        "suspect": attempt.suspect,
        "spot": spot_answer(record.spot) if isinstance(record, Read) else None,
        "where": spot_text(record.spot) if isinstance(record, Read) else "",
        "gauge": record.gauge if isinstance(record, Read) else "",
        "entry": attempt.stamp.entry,
        "number": attempt.stamp.seq,
        "by": attempt.stamp.by,
        "at": attempt.stamp.at,
    }
