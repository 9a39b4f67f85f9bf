"""What must be shown on one job: frozen records, read from a plan file and kept in the ledger.

A member at its default is not written, so that a later version can add one without changing what
an old line looks like.
"""

from collections.abc import Iterable
from typing import Literal

from msgspec import Struct

from annotate.quantity import Quantity
from store.characteristic import Characteristic
from store.errors import BadPlan
from store.ids import check_id, check_unique

Role = Literal[
    "overall", "which hole", "bare bore", "part on the gauge", "fitted", "with scale",
    "what closes it", "close-up",
]  # fmt: skip


class Location(Struct, frozen=True, omit_defaults=True):
    """A place on the block. ``near`` and ``far`` are what the shop calls the two holes.

    ``plug``: a plug belongs here, to be counted out and in. ``gallery``: a passage that must be
    logged clean before it is closed. ``group`` gathers those that are easily mixed up.
    """

    id: str
    name: str
    characteristics: tuple[Characteristic, ...] = ()
    near: str = "bearing hole"
    far: str = "block hole"
    plug: bool = False
    gallery: bool = False
    group: str = ""

    def __post_init__(self) -> None:
        check_id(self.id)


class HoldPoint(Struct, frozen=True, omit_defaults=True):
    """A mandatory stop before ``name`` goes on and hides what ``hides`` names.

    That are locations, and other hold points with all that they hide (which must be closed
    first). Each location hidden must have a photo of each role in ``roles``; ``debris`` asks for
    a debris log of each gallery hidden, ``seal`` for a photo of what closes it, at the hold
    point itself, once it is on.
    """

    id: str
    name: str
    hides: tuple[str, ...]
    roles: tuple[Role, ...] = ()
    debris: bool = False
    seal: bool = False
    caution: str = ""

    def __post_init__(self) -> None:
        check_id(self.id)


class Gauge(Struct, frozen=True, omit_defaults=True):
    """A measuring tool, as its register says.

    ``permissible_error`` is the largest error its maker or its last check allows; it is one error
    for all its readings. ``repeatability`` is the standard deviation of single readings found in
    ``repeats`` of them, None if it was never tried. ``difference``: it reads how much bigger or
    smaller than what it was zeroed to. Dates are ISO 8601; ``due`` is the day from which the last
    check no longer counts. ``expansion`` is that of its scale, per kelvin.
    """

    id: str
    kind: str
    resolution: Quantity
    permissible_error: Quantity
    repeatability: Quantity | None = None
    repeats: int = 0
    last_check: str = ""
    due: str = ""
    set_on: str = ""
    difference: bool = False
    expansion: float = 11.5e-6  # gauge steel, GUM H.1
    marked: str = ""  # the number engraved on it

    def __post_init__(self) -> None:
        check_id(self.id)
        if self.resolution.value <= 0 or self.permissible_error.value < 0:
            raise BadPlan(f"gauge {self.id}: a resolution above 0 and an error of 0 or more")
        self.permissible_error.to(self.resolution.unit)
        if self.repeatability is not None:
            self.repeatability.to(self.resolution.unit)
            if self.repeats < 2:  # noqa: PLR2004 - one reading has no spread
                raise BadPlan(f"gauge {self.id}: in how many repeats was repeatability found?")


class KitLine(Struct, frozen=True, omit_defaults=True):
    """One line of the kit list: how many of what, as the packing says."""

    id: str
    name: str
    count: int
    size: Quantity | None = None

    def __post_init__(self) -> None:
        check_id(self.id)
        if self.count < 0:
            raise BadPlan(f"kit line {self.id}: {self.count} pieces")


class Part(Struct, frozen=True, omit_defaults=True):
    """A part that goes on or in. ``location`` is where, ``kit`` the kit line it comes from."""

    id: str
    name: str
    location: str = ""
    kit: str = ""

    def __post_init__(self) -> None:
        check_id(self.id)


class Job(Struct, frozen=True, omit_defaults=True):
    """One engine for one customer."""

    number: str
    engine: str
    customer: str
    shop: str
    engine_number: str = ""
    units: Literal["metric", "US"] = "metric"
    decimal_comma: bool = False
    instructions: tuple[str, ...] = ()
    declined: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()  # usual for this kind of job, and never asked for
    cautions: tuple[str, ...] = ()


