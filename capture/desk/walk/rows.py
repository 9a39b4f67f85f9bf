"""The rows of the round: what is walked, in order, with the covers across it. No Qt in here."""

from typing import NamedTuple

from capture.desk.walk.folding import folded
from capture.desk.walk.lying import COVERED, Lying, lying_of
from capture.desk.walk.row import HoldRow, LocationRow, Prop, Row
from capture.desk.walk.when import clock
from capture.desk.where import Where
from capture.words.quantities import count_text
from store.plan import HoldPoint, Plan
from store.round import Hold, Place, Round

_MOST_PROPS = 5


class Asked(NamedTuple):
    """What of the round is to be shown: words looked for, only what is open, where one is."""

    find: str = ""
    open_only: bool = False
    where: Where = Where("first")


def rows_of(known: Round, asked: Asked) -> list[Row]:
    """Return the rows of a round: locations in walk order, each cover after the last it hides."""
    lying = lying_of_all(known, asked.where)
    rows: list[Row] = []
    after = _covers_after(known.plan)
    for number, place in enumerate(known.places, 1):
        rows.append(_location(number, place, lying[place.location.id], asked))
        rows += [
            hold_row(known, known.hold(hold_id), lying, asked.where)
            for hold_id in after.get(place.location.id, ())
        ]
    rows += [hold_row(known, known.hold(i), lying, asked.where) for i in after.get("", ())]
    chosen = [row for row in rows if _is_wanted(row, asked)]
    return folded(known, chosen) if not asked.find else chosen


def lying_of_all(known: Round, where: Where) -> dict[str, Lying]:
    """Return how each location lies by its id; that whose rims are being placed is covered."""
    lacks = _lacking(known)
    lying = {
        place.location.id: lying_of(place, tuple(lacks.get(place.location.id, ())))
        for place in known.places
    }
    if where.room == "marking" and where.location in lying:
        lying[where.location] = COVERED
    return lying


def rows_of_plan(plan: Plan) -> list[Row]:
    """Return the rows that a plan would give: nothing measured, nothing closed."""
    rows: list[Row] = []
    after = _covers_after(plan)
    for number, location in enumerate(plan.locations, 1):
        kinds = dict.fromkeys(check.kind for check in location.characteristics)
        lying = Lying("not measured", "", (", ".join(kinds) or "nothing to measure",))
        rows.append(LocationRow(location.id, number, location.name, lying))
        rows += [_cover_of(plan.hold_point(i), plan) for i in after.get(location.id, ())]
    return rows + [_cover_of(plan.hold_point(i), plan) for i in after.get("", ())]


def hold_row(known: Round, hold: Hold, lying: dict[str, Lying], where: Where) -> HoldRow:
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
        here=where.room == "hold" and where.key == hold.hold_point.id,
    )


def props_of(known: Round, hold: Hold, lying: dict[str, Lying]) -> tuple[Prop, ...]:
    """Return what holds a cover off, one prop per location in walk order; other covers first."""
    keys = dict.fromkeys(key.partition(".")[0] for key, _ in hold.unproven)
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


def _location(number: int, place: Place, lying: Lying, asked: Asked) -> LocationRow:
    location = place.location
    return LocationRow(
        key=location.id,
        number=number,
        name=location.name,
        lying=lying,
        here=asked.where.location == location.id,
        hidden=bool(place.checks) and all(check.hidden for check in place.checks),
        haystack=" ".join(
            [str(number), location.id, location.name, location.group, lying.word]
            + [check.characteristic.question for check in place.checks]
        ).casefold(),
    )


def _is_wanted(row: Row, asked: Asked) -> bool:
    words = asked.find.casefold().split()
    if isinstance(row, LocationRow):
        if words and not all(word in row.haystack for word in words):
            return False
        return row.here or row.lying.open or not asked.open_only
    if isinstance(row, HoldRow):
        return all(word in row.name.casefold() for word in words)
    return True


def _lacking(known: Round) -> dict[str, list[str]]:
    """Return what each location still owes as a whole, each want once."""
    lacks: dict[str, list[str]] = {}
    for hold in known.holds:
        for key, why in hold.unproven:
            if "." not in key and why not in lacks.setdefault(key, []):
                lacks[key].append(why)
    return lacks


def _covers_after(plan: Plan) -> dict[str, list[str]]:
    """Return the hold points by the location they stand after; "" for those that hide none.

    Of several after one location, what lies under another cover comes before that one.
    """
    after: dict[str, list[str]] = {}
    order = {hold.id: n for n, hold in enumerate(plan.hold_points)}
    for hold_id in sorted(order, key=lambda i: (len(plan.closed_before(i)), order[i])):
        after.setdefault((plan.hidden_by(hold_id) or ("",))[-1], []).append(hold_id)
    return after


def _cover_of(point: HoldPoint, plan: Plan) -> HoldRow:
    return HoldRow(point.id, point.name, f"hides {_many(len(plan.hidden_by(point.id)))}")


def _many(locations: int) -> str:
    return count_text(locations, "location")


def _detail(known: Round, hold: Hold) -> str:
    if hold.closed:
        when = clock(hold.closed.at, known.last.at)
        return f"closed {when} by {hold.closed.by}"
    unproven = {key.partition(".")[0] for key, _ in hold.unproven} & set(hold.hides)
    parts = [f"hides {_many(len(hold.hides))}"]
    parts.append(f"{len(unproven)} unproven" if unproven else "nothing unproven")
    if not unproven and hold.waived:
        parts.append(f"{len({w.key for w in hold.waived})} waived")
    return ", ".join(parts)


def _warns(hold: Hold) -> str:
    if hold.closed and hold.unproven:
        since = len({key.partition(".")[0] for key, _ in hold.unproven})
        return f"{since} unproven since"
    return "no photo of what closes it" if hold.unsealed else ""
