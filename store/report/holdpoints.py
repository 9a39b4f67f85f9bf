"""The pages of the hold points: what each hides, who closed it, what was refused and waived."""

from typing import Any

from store.report import words
from store.report.figures import NBSP, count, listed, moment
from store.report.places import done_said
from store.report.prints import Print, hold_prints
from store.report.view import BookView
from store.report.words import Bits
from store.round import Check, Hold, Place, Round

_SHORT_ID = 2
_NAMED = 12
MEANING = (
    "Unproven means: not measured, outside, too close to call, struck, resting on a suspect "
    "gauge, without the limit that was asked for; or a demanded photo, debris log or plug that is "
    "missing. The bench's program refuses to close a hold point until each is settled or waived "
    "in writing. A refused try is kept and listed here."
)


def holds(known: Round, view: BookView) -> tuple[dict[str, Any], list[Print]]:
    """Return the data of the pages of hold points, and the photos of what closes them."""
    closed = sum(hold.closed is not None for hold in known.holds)
    unsealed = sum(hold.unsealed for hold in known.holds)
    ids = [hold.hold_point.id for hold in known.holds]
    lead = (
        f"{count(len(ids), 'stop')}: a part may not go on until everything it hides is shown or "
        f"waived. {closed}{NBSP}closed, {len(ids) - closed}{NBSP}open."
    )
    lead += f" {unsealed}{NBSP}closed, not sealed." if unsealed else ""
    ends = list(dict.fromkeys([ids[0], ids[-1]])) if ids else []
    code = "\u2013".join(ends) if max(map(len, ends), default=0) <= _SHORT_ID else "H"
    made = [_hold(hold, known, view) for hold in known.holds]
    data = {
        "code": code,
        "lead": lead,
        "list": [data for data, _ in made],
        "meaning": MEANING,
    }
    return data, [each for _, prints in made for each in prints]


def _hold(hold: Hold, known: Round, view: BookView) -> tuple[dict[str, Any], list[Print]]:
    point = hold.hold_point
    name = words.hold_name(point)
    prints = hold_prints(view, hold.photos, name)
    data = {
        "name": name,
        "lane": _lane(hold, known),
        "closed": hold.closed is not None,
        "standing": _standing(hold),
        "when": words.signed(hold.closed, known.home)
        if hold.closed
        else "not closed when this report was made",
        "table": {
            "heads": ["location", "what it hides", "verdict"],
            "widths": ["auto", 2, 1.2],
            "rows": _hidden(hold, known),
        },
        "notes": _notes(hold, known),
        "photos": [made.data for made in prints],
    }
    return data, prints


def _standing(hold: Hold) -> str:
    if hold.closed is None:
        return "Opened again" if hold.reopened else "Open"
    tries = len(hold.refusals)
    said = "Closed" if not tries else f"Closed after {count(tries, 'refused try', 'refused tries')}"
    if not hold.hold_point.seal:
        return said
    return f"{said}, sealed" if hold.seal else f"{said}, not sealed"


def _lane(hold: Hold, known: Round) -> str:
    names = []
    for hidden in hold.hold_point.hides:
        other = next((h.hold_point for h in known.holds if h.hold_point.id == hidden), None)
        names.append(
            f"all behind {words.hold_name(other)}" if other else known.plan.location(hidden).name
        )
    return f"Behind it: {listed(names, _NAMED)}."


def _hidden(hold: Hold, known: Round) -> list[list[str | Bits]]:
    """Return a row for every check hidden directly, one for each hold point with all it hides.

    The checks of a location that are proven and not waived share a row.
    """
    direct = set(hold.hold_point.hides)
    rows = [_by_way_of(other, known) for other in known.holds if other.hold_point.id in direct]
    for place in known.places:
        if place.location.id in direct:
            rows += _of_place(place)
    return rows


