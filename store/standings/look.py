"""What one look at a telling works out once for all of its checks."""

from typing import NamedTuple

from store.told.suspicion import Suspicion
from store.told.telling import Telling


class View(NamedTuple):
    """What one look at a telling works out once: which holds are closed, what is suspect."""

    told: Telling
    suspicion: Suspicion
    hides: dict[str, tuple[str, ...]]  # hold points by the location they hide
    closed: frozenset[str]
    every_reading: bool = True  # of grids; else only those that were struck

    @classmethod
    def of(cls, told: Telling) -> "View":
        """Return the view of a telling as it stands now."""
        hides = told.wiring_at(told.now).hides
        closed = frozenset(h.id for h in told.plan.hold_points if told.closed(h.id))
        return cls(told, Suspicion(told, told.now), hides, closed)
