"""What must be shown on one job: frozen records, read from a plan file and kept in the ledger.

Measured values are Quantity; a depth is positive BELOW its datum and printed with the word.
"""

import re
from typing import Literal

from msgspec import Struct

from annotate.quantity import Quantity
from store.errors import BadPlan

Kind = Literal[
    "coverage",  # fraction of an oil hole that is covered, measured on a photo
    "length",  # a typed length: diameter, gap, width
    "depth",  # a typed length from a datum, BELOW / FLUSH / PROUD
    "torque",
    "pressure",
    "count",
    "yes-no",
    "difference",  # of two other characteristics of the job: first minus second
    "agreement",  # do two other characteristics agree? En number, limit 1
]
Of = Literal["covered", "covered of near", "covered of far", "pin", "open area"]
Rule = Literal["guarded", "simple"]
Role = Literal[
    "overall", "which hole", "bare bore", "part on the gauge", "fitted", "with scale",
    "what closes it", "close-up",
]  # fmt: skip

_ID = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,31}")


class Limit(Struct, frozen=True):
    """What a value must be, with its pedigree.

    At least one of ``at_least`` and ``at_most``. ``source`` is the manual and page, or "builder's
    own". ``of`` names what a coverage limit speaks of. ``rule`` is how uncertainty is treated:
    "guarded" asks for 95 % odds either way (ISO 14253-1:2017), "simple" looks at the value alone.
    """

    source: str
    at_least: Quantity | None = None
    at_most: Quantity | None = None
    of: Of = "covered"
    rule: Rule = "guarded"

    def __post_init__(self) -> None:
        if not self.source.strip():
            raise BadPlan('a limit needs its source: the manual and page, or "builder\'s own"')
        if self.at_least is None and self.at_most is None:
            raise BadPlan("a limit needs at_least, at_most or both")


class Characteristic(Struct, frozen=True):
    """One thing to be shown at a location; ``key`` of the job is "LOCATION.ID".

    ``question`` is what the bench asks in words. ``unit`` is taken for a typed number without
    one. ``of`` names the two characteristics (as "LOCATION.ID") of a difference or an agreement.
    ``gauge`` names the gauge usually used. The lengths are what a coverage may be told.
    """

    id: str
    kind: Kind
    question: str
    unit: str
    limit: Limit | None = None
    datum: str = ""
    gauge: str = ""
    of: tuple[str, str] | None = None
    near_diameter: Quantity | None = None
    far_diameter: Quantity | None = None
    wall: Quantity | None = None
    bore_diameter: Quantity | None = None
    flat: bool = False
    caution: str = ""

    def __post_init__(self) -> None:
        _check_id(self.id)
        if (self.kind in {"difference", "agreement"}) != (self.of is not None):
            raise BadPlan(f"{self.id}: a difference or an agreement, and only these, has 'of'")


class Location(Struct, frozen=True):
    """A place on the block. ``near`` and ``far`` are what the shop calls the two holes."""

    id: str
    name: str
    characteristics: tuple[Characteristic, ...]
    near: str = "bearing hole"
    far: str = "block hole"

    def __post_init__(self) -> None:
        _check_id(self.id)


class HoldPoint(Struct, frozen=True):
    """A mandatory stop before ``name`` goes on and hides the locations ``hides``.

    Each hidden location must have a photo of each role in ``roles``.
    """

    id: str
    name: str
    hides: tuple[str, ...]
    roles: tuple[Role, ...] = ()
    caution: str = ""

    def __post_init__(self) -> None:
        _check_id(self.id)


class Gauge(Struct, frozen=True):
    """A measuring tool. ``permissible_error`` is the largest error its maker or check allows."""

    id: str
    kind: str
    resolution: Quantity
    permissible_error: Quantity
    last_check: str = ""
    set_on: str = ""

    def __post_init__(self) -> None:
        _check_id(self.id)


class Job(Struct, frozen=True):
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


class Plan(Struct, frozen=True):
    """The job, its locations in walking order, its hold points in closing order, its gauges."""

    job: Job
    locations: tuple[Location, ...]
    hold_points: tuple[HoldPoint, ...] = ()
    gauges: tuple[Gauge, ...] = ()

    def __post_init__(self) -> None:
        _check_unique("location", [location.id for location in self.locations])
        _check_unique("hold point", [hold.id for hold in self.hold_points])
        _check_unique("gauge", [gauge.id for gauge in self.gauges])
        for location in self.locations:
            ids = [c.id for c in location.characteristics]
            _check_unique("characteristic", ids, where=f" of {location.id}")
        keys = {key for key, _, _ in self.walk()}
        for key, _, characteristic in self.walk():
            for other in characteristic.of or ():
                if other not in keys or other == key:
                    raise BadPlan(f"{key}: 'of' names {other!r}, which is not another check here")
            if characteristic.gauge and characteristic.gauge not in {g.id for g in self.gauges}:
                raise BadPlan(f"{key}: gauge {characteristic.gauge!r} is not in the gauge list")
        for hold in self.hold_points:
            for hidden in hold.hides:
                if hidden not in {location.id for location in self.locations}:
                    raise BadPlan(f"hold point {hold.id}: hides {hidden!r}, not a location here")

    def walk(self) -> list[tuple[str, Location, Characteristic]]:
        """Return every characteristic in walking order with its key "LOCATION.ID"."""
        return [
            (f"{location.id}.{characteristic.id}", location, characteristic)
            for location in self.locations
            for characteristic in location.characteristics
        ]

    def location(self, location_id: str) -> Location:
        """Return a location by its id; raises BadPlan naming those there are."""
        for location in self.locations:
            if location.id == location_id:
                return location
        known = ", ".join(location.id for location in self.locations)
        raise BadPlan(f"no location {location_id!r} in this job; there are {known}")

    def characteristic(self, key: str) -> tuple[Location, Characteristic]:
        """Return a characteristic by its key "LOCATION.ID"; raises BadPlan."""
        for other, location, characteristic in self.walk():
            if other == key:
                return location, characteristic
        known = ", ".join(other for other, _, _ in self.walk())
        raise BadPlan(f"no check {key!r} in this job; there are {known}")

    def hold_point(self, hold_id: str) -> HoldPoint:
        """Return a hold point by its id; raises BadPlan naming those there are."""
        for hold in self.hold_points:
            if hold.id == hold_id:
                return hold
        known = ", ".join(hold.id for hold in self.hold_points) or "none"
        raise BadPlan(f"no hold point {hold_id!r} in this job; there are {known}")


def _check_id(text: str) -> None:
    if not _ID.fullmatch(text):
        raise BadPlan(f"{text!r} is not an id: letters, figures, - and _, at most 32")


def _check_unique(what: str, ids: list[str], where: str = "") -> None:
    twice = sorted({i for i in ids if ids.count(i) > 1})
    if twice:
        raise BadPlan(f"{what} {twice[0]!r}{where} is there twice")
