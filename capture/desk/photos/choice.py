"""Which photo of a location is shown, in which order they stand, which are still asked for. No Qt.

What is shown first is the photo that the check's value was measured on, else the newest that says
it shows the check, else the newest close-up, else the newest.
"""

from typing import get_args

from store.attempt import Photo
from store.evidence import Marked
from store.plan import Role
from store.round import Check, Place, Round

ROLES: tuple[Role, ...] = get_args(Role)
# What a hold point itself is photographed for: no location has it.
AT_LOCATION: tuple[Role, ...] = tuple(role for role in ROLES if role != "what closes it")


def marked_on(check: Check | None, photo: str) -> Marked | None:
    """Return the accepted marks that count for a check if they lie on this photo."""
    record = check.current.record if check is not None and check.current is not None else None
    return record if isinstance(record, Marked) and record.photo == photo else None


def photos_in_order(place: Place) -> tuple[Photo, ...]:
    """Return a location's photos as they stand in the strip: each once, struck ones last."""
    last: dict[str, Photo] = {}
    for photo in place.photos:
        before = last.get(photo.taken.photo)
        if before is None or before.struck is not None or photo.struck is None:
            last[photo.taken.photo] = photo
    return tuple(sorted(last.values(), key=lambda photo: photo.struck is not None))


def photo_of(place: Place, photo: str) -> Photo | None:
    """Return a location's photo by its SHA-256."""
    return next((p for p in photos_in_order(place) if p.taken.photo == photo), None)


def photo_to_show(place: Place, check: Check | None) -> str:
    """Return the SHA-256 of the photo that is shown first, "" if there is none."""
    standing = [p for p in photos_in_order(place) if p.struck is None]
    if not standing:
        return ""
    record = check.current.record if check is not None and check.current is not None else None
    measured = record.photo if isinstance(record, Marked) else ""
    there = {p.taken.photo for p in standing}
    if measured in there:
        return measured
    showing = [p for p in standing if check is not None and check.key in p.taken.keys]
    close = [p for p in standing if p.taken.role == "close-up"]
    return (showing or close or standing)[-1].taken.photo


def roles_wanted(place: Place, check: Check | None, known: Round | None) -> tuple[Role, ...]:
    """Return the roles that are still missing here, in the order of the hold points that ask.

    A coverage asks for a close-up of its own as long as there is no photo it could be measured on.
    """
    asked: list[Role] = []
    for hold in known.holds if known is not None else ():
        if place.location.id in hold.hides:
            asked.extend(hold.hold_point.roles)
    if check is not None and check.characteristic.kind == "coverage":
        shown = any(p.taken.can_be_shown for p in place.photos if p.struck is None)
        asked.extend(() if shown else ("close-up",))
    return place.missing(tuple(dict.fromkeys(asked)))


def role_to_take(place: Place, check: Check | None, known: Round | None) -> Role:
    """Return the role of what is added next where nobody chose one: the first that is missing."""
    return next(iter(roles_wanted(place, check, known)), "close-up")
