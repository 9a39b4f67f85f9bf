"""Do two routes to one number agree? Photo against pin, two datums, two people.

En = |a - b| / sqrt(Ua^2 + Ub^2) with expanded uncertainties at 95 % (ISO 13528, ISO/IEC 17043);
the routes agree if En <= 1.
"""

from math import hypot

from annotate.quantity import LEVEL, Quantity
from store.errors import CannotDerive


def en(a: Quantity, b: Quantity) -> float:
    """Return the En number of two independent values of one thing.

    The expanded uncertainty is half the value's 95 % interval. Two exact values agree (0) if
    equal; if not, En can't be worked out and CannotDerive is raised. Raises UnitMismatch.
    """
    b = b.to(a.unit)
    spread = hypot(_expanded(a), _expanded(b))
    apart = abs(a.value - b.value)
    if spread > 0:
        return apart / spread
    if apart > 0:
        raise CannotDerive(
            "neither value has an uncertainty, so they can't be shown to agree: "
            "ask for their difference instead"
        )
    return 0.0


def agreement(a: Quantity, b: Quantity) -> Quantity:
    """Return the En number as an exact quantity of unit "1", to be judged against En <= 1."""
    return Quantity(en(a, b), "1")


def _expanded(quantity: Quantity) -> float:
    low, high = quantity.interval(LEVEL)
    return (high - low) / 2
