"""The lists at the end: hold points, gauges, corrections, what the owner asked and declined."""

from typing import Any

from store.codec import Entry
from store.evidence import Closed, Read, Struck
from store.report import words
from store.report.cover import asked
from store.report.figures import NBSP, count, given, moment
from store.report.words import Bits
from store.round import Attempt, Hold, Round, Stamp, Strike

_SHORT_ID = 2
MEANING = (
    "Unproven means: not measured, outside, too close to call, struck, or a demanded photo that "
    "is missing. The bench's program refuses to close a hold point until each is settled or "
    "waived in writing. A refused try is kept and listed here."
)


def holds(known: Round) -> dict[str, Any]:
    """Return the data of the page of hold points."""
    closed = sum(hold.closed is not None for hold in known.holds)
    ids = [hold.hold_point.id for hold in known.holds]
    lead = (
        f"{count(len(ids), 'stop')}: a part may not go on until everything it hides is shown or "
        f"waived. {closed}{NBSP}closed, {len(ids) - closed}{NBSP}open."
    )
    ends = list(dict.fromkeys([ids[0], ids[-1]])) if ids else []
    code = "\u2013".join(ends) if max(map(len, ends), default=0) <= _SHORT_ID else "H"
    return {
        "code": code,
        "lead": lead,
        "list": [_hold(hold, known) for hold in known.holds],
        "meaning": MEANING,
    }


def _hold(hold: Hold, known: Round) -> dict[str, Any]:
    point = hold.hold_point
    tries = len(hold.refusals)
    standing = "Open"
    when = "not closed when this report was made"
    if hold.closed is not None:
        standing = (
            "Closed"
            if not tries
            else f"Closed after {count(tries, 'refused try', 'refused tries')}"
        )
        when = words.signed(hold.closed)
    return {
        "name": words.hold_name(point),
        "lane": f"Behind it: {', '.join(known.plan.location(i).name for i in point.hides)}.",
        "closed": hold.closed is not None,
        "standing": standing,
        "when": when,
        "table": {
            "heads": ["location", "what it hides", "verdict"],
            "widths": ["auto", 2, 1.2],
            "rows": _hidden(hold, known),
        },
        "notes": _hold_notes(hold),
    }


def _hidden(hold: Hold, known: Round) -> list[list[str | Bits]]:
    rows: list[list[str | Bits]] = []
    for check in known.checks:
        if check.location.id in hold.hold_point.hides:
            verdict: Bits = [{"state": check.state, "size": 11}]
            if check.waiver is not None:
                verdict += [" ", {"slip": "waived"}]
            rows.append([check.location.id, asked(check), verdict])
    return rows


def _hold_notes(hold: Hold) -> list[Bits]:
    notes: list[Bits] = []
    for refusal in hold.refusals:
        held = "; ".join(f"{key}: {why}" for key, why in refusal.unproven)
        stamp = refusal.stamp
        notes.append(
            [
                {"bold": "Refused"},
                f" {moment(stamp.at)}, {stamp.by}, entry{NBSP}{stamp.seq}. Held off by: {held}.",
            ]
        )
    notes += [words.waived(waiver, waiver.hold_point) for waiver in hold.waived]
    if hold.unproven:
        held = "; ".join(f"{key}: {why}" for key, why in hold.unproven)
        said = "Unproven now, after it was closed: " if hold.closed else "Unproven now: "
        notes.append([{"bold": said}, f"{held}."])
    if hold.hold_point.roles:
        notes.append([f"Photos demanded at each location: {', '.join(hold.hold_point.roles)}."])
    if hold.hold_point.caution:
        notes.append([{"bold": "Caution. "}, hold.hold_point.caution])
    return notes


def registers(known: Round, entries: tuple[Entry, ...]) -> dict[str, Any]:
    """Return the data of the register pages."""
    struck = _corrections(known) + _reopened(entries)
    gauges = count(len(known.plan.gauges), "gauge")
    strikes = count(len(struck), "entry", "entries")
    return {
        "code": "G",
        "title": "Gauges and corrections",
        "lead": f"{gauges[:1].upper()}{gauges[1:]}, {strikes} struck.",
        "list": [_gauges(known), _struck(struck), _instructions(known)],
    }


