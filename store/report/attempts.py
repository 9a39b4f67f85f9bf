"""Every attempt at one check -> a table of who entered what and when, and the notes below it."""

from typing import Any

from msgspec import structs

from annotate.coverage import Known
from store.evidence import Marked, Read
from store.plan import Limit
from store.report import words
from store.report.figures import NBSP, given, moment, saying
from store.report.values import displayed
from store.report.words import Bits
from store.round import Attempt, Check, Round


def table(check: Check, known: Round) -> dict[str, Any] | None:
    """Return a row for every value ever given for a check, counted or not; None without any."""
    if not check.attempts:
        return None
    return {
        "heads": ["no.", "as entered", "value", "with", "when, who", "verdict"],
        "widths": ["auto", 1.25, 1.1, 1, 2, 1.5],
        "right": [],
        "rows": [_attempt_row(check, attempt, known) for attempt in check.attempts],
    }


def _attempt_row(check: Check, attempt: Attempt, known: Round) -> list[str | Bits]:
    shown = displayed(check, attempt)
    typed, tool = _entered(attempt, known)
    value = shown[1].value(shown[0].value) if shown else _yes_no(attempt)
    crossed = attempt.struck is not None
    read_at = attempt.record.read_at if isinstance(attempt.record, Read) else ""
    when = f"read {words.shortened(moment(read_at))}; entered " if read_at else ""
    stamp = structs.replace(attempt.stamp, by=words.shortened(attempt.stamp.by))
    typed, tool = words.shortened(typed), words.shortened(tool)
    verdict: Bits
    if crossed:
        verdict = ["struck"]
    elif attempt.void:
        verdict = ["no longer counts"]
    elif attempt.verdict is not None:
        verdict = [{"state": attempt.verdict.state, "size": 10.5}]
    elif attempt.state in {"within", "outside"}:
        verdict = [{"state": attempt.state, "size": 10.5}]
    else:
        verdict = [attempt.state]
    return [
        str(attempt.number),
        [{"struck": typed}] if crossed else [{"tight": typed}],
        [{"struck": value}] if crossed and value else value,
        [{"tight": tool}],
        f"{when}{words.signed(stamp)}",
        verdict,
    ]


def _yes_no(attempt: Attempt) -> str:
    return "" if attempt.answer is None else "yes" if attempt.answer else "no"


def _entered(attempt: Attempt, known: Round) -> tuple[str, str]:
    """Return what was entered, exactly as typed, and with what it was measured."""
    record = attempt.record
    if isinstance(record, Read):
        face = f" {record.face}" if record.face and record.face not in record.text.upper() else ""
        without = "no gauge named" if record.answer is None else "\u2013"
        return f"{record.text}{face}", record.gauge or without
    if isinstance(record, Marked):
        covered = record.result.covered
        said = ""
        if isinstance(covered, Known):
            quantity = covered.quantity.to("%")
            say = saying(quantity)
            said = f"{say.value(quantity.value)} covered, {say.value(100 - quantity.value)} open"
        return said or "rims placed", f"photo {record.photo[:8]}"
    seqs = [
        f"entry{NBSP}{a.stamp.seq}"
        for entry in record.from_entries
        for c in known.checks
        for a in c.attempts
        if a.stamp.entry == entry
    ]
    return f"from {' and '.join(seqs)}", "computed"


def notes(check: Check, known: Round) -> list[Bits]:
    """Return what stands below the table: strikes, warnings, gauges, waivers, cautions."""
    found: list[Bits] = []
    for attempt in check.attempts:
        found += _about(attempt)
    found += _warnings(check)
    used = {a.record.gauge for a in check.attempts if isinstance(a.record, Read)}
    found += [words.gauge_said(g) for g in known.plan.gauges if g.id in used]
    found += [words.waived(w, w.hold_point) for w in check.waivers]
    if check.characteristic.caution:
        found.append([{"bold": "Caution. "}, check.characteristic.caution])
    limit = check.characteristic.limit
    if limit is not None and check.current is None:
        found.append([_asked_for(limit)])
    return found


def _in_full(attempt: Attempt) -> list[Bits]:
    """Return in full what the table has shortened."""
    texts = [("entered by", attempt.stamp.by)]
    if isinstance(attempt.record, Read):
        texts = [("typed", attempt.record.text), *texts, ("read", attempt.record.read_at)]
    return [
        [f"Attempt {attempt.number}, {what}: ", {"tight": words.quoted(text)}]
        for what, text in texts
        if words.shortened(text) != text
    ]


def _about(attempt: Attempt) -> list[Bits]:
    found = _in_full(attempt)
    if attempt.struck is not None:
        found.append(words.struck(attempt.struck, attempt.stamp))
    elif attempt.void:
        found.append([f"Attempt {attempt.number} no longer counts: {attempt.void}."])
    if isinstance(attempt.record, Read) and attempt.record.took_a_unit:
        unit = attempt.record.quantity.unit if attempt.record.quantity else ""
        said = f"Attempt {attempt.number}: no unit was typed; {unit} was taken for this box."
        found.append([said])
    return found


def _asked_for(limit: Limit) -> str:
    sides = (("at least", limit.at_least), ("at most", limit.at_most))
    told = " and ".join(f"{word} {given(side)}" for word, side in sides if side is not None)
    return f"Asked for: {told}; source: {limit.source}."


def _warnings(check: Check) -> list[Bits]:
    """Return each warning of a measurement once, with the attempts it belongs to."""
    found: dict[str, list[str]] = {}
    for attempt in check.attempts:
        if isinstance(attempt.record, Marked):
            for warning in attempt.record.result.warnings:
                found.setdefault(warning, []).append(str(attempt.number))
    said: list[Bits] = []
    for warning, numbers in found.items():
        attempts = f"Attempt{'s' if len(numbers) > 1 else ''} {', '.join(numbers)}"
        said.append([f"{attempts}: {words.sentence(warning)}"])
    return said