def _by_way_of(other: Hold, known: Round) -> list[str | Bits]:
    checks = [check for check in known.checks if check.location.id in other.hides]
    said = f"{words.hold_name(other.hold_point)}, {other.state}: {count(len(checks), 'check')}"
    return [other.hold_point.id, f"{said} at {count(len(other.hides), 'location')}", _tally(checks)]


def _tally(checks: list[Check]) -> Bits:
    bits: Bits = []
    states = list(dict.fromkeys(words.sign_of(check) for check in checks))
    for state in states:
        number = sum(words.sign_of(check) == state for check in checks)
        bits += [{"break": True}] if bits else []
        bits += [f"{number} ", {"state": state, "size": 11}]
    return bits


def _of_place(place: Place) -> list[list[str | Bits]]:
    here = place.location.id
    if not place.checks:
        return [[here, place.location.name, "nothing asked but its plug or its passage"]]
    quiet = [c for c in place.checks if c.proven and not c.waiver and not c.suspect]
    # One line for what needs no eye; the rest one by one.
    together = quiet if len(quiet) > 1 else []
    rows: list[list[str | Bits]] = []
    if together:
        number = count(len(together), "check")
        rows.append([here, f"{place.location.name}: {number}", _tally(together)])
    rows += [[here, words.asked(c), _verdict(c)] for c in place.checks if c not in together]
    return rows


def _verdict(check: Check) -> Bits:
    verdict: Bits = [words.state_bit(check)]
    if check.suspect:
        verdict += [" ", {"bold": "suspect"}]
    if check.waiver is not None:
        verdict += [" ", {"slip": "waived"}]
    return verdict


def _notes(hold: Hold, known: Round) -> list[Bits]:
    notes: list[Bits] = []
    for refusal in hold.refusals:
        stamp = refusal.stamp
        notes.append(
            [
                {"bold": "Refused"},
                f" {moment(stamp.at)}, {stamp.by}, {words.entry_said(stamp, known.home)}. ",
                f"Held off by: {_unproven(refusal.unproven)}.",
            ]
        )
    notes += words.waived(hold.waived, known.home)
    for stamp, reason in hold.reopened:
        said = f" {words.signed(stamp, known.home)}: {words.quoted(reason)}"
        notes.append([{"bold": "Opened again"}, said])
    if hold.unproven:
        said = "Unproven now, after it was closed: " if hold.closed else "Unproven now: "
        notes.append([{"bold": said}, f"{_unproven(hold.unproven)}."])
    if hold.hold_point.roles:
        notes.append([f"Photos demanded at each location: {', '.join(hold.hold_point.roles)}."])
    return [*notes, *_debris(hold, known), *_sealed(hold, known.home)] + (
        [[{"bold": "Caution. "}, hold.hold_point.caution]] if hold.hold_point.caution else []
    )


def _unproven(unproven: tuple[tuple[str, str], ...]) -> str:
    return "; ".join(f"{key}: {why}" for key, why in unproven)


def _debris(hold: Hold, known: Round) -> list[Bits]:
    """Return the last log of each passage hidden, where the hold point asks for one."""
    if not hold.hold_point.debris:
        return []
    notes: list[Bits] = []
    for place in known.places:
        if place.location.id in hold.hides and place.location.gallery and place.never is None:
            standing = [log for log in place.debris if log.struck is None]
            said: Bits = done_said(standing[-1], known) if standing else ["No debris log."]
            notes.append([f"{place.location.id} {place.location.name}. ", *said])
    return notes


def _sealed(hold: Hold, home: str) -> list[Bits]:
    if not hold.hold_point.seal:
        return []
    if hold.seal is not None:
        number = hold.seal.taken.photo[:8]
        said = f"Photo {number} of what closes it, {words.signed(hold.seal.stamp, home)}."
        return [[{"bold": "Sealed. "}, said]]
    if hold.unsealed:
        return [[{"bold": "Closed, not sealed: "}, "the photo of what closes it is still to come."]]
    return [["A photo of what closes it is asked for, once it is on."]]
