"""A table of bands to look a value up in: what to fit, or what to do, from where to where."""

from collections.abc import Sequence

from msgspec import Struct

from annotate.quantity import Quantity
from store.characteristic import Band

# Decimal fractions differ in binary by less than 1e-15 of the figures they were worked out from;
# nobody reads a gauge to a millionth of the table.
_ROUNDING = 1e-9


class Banded(Struct, frozen=True):
    """Where a value lies in a table.

    ``name`` is its band, empty if it has none; ``why`` then says in a sentence what it lies
    between. ``also`` are other bands that the value may lie in, within its 95 % interval.
    """

    name: str
    why: str = ""
    also: tuple[str, ...] = ()


def band_of(quantity: Quantity, bands: Sequence[Band]) -> Banded:
    """Return the band that a value belongs to, both ends of each included.

    A value at the common end of two belongs to neither for certain, and is told so, like one
    in a gap of the table, below it or above it. 0.01699999 that was 0.017 in decimal counts as
    0.017. Raises UnitMismatch.
    """
    inside = [band.name for band in bands if _holds(band, quantity.value, quantity, bands)]
    also = tuple(name for name in _reached(quantity, bands) if name not in inside)
    if len(inside) == 1:
        return Banded(inside[0], also=also)
    return Banded("", _why(quantity, inside, bands), also)


def _holds(band: Band, value: float, quantity: Quantity, bands: Sequence[Band]) -> bool:
    low, high = _ends(band, quantity.unit)
    slack = _slack(quantity, bands)
    return (low is None or value >= low - slack) and (high is None or value <= high + slack)


def _reached(quantity: Quantity, bands: Sequence[Band]) -> list[str]:
    """Return the names of the bands that the 95 % interval touches."""
    if quantity.u == 0:
        return []
    lowest, highest = quantity.interval()
    found = []
    for band in bands:
        low, high = _ends(band, quantity.unit)
        if (low is None or highest >= low) and (high is None or lowest <= high):
            found.append(band.name)
    return found


def _slack(quantity: Quantity, bands: Sequence[Band]) -> float:
    """Return how far off an end still counts as at it, relative to the largest figure there."""
    ends = [end for band in bands for end in _ends(band, quantity.unit) if end is not None]
    return _ROUNDING * max(map(abs, [*ends, quantity.value]))


def _ends(band: Band, unit: str) -> tuple[float | None, float | None]:
    low = None if band.at_least is None else band.at_least.to(unit).value
    high = None if band.at_most is None else band.at_most.to(unit).value
    return low, high


def _why(quantity: Quantity, inside: list[str], bands: Sequence[Band]) -> str:
    """Return one sentence on why a value has no band of its own."""
    value = f"{quantity.value:.6g} {quantity.unit}"
    if inside:
        return f"{value} is in {_and(inside)} at once: look at the table, then choose one"
    below = [(high, b.name) for b in bands if (high := _ends(b, quantity.unit)[1]) is not None]
    above = [(low, b.name) for b in bands if (low := _ends(b, quantity.unit)[0]) is not None]
    under = max((each for each in below if each[0] < quantity.value), default=None)
    over = min((each for each in above if each[0] > quantity.value), default=None)
    if under and over:
        return (
            f"{value} lies between two bands of the table, {under[1]} (to {under[0]:.6g}) and "
            f"{over[1]} (from {over[0]:.6g}), and belongs to neither"
        )
    if over:
        return f"{value} lies below the table, which begins at {over[0]:.6g} ({over[1]})"
    if under:
        return f"{value} lies above the table, which ends at {under[0]:.6g} ({under[1]})"
    return f"there is no table to look {value} up in"


def _and(names: list[str]) -> str:
    return f"{', '.join(names[:-1])} and {names[-1]}"
