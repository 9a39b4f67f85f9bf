"""The standard sentences of the report: one fact of the round -> finished pieces of text.

A piece is a string or a dictionary with one key that says how it is set: ``state`` (sign and
word), ``struck``, ``ring`` (what decided), ``soft``, ``page`` (where a location stands),
``slip``, ``bold``, ``mono``, ``tight`` (may be broken anywhere), ``line`` (a limit line without
figures), ``break``.
"""

from collections.abc import Sequence
from typing import Any

from annotate.quantity import Quantity
from store.attempt import numbered
from store.characteristic import Characteristic, Kind, Limit
from store.codec import Entry
from store.plan import HoldPoint, Location
from store.report.drawing import bounds_in, limits_said, walls_of
from store.report.figures import NBSP, Saying, listed, moment, odds
from store.round import Check, Stamp, Strike, Waived
from store.verdict import Verdict

Bits = list[str | dict[str, Any]]

GUARDED = (
    "Within asks for odds of 95 in 100 of being within the limit, outside for the same odds of "
    "being outside; anything else is too close to call (one-sided guard band, ISO 14253-1:2017)."
)
SIMPLE = (
    "Where simple acceptance is named, the value alone is compared with the limit and its "
    "uncertainty is not counted."
)
PHOTO_CAUTION = (
    "A figure from a photo is a screening aid: where it matters, confirm it with a pin or a gauge."
)
START_CAUTION = "Prime the oil and see it arrive at every point; the maker's manual says how."

_SHORT_ID = 2
LONGEST_IN_A_COLUMN = 60
NEVER = "never fitted"  # the sign of what this block never had
_KIND_NAMES: dict[Kind, str] = {
    "coverage": "Oil hole, from the photo",
    "length": "Size",
    "depth": "Depth",
    "angle": "Angle",
    "torque": "Torque",
    "pressure": "Pressure",
    "time": "Time",
    "count": "Count",
    "pin": "Pins tried",
    "yes-no": "Yes or no",
    "note": "In words",
    "computed": "Worked out",
    "agreement": "Do two ways agree?",
}


def kind_name(characteristic: Characteristic) -> str:
    """Return the row head of one check."""
    return _KIND_NAMES[characteristic.kind]


def sign_of(check: Check) -> str:
    """Return the word whose sign a check gets; what this block never had has its own."""
    return NEVER if check.excused else check.state


def state_bit(check: Check, size: float = 11) -> dict[str, Any]:
    """Return a check's sign and word; the sign is cut where it rests on a suspect gauge."""
    return {"state": sign_of(check), "size": size, "suspect": bool(check.suspect)}


def covered_of(limit: Limit | None, location: Location) -> str:
    """Return of what a coverage is a share."""
    of = limit.of if limit else "covered"
    if of == "covered of near":
        return f"of the {location.near}"
    if of == "covered of far":
        return f"of the {location.far}"
    return "of the smaller hole"


def shortened(text: str) -> str:
    """Return a person's text cut to what a narrow column holds; the notes have it whole."""
    return text if len(text) <= LONGEST_IN_A_COLUMN else f"{text[: LONGEST_IN_A_COLUMN - 1]}\u2026"


def is_long(text: str) -> bool:
    """Return whether a person's text is too long for a narrow column."""
    return len(text) > LONGEST_IN_A_COLUMN


def signed(stamp: Stamp, home: str) -> str:
    """Return who entered something and when, with its entry number.

    ``home`` is the bench that began the book: an entry of another is told with its name.
    """
    return f"{stamp.by}, {moment(stamp.at)}, {entry_said(stamp, home)}"


def entry_said(said: Stamp | Entry, home: str) -> str:
    """Return "entry 60", or "entry south 2" of another bench than the one that began the book."""
    return f"entry{NBSP}{numbered(said, home).replace(' ', NBSP)}"


def struck(strike: Strike, stamp: Stamp, home: str) -> Bits:
    """Return who struck an entry, when and why."""
    who, by = f"{strike.stamp.by}, {moment(strike.stamp.at)}", entry_said(strike.stamp, home)
    return [
        {"bold": "Struck"},
        (f" {who}: {quoted(strike.reason)} {by.capitalize()} strikes {entry_said(stamp, home)}."),
    ]


def waived(waivers: Sequence[Waived], home: str) -> list[Bits]:
    """Return what was decided, by whom, and how the owner agreed.

    Waivers given with the same words by the same person are one piece.
    """
    together: dict[tuple[str, ...], list[Waived]] = {}
    for waiver in waivers:
        same = (waiver.hold_point, waiver.reason, waiver.decided_by, waiver.owner_agreed)
        how = (waiver.stamp.by, "stands" if waiver.stands else waiver.stamp.entry)
        together.setdefault((*same, *how), []).append(waiver)
    return [_waived_alike(alike, home) for alike in together.values()]


def _waived_alike(alike: list[Waived], home: str) -> Bits:
    waiver = alike[0]
    ended = "" if waiver.stands else _ended(waiver)
    what = listed([waived_key(each) for each in alike])
    signs = "The signs do" if len(alike) > 1 else "The sign does"
    return [
        {"slip": "waived"},
        (
            f"  {what}, for hold point {waiver.hold_point}: {quoted(waiver.reason)} Decided by "
            f"{waiver.decided_by}; owner: {waiver.owner_agreed}. {waiver.stamp.by}, "
            f"{moment(waiver.stamp.at)}, {entries_said(alike, home)}. {signs} not change.{ended}"
        ),
    ]


