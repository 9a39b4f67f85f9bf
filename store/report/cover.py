"""The first page: what was checked and what was not, before anything else."""

from typing import Any

from annotate.quantity import Quantity
from store.change import LimitSet
from store.evidence import OwnerSaid, PlanChanged
from store.judge import limit_for
from store.report import openings, words
from store.report.drawing import limits_said
from store.report.figures import Saying, count, day, listed
from store.report.names import plugs_named, with_names
from store.report.openings import subject
from store.report.prints import Print
from store.report.trail import Trail
from store.report.values import displayed, value_said
from store.report.words import NEVER, Bits
from store.round import Check, Hold, Round

_ON_COVER = 6
_WHOLE_LIST = 8


def cover(known: Round, picture: Print | None, trail: Trail, *, at: str) -> dict[str, Any]:
    """Return the data of page 1."""
    job = known.job
    tally = openings.tally(known)
    states = [s for s, number in tally.items() if number or s not in {"no limit", NEVER}]
    return {
        "kind": "Evidence report",
        "date": day(at),
        "shop": job.shop,
        "subject": f"{subject(known)}, for {job.customer}",
        "lead": openings.lead(known, trail),
        "counts": [{"state": s, "n": tally[s]} for s in states],
        "count-lane": (
            "Each sign is one thing that had to be shown. A waiver never changes a sign."
        ),
        "count-line": _count_line(known),
        "string": _string(known),
        "legend": _legend(known),
        "cautions": _cautions(known),
        "not-measured": _not_measured(known),
        "eye": _needs_eye(known),
        "counts-open": [words.sentence(plugs_named(each, known)) for each in known.counts_open],
        "left-out": "; ".join(job.left_out) + "." if job.left_out else "Nothing was listed.",
        "who": _who(known, at),
        "picture": picture.data if picture else None,
        "pledge": (
            "\u201cI took these photos and readings, or stood by, and they are of the engine "
            "named above.\u201d"
        ),
        "signer": f"name, {job.shop}, date",
    }


def _count_line(known: Round) -> str:
    checks = count(len(known.checks), "check")
    places = count(len(known.places), "location")
    late = any(
        isinstance(told.record, PlanChanged) and isinstance(told.record.change, LimitSet)
        for told in known.changes
    )
    # A limit given at the bench may have come after the reading: then this can't be claimed.
    if known.tally()["no limit"] or late:
        return f"{checks} at {places}."
    return f"{checks} at {places}, each against a limit written down before it was measured."


def _legend(known: Round) -> str:
    text = (
        "The round in the order it is walked. A plug flush in its bore is within its limit, "
        "proud is outside, cocked too close to call, an empty bore not measured."
    )
    if any(check.excused for check in known.checks):
        text += " A bare face was never fitted on this block."
    if any(check.suspect for check in known.checks):
        text += " A sign that is cut off below rests on a suspect gauge."
    return f"{text} Upright bars are hold points: filled closed, outlined open."


def _string(known: Round) -> list[dict[str, Any]]:
    """Return all signs in walking order; a hold point's bar follows the last it hides.

    It follows the bars of those that are closed before it too.
    """
    order = [place.location.id for place in known.places]
    after: dict[str, list[Hold]] = {}
    latest = -1
    for hold in known.holds:
        hidden = [n for n, i in enumerate(order) if i in hold.hides]
        if hidden:
            latest = max(latest, hidden[-1])
            after.setdefault(order[latest], []).append(hold)
    string: list[dict[str, Any]] = []
    for place in known.places:
        for check in place.checks:
            last = check is place.checks[-1]
            state = words.sign_of(check)
            string.append({"state": state, "suspect": bool(check.suspect), "last": last})
        string += [
            {"name": f"{words.hold_name(h.hold_point)}: {h.state}", "closed": h.closed is not None}
            for h in after.get(place.location.id, [])
        ]
    return string


def _cautions(known: Round) -> list[Bits]:
    own = [*known.job.cautions]
    own += [hold.hold_point.caution for hold in known.holds if hold.hold_point.caution]
    own += [c.characteristic.caution for c in known.checks if c.characteristic.caution]
    bits: list[Bits] = [[{"bold": "Before first start. "}, words.START_CAUTION]]
    bits += [[text] for text in dict.fromkeys(own)]
    if any(check.characteristic.kind == "coverage" for check in known.checks):
        bits.append([{"bold": "Photo figures. "}, words.PHOTO_CAUTION])
    return bits