class Plan(Struct, frozen=True, omit_defaults=True):
    """The job, its locations in walking order, its hold points in closing order, its gauges."""

    job: Job
    locations: tuple[Location, ...]
    hold_points: tuple[HoldPoint, ...] = ()
    gauges: tuple[Gauge, ...] = ()
    parts: tuple[Part, ...] = ()
    kit: tuple[KitLine, ...] = ()

    def __post_init__(self) -> None:
        ids = [location.id for location in self.locations]
        holds = [hold.id for hold in self.hold_points]
        check_unique("location or hold point", ids + holds)
        check_unique("gauge", [gauge.id for gauge in self.gauges])
        check_unique("part", [part.id for part in self.parts])
        check_unique("kit line", [line.id for line in self.kit])
        for location in self.locations:
            own = [c.id for c in location.characteristics]
            check_unique("check", own, where=f" of {location.id}")
        self._check_checks()
        self._check_parts()
        for hold in self.hold_points:
            for hidden in hold.hides:
                if hidden not in ids and hidden not in holds:
                    raise BadPlan(f"hold point {hold.id}: hides {hidden!r}, not a location here")
            if hold.id in self._below(hold.id):
                raise BadPlan(f"hold point {hold.id} would hide itself")

    def _check_checks(self) -> None:
        gauges = {gauge.id for gauge in self.gauges}
        parts = {part.id for part in self.parts}
        keys = {key for key, _, _ in self.walk()}
        for key, _, check in self.walk():
            for route in check.of or ():
                if key_of(route) not in keys or key_of(route) == key:
                    raise BadPlan(f"{key}: 'of' names {route!r}, which is not another check here")
            if check.gauge and check.gauge not in gauges:
                raise BadPlan(f"{key}: gauge {check.gauge!r} is not in the gauge list")
            if check.part and check.part not in parts:
                raise BadPlan(f"{key}: part {check.part!r} is not in the parts list")

    def _check_parts(self) -> None:
        locations = {location.id for location in self.locations}
        lines = {line.id for line in self.kit}
        for part in self.parts:
            if part.location and part.location not in locations:
                raise BadPlan(f"part {part.id}: {part.location!r} is not a location here")
            if part.kit and part.kit not in lines:
                raise BadPlan(f"part {part.id}: {part.kit!r} is not in the kit list")

    def walk(self) -> list[tuple[str, Location, Characteristic]]:
        """Return every check in walking order with its key "LOCATION.ID"."""
        return [
            (f"{location.id}.{check.id}", location, check)
            for location in self.locations
            for check in location.characteristics
        ]

    def hidden_by(self, hold_id: str) -> tuple[str, ...]:
        """Return the ids of the locations that a hold point hides, by way of others too."""
        found = self._below(hold_id)
        return tuple(location.id for location in self.locations if location.id in found)

    def closed_before(self, hold_id: str) -> tuple[str, ...]:
        """Return the ids of the hold points that a hold point hides, by way of others too."""
        found = self._below(hold_id)
        return tuple(hold.id for hold in self.hold_points if hold.id in found)

    def _below(self, hold_id: str) -> set[str]:
        """Return the ids of all that a hold point hides, its own among them if it goes round."""
        hides = {hold.id: hold.hides for hold in self.hold_points}
        seen: set[str] = set()
        waiting = [hold_id]
        while waiting:
            new = [hidden for hidden in hides.get(waiting.pop(), ()) if hidden not in seen]
            seen.update(new)
            waiting += new
        return seen

    def location(self, location_id: str) -> Location:
        """Return a location by its id; raises BadPlan naming those there are."""
        for location in self.locations:
            if location.id == location_id:
                return location
        raise BadPlan(_no("location", location_id, (each.id for each in self.locations)))

    def characteristic(self, key: str) -> tuple[Location, Characteristic]:
        """Return a check by its key "LOCATION.ID"; raises BadPlan."""
        location_id, _, check_id_ = key.partition(".")
        for location in self.locations:
            if location.id == location_id:
                for check in location.characteristics:
                    if check.id == check_id_:
                        return location, check
        raise BadPlan(_no("check", key, (other for other, _, _ in self.walk())))

    def hold_point(self, hold_id: str) -> HoldPoint:
        """Return a hold point by its id; raises BadPlan naming those there are."""
        for hold in self.hold_points:
            if hold.id == hold_id:
                return hold
        raise BadPlan(_no("hold point", hold_id, (each.id for each in self.hold_points)))

    def gauge(self, gauge_id: str) -> Gauge:
        """Return a gauge by its id; raises BadPlan naming those there are."""
        for gauge in self.gauges:
            if gauge.id == gauge_id:
                return gauge
        raise BadPlan(_no("gauge", gauge_id, (each.id for each in self.gauges)))

    def part(self, part_id: str) -> Part:
        """Return a part by its id; raises BadPlan naming those there are."""
        for part in self.parts:
            if part.id == part_id:
                return part
        raise BadPlan(_no("part", part_id, (each.id for each in self.parts)))


def key_of(route: str) -> str:
    """Return the check "LOCATION.ID" that a route "LOCATION.ID.pin" leads to."""
    return ".".join(route.split(".")[:2])


def _no(what: str, wanted: str, there: Iterable[str]) -> str:
    return f"no {what} {wanted!r} in this job; there are {', '.join(there) or 'none'}"
