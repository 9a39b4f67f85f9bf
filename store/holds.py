"""What a closing part hides, and what of it is still unproven.

Proven is what is within, or recorded where the plan gives no limit. Everything else behind a hold
point (outside, too close to call, not measured, struck) and every photo role missing at a hidden
location, or there only as a photo that can't be shown, is unproven, until somebody waives it in
writing for this very hold point.
"""

from store.plan import HoldPoint, Role
from store.round import Check, Place, Round, Waived

Unproven = tuple[tuple[str, str], ...]


def unproven(round_: Round, hold_id: str) -> Unproven:
    """Return (key, why) in walking order of what a hold point of this job still waits for.

    For a missing photo the key is the location's id. Raises BadPlan for an unknown hold point.
    """
    return round_.hold(hold_id).unproven


def hidden_places(hold: HoldPoint, places: tuple[Place, ...]) -> tuple[Place, ...]:
    """Return the places that a hold point hides, in walking order."""
    return tuple(place for place in places if place.location.id in hold.hides)


def unproven_behind(hold: HoldPoint, places: tuple[Place, ...]) -> Unproven:
    """Return (key, why) in walking order of what these places still owe a hold point."""
    found: list[tuple[str, str]] = []
    for place in hidden_places(hold, places):
        found += [
            (check.key, why_unproven(check))
            for check in place.checks
            if not check.proven and not _waived(hold, check.waivers)
        ]
        if not _waived(hold, place.waivers):
            found += [
                (place.location.id, why_missing(place, role)) for role in place.missing(hold.roles)
            ]
    return tuple(found)


def waivers_used(hold: HoldPoint, places: tuple[Place, ...]) -> tuple[Waived, ...]:
    """Return the standing waivers that a hold point leans on, in walking order."""
    found: list[Waived] = []
    for place in hidden_places(hold, places):
        for check in place.checks:
            found += [] if check.proven else _waived(hold, check.waivers)
        found += _waived(hold, place.waivers) if place.missing(hold.roles) else []
    return tuple(found)


def why_unproven(check: Check) -> str:
    """Return in words why a check is not proven: its state, and the clause beside it."""
    return f"{check.state}: {check.why}" if check.why else check.state


def why_missing(place: Place, role: Role) -> str:
    """Return in words that a photo role is missing, or that none there can be shown."""
    if place.photos_of(role):
        return f"no photo that can be shown: {role}"
    return f"no photo: {role}"


def _waived(hold: HoldPoint, waivers: tuple[Waived, ...]) -> list[Waived]:
    """Return the last waiver that stands for this hold point, if any, as a list."""
    return [w for w in waivers if w.stands and w.hold_point == hold.id][-1:]
