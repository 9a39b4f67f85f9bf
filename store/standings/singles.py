"""Single readings of a grid that lie outside the limit while the number made of them does not.

A mean may be within where one of its readings is not. The verdict is the mean's; that one reading
is not is said beside it. Values alone are compared here: the verdict counts uncertainty, a reading
beside it is a plain fact.
"""

from msgspec.structs import replace

from annotate.errors import UnitMismatch
from annotate.quantity import Quantity
from store.characteristic import Limit, Spot, Take
from store.judge import judge, limit_for
from store.round import Check

# What is made of the others (a range, a taper) is no size that a single reading could have.
_OF_A_SIZE: frozenset[Take] = frozenset({"mean", "largest", "smallest"})


def outside_alone(check: Check) -> tuple[Spot, ...]:
    """Return the spots whose reading lies outside the deciding limit though the value does not.

    In the order of the grid; empty for what is no grid, has no limit or no value yet, or whose
    number is of another kind than its readings.
    """
    limit = limit_for(check.characteristic)
    if limit is None or check.value is None or not check.characteristic.is_grid:
        return ()
    if check.characteristic.take not in _OF_A_SIZE or _is_outside(check.value, limit):
        return ()
    cells = check.cells
    return tuple(
        spot
        for spot in check.characteristic.spots
        if spot in cells and (value := cells[spot].value) and _is_outside(value, limit)
    )


def alone_said(check: Check) -> str:
    """Return it as a clause: "12h itself is outside"; empty where there is none."""
    spots = [spot.words or "no. 1" for spot in outside_alone(check)]
    if not spots:
        return ""
    if len(spots) == 1:
        return f"{spots[0]} itself is outside"
    return f"{', '.join(spots[:-1])} and {spots[-1]} themselves are outside"


def _is_outside(quantity: Quantity, limit: Limit) -> bool:
    """Return whether a value alone lies outside, whatever its uncertainty."""
    bare = Quantity(quantity.value, quantity.unit)
    try:
        return judge(bare, replace(limit, rule="simple")).state == "outside"
    except UnitMismatch:
        return False
