"""The first page: what was checked and what was not, before anything else."""

from typing import Any

from annotate.quantity import Quantity
from store.report import words
from store.report.drawing import limits_said
from store.report.figures import NBSP, Saying, count, day
from store.report.places import Print
from store.report.values import displayed, value_said
from store.report.words import Bits
from store.round import Check, Hold, Round, Standing

_SMALL_NUMBERS = (
    "none", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
    "eleven", "twelve",
)  # fmt: skip
_ON_COVER = 6
_WHOLE_LIST = 8


def cover(known: Round, picture: Print | None, *, at: str) -> dict[str, Any]:
    """Return the data of page 1."""
    job = known.job
    tally = known.tally()
    states = [state for state, number in tally.items() if state != "no limit" or number]
    return {
        "kind": "Evidence report",
        "date": day(at),
        "shop": job.shop,
        "subject": f"{subject(known)}, for {job.customer}",
        "lead": _lead(known),
        "counts": [{"state": s, "n": tally[s]} for s in states],
        "count-lane": (
            "Each sign is one thing that had to be shown. A waiver never changes a sign."
        ),
        "count-line": _count_line(known),
        "string": _string(known),
        "legend": (
            "The round in the order it is walked. A plug flush in its bore is within its limit, "
            "proud is outside, cocked too close to call, an empty bore not measured. Upright bars "
            "are hold points: filled closed, outlined open."
        ),
        "cautions": _cautions(known),
        "not-measured": _not_measured(known),
        "eye": _needs_eye(known),
        "left-out": "; ".join(job.left_out) + "." if job.left_out else "Nothing was listed.",
        "who": _who(known, at),
        "picture": picture.data if picture else None,
        "pledge": (
            "\u201cI took these photos and readings, or stood by, and they are of the engine "
            "named above.\u201d"
        ),
        "signer": f"name, {job.shop}, date",
    }


def subject(known: Round) -> str:
    """Return the engine in words, with its number."""
    number = known.job.engine_number
    return known.job.engine + (f", engine no.{NBSP}{number}" if number else "")


def _spelt(number: int) -> str:
    return _SMALL_NUMBERS[number] if number < len(_SMALL_NUMBERS) else str(number)


def _is(number: int) -> str:
    return "is" if number == 1 else "are"


def _lead(known: Round) -> Bits:
    tally = known.tally()
    within = tally["within"]
    text = f"Of {count(len(known.checks), 'thing')} asked of this engine, "
    text += f"{within} {_is(within)}" if within else "none is"
    text += " shown to be within."
    decided: tuple[Standing, ...] = ("outside", "too close to call")
    for state in decided:
        number = tally[state]
        if number:
            text += f" {_spelt(number).capitalize()} {_is(number)} {state}."
    missing = tally["not measured"]
    if missing:
        text += f" {_spelt(missing).capitalize()} {'was' if missing == 1 else 'were'} not measured."
    if tally["no limit"]:
        number = tally["no limit"]
        text += f" {_spelt(number).capitalize()} {_is(number)} recorded without a limit."
    waived = [c for c in known.checks if c.waiver is not None]
    if waived:
        text += f" Waived in writing, without changing what it is: {_waived_said(waived)}."
    holding = [h for h in known.holds if h.unproven and not h.closed]
    if holding:
        number = len(holding)
        named = ", ".join(words.hold_name(h.hold_point) for h in holding)
        text += f" Still held open by something unproven: {named}."
    late = [h for h in known.holds if h.unproven and h.closed]
    if late:
        named = ", ".join(words.hold_name(h.hold_point) for h in late)
        text += f" Closed, yet no longer proven: {named}."
    return [text, " ", {"bold": "Before first start, read the cautions on this page."}]


def _waived_said(waived: list[Check]) -> str:
    """Return each waived check by its key, with what it stands at."""
    named = [f"{check.key} ({check.state})" for check in waived[:_ON_COVER]]
    rest = len(waived) - len(named)
    return ", ".join(named) + (f" and {rest} more, each marked below" if rest else "")


