"""Records with some of them left out, and hold points that hide what is there."""

from msgspec.structs import replace

from capture.errors import BadPlanFile
from capture.plans.records import Records
from store.formulas.wiring import Wiring
from store.plan import HoldPoint, Location, Part, Plan

_IF_THERE = "?"


def hidden_id(hidden: str) -> str:
    """Return the id that a hold point hides: "pistons" for "pistons?"."""
    return hidden.removesuffix(_IF_THERE)


def settled(records: Records) -> Records:
    """Return the records with every "pistons?" taken as "pistons", or as nothing.

    A hold point that is left with nothing to hide is none.
    """
    there = {at.id for at in records.locations} | {hold.id for hold in records.hold_points}
    absent = {
        hidden_id(hidden)
        for hold in records.hold_points
        for hidden in hold.hides
        if hidden.endswith(_IF_THERE) and hidden_id(hidden) not in there
    }
    if absent:
        holds = _without_hidden(records.hold_points, {f"{each}{_IF_THERE}" for each in absent})
        return settled(replace(records, hold_points=holds))
    named = tuple(
        replace(hold, hides=tuple(dict.fromkeys(map(hidden_id, hold.hides))))
        for hold in records.hold_points
    )
    return replace(records, hold_points=named)


def trimmed(records: Records, without: tuple[str, ...]) -> Records:
    """Return the records without some locations ("G4") and checks ("M1.bore").

    A location goes with its last check, a hold point with the last that it hides, a part with its
    location unless a check elsewhere is of it. Raises BadPlanFile for what is not there.
    """
    checks = {f"{at.id}.{check.id}" for at in records.locations for check in at.characteristics}
    known = checks | {location.id for location in records.locations}
    for name in without:
        if name not in known:
            raise BadPlanFile(f"nothing is called {name!r} here, so it can't be left out")
    left = tuple(_without_checks(at, without) for at in records.locations if at.id not in without)
    locations = tuple(at for at in left if at.characteristics or at.plug or at.gallery)
    gone = {at.id for at in records.locations} - {at.id for at in locations}
    return replace(
        records,
        locations=locations,
        hold_points=_without_hidden(
            records.hold_points, gone | {f"{each}{_IF_THERE}" for each in gone}
        ),
        parts=_parts_left(records.parts, locations, gone),
    )


def hanging_on(plan: Plan, without: tuple[str, ...]) -> tuple[str, ...]:
    """Return the checks that are worked out, near or far, from some that are left out.

    ``without`` names locations ("G4") and checks ("M1.bore"); what it names is not told again.
    """
    gone = {key for key, at, _ in plan.walk() if key in without or at.id in without}
    wiring = Wiring(plan)
    followers = {follower for key in gone for follower in wiring.followers(key)}
    return tuple(key for key, _, _ in plan.walk() if key in followers - gone)


def _parts_left(
    parts: tuple[Part, ...], locations: tuple[Location, ...], gone: set[str]
) -> tuple[Part, ...]:
    """Return the parts that are still somewhere, or that a check still asks about."""
    asked = {check.part for at in locations for check in at.characteristics}
    return tuple(
        replace(part, location="") if part.location in gone else part
        for part in parts
        if part.location not in gone or part.id in asked
    )


def _without_checks(location: Location, without: tuple[str, ...]) -> Location:
    checks = location.characteristics
    left = tuple(check for check in checks if f"{location.id}.{check.id}" not in without)
    return replace(location, characteristics=left)


def _without_hidden(holds: tuple[HoldPoint, ...], gone: set[str]) -> tuple[HoldPoint, ...]:
    """Return the hold points without what they hide of those gone, and without empty ones."""
    fewer = [
        replace(hold, hides=tuple(one for one in hold.hides if one not in gone)) for hold in holds
    ]
    empty = {hold.id for hold in fewer if not hold.hides}
    left = tuple(hold for hold in fewer if hold.hides)
    return (
        _without_hidden(left, empty | {f"{each}{_IF_THERE}" for each in empty}) if empty else left
    )