def waived_key(waiver: Waived) -> str:
    """Return what a waiver is for: a check with its state, a location with what it lacks."""
    return f"{waiver.key} ({waiver.state if '.' in waiver.key else 'what is missing there'})"


def entries_said(waivers: Sequence[Waived], home: str) -> str:
    """Return the numbers of the entries of some waivers: "entries 4, 5 and 6"."""
    seqs = listed([numbered(each.stamp, home) for each in waivers])
    return f"{'entries' if len(waivers) > 1 else 'entry'}{NBSP}{seqs}"


def _ended(waiver: Waived) -> str:
    if waiver.struck is not None:
        strike = waiver.struck
        return (
            f" Struck by {strike.stamp.by}, {moment(strike.stamp.at)}: {quoted(strike.reason)} "
            "It no longer stands."
        )
    return " It no longer stands: what it was given for has changed since."


def sentence(clause: str, *, capital: bool = True) -> str:
    """Return a clause with a capital and a full stop."""
    first = clause[:1].upper() if capital else clause[:1]
    return f"{first}{clause[1:]}" + ("" if clause.endswith((".", "!", "?")) else ".")


def quoted(text: str) -> str:
    """Return somebody's own words in quotation marks, ended like a sentence."""
    return f"\u201c{text}\u201d" + ("" if text.rstrip().endswith((".", "!", "?")) else ".")


def judged(quantity: Quantity, verdict: Verdict, say: Saying) -> Bits:
    """Return a judged value in one sentence: interval, bound, limit, source, odds, rule."""
    low, high = quantity.interval()
    limit = verdict.limit
    bits: Bits = [{"bold": say.value(quantity.value)}]
    if is_counted(quantity):
        return [*bits, f". Limit: {limits_said(limit, say)}; source: {limit.source}."]
    if quantity.u > 0 or quantity.quantiles:
        bits.append(f", 95{NBSP}% interval {say.interval(low, high)}")
    else:
        bits.append(", no uncertainty stated")
    bounds = [say.value(bound) for bound in bounds_in(verdict, say.unit) if bound is not None]
    if bounds:
        bits.append(f", one-sided bound {' and '.join(bounds)}")
    bits.append(f". Limit: {limits_said(limit, say)}; source: {limit.source}.")
    bits.append(_odds(verdict))
    return bits


def is_counted(quantity: Quantity) -> bool:
    """Return whether it is a bare count, which is right or wrong and has no interval."""
    return quantity.unit == "count" and quantity.u <= 0


def odds_in_short(verdict: Verdict) -> str:
    """Return by which odds a value is within, for a narrow column; empty where none were asked."""
    if verdict.limit.rule == "simple":
        return "simple acceptance"
    within = verdict.probability_within
    return "" if within is None else f"odds {odds(within)}"


def _odds(verdict: Verdict) -> str:
    if verdict.limit.rule == "simple":
        return " Simple acceptance: the value alone was compared with the limit."
    within = verdict.probability_within
    if within is None:
        return ""
    if verdict.state == "outside":
        return f" Odds of being outside: {odds(1 - within)}."
    undecided = ", so neither within nor outside" if verdict.state == "too close to call" else ""
    return f" Odds of being within: {odds(within)}{undecided}."


def clearance(quantity: Quantity, verdict: Verdict, say: Saying) -> str:
    """Return how far from the limit it is: the value if outside, else the worst it could be."""
    if is_counted(quantity):
        return ""
    low, high = bounds_in(verdict, say.unit)
    outside = verdict.state == "outside"
    beyond = []
    for wall, least in walls_of(verdict.limit, say.unit):
        worst = quantity.value if outside else low if least else high
        if worst is not None:
            beyond.append(wall - worst if least else worst - wall)
    if not beyond:
        return ""
    past = max(beyond)
    far = Saying(say.unit, say.decimals).value(abs(past)).replace("%", "points")
    if outside and past > 0:
        return f"The value is past the limit by {far}."
    if past > 0:
        return f"The worst it could be reaches past the limit by {far}."
    return f"The worst it could be stays clear of the limit by {far}."


def asked(check: Check) -> str:
    """Return what a check asks, with its location's name where the question leaves it out."""
    return f"{check.location.name}: {check.characteristic.question}"


def why_not(check: Check) -> str:
    """Return why a check has no value that counts."""
    if check.why:
        return check.why
    return "nothing was entered" if not check.attempts else "no entry counts"


def hold_name(hold: HoldPoint) -> str:
    """Return a hold point as it is spoken of: a short id stands before its name, a long one not."""
    return f"{hold.id} {hold.name}" if len(hold.id) <= _SHORT_ID else hold.name or hold.id


def behind(holds: list[HoldPoint], closed: set[str]) -> str:
    """Return which hold points hide a location."""
    if not holds:
        return "No hold point hides it."
    named = [f"{hold_name(hold)} ({'closed' if hold.id in closed else 'open'})" for hold in holds]
    return f"Behind hold point {', '.join(named)}."
