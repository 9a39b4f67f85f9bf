"""The gauge register: what each gauge reads to, when it was checked, and what a bad one touched."""

from datetime import date, datetime
from typing import Any

from store.codec import Entry
from store.evidence import GaugeCleared, GaugeSuspected, Read
from store.report import words
from store.report.figures import count, date_said, day, given, listed
from store.report.trail import Trail, uses_of
from store.report.values import displayed, entered
from store.report.words import Bits
from store.round import Attempt, Check, Round
from store.stock import GaugeState

_Use = tuple[Check, Attempt]


def register(known: Round, entries: tuple[Entry, ...], trail: Trail) -> dict[str, Any]:
    """Return the data of the gauge register."""
    uses = uses_of(known)
    rows = [_row(state, uses.get(state.gauge.id, [])) for state in known.gauges]
    notes: list[Bits] = []
    for state in known.gauges:
        notes += _against(state, uses.get(state.gauge.id, []), trail)
    notes += _cleared(entries)
    if not rows:
        notes.append(["No gauge was named in this job."])
    if unnamed := uses.get("", []):
        keys = listed(list(dict.fromkeys(check.key for check, _ in unnamed)), 12)
        notes.append([f"{count(len(unnamed), 'reading')} named no gauge: {keys}."])
    heads = ["gauge", "what", "reads to", "may err by", "last checked, set on", "due", "readings",
             "standing"]  # fmt: skip
    widths = ["auto", 1.7, 1, 1, 1.7, 1.2, "auto", 0.9]
    return {
        "name": "Gauges",
        "lane": (
            "What was measured with, and when each was last checked against something known. If "
            "one is found wrong later, what it touched is listed, not hidden."
        ),
        "table": {"heads": heads, "widths": widths, "rows": rows, "right": [6]} if rows else None,
        "notes": notes,
    }


def _row(state: GaugeState, uses: list[_Use]) -> list[str | Bits]:
    gauge = state.gauge
    marked = f", marked {gauge.marked}" if gauge.marked else ""
    on = f"set on {gauge.set_on}" if gauge.set_on else ""
    checked = date_said(gauge.last_check) if gauge.last_check else "not known"
    spread = f", repeats to {given(gauge.repeatability)}" if gauge.repeatability else ""
    faults = [*(["suspect"] if state.suspect else []), *(["overdue"] if state.overdue else [])]
    standing: str | Bits = [{"bold": ", ".join(faults)}] if faults else "good"
    return [
        gauge.id,
        f"{gauge.kind}{marked}",
        given(gauge.resolution),
        f"{given(gauge.permissible_error)}{spread}",
        ", ".join(filter(None, (checked, on))),
        date_said(gauge.due) if gauge.due else "not given",
        str(len(uses)),
        standing,
    ]


def _against(state: GaugeState, uses: list[_Use], trail: Trail) -> list[Bits]:
    found: list[Bits] = []
    gauge = state.gauge
    late = [use for use in uses if _is_late(use[1], gauge.due)]
    if late:
        readings = count(len(late), "reading was", "readings were")
        keys = listed(list(dict.fromkeys(check.key for check, _ in late)), 12)
        found.append(
            [
                {"bold": f"{gauge.id}, overdue: "},
                f"due on {date_said(gauge.due)}; {readings} taken on or after that day: {keys}.",
            ]
        )
    if state.suspect and state.suspected is not None:
        found.append(
            [
                {"bold": f"{gauge.id}, suspect since {day(state.since)}: "},
                (
                    f"{words.sentence(state.suspect, capital=False)} "
                    f"{words.signed(state.suspected, trail.home)}. "
                ),
                _touched(state, trail),
            ]
        )
    return found


def _is_late(attempt: Attempt, due: str) -> bool:
    """Return whether a reading was taken on the day a check was due, or later."""
    record = attempt.record
    read_at = record.read_at if isinstance(record, Read) else ""
    last = _date(due)
    taken = _date(read_at) or _date(attempt.stamp.at)
    return last is not None and taken is not None and taken >= last


def _date(text: str) -> date | None:
    try:
        return datetime.fromisoformat(text).date()
    except ValueError:
        return None


def _touched(state: GaugeState, trail: Trail) -> str:
    """Return everything that rests on a gauge since it is suspect, value by value."""
    if not state.touched:
        return "It touched no reading."
    said = []
    for digest in state.touched:
        found, entry = trail.attempt(digest), trail.entry(digest)
        seq = f", {words.entry_said(entry, trail.home)}" if entry else ""
        said.append(f"{_said(*found)}{seq}" if found else f"an entry{seq}")
    return f"It touched {count(len(said), 'value')}, unproven by it: {'; '.join(said)}."


def _said(check: Check, attempt: Attempt) -> str:
    spot = ""
    if isinstance(attempt.record, Read):
        spot = f" ({attempt.record.spot.words})" if attempt.record.spot.words else ""
        return f"{check.key}{spot} {entered(attempt.record)}"
    shown = displayed(check, attempt)
    return f"{check.key} {shown[1].value(shown[0].value)}" if shown else check.key


def _cleared(entries: tuple[Entry, ...]) -> list[Bits]:
    """Return every suspicion that turned out unfounded, with how that is known."""
    last: dict[str, Entry] = {}
    found: list[Bits] = []
    for entry in entries:
        match entry.evidence:
            case GaugeSuspected(gauge=gauge):
                last[gauge] = entry
            case GaugeCleared(gauge=gauge, reason=reason) if gauge in last:
                before = last.pop(gauge).evidence
                why = before.reason if isinstance(before, GaugeSuspected) else ""
                who = f"{entry.by}, {day(entry.at)}, {words.entry_said(entry, entries[0].bench)}"
                found.append(
                    [
                        {"bold": f"{gauge}, cleared: "},
                        f"was suspect ({why}); {words.quoted(reason)} {who}.",
                    ]
                )
    return found
