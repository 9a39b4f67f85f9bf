"""Readings -> Quantity: what a typed number is worth, and differences of two.

Uncertainties are those of JCGM 100:2008 (GUM): rounding and a gauge's permissible error are
rectangular (4.3.7, F.2.2.1), independent contributions add as squares (5.1.2), and their degrees
of freedom follow Welch and Satterthwaite (G.4).
"""

from math import hypot, inf, sqrt

from annotate.quantity import QUANTILE_STEPS, Quantity
from store.errors import CannotDerive
from store.plan import Gauge


def reading_quantity(
    value: float,
    unit: str,
    *,
    half_step: float,
    plus_minus: float | None = None,
    gauge: Gauge | None = None,
) -> Quantity:
    """Return what a typed reading is worth, in its unit.

    ``half_step`` is half the last step of the number as typed (0.0005 for "1.375"); with a gauge
    the larger of it and half the gauge's resolution counts, for nobody reads finer than the
    gauge. The gauge's permissible error is added. A typed "+-" (``plus_minus``) says it all by
    itself: the bounds of a rectangle, instead of the rounding and the gauge. Raises CannotDerive
    for a negative or infinite half-width and UnitMismatch for a gauge of another kind.
    """
    widths = [half_step, 0.0] if plus_minus is None else [plus_minus, 0.0]
    if plus_minus is None and gauge is not None:
        resolution, error = gauge.resolution.to(unit).value, gauge.permissible_error.to(unit).value
        widths = [max(half_step, resolution / 2), error]
    if not all(0 <= width < inf for width in widths):
        raise CannotDerive(f"a reading can't be known to +- {widths[0]} and {widths[1]} {unit}")
    return Quantity(value, unit, u=hypot(*(_rectangular(width) for width in widths)))


def difference(a: Quantity, b: Quantity) -> Quantity:
    """Return a - b in a's unit, the two taken as independent.

    Two readings with one gauge share its error, which a difference partly loses: taken as
    independent, the uncertainty is on the safe side. Raises UnitMismatch.
    """
    b = b.to(a.unit)
    if a.quantiles or b.quantiles:
        return _sampled_difference(a, b)
    u = hypot(a.u, b.u)
    return Quantity(a.value - b.value, a.unit, u=u, dof=effective_dof([(a.u, a.dof), (b.u, b.dof)]))


def effective_dof(parts: list[tuple[float, float | None]]) -> float | None:
    """Return the degrees of freedom of a sum of independent (u, degrees of freedom) parts.

    Welch-Satterthwaite, GUM G.4.1 (G.2b); not truncated; None is infinite.
    """
    # Relative to the largest: fourth powers of micrometres in metres underflow.
    largest = max((u for u, _ in parts), default=0.0)
    if largest == 0:
        return None
    weights = sum((u / largest) ** 4 / dof for u, dof in parts if dof is not None)
    return sum((u / largest) ** 2 for u, _ in parts) ** 2 / weights if weights else None


def _rectangular(half_width: float) -> float:
    """Return the standard uncertainty of a rectangle: a / sqrt(3), which is step / sqrt(12)."""
    return half_width / sqrt(3)


def _sampled_difference(a: Quantity, b: Quantity) -> Quantity:
    import numpy as np  # noqa: PLC0415 - loaded only where a Monte Carlo result is subtracted

    # The middles of equal steps of probability stand for each: no drawing, the same every time.
    middles = [(step + 0.5) / QUANTILE_STEPS for step in range(QUANTILE_STEPS)]
    from_a, from_b = (np.array([q.quantile(p) for p in middles]) for q in (a, b))
    samples = np.subtract.outer(from_a, from_b).ravel()
    return Quantity.from_samples(samples, a.unit, value=a.value - b.value)
