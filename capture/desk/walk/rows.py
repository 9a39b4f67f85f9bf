"""The rows of the round: what is walked, in order, with the covers across it. No Qt in here."""

import re
from typing import NamedTuple

from capture.desk.walk.folding import folded
from capture.desk.walk.lying import COVERED, Lying, lying_of
from capture.desk.walk.row import HoldRow, LocationRow, Prop, Row
from capture.desk.walk.when import clock
from capture.desk.where import Where
from capture.words.quantities import count_text
from store.plan import HoldPoint, Location, Plan
from store.round import Hold, Place, Round

_MOST_PROPS = 5
_FIGURES = re.compile(r"(?<![a-z0-9])[0-9]+(?![a-z0-9])")


class Walk(NamedTuple):
    """A round as rows, wherever one is in it: worked out once for each round."""

    known: Round
    rows: tuple[Row, ...]


class Asked(NamedTuple):
    """What of the round is to be shown: words looked for, only what is open, where one is."""

    find: str = ""
    open_only: bool = False
    where: Where = Where("first")


def walk_of(known: Round) -> Walk:
    """Return the rows of a round: locations in walk order, each cover after the last it hides."""
    lying = lying_of_all(known)
    hidden = {each for hold in known.holds if hold.closed for each in hold.hides}
    holds = {hold.hold_point.id: hold_row(known, hold, lying) for hold in known.holds}
    after = covers_after(known.plan)
    rows: list[Row] = [holds[hold_id] for hold_id in after.get("", ())]
    for number, place in enumerate(known.places, 1):
        key = place.location.id
        rows.append(_location(number, place, lying[key], hidden=key in hidden))
        rows += [holds[hold_id] for hold_id in after.get(key, ())]
    return Walk(known, tuple(rows))


def rows_of(walk: Walk, asked: Asked) -> list[Row]:
    """Return the rows that are asked for; what is under a closed cover is folded away.

    While rims are being placed at a location, its word, its number and its prop are covered.
    """
    where = asked.where
    rows = [_as_stood_at(row, where) for row in walk.rows]
    words = asked.find.casefold().split()
    rows = [row for row in rows if _is_wanted(row, words, open_only=asked.open_only)]
    return rows if words else folded(walk.known, rows)


def rows_of_plan(plan: Plan) -> list[Row]:
    """Return the rows that a plan would give: nothing measured, nothing closed."""
    after = covers_after(plan)
    rows: list[Row] = [_cover_of(plan.hold_point(i), plan) for i in after.get("", ())]
    for number, location in enumerate(plan.locations, 1):
        lying = Lying("not measured", "", (_asked(location),))
        rows.append(LocationRow(location.id, number, location.name, lying))
        rows += [_cover_of(plan.hold_point(i), plan) for i in after.get(location.id, ())]
    return rows


def lying_of_all(known: Round) -> dict[str, Lying]:
    """Return how each location lies, by its id."""
    lacks: dict[str, list[str]] = {}
    for hold in known.holds:
        for key, why in hold.unproven:
            if "." not in key and why not in lacks.setdefault(key, []):
                lacks[key].append(why)
    return {
        place.location.id: lying_of(place, tuple(lacks.get(place.location.id, ())))
        for place in known.places
    }


def hold_row(known: Round, hold: Hold, lying: dict[str, Lying]) -> HoldRow:
    """Return the cover of a hold point, with what holds it off."""
    props = () if hold.closed else props_of(known, hold, lying)
    return HoldRow(
        key=hold.hold_point.id,
        name=hold.hold_point.name,
        detail=_detail(known, hold),
        props=props[:_MOST_PROPS],
        more=max(0, len(props) - _MOST_PROPS),
        closed=hold.closed is not None,
        warns=_warns(hold),
    )


def props_of(known: Round, hold: Hold, lying: dict[str, Lying]) -> tuple[Prop, ...]:
    """Return what holds a cover off, one prop per location in walk order; other covers first."""
    keys = dict.fromkeys(key.partition(".")[0] for key, _ in hold.unproven)
    if not keys:
        return ()
    covers = [other for other in known.holds if other.hold_point.id in keys]
    props = [Prop(c.hold_point.id, 0, c.hold_point.name, "not measured") for c in covers]
    for number, place in enumerate(known.places, 1):
        location = place.location
        if location.id in keys:
            lies = lying[location.id]
            # What is proven and yet lacks a photo is not flush: something is not there yet.
            settled = all(check.proven or check.waiver for check in place.checks)
            state = "not measured" if settled else lies.state
            props.append(Prop(location.id, number, location.name, state, lies.suspect))
    return tuple(props)


