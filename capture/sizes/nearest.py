"""Which standard size is meant by a measured diameter, given how well it was measured."""

from collections.abc import Iterable
from fractions import Fraction
from math import exp, isinf, log1p

from msgspec import Struct

from annotate.quantity import Quantity
from capture.sizes.series import USUAL, Series, Size, checked_diameter, nearest_sizes

_LOOKED_AT = 12  # more sizes than ever share the probability, unless nothing tells them apart
_UNLIKELY = 0.005  # in each tail: the 99 % interval
_ROUNDING_MM = 1e-9  # 1.25 in is 31.75 mm but for the last bit


class Meant(Struct, frozen=True):
    """A standard size that may be meant.

    ``probability`` is that of being meant, if one of the series is: every size is as common as
    another. ``away_mm`` is measured minus standard. ``agrees``: the measured diameter may be that
    size within its 99 % interval.
    """

    name: str
    mm: Fraction
    probability: float
    away_mm: float
    agrees: bool


def nearest(
    diameter: Quantity, count: int = 3, series: Iterable[Series] = USUAL
) -> tuple[Meant, ...]:
    """Return the standard sizes that a measured diameter may be, the likeliest first.

    By Bayes' rule with equal odds for all sizes: as likely as the diameter's own distribution
    (normal, or t with its degrees of freedom) makes the difference; a sampled one counts as
    normal. Without an uncertainty the nearest is certain. Two names of one size are one. Raises
    BadReading for what is no diameter, UnitMismatch for another kind.
    """
    measured = diameter.to("mm")
    exact_mm = checked_diameter(measured.value)
    sizes = _one_of_each(nearest_sizes(exact_mm, _LOOKED_AT + count, series))
    ranked = sorted(zip(_shares(measured, sizes), sizes, strict=True), key=lambda each: -each[0])
    return tuple(
        Meant(
            name=size.name,
            mm=size.mm,
            probability=share,
            away_mm=float(exact_mm - size.mm),
            agrees=_agrees(measured, size),
        )
        for share, size in ranked[:count]
    )


def _one_of_each(sizes: list[Size]) -> list[Size]:
    """Return the sizes with all names of one together: "1 1/4 in or 31.75 mm"."""
    names: dict[Fraction, list[str]] = {}
    for size in sizes:
        names.setdefault(size.mm, []).append(size.name)
    return [Size(" or ".join(of_one), mm) for mm, of_one in names.items()]


def _shares(measured: Quantity, sizes: list[Size]) -> list[float]:
    """Return how likely each size is to be the one meant; they add up to 1."""
    away_mm = [measured.value - float(size.mm) for size in sizes]
    if measured.u == 0:
        least = min(map(abs, away_mm))
        weights = [1.0 if abs(away) == least else 0.0 for away in away_mm]
    else:
        logs = [_log_density(away / measured.u, measured.dof) for away in away_mm]
        weights = [exp(each - max(logs)) for each in logs]
    return [weight / sum(weights) for weight in weights]


def _log_density(t: float, dof: float | None) -> float:
    """Return the logarithm of the t density, up to a constant (None or infinite: normal)."""
    if dof is None or isinf(dof):
        return -t * t / 2
    return -(dof + 1) / 2 * log1p(t * t / dof)


def _agrees(measured: Quantity, size: Size) -> bool:
    away = abs(measured.value - float(size.mm))
    below = measured.probability_below(float(size.mm))
    return away < _ROUNDING_MM or _UNLIKELY <= below <= 1 - _UNLIKELY
