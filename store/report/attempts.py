"""Every attempt at one check -> a table of who entered what and when, and the notes below it."""

from typing import Any

from msgspec import structs

from annotate.result import Known
from store.attempt import numbered
from store.evidence import Derived, Marked, Read
from store.report import grids, words
from store.report.figures import NBSP, given, listed, moment, saying
from store.report.trail import Trail
from store.report.values import TAKEN, displayed, entered, zero_said
from store.report.words import Bits
from store.round import Attempt, Check

_MOST_CITED, _MOST_ENTRIES = 6, 3


def table(check: Check, trail: Trail) -> dict[str, Any] | None:
    """Return a row for every value ever given for a check, counted or not; None without any.

    Between the rows stands what began a new attempt: work done, another piece fitted.
    """
    if not check.attempts:
        return None
    rows: list[list[str | Bits] | dict[str, Any]] = []
    began = trail.began(check)
    for attempt in check.attempts:
        while began and began[0].position < trail.position(attempt.stamp.entry):
            rows.append({"span": [began.pop(0).said]})
        rows.append(_attempt_row(check, attempt, trail))
    rows += [{"span": [each.said]} for each in began]
    return {
        "heads": ["attempt", "as entered", "value", "with", "when, who", "verdict"],
        "widths": ["auto", 1.35, 1.15, 0.85, 2, 1.45],
        "right": [],
        "rows": rows,
    }


def name_of(check: Check, attempt: Attempt) -> str:
    """Return what an attempt is called: "as found", "attempt 2", "as left" once it is hidden."""
    left = check.name == "as left" and attempt is check.current
    return "as left" if left else attempt.name or f"attempt {attempt.number}"


def _attempt_row(check: Check, attempt: Attempt, trail: Trail) -> list[str | Bits]:
    shown = displayed(check, attempt)
    typed, tool = entered_with(check, attempt, trail)
    value = shown[1].value(shown[0].value) if shown else _yes_no(attempt)
    crossed = attempt.struck is not None
    is_typed = isinstance(attempt.record, Read)
    if is_typed:
        typed, tool = words.shortened(typed), words.shortened(tool)
    return [
        name_of(check, attempt),
        [{"struck": typed}] if crossed else [{"tight": typed} if is_typed else typed],
        [{"struck": value}] if crossed and value else value,
        [{"tight": tool}],
        when_and_who(attempt, trail.home),
        _verdict(attempt),
    ]


def when_and_who(attempt: Attempt, home: str) -> str:
    """Return when an attempt was read, if that was told, and who entered it when."""
    read_at = attempt.record.read_at if isinstance(attempt.record, Read) else ""
    when = f"read {words.shortened(moment(read_at))}; entered " if read_at else ""
    stamp = structs.replace(attempt.stamp, by=words.shortened(attempt.stamp.by))
    return f"{when}{words.signed(stamp, home)}"


def _verdict(attempt: Attempt) -> Bits:
    if attempt.struck is not None:
        return ["struck"]
    state: Bits = [attempt.state]
    if attempt.verdict is not None or attempt.state in {"within", "outside"}:
        state = [{"state": attempt.state, "size": 10.5, "suspect": bool(attempt.suspect)}]
    for _, earlier in attempt.earlier_verdicts:
        state += [{"break": True}, {"soft": f"{earlier.state} by the limit before"}]
    if attempt.suspect:
        state += [{"break": True}, {"bold": "suspect"}]
    if attempt.void:
        # What it was found to be stays legible: the history is what a rework is judged by.
        return [*state, {"break": True}, {"soft": "no longer counts"}]
    return state


def _yes_no(attempt: Attempt) -> str:
    return "" if attempt.answer is None else "yes" if attempt.answer else "no"


