"""Where an ordinary reading of a check lies: near the other readings, in its limit, near a size."""

from collections.abc import Sequence
from math import isfinite, sqrt
from statistics import fmean, stdev

from msgspec import Struct

from annotate.mathematics import student
from annotate.quantity import LEVEL, Quantity
from capture.errors import WrongUse
from store.characteristic import Limit


class Expected(Struct, frozen=True):
    """Where an ordinary reading lies, from ``low`` to ``high``, and what that is in words."""

    words: str
    low: float
    high: float
    unit: str

    def __post_init__(self) -> None:
        if not (isfinite(self.low) and isfinite(self.high) and self.low <= self.high):
            raise WrongUse(f"{self.low} to {self.high} {self.unit} is no range")


def expected_of_readings(
    readings: Sequence[Quantity], words: str = "the other readings here"
) -> Expected:
    """Return where one more reading of the same thing lies with 95 % probability.

    One reading gives its own interval; more give the prediction interval of the normal
    distribution, mean +- t s sqrt(1 + 1/n) with n - 1 degrees of freedom (JCGM 100:2008 4.2, G.3
    for t). In the first one's unit. Raises WrongUse without readings, UnitMismatch for two kinds.
    """
    if not readings:
        raise WrongUse("nothing can be expected of no readings")
    unit = readings[0].unit
    if len(readings) == 1:
        return Expected(words, *readings[0].interval(), unit)
    values = [each.to(unit).value for each in readings]
    t = student.quantile((1 + LEVEL) / 2, len(values) - 1)
    half = t * stdev(values) * sqrt(1 + 1 / len(values))
    return Expected(words, fmean(values) - half, fmean(values) + half, unit)


def expected_of_limit(limit: Limit | None, words: str = "the limit") -> Expected | None:
    """Return the range of a limit with two sides, None for another, which says too little."""
    if limit is None or limit.at_least is None or limit.at_most is None:
        return None
    low, high = limit.at_least, limit.at_most.to(limit.at_least.unit)
    return Expected(words, low.value, high.value, low.unit) if low.value <= high.value else None


def expected_of_size(size: Quantity, words: str) -> Expected:
    """Return the interval of one size that the reading should be near, such as a nominal one."""
    return Expected(words, *size.interval(), size.unit)
