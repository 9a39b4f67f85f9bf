"""What a closing part hides, and what of it is still unproven.

Proven is what is within, or recorded where the plan asks for no limit. Everything else behind a
hold point (outside, too close to call, not measured, struck, resting on a suspect gauge), every
photo role missing at a hidden location, or there only as a photo that can't be shown, a gallery
without its debris log, a plug that is not in again, and a hold point that should have been closed
before: all that is unproven, until somebody waives it in writing for this very hold point, or for
one that it hides.
"""

from collections.abc import Iterable

from store.attempt import Waived
from store.evidence import DebrisLogged, Fitted
from store.plan import HoldPoint, Location, Plan
from store.round import Check, Place, Round
from store.told.telling import Telling

Unproven = tuple[tuple[str, str], ...]


def unproven(round_: Round, hold_id: str) -> Unproven:
    """Return (key, why) in walking order of what a hold point of this job still waits for.

    For what is missing at a location as a whole the key is the location's id, for another hold
    point that must be closed first that one's. Raises BadPlan for an unknown hold point.
    """
    return round_.hold(hold_id).unproven


def hidden_places(plan: Plan, hold: HoldPoint, places: Iterable[Place]) -> tuple[Place, ...]:
    """Return the places that a hold point hides, by way of others too, in walking order."""
    hidden = set(plan.hidden_by(hold.id))
    return tuple(place for place in places if place.location.id in hidden)


def unproven_behind(told: Telling, hold: HoldPoint, places: tuple[Place, ...]) -> Unproven:
    """Return (key, why) in walking order of what these places still owe a hold point."""
    found: list[tuple[str, str]] = [
        (other, "is hidden by it and must be closed first")
        for other in told.plan.closed_before(hold.id)
        if told.closed(other) is None
    ]
    for place in hidden_places(told.plan, hold, places):
        found += [
            (check.key, why_unproven(check))
            for check in place.checks
            if not check.proven and not _waived(told.plan, hold, check.waivers)
        ]
        found += [(place.location.id, want) for want in _wants_left(told, place, hold)]
    return tuple(found)


def waivers_used(told: Telling, hold: HoldPoint, places: tuple[Place, ...]) -> tuple[Waived, ...]:
    """Return the standing waivers that a hold point leans on, in walking order."""
    found: list[Waived] = []
    for place in hidden_places(told.plan, hold, places):
        for check in place.checks:
            found += [] if check.proven else _waived(told.plan, hold, check.waivers)
        wants = location_wants(told, place.location, hold, told.now)
        left = _wants_left(told, place, hold)
        found += _waived(told.plan, hold, place.waivers) if len(left) < len(wants) else []
    return tuple(found)


def why_unproven(check: Check) -> str:
    """Return in words why a check is not proven: its state, and the clauses beside it."""
    asks = check.characteristic.asks if check.state == "no limit" else ""
    lacking = f"no limit was given yet ({asks})" if asks else ""
    return ": ".join([check.state, *filter(None, ("; ".join(_clauses(check)), lacking))])


def _clauses(check: Check) -> list[str]:
    return [clause for clause in (check.why, check.suspect) if clause]


def location_wants(
    told: Telling, location: Location, hold: HoldPoint, upto: int
) -> tuple[str, ...]:
    """Return in words what a location as a whole owed a hold point at a moment."""
    if told.never_fitted(location.id, upto):
        return ()
    wants = _missing_photos(told, location, hold, upto)
    if hold.debris and location.gallery:
        wants += _debris_wanted(told, location, upto)
    if location.plug and not plug_is_in(told, location.id, upto):
        wants.append("no plug is in")
    return tuple(wants)


def _wants_left(told: Telling, place: Place, hold: HoldPoint) -> tuple[str, ...]:
    """Return what a location owes a hold point and nobody waived.

    A waiver for a hold point under it covers what that one asked for, and no more.
    """
    wants = location_wants(told, place.location, hold, told.now)
    if not place.waivers:
        return wants
    stops = {hold.id, *told.plan.closed_before(hold.id)}
    for waived in (w for w in place.waivers if w.stands and w.hold_point in stops):
        given_for = told.plan.hold_point(waived.hold_point)
        covered = location_wants(told, place.location, given_for, told.now)
        wants = tuple(want for want in wants if want not in covered)
    return wants


def _missing_photos(told: Telling, location: Location, hold: HoldPoint, upto: int) -> list[str]:
    missing = told.missing(location.id, hold.roles, upto)
    there = {photo.role for photo in told.photos_at(location.id, upto)}
    return [
        f"no photo that can be shown: {role}" if role in there else f"no photo: {role}"
        for role in hold.roles
        if role in missing
    ]


def _debris_wanted(told: Telling, location: Location, upto: int) -> list[str]:
    logs = told.standing_of(told.debris[location.id], upto)
    last = logs[-1].evidence if logs else None
    if not isinstance(last, DebrisLogged):
        return ["no debris log"]
    worked = told.worked_on(location.id, upto)
    if worked and worked[-1] > told.by_hash[logs[-1].hash][0]:
        return ["worked on since its debris log"]
    return [] if last.clean else ["its last debris log says not clean"]


def plug_is_in(told: Telling, location_id: str, upto: int) -> bool:
    """Return whether a location's plug was fitted after it was last taken out."""
    parts = {part.id for part in told.plan_at(upto).parts if part.location == location_id}
    fitted = [
        told.by_hash[entry.hash][0]
        for part in parts
        for entry in told.standing_of(told.fittings[part], upto)
        if isinstance(entry.evidence, Fitted)
    ]
    outs = [told.by_hash[e.hash][0] for e in told.standing_of(told.outs[location_id], upto)]
    return bool(fitted) and max(fitted) > max(outs, default=-1)


def _waived(plan: Plan, hold: HoldPoint, waivers: tuple[Waived, ...]) -> list[Waived]:
    """Return the last waiver that stands for this hold point, if any, as a list.

    One given for a hold point that this one hides counts here too: what lies behind that was
    decided when it was closed.
    """
    if not waivers:
        return []
    stops = {hold.id, *plan.closed_before(hold.id)}
    return [w for w in waivers if w.stands and w.hold_point in stops][-1:]
