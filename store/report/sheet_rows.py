"""The round of a plan as the rows of a blank sheet: locations, checks, stops, and their limits."""

from typing import Any, Literal

from msgspec import Struct

from store.characteristic import ANSWERED_IN_WORDS, Characteristic, Limit
from store.plan import HoldPoint, Location, Plan
from store.report.boxes import boxes
from store.report.figures import Saying, unit_word

Paper = Literal["a4", "letter"]


class Printed(Struct, frozen=True):
    """What a sheet is printed of and when.

    ``book`` is what the book's folder is called, "BOOK" where there is none yet; ``entries`` is
    how many it held. ``keys`` are the checks that are asked for; empty: all.
    """

    at: str
    paper: Paper = "a4"
    book: str = "BOOK"
    entries: int = 0
    keys: frozenset[str] = frozenset()

    def asks(self, key: str) -> bool:
        """Return whether a check is to stand on the sheet."""
        return not self.keys or key in self.keys


def walk(plan: Plan, printed: Printed) -> list[dict[str, Any]]:
    """Return locations in walking order, each hold point after the last of what it hides."""
    order = [location.id for location in plan.locations]
    after: dict[int, list[HoldPoint]] = {}
    for hold in plan.hold_points:
        hidden = [order.index(location_id) for location_id in plan.hidden_by(hold.id)]
        after.setdefault(max(hidden, default=-1), []).append(hold)
    walked = []
    for number, location in enumerate(plan.locations):
        here = _location(plan, location, printed)
        if here["checks"] or here["worked"] or not printed.keys:
            walked.append(here)
        walked += [_hold(plan, hold, printed.book) for hold in after.get(number, [])]
    return walked


def _location(plan: Plan, location: Location, printed: Printed) -> dict[str, Any]:
    asked = [
        (f"{location.id}.{check.id}", check)
        for check in location.characteristics
        if printed.asks(f"{location.id}.{check.id}")
    ]
    return {
        "is": "location",
        "id": location.id,
        "name": location.name,
        "group": f"Easily mixed up within {location.group}." if location.group else "",
        "checks": [
            _check(plan, key, check, printed.book)
            for key, check in asked
            if not check.is_worked_out
        ],
        "worked": [_worked(key, check) for key, check in asked if check.is_worked_out],
        "things": _things(plan, location, printed.book),
    }


def _check(plan: Plan, key: str, check: Characteristic, book: str) -> dict[str, Any]:
    return {
        "key": key,
        "question": check.question,
        "method": _method(plan, check),
        "caution": check.caution,
        "boxes": boxes(plan, check),
        "command": _command(key, check, book),
    }


def _worked(key: str, check: Characteristic) -> dict[str, str]:
    """Return what the tool works out: nothing is written for it."""
    of = check.formula or " beside ".join(check.of or ())
    return {"key": key, "of": of, "question": check.question, "caution": check.caution}


def _method(plan: Plan, check: Characteristic) -> str:
    """Return how it is read: unit, datum, gauge and what is made of a grid."""
    parts = []
    if check.kind not in ANSWERED_IN_WORDS and check.kind not in {"coverage", "count"}:
        parts.append(f"in {unit_word(check.unit)}" if unit_word(check.unit) else "")
    parts.append(f"{check.kind} from {check.datum}" if check.datum else "")
    if check.gauge:
        gauge = plan.gauge(check.gauge)
        parts.append(f"with {gauge.id}, {gauge.kind}")
    elif check.instrument:
        parts.append(f"with {check.instrument}")
    parts.append(f"the {check.take} of them counts" if check.is_grid else "")
    parts.append("first as found, before any work" if check.found else "")
    return "; ".join(part for part in parts if part)


def _command(key: str, check: Characteristic, book: str) -> str:
    if check.kind == "coverage":
        return f"benchproof coverage PHOTO --book {book} --check {key}"
    texts = "TEXT TEXT ..." if check.is_grid else "TEXT"
    return f"benchproof reading {book} {key} {texts}"


def _things(plan: Plan, location: Location, book: str) -> list[dict[str, Any]]:
    """Return what is written down at a location besides its checks."""
    at = location.id
    rows = []
    if location.plug:
        out = f"benchproof plug {book} {at} out --size TEXT --note TEXT"
        rows.append(_thing("plug", ("came out", "never fitted here"), ("size", "old depth"), out))
    if location.gallery:
        log = f"benchproof debris {book} {at} --how TEXT --clean yes"
        rows.append(_thing("debris", ("clean",), ("cleaned how", "what came out"), log))
    for part in plan.parts:
        if part.location == at:
            on = f"benchproof part {book} {part.id} fitted --piece TEXT"
            rows.append(_thing(part.name, ("went on",), ("which piece",), on))
    roles = dict.fromkeys(
        role for hold in plan.hold_points if at in plan.hidden_by(hold.id) for role in hold.roles
    )
    if roles:
        taken = f"benchproof photo {book} FILE --at {at} --role ROLE"
        rows.append(_thing("photos", tuple(roles), ("camera numbers",), taken))
    return rows


def _thing(
    name: str, ticks: tuple[str, ...], lines: tuple[str, ...], command: str
) -> dict[str, Any]:
    return {"name": name, "ticks": list(ticks), "lines": list(lines), "command": command}


def _hold(plan: Plan, hold: HoldPoint, book: str) -> dict[str, Any]:
    asks = (
        [f"a photo of each role at each location ({', '.join(hold.roles)})"] if hold.roles else []
    )
    asks += ["a debris log of each gallery"] if hold.debris else []
    asks += ["a photo of what closes it, once it is on"] if hold.seal else []
    first = plan.closed_before(hold.id)
    return {
        "is": "hold",
        "id": hold.id,
        "name": hold.name,
        "hides": f"It hides {', '.join(plan.hidden_by(hold.id)) or 'nothing'}.",
        "first": f"Closed before it: {', '.join(first)}." if first else "",
        "asks": f"It asks for {'; '.join(asks)}." if asks else "",
        "caution": hold.caution,
        "command": f"benchproof close {book} {hold.id}",
    }


def limits(plan: Plan, printed: Printed) -> list[list[str]]:
    """Return (keys, limit, source) of the checks that have one or ask for one.

    Checks of one limit from one source stand in one row.
    """
    rows: dict[tuple[str, str], list[str]] = {}
    for key, _, check in plan.walk():
        if check.kind != "coverage" and printed.asks(key):
            for row in _limits_of(check):
                rows.setdefault(row, []).append(key)
    return [[", ".join(keys), *row] for row, keys in rows.items()]


def _limits_of(check: Characteristic) -> list[tuple[str, str]]:
    """Return (limit, source) of a check's new limit and its wear limit, or what it asks for."""
    both = check.limit is not None and check.wear_limit is not None
    rows = []
    for which, limit in (("new", check.limit), ("wear", check.wear_limit)):
        if limit is not None:
            decides = f"{which}{', decides' if which == check.judged_by else ''}: "
            rows.append((f"{decides if both else ''}{_said(check, limit)}", limit.source))
    return rows or ([("still to be looked up", check.asks)] if check.asks else [])


def _said(check: Characteristic, limit: Limit) -> str:
    """Return a limit in words; a depth's with BELOW or PROUD."""
    sides = (("at least", limit.at_least), ("at most", limit.at_most))
    return " and ".join(
        f"{word} {Saying(side.unit, 0, check.kind == 'depth').stated(side.value)}"
        for word, side in sides
        if side is not None
    )
