"""A value with its unit and its uncertainty.

Two forms. *Stated*: value and standard uncertainty with degrees of freedom; its distribution is
the scaled and shifted t (normal for infinite degrees of freedom; JCGM 101:2008 6.4.9). *Sampled*:
the quantiles of a Monte Carlo result, which may be skewed, at ``QUANTILE_STEPS`` equal steps of
probability; it is never squeezed into value +- u (JCGM 101:2008 7.7).

Units are those of UNITS below, under one spelling each. pint converts and never parses what a
person typed.
"""

from bisect import bisect_right
from functools import cache
from math import isfinite, isinf, isnan
from typing import TYPE_CHECKING, Any

from msgspec import Struct
from msgspec.structs import replace

from annotate.errors import BadQuantity, UnitMismatch
from annotate.mathematics import student

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt
    import pint

QUANTILE_STEPS = 200
LEVEL = 0.95

# spelling here -> (pint expression, kind). Exact factors: 1959 inch and pound, 1901 standard g.
UNITS: dict[str, tuple[str, str]] = {
    "1": ("dimensionless", "ratio"),
    "%": ("percent", "ratio"),
    "mm": ("millimetre", "length"),
    "um": ("micrometre", "length"),
    "cm": ("centimetre", "length"),
    "m": ("metre", "length"),
    "in": ("inch", "length"),
    "ft": ("foot", "length"),
    "mm^2": ("millimetre ** 2", "area"),
    "in^2": ("inch ** 2", "area"),
    "deg": ("degree", "angle"),
    "rad": ("radian", "angle"),
    "turn": ("turn", "angle"),
    "N.m": ("newton_metre", "torque"),
    "lbf.ft": ("pound_force_foot", "torque"),
    "lbf.in": ("pound_force_inch", "torque"),
    "Pa": ("pascal", "pressure"),
    "kPa": ("kilopascal", "pressure"),
    "bar": ("bar", "pressure"),
    "psi": ("psi", "pressure"),
    "s": ("second", "time"),
    "min": ("minute", "time"),
    "h": ("hour", "time"),
    "kPa/min": ("kilopascal / minute", "pressure per time"),
    "psi/min": ("psi / minute", "pressure per time"),
    "px": ("pixel", "pixels"),
    "count": ("count", "count"),
}

_DEFINITIONS = [
    "percent = 0.01",
    "metre = [length]",
    "millimetre = 1e-3 metre",
    "centimetre = 1e-2 metre",
    "micrometre = 1e-6 metre",
    "inch = 25.4 millimetre",
    "foot = 12 inch",
    "radian = [angle]",
    "degree = 0.017453292519943295 radian",
    "turn = 6.283185307179586 radian",
    "newton_metre = [torque]",
    # 0.45359237 kg x 9.80665 m/s2 x 0.3048 m
    "pound_force_foot = 1.3558179483314004 newton_metre",
    "pound_force_inch = 0.1129848290276167 newton_metre",
    "pascal = [pressure]",
    "kilopascal = 1000 pascal",
    "bar = 100000 pascal",
    "psi = 6894.757293168361 pascal",
    "second = [time]",
    "minute = 60 second",
    "hour = 3600 second",
    "pixel = [pixels]",
    "count = [count]",
]


@cache
def _registry() -> "pint.UnitRegistry[Any]":
    import pint  # noqa: PLC0415 - 100 ms that most verbs never need

    return pint.UnitRegistry(_DEFINITIONS)


def conversion_factor(from_unit: str, to_unit: str) -> float:
    """Return the number that turns a value in ``from_unit`` into one in ``to_unit``.

    Raises UnitMismatch for an unknown unit or two different kinds ("mm" and "N.m").
    """
    for unit in (from_unit, to_unit):
        if unit not in UNITS:
            raise UnitMismatch(f"unknown unit {unit!r}; known: {', '.join(UNITS)}")
    if from_unit == to_unit:
        return 1.0
    (from_name, from_kind), (to_name, to_kind) = UNITS[from_unit], UNITS[to_unit]
    if from_kind != to_kind:
        raise UnitMismatch(f"{from_unit} ({from_kind}) cannot become {to_unit} ({to_kind})")
    return float(_registry().Quantity(1.0, from_name).to(to_name).magnitude)