def covers_after(plan: Plan) -> dict[str, list[str]]:
    """Return the hold points by the location they stand after; "" for those before all.

    Each stands after the last location it hides, and after every cover that goes on before it:
    hold points are listed in closing order, but what lies under another comes before that one.
    """
    after: dict[str, list[str]] = {}
    walked = ["", *(location.id for location in plan.locations)]
    latest = 0
    for hold_id in _in_closing_order(plan):
        latest = max([latest, *(walked.index(key) for key in plan.hidden_by(hold_id))])
        after.setdefault(walked[latest], []).append(hold_id)
    return after


def _in_closing_order(plan: Plan) -> list[str]:
    order: list[str] = []
    for hold in plan.hold_points:
        below = sorted(plan.closed_before(hold.id), key=lambda i: len(plan.closed_before(i)))
        order += [each for each in (*below, hold.id) if each not in order]
    return order


def _as_stood_at(row: Row, where: Where) -> Row:
    """Return a row as it is seen from where one is."""
    marking = where.location if where.room == "marking" else ""
    if isinstance(row, LocationRow) and row.key == where.location and where.room != "hold":
        return row._replace(here=True, lying=COVERED if marking else row.lying)
    if not isinstance(row, HoldRow):
        return row
    if where.room == "hold" and row.key == where.key:
        return row._replace(here=True)
    if marking and any(prop.key == marking for prop in row.props):
        return row._replace(
            props=tuple(
                prop._replace(state=COVERED.state, suspect=False) if prop.key == marking else prop
                for prop in row.props
            )
        )
    return row


def _location(number: int, place: Place, lying: Lying, *, hidden: bool) -> LocationRow:
    location = place.location
    return LocationRow(
        key=location.id,
        number=number,
        name=location.name,
        lying=lying,
        hidden=hidden,
        haystack=" ".join(
            [str(number), location.id, location.name, location.group, lying.word]
            + [check.characteristic.question for check in place.checks]
        ).casefold(),
    )


def _is_wanted(row: Row, words: list[str], *, open_only: bool) -> bool:
    if isinstance(row, LocationRow):
        if not all(_is_in(word, row.haystack) for word in words):
            return False
        return row.here or row.lying.open or not open_only
    if isinstance(row, HoldRow):
        if open_only and row.closed and not row.warns and not row.here:
            return False
        return all(word in row.name.casefold() for word in words)
    return True


def _is_in(word: str, haystack: str) -> bool:
    """Return whether a word is there; a figure must stand alone, so that 3 does not find 13."""
    return word in _FIGURES.findall(haystack) if word.isdecimal() else word in haystack


def _asked(location: Location) -> str:
    """Return how much is asked at a location: "4 checks, 1 on a photo"."""
    checks = location.characteristics
    seen = sum(check.kind == "coverage" for check in checks)
    words = count_text(len(checks), "check") if checks else "nothing to measure"
    return f"{words}, {seen} on a photo" if seen else words


def _cover_of(point: HoldPoint, plan: Plan) -> HoldRow:
    return HoldRow(point.id, point.name, f"hides {_many(len(plan.hidden_by(point.id)))}")


def _many(locations: int) -> str:
    return count_text(locations, "location")


def _detail(known: Round, hold: Hold) -> str:
    if hold.closed:
        when = clock(hold.closed.at, known.last.at)
        return f"closed {when} by {hold.closed.by}"
    unproven = {key.partition(".")[0] for key, _ in hold.unproven} & set(hold.hides)
    waived = len({w.key for w in hold.waived})
    parts = [f"{len(unproven)} unproven"] if unproven else []
    parts += [f"{waived} waived"] if waived else []
    parts += [] if unproven else ["the rest proven" if waived else "nothing unproven"]
    return ", ".join([*parts, f"hides {_many(len(hold.hides))}"])


def _warns(hold: Hold) -> str:
    if hold.closed and hold.unproven:
        since = len({key.partition(".")[0] for key, _ in hold.unproven})
        return f"{since} unproven since"
    return "no photo of what closes it" if hold.unsealed else ""
