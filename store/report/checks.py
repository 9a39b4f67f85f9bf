"""One check of the round -> its row in the report: verdict, limit line, attempts, who and when."""

from itertools import groupby
from typing import Any

from msgspec.structs import replace

from store.evidence import Derived, Marked
from store.formulas.bands import Banded
from store.judge import limit_for
from store.report import agreements, attempts, coverages, grids, limits, words
from store.report.drawing import Lane, limit_line
from store.report.entered_once import needs_no_room, row_of
from store.report.figures import NBSP, Saying, count, listed
from store.report.trail import Trail
from store.report.values import RATIOS, displayed, lead, taken_said
from store.report.words import Bits
from store.round import Attempt, Check, Round
from store.standings.singles import alone_said

_LANES = 6  # on one limit line; all attempts are in the table


def check_rows(checks: tuple[Check, ...], known: Round, trail: Trail) -> list[dict[str, Any]]:
    """Return the rows of a location's checks in order; those that need no room share one."""
    if len(checks) == 1:
        return [check_row(checks[0], known, trail, led=False)]
    rows: list[dict[str, Any]] = []
    for quiet, run in groupby(checks, lambda each: needs_no_room(each, known, trail)):
        if quiet:
            rows.append(row_of(run, trail))
        else:
            rows += [check_row(check, known, trail, led=True) for check in run]
    return rows


def check_row(check: Check, known: Round, trail: Trail, *, led: bool) -> dict[str, Any]:
    """Return everything that is printed about one check; ``led``: with its verdict on top."""
    current = check.current
    marked = current.record if current and isinstance(current.record, Marked) else None
    expert = None
    if marked is not None and current is not None:
        expert = coverages.expert_table(marked, check.location, attempts.name_of(check, current))
    tables = grids.tables(check, known)
    # The one number of a grid that was never read again is on the lead line and in the sentence.
    told = bool(tables) and len(check.attempts) == 1 and not trail.began(check)
    return {
        "name": words.kind_name(check.characteristic),
        "question": check.characteristic.question,
        "aside": _aside(check),
        "lead": lead(check) if led else [],
        "line": _line(check),
        "agreement": agreements.strip(check, trail),
        "sentences": _sentences(check, known, trail),
        "grids": tables,
        "readings": None if told else attempts.table(check, trail),
        "notes": attempts.notes(check, trail.home) + _conflicts(check, trail) + _slips(check),
        "expert": expert,
        "budget": coverages.budget(marked.result) if marked else [],
        "method": coverages.method(marked, check.location) if marked else "",
    }


def _aside(check: Check) -> str:
    characteristic = check.characteristic
    text = f"Check {check.key}."
    if characteristic.part:
        text += f" On part {characteristic.part}."
    return text


def _line(check: Check) -> dict[str, Any] | None:
    limit = limit_for(check.characteristic)
    if limit is None or check.characteristic.kind in {"agreement", "yes-no", "note"}:
        return None
    if check.missing and check.current is None and not any(a.void for a in check.attempts):
        return None
    lanes = []
    say: Saying | None = None
    for attempt in check.attempts:
        shown = displayed(check, attempt)
        if shown is None or attempt.struck or attempt.verdict is None:
            continue
        if attempt.verdict.state == "not measured":
            continue
        if say is None or attempt is check.current:
            say = shown[1]
        lanes.append(Lane(_lane_label(check, attempt), shown[0], attempt.verdict, shown[1]))
    if say is None:
        return None
    if len(lanes) == 1 and check.current is not None and check.name != "as left":
        lanes = [replace(lanes[0], label="as measured")]
    ends = (0.0, 100.0) if say.unit == "%" and limit.of in RATIOS else None
    return limit_line(tuple(lanes[-_LANES:]), limit, say, ends=ends)


def _lane_label(check: Check, attempt: Attempt) -> str:
    name = attempts.name_of(check, attempt)
    if attempt is check.current:
        return name if name == "as left" else f"{name}, counts"
    again = sum(a.name == attempt.name for a in check.attempts) > 1
    return f"{name}, before" if again and name != "as found" else name