class Quantity(Struct, frozen=True, omit_defaults=True):
    """A measured or given value.

    ``u`` is the standard uncertainty in ``unit``; ``dof`` its degrees of freedom (None: infinite).
    ``quantiles`` is empty for a stated quantity, else QUANTILE_STEPS + 1 non-decreasing values at
    probabilities 0, 1/QUANTILE_STEPS, ... 1.
    """

    value: float
    unit: str
    u: float = 0.0
    dof: float | None = None
    quantiles: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        if self.unit not in UNITS:
            raise BadQuantity(f"unknown unit {self.unit!r}; known: {', '.join(UNITS)}")
        if not (isfinite(self.value) and 0 <= self.u < float("inf")):
            raise BadQuantity(f"value {self.value} +- {self.u} {self.unit} is not a quantity")
        if self.dof is not None and (isnan(self.dof) or self.dof < 1):
            raise BadQuantity(f"degrees of freedom {self.dof} below 1")
        if self.quantiles and (
            len(self.quantiles) != QUANTILE_STEPS + 1
            or not all(map(isfinite, self.quantiles))  # NaN would pass the next line
            or tuple(sorted(self.quantiles)) != self.quantiles
        ):
            raise BadQuantity(f"quantiles must be {QUANTILE_STEPS + 1} non-decreasing values")

    @classmethod
    def from_samples(
        cls, samples: "npt.NDArray[np.float64]", unit: str, *, value: float | None = None
    ) -> "Quantity":
        """Return the quantity that a Monte Carlo sample describes.

        The value is the sample median unless given: the mean of a skewed or two-branched sample
        can be a value that no trial came near. Refuses fewer than two samples or one not finite.
        """
        import numpy as np  # noqa: PLC0415 - slow to load, and most verbs never need it

        if samples.size < 2 or not np.isfinite(samples).all():  # noqa: PLR2004 - one has no spread
            raise BadQuantity("a quantity needs at least two finite samples")
        steps = np.linspace(0.0, 1.0, QUANTILE_STEPS + 1)
        quantiles = np.quantile(samples, steps)
        return cls(
            value=float(np.median(samples)) if value is None else value,
            unit=unit,
            u=float(np.std(samples, ddof=1)),
            quantiles=tuple(float(q) for q in np.maximum.accumulate(quantiles)),
        )

    def quantile(self, probability: float) -> float:
        """Return the value below which the quantity lies with this probability."""
        if self.quantiles:
            import numpy as np  # noqa: PLC0415 - the same

            steps = np.linspace(0.0, 1.0, QUANTILE_STEPS + 1)
            return float(np.interp(probability, steps, self.quantiles))
        if self.u == 0:
            return self.value
        return self.value + self.u * student.quantile(probability, self.dof)

    def interval(self, level: float = LEVEL) -> tuple[float, float]:
        """Return the probabilistically symmetric interval (low, high) of this level."""
        tail = (1.0 - level) / 2
        return self.quantile(tail), self.quantile(1 - tail)

    def probability_below(self, bound: float) -> float:
        """Return the probability that the quantity lies below (or at) ``bound``, in its unit."""
        if self.quantiles:
            return _empirical_probability_below(self.quantiles, bound)
        if self.u == 0:
            return 1.0 if self.value <= bound else 0.0
        return student.probability_below((bound - self.value) / self.u, self.dof)

    def draw(self, rng: "np.random.Generator", count: int) -> "npt.NDArray[np.float64]":
        """Return ``count`` random values of the quantity, in its unit (JCGM 101:2008 6.4)."""
        if self.quantiles:
            import numpy as np  # noqa: PLC0415 - the same

            steps = np.linspace(0.0, 1.0, QUANTILE_STEPS + 1)
            return np.interp(rng.random(count), steps, self.quantiles)
        if self.dof is None or isinf(self.dof):
            return self.value + self.u * rng.standard_normal(count)
        return self.value + self.u * rng.standard_t(self.dof, count)

    def to(self, unit: str) -> "Quantity":
        """Return the same quantity in another unit; raises UnitMismatch."""
        factor = conversion_factor(self.unit, unit)
        if factor == 1:
            return self if self.unit == unit else replace(self, unit=unit)
        return Quantity(
            value=self.value * factor,
            unit=unit,
            u=self.u * factor,
            dof=self.dof,
            quantiles=tuple(q * factor for q in self.quantiles),
        )


def _empirical_probability_below(quantiles: tuple[float, ...], bound: float) -> float:
    """Return the probability at or below ``bound`` by the inverse of the quantile polygon."""
    # Ties (a pile of trials at exactly 0, say) must count as a whole: search from the right.
    above = bisect_right(quantiles, bound)
    if above == 0:
        return 0.0
    if above == len(quantiles):
        return 1.0
    low, high = quantiles[above - 1], quantiles[above]
    return (above - 1 + (bound - low) / (high - low)) / QUANTILE_STEPS