def entered_with(check: Check, attempt: Attempt, trail: Trail) -> tuple[str, str]:
    """Return what was entered, exactly as typed, and with what it was measured."""
    record = attempt.record
    if isinstance(record, Read):
        without = "no gauge named" if record.quantity is not None else "\u2013"
        warm = grids.warmth(record)
        return entered(record), "; ".join(filter(None, (record.gauge or without, warm)))
    if isinstance(record, Marked):
        covered = record.result.covered
        said = ""
        if isinstance(covered, Known):
            quantity = covered.quantity.to("%")
            say = saying(quantity)
            said = f"{say.value(quantity.value)} covered, {say.value(100 - quantity.value)} open"
        return said or "rims placed", f"photo {record.photo[:8]}"
    if check.characteristic.is_grid:
        take = TAKEN[check.characteristic.take]
        return f"{take} of {len(record.from_entries)} readings", "worked out"
    return f"from {_cited(record, trail)}", "worked out"


def _cited(record: Derived, trail: Trail) -> str:
    """Return the values that a worked-out one rests on, each by its check and its entries."""
    by_check: dict[str, list[str]] = {}
    for digest in record.from_entries:
        found, entry = trail.attempt(digest), trail.entry(digest)
        key = found[0].key if found else "an entry that is not there"
        by_check.setdefault(key, []).append(numbered(entry, trail.home) if entry else "?")
    said = [f"{key} ({_entries(seqs)})" for key, seqs in by_check.items()]
    return listed(said, _MOST_CITED)


def _entries(seqs: list[str]) -> str:
    if len(seqs) > _MOST_ENTRIES:
        return f"{len(seqs)} readings, entry{NBSP}{seqs[0]} on"
    return f"{'entry' if len(seqs) == 1 else 'entries'}{NBSP}{listed(seqs)}"


def notes(check: Check, home: str) -> list[Bits]:
    """Return what stands below the table: strikes, warnings, slips asked, waivers, cautions.

    ``home`` is the bench that began the book.
    """
    found: list[Bits] = []
    for attempt in check.attempts:
        found += _about(check, attempt, home)
    found += _warnings(check)
    found += words.waived(check.waivers, home)
    if check.characteristic.caution:
        found.append([{"bold": "Caution. "}, check.characteristic.caution])
    return [bits for number, bits in enumerate(found) if bits not in found[:number]]


def _about(check: Check, attempt: Attempt, home: str) -> list[Bits]:
    record, name = attempt.record, _capital(name_of(check, attempt))
    found = _in_full(attempt, name)
    if attempt.struck is not None:
        found.append(words.struck(attempt.struck, attempt.stamp, home))
    elif attempt.void:
        found.append([f"{name} no longer counts: {words.sentence(attempt.void, capital=False)}"])
    if attempt.suspect and attempt.struck is None and attempt is not check.current:
        found.append([{"bold": "Suspect. "}, f"{name}: {attempt.suspect}."])
    if isinstance(record, Read):
        found += _of_reading(record, name)
    return found


def _of_reading(record: Read, name: str) -> list[Bits]:
    found: list[Bits] = []
    if record.took_a_unit:
        unit = record.quantity.unit if record.quantity else ""
        found.append([f"{name}: no unit was typed; {unit} was taken for this box."])
    if zero := zero_said(record):
        found.append([f"{name}: {zero}."])
    found += [
        [f"{name}, own doubt: {doubt.what}, ±{NBSP}{given(doubt.half_width)}."]
        for doubt in record.doubts
    ]
    if record.photos:
        shown = listed([photo[:8] for photo in record.photos], 4)
        found.append([f"{name}: the reading is shown in photo {shown}."])
    return found


def _capital(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"


def _in_full(attempt: Attempt, name: str) -> list[Bits]:
    """Return in full what the table has shortened."""
    texts = [("entered by", attempt.stamp.by)]
    if isinstance(attempt.record, Read):
        texts = [("typed", attempt.record.text), *texts, ("read", attempt.record.read_at)]
    return [
        [f"{name}, {what}: ", {"tight": words.quoted(text)}]
        for what, text in texts
        if words.shortened(text) != text
    ]


def _warnings(check: Check) -> list[Bits]:
    """Return each warning of a measurement once, with the attempts it belongs to."""
    found: dict[str, list[str]] = {}
    for attempt in check.attempts:
        if isinstance(attempt.record, Marked):
            for warning in attempt.record.result.warnings:
                found.setdefault(warning, []).append(name_of(check, attempt))
    return [
        [f"{_capital(listed(names))}: {words.sentence(warning)}"]
        for warning, names in found.items()
    ]