def _since(check: Check) -> Bits:
    page: Bits = [" ", {"page": check.location.id}]
    return [{"slip": "waived"}, *page] if check.waiver is not None else ["open", *page]


def _not_measured(known: Round) -> dict[str, Any]:
    missing = [c for c in known.checks if words.sign_of(c) == "not measured"]
    shown = missing if len(missing) <= _WHOLE_LIST else missing[:_ON_COVER]
    rest = len(missing) - len(shown)
    notes: list[Bits] = []
    if rest:
        notes.append(
            [{"bold": f"And {rest} more, {len(missing)} in all. "}, "Each stands at its location."]
        )
    rows: list[list[str | Bits]] = [
        [check.location.id, words.asked(check), _why_not(check, known), _since(check)]
        for check in shown
    ]
    heads = ["location", "what", "why not", "since then"]
    return {"heads": heads, "widths": ["auto", 2, 2, 0.9], "rows": rows, "notes": notes}


def _why_not(check: Check, known: Round) -> str:
    why = words.why_not(check)
    # Only what the program said itself: a person's own words stay as they are.
    return with_names(why, known, check.location) if why.startswith("waits for ") else why


def _needs_eye(known: Round) -> dict[str, Any]:
    rows: list[list[str | Bits]] = []
    for check in known.checks:
        if check.excused or not _is_for_the_eye(check):
            continue
        what: Bits = [words.state_bit(check), {"break": True}, words.asked(check)]
        rows.append([check.location.id, what, _against(check), _since(check)])
    heads = ["location", "what", "result against limit", "since then"]
    return {"heads": heads, "widths": ["auto", 2, 2, 0.9], "rows": rows}


def _is_for_the_eye(check: Check) -> bool:
    asks = check.state == "no limit" and bool(check.characteristic.asks)
    return check.state in {"outside", "too close to call"} or bool(check.suspect) or asks


def _against(check: Check) -> str:
    limit = limit_for(check.characteristic)
    shown = displayed(check, check.current) if check.current else None
    said = value_said(check)
    suspect = f"; {check.suspect}" if check.suspect else ""
    if limit is None:
        asks = check.characteristic.asks
        lacking = f"; no limit was given yet (asks: {asks})" if asks else ""
        return f"{said or check.why}{lacking}{suspect}"
    say = shown[1] if shown else _plain(limit.at_most or limit.at_least)
    return f"{said}; limit {limits_said(limit, say)}{suspect}" if say else f"{said}{suspect}"


def _plain(side: Quantity | None) -> Saying | None:
    return Saying(side.unit, 2) if side is not None else None


def _days(known: Round) -> str:
    first, last = day(known.started.at), day(known.last.at)
    return first if first == last else f"{first} to {last}"


def _declined_since(known: Round) -> list[str]:
    """Return the advice that the owner declined after the job began, with how."""
    return [
        f"{told.record.words} ({told.record.how})"
        for told in known.owner
        if isinstance(told.record, OwnerSaid)
        and told.record.about == "declined"
        and told.struck is None
    ]


def _who(known: Round, at: str) -> list[list[str | Bits]]:
    job = known.job
    people = dict.fromkeys(
        a.stamp.by
        for check in known.checks
        for a in (*(check.readings or check.attempts), *(s.attempt for s in check.seconds))
    )
    rows: list[list[str | Bits]] = [
        ["engine", subject(known)],
        ["owner", job.customer],
        ["shop", job.shop],
        ["measured by", listed(list(people), 8) or "nobody yet"],
        ["job", f"{job.number}, {_days(known)}"],
        ["report of", f"{day(at)}, {count(known.entries, 'entry', 'entries')} in the book"],
    ]
    if known.follows:
        rows.append(["comeback of", f"job {known.follows}"])
    rows += [["declined", text] for text in (*job.declined, *_declined_since(known))]
    limits = [limit_for(check.characteristic) for check in known.checks]
    simple = any(
        limit is not None and limit.rule == "simple" and check.characteristic.kind != "agreement"
        for limit, check in zip(limits, known.checks, strict=True)
    )
    rows.append(["verdict rule", words.GUARDED + (f" {words.SIMPLE}" if simple else "")])
    return rows