def _gauges(known: Round) -> dict[str, Any]:
    records = [a.record for c in known.checks for a in c.attempts]
    used = [r.gauge for r in records if isinstance(r, Read) and r.answer is None]
    rows: list[list[str | Bits]] = [
        [
            gauge.id,
            gauge.kind,
            given(gauge.resolution),
            given(gauge.permissible_error),
            ", set on ".join(filter(None, [gauge.last_check or "not known", gauge.set_on])),
            str(used.count(gauge.id)),
        ]
        for gauge in known.plan.gauges
    ]
    unnamed = sum(not gauge for gauge in used)
    notes: list[Bits] = []
    if not rows:
        notes.append(["No gauge was named in this job."])
    if unnamed:
        notes.append([f"{count(unnamed, 'reading')} named no gauge."])
    heads = ["gauge", "what", "reads to", "may err by", "last checked", "readings"]
    widths = ["auto", 2, 1, 1, 2, "auto"]
    return {
        "name": "Gauges",
        "lane": "What was measured with, and when each was last checked against something known.",
        "table": {"heads": heads, "widths": widths, "rows": rows, "right": [5]} if rows else None,
        "notes": notes,
    }


def _corrections(known: Round) -> list[list[str | Bits]]:
    """Return a row for everything struck: values, waivers and photos, in walking order."""
    found: list[tuple[str, str, Strike | None, Stamp]] = []
    for place in known.places:
        for check in place.checks:
            found += [(check.key, _typed(a), a.struck, a.stamp) for a in check.attempts]
            found += [(check.key, "waiver", w.struck, w.stamp) for w in check.waivers]
        here = place.location.id
        found += [
            (here, f"photo {p.taken.photo[:8]}, {p.taken.role}", p.struck, p.stamp)
            for p in place.photos
        ]
        found += [(here, "waiver", w.struck, w.stamp) for w in place.waivers]
    return [_struck_row(*row) for row in found if row[2] is not None]


def _reopened(entries: tuple[Entry, ...]) -> list[list[str | Bits]]:
    """Return a row for every closing that was struck: the round shows such a hold as open."""
    closings = {e.hash: e.evidence for e in entries if isinstance(e.evidence, Closed)}
    rows = []
    for entry in entries:
        struck = entry.evidence
        if isinstance(struck, Struck) and struck.entry in closings:
            what = f"closing of {closings[struck.entry].hold_point}"
            by = f"{entry.by}, {moment(entry.at)}; entry{NBSP}{entry.seq}"
            bits: list[str | Bits] = ["hold point", [{"struck": what}], struck.reason, by]
            rows.append(bits)
    return rows


def _typed(attempt: Attempt) -> str:
    record = attempt.record
    return record.text if isinstance(record, Read) else f"attempt {attempt.number}"


def _struck_row(key: str, what: str, strike: Strike | None, stamp: Stamp) -> list[str | Bits]:
    if strike is None:
        return [key, what, "", ""]
    by = f"{strike.stamp.by}, {moment(strike.stamp.at)}; entry{NBSP}{strike.stamp.seq}"
    return [key, [{"struck": what}], strike.reason, f"{by} strikes {stamp.seq}"]


def _struck(rows: list[list[str | Bits]]) -> dict[str, Any]:
    heads = ["check", "struck", "reason given", "by, when, entry"]
    return {
        "name": "Corrections",
        "lane": "A struck entry was wrong. It stays legible and the reason stands beside it.",
        "table": {"heads": heads, "widths": ["auto", 1, 2, 1.6], "rows": rows} if rows else None,
        "notes": [] if rows else [["Nothing was struck."]],
    }


def _instructions(known: Round) -> dict[str, Any]:
    rows: list[list[str | Bits]] = [["asked", text] for text in known.job.instructions]
    rows += [["declined", text] for text in known.job.declined]
    heads = ["", "in the owner's or the builder's words"]
    return {
        "name": "Instructions",
        "lane": "What the owner asked for, and turned down, as written down at the start.",
        "table": {"heads": heads, "widths": ["auto", 1], "rows": rows} if rows else None,
        "notes": [] if rows else [["None were written down."]],
    }
