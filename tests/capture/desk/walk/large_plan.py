"""A plan of as many locations as nobody has, for what must not grow with them."""

from annotate.quantity import Quantity
from store.characteristic import Characteristic, Limit
from store.plan import HoldPoint, Job, Location, Plan


def large_plan(count: int) -> Plan:
    """Return a plan of ``count`` locations with four checks each, a cover over every fifty."""
    limit = Limit(source="builder's own", at_most=Quantity(2.0, "mm"))
    checks = tuple(Characteristic(f"c{n}", "length", "How wide?", "mm", limit) for n in range(4))
    locations = tuple(Location(f"L{n}", f"Bearing {n}, oil hole", checks) for n in range(count))
    holds = tuple(
        HoldPoint(f"H{n}", f"Cover {n} goes on", tuple(f"L{k}" for k in range(n, n + 50)))
        for n in range(0, count, 50)
    )
    return Plan(Job("1", "e", "c", "s"), locations, holds)
