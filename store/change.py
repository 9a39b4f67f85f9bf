"""Changes to a plan at the bench, and the plan that comes of one. Each is kept as an entry."""

from collections.abc import Callable
from typing import Any

import msgspec
from msgspec import Struct

from store.characteristic import Characteristic, Limit, Which
from store.errors import BadPlan
from store.plan import Gauge, HoldPoint, KitLine, Location, Part, Plan

FIRST = "first"


class LocationAdded(Struct, frozen=True, omit_defaults=True, tag="location added"):
    """A location that the plan lacked; it comes after ``after``, last where that is empty."""

    location: Location
    after: str = ""


class LocationRenamed(Struct, frozen=True, omit_defaults=True, tag="location renamed"):
    """Another name for a location; its id stays."""

    location: str
    name: str


class LocationMoved(Struct, frozen=True, omit_defaults=True, tag="location moved"):
    """A location's turn in the round: after another, or "first"."""

    location: str
    after: str


class NeverFitted(Struct, frozen=True, omit_defaults=True, tag="never fitted"):
    """Never on this block. The photo shows the bare place."""

    location: str
    photo: str


class CheckAdded(Struct, frozen=True, omit_defaults=True, tag="check added"):
    """A check that a location lacked, after its others."""

    location: str
    check: Characteristic


class LimitSet(Struct, frozen=True, omit_defaults=True, tag="limit set"):
    """A limit given or changed; None takes it away (the maker gives no figure, say)."""

    key: str
    limit: Limit | None
    which: Which = "new"


class DecidingSet(Struct, frozen=True, omit_defaults=True, tag="deciding limit set"):
    """Which of two limits decides: the new one, or that for a part used again."""

    key: str
    judged_by: Which


class HoldAdded(Struct, frozen=True, omit_defaults=True, tag="hold point added"):
    """A hold point that the plan lacked, after the others."""

    hold_point: HoldPoint


class GaugeSet(Struct, frozen=True, omit_defaults=True, tag="gauge set"):
    """A gauge registered, or what the register says of one changed (a new check, say)."""

    gauge: Gauge


class PartAdded(Struct, frozen=True, omit_defaults=True, tag="part added"):
    """A part that the plan lacked."""

    part: Part


class KitLineSet(Struct, frozen=True, omit_defaults=True, tag="kit line set"):
    """A line of the kit list, new or as it should have been."""

    line: KitLine


Change = (
    LocationAdded
    | LocationRenamed
    | LocationMoved
    | NeverFitted
    | CheckAdded
    | LimitSet
    | DecidingSet
    | HoldAdded
    | GaugeSet
    | PartAdded
    | KitLineSet
)


def changed(plan: Plan, change: Change) -> Plan:
    """Return the plan after a change; raises BadPlan if it does not fit the plan.

    NeverFitted leaves the plan as it is: the location stays in it, and is excused.
    """
    return _HOW[type(change)](plan, change)


def _add_location(plan: Plan, change: LocationAdded) -> Plan:
    return _with(plan, locations=_inserted(plan, plan.locations, change.location, change.after))


def _rename_location(plan: Plan, change: LocationRenamed) -> Plan:
    plan.location(change.location)
    if not change.name.strip():
        raise BadPlan(f"location {change.location}: the new name says nothing")
    return _each_location(plan, change.location, name=change.name)


def _move_location(plan: Plan, change: LocationMoved) -> Plan:
    moved = plan.location(change.location)
    if change.after == change.location:
        raise BadPlan(f"location {change.location} can't come after itself")
    others = tuple(each for each in plan.locations if each.id != change.location)
    return _with(plan, locations=_inserted(plan, others, moved, change.after))


def _inserted(
    plan: Plan, others: tuple[Location, ...], location: Location, after: str
) -> tuple[Location, ...]:
    """Return ``others`` with a location in its turn; a plan without one may be no plan at all."""
    if not after:
        return (*others, location)
    ids = [each.id for each in others]
    place = 0 if after == FIRST else ids.index(plan.location(after).id) + 1
    return (*others[:place], location, *others[place:])


def _never_fitted(plan: Plan, change: NeverFitted) -> Plan:
    plan.location(change.location)
    return plan


def _add_check(plan: Plan, change: CheckAdded) -> Plan:
    there = plan.location(change.location).characteristics
    return _each_location(plan, change.location, characteristics=(*there, change.check))


def _set_limit(plan: Plan, change: LimitSet) -> Plan:
    location, check = plan.characteristic(change.key)
    if check.kind in {"yes-no", "note"}:
        raise BadPlan(f"{change.key}: a {check.kind} takes no limit")
    name = "limit" if change.which == "new" else "wear_limit"
    if change.limit is None and getattr(check, name) is None and not check.asks:
        raise BadPlan(f"{change.key} has no {change.which} limit that could be taken away")
    return _each_check(plan, location, check, **{name: change.limit, "asks": ""})


def _set_deciding(plan: Plan, change: DecidingSet) -> Plan:
    location, check = plan.characteristic(change.key)
    wanted = check.limit if change.judged_by == "new" else check.wear_limit
    if wanted is None:
        raise BadPlan(f"{change.key} has no {change.judged_by} limit: give it first")
    return _each_check(plan, location, check, judged_by=change.judged_by)


def _add_hold(plan: Plan, change: HoldAdded) -> Plan:
    return _with(plan, hold_points=(*plan.hold_points, change.hold_point))


def _set_gauge(plan: Plan, change: GaugeSet) -> Plan:
    return _with(plan, gauges=_replaced(plan.gauges, change.gauge))


def _add_part(plan: Plan, change: PartAdded) -> Plan:
    return _with(plan, parts=(*plan.parts, change.part))


def _set_kit_line(plan: Plan, change: KitLineSet) -> Plan:
    return _with(plan, kit=_replaced(plan.kit, change.line))


def _replaced(there: tuple[Any, ...], new: Any) -> tuple[Any, ...]:  # noqa: ANN401 - gauge or line
    """Return the list with ``new`` in the place of what has its id, else at the end."""
    if all(each.id != new.id for each in there):
        return (*there, new)
    return tuple(new if each.id == new.id else each for each in there)


def _each_check(plan: Plan, location: Location, check: Characteristic, **members: object) -> Plan:
    checks = tuple(
        msgspec.structs.replace(each, **members) if each.id == check.id else each
        for each in location.characteristics
    )
    return _each_location(plan, location.id, characteristics=checks)


def _each_location(plan: Plan, location_id: str, **members: object) -> Plan:
    plan.location(location_id)
    return _with(
        plan,
        locations=tuple(
            msgspec.structs.replace(each, **members) if each.id == location_id else each
            for each in plan.locations
        ),
    )


def _with(plan: Plan, **members: object) -> Plan:
    return msgspec.structs.replace(plan, **members)


_HOW: dict[type, Callable[[Plan, Any], Plan]] = {
    LocationAdded: _add_location,
    LocationRenamed: _rename_location,
    LocationMoved: _move_location,
    NeverFitted: _never_fitted,
    CheckAdded: _add_check,
    LimitSet: _set_limit,
    DecidingSet: _set_deciding,
    HoldAdded: _add_hold,
    GaugeSet: _set_gauge,
    PartAdded: _add_part,
    KitLineSet: _set_kit_line,
}