def _sentences(check: Check, known: Round, trail: Trail) -> list[Bits]:
    current = check.current
    sentences: list[Bits] = []
    if check.excused:
        sentences.append([{"bold": "Never fitted on this block"}, ": nothing is asked for."])
    if current is not None:
        sentences += _about(check, current, trail)
    if check.why and check.state != "not measured" and not check.excused:
        sentences.append([words.sentence(check.why)])
    if check.suspect:
        sentences.append([{"bold": "It proves nothing now: "}, f"{check.suspect}."])
    sentences += limits.pedigree(check, known)
    if last := _last(check, trail):
        sentences.append([" ".join(last)])
    return sentences


def _last(check: Check, trail: Trail) -> list[str]:
    """Return the plain facts that end a check's sentences."""
    characteristic = check.characteristic
    last = [f"Measured from {characteristic.datum}."] if characteristic.datum else []
    if characteristic.formula:
        last.append(f"Worked out as {characteristic.formula}.")
    if decided := grids.decided_by(check, trail):
        last.append(decided)
    if len(check.attempts) > 1 and not characteristic.is_worked_out:
        every = "both of them are" if len(check.attempts) == 2 else "all of them are"  # noqa: PLR2004 - two is both
        what = "numbers were made" if characteristic.is_grid else "values were given"
        last.append(f"{len(check.attempts)} {what}; {every} shown.")
    return last


def _about(check: Check, current: Attempt, trail: Trail) -> list[Bits]:
    shown = displayed(check, current)
    if shown is None:
        return [[words.sentence(current.why_no_value)]] if current.why_no_value else []
    quantity, say = shown
    if check.characteristic.kind == "agreement" and isinstance(current.record, Derived):
        return [agreements.said(check, current, trail)]
    found: list[Bits] = []
    if current.verdict is not None:
        judged = words.judged(quantity, current.verdict, say)
        clear = words.clearance(quantity, current.verdict, say)
        found.append([_taken(check), *judged, f" {clear}" if clear else ""])
    else:
        found.append([_taken(check), *_recorded(check, current, say)])
    if alone := alone_said(check):
        found.append(
            [{"bold": words.sentence(alone)}, " The verdict is of the number made of all."]
        )
    if current.band is not None:
        found.append(_band(current.band))
    found += [agreements.second_said(check, second, trail) for second in check.seconds]
    return found


def _taken(check: Check) -> str:
    said = taken_said(check)
    return f"{said[:1].upper()}{said[1:]}"


def _band(band: Banded) -> Bits:
    """Return where a value lies in the check's table, and what else it may be."""
    said = band.name or band.why or "in none of its bands"
    also = (
        f" It may also be {listed(band.also)}, within the 95{NBSP}% interval." if band.also else ""
    )
    return [{"bold": "By the table: "}, f"{words.sentence(said, capital=False)}{also}"]


def _recorded(check: Check, current: Attempt, say: Saying) -> Bits:
    """Return a value that is recorded without a limit."""
    shown = displayed(check, current)
    if shown is None:
        return []
    quantity = shown[0]
    asks = check.characteristic.asks
    ended = "" if asks else " Recorded; the plan gives no limit."
    value: Bits = [{"bold": say.value(quantity.value)}]
    if quantity.unit == "count":
        return [*value, f".{ended}"]
    if not (quantity.u or quantity.quantiles):
        return [*value, f", no uncertainty stated.{ended}"]
    return [*value, f", 95{NBSP}% interval {say.interval(*quantity.interval())}.{ended}"]


def _conflicts(check: Check, trail: Trail) -> list[Bits]:
    """Return what two benches both found here, neither knowing of the other."""
    return [
        [{"bold": "Two benches. "}, f"{clash.words}."]
        for merge in trail.merges
        for clash in merge.clashes
        if clash.of == check.key
    ]


def _slips(check: Check) -> list[Bits]:
    number = len(check.slips)
    if not number:
        return []
    asked = f"{count(number, 'typed reading')} looked like a slip and was asked about"
    return [[f"{asked} before filing; see the register."]]