def _count_line(known: Round) -> str:
    checks = count(len(known.checks), "check")
    places = count(len(known.places), "location")
    limits = "" if known.tally()["no limit"] else ", each against a limit written down before it"
    return f"{checks} at {places}{limits}{' was measured' if limits else ''}."


def _string(known: Round) -> list[dict[str, Any]]:
    """Return all signs in walking order; a hold point's bar follows the last it hides."""
    order = [place.location.id for place in known.places]
    after: dict[str, list[Hold]] = {}
    for hold in known.holds:
        hidden = [i for i in order if i in hold.hold_point.hides]
        if hidden:
            after.setdefault(hidden[-1], []).append(hold)
    string: list[dict[str, Any]] = []
    for place in known.places:
        for check in place.checks:
            last = check is place.checks[-1]
            string.append({"state": check.state, "suspect": False, "last": last})
        string += [
            {"name": f"{h.hold_point.id} {h.state}", "closed": h.closed is not None}
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
    missing = [check for check in known.checks if check.state == "not measured"]
    shown = missing if len(missing) <= _WHOLE_LIST else missing[:_ON_COVER]
    rest = len(missing) - len(shown)
    notes: list[Bits] = []
    if rest:
        notes.append(
            [{"bold": f"And {rest} more, {len(missing)} in all. "}, "Each stands at its location."]
        )
    rows: list[list[str | Bits]] = [
        [check.location.id, asked(check), words.why_not(check), _since(check)] for check in shown
    ]
    heads = ["location", "what", "why not", "since then"]
    return {"heads": heads, "widths": ["auto", 2, 2, 0.9], "rows": rows, "notes": notes}


def asked(check: Check) -> str:
    """Return what a check asks, with its location's name where the question leaves it out."""
    return f"{check.location.name}: {check.characteristic.question}"


def _needs_eye(known: Round) -> dict[str, Any]:
    rows: list[list[str | Bits]] = []
    for check in known.checks:
        if check.state in {"outside", "too close to call"}:
            what: Bits = [{"state": check.state, "size": 11}, {"break": True}, asked(check)]
            rows.append([check.location.id, what, _against(check), _since(check)])
    heads = ["location", "what", "result against limit", "since then"]
    return {"heads": heads, "widths": ["auto", 2, 2, 0.9], "rows": rows}


def _against(check: Check) -> str:
    limit = check.characteristic.limit
    shown = displayed(check, check.current) if check.current else None
    said = value_said(check)
    if limit is None:
        return said or check.why
    say = shown[1] if shown else _plain(limit.at_most or limit.at_least)
    return f"{said}; limit {limits_said(limit, say)}" if say else said


def _plain(side: Quantity | None) -> Saying | None:
    return Saying(side.unit, 2) if side is not None else None


def _days(known: Round) -> str:
    first, last = day(known.started.at), day(known.last.at)
    return first if first == last else f"{first} to {last}"


def _who(known: Round, at: str) -> list[list[str | Bits]]:
    job = known.job
    people = list(dict.fromkeys(a.stamp.by for c in known.checks for a in c.attempts))
    rows: list[list[str | Bits]] = [
        ["engine", subject(known)],
        ["owner", job.customer],
        ["shop", job.shop],
        ["measured by", ", ".join(people) or "nobody yet"],
        ["job", f"{job.number}, {_days(known)}"],
        ["report of", f"{day(at)}, {count(known.entries, 'entry', 'entries')} in the book"],
    ]
    rows += [["declined", text] for text in job.declined]
    rules = {c.characteristic.limit.rule for c in known.checks if c.characteristic.limit}
    text = words.GUARDED + (f" {words.SIMPLE}" if "simple" in rules else "")
    rows.append(["verdict rule", text])
    return rows
