"""What a plan is made of, besides its job."""

from msgspec import Struct

from capture.plans.table import Table
from store.plan import Gauge, HoldPoint, KitLine, Location, Part


class Records(Struct, frozen=True):
    """The records of a plan, or of a part of one; what they refer to may be elsewhere.

    A hold point may hide "pistons?": that location or hold point, if there is one. ``tables`` are
    those that the checks were read from, by key.
    """

    locations: tuple[Location, ...] = ()
    hold_points: tuple[HoldPoint, ...] = ()
    gauges: tuple[Gauge, ...] = ()
    parts: tuple[Part, ...] = ()
    kit: tuple[KitLine, ...] = ()
    tables: dict[str, Table] = {}
