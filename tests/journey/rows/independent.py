"""What typed readings come to, worked out with nothing of the program.

``Exact`` propagates first order with the library `uncertainties` (an error that two readings share
is one variable); ``Trials`` draws them with numpy, where a largest or a range has a kink. The
model of a reading is the documented one (store/budgets: worth.py, grid.py): half of the larger of
the step typed and the gauge's resolution is a rectangle of its own (JCGM 100:2008 4.3.7), the
gauge's permissible error a rectangle that all its readings share, its repeatability a t of its own,
and repeats at one spot share their rounding and doubts and spread by s / sqrt(n) (4.2.3), s
pooled.
"""

from collections.abc import Mapping, Sequence
from math import fsum, sqrt
from typing import Any, NamedTuple

import numpy as np
from uncertainties import ufloat

# A value with its errors: a ufloat, or an array of trials. Neither library is typed.
Spread = Any
DRAWS = 200_000


class Exact:
    """First order, with `uncertainties`."""

    def uniform(self, half_width: float) -> Spread:
        """An error of +- a half width: its standard uncertainty is that over root 3."""
        return ufloat(0.0, half_width / sqrt(3))

    def student(self, s: float, dof: float, family: str) -> Spread:
        return ufloat(0.0, s)


class Trials:
    """Draws, with numpy: the same in every run."""

    def __init__(self, seed: int = 20261124) -> None:
        self.rng = np.random.default_rng(seed)
        self.spreads: dict[str, Spread] = {}

    def uniform(self, half_width: float) -> Spread:
        return self.rng.uniform(-half_width, half_width, DRAWS)

    def student(self, s: float, dof: float, family: str) -> Spread:
        """One estimate of the spread serves all errors of its family."""
        if family not in self.spreads:
            self.spreads[family] = np.sqrt(self.rng.chisquare(dof, DRAWS) / dof)
        return s * self.rng.standard_normal(DRAWS) / self.spreads[family]


class Tool:
    """A gauge: what it is read to, and by how much it may be out, in the unit that is used."""

    def __init__(
        self, world: Exact | Trials, step: float, error: float = 0.0, *,
        repeats_to: float = 0.0, found_in: int = 0,
    ) -> None:  # fmt: skip
        self.world, self.step = world, step
        self.error = world.uniform(error) if error else 0.0
        self.repeats_to, self.dof = repeats_to, found_in - 1

    def reads(self, value: float, step: float = 0.0) -> Spread:
        """One reading; ``step`` is that of the number typed, where it is coarser."""
        own = self.world.uniform(max(step, self.step) / 2)
        if self.repeats_to:
            own = own + self.world.student(self.repeats_to, self.dof, f"repeats {id(self)}")
        return value + self.error + own

    def repeated(
        self, rows: Mapping[str, Sequence[float]], *, doubt: float = 0.0
    ) -> dict[str, Spread]:
        """The mean at each spot, of repeats typed to the gauge's step.

        The spread is pooled over the spots, and with what the gauge repeats to, unless the
        readings spread more than three times as much.
        """
        dof = float(sum(len(row) - 1 for row in rows.values()))
        squares = fsum((x - mean(row)) ** 2 for row in rows.values() for x in row)
        if self.repeats_to and squares / dof <= (3 * self.repeats_to) ** 2:
            squares, dof = squares + self.dof * self.repeats_to**2, dof + self.dof
        s, family = sqrt(squares / dof), f"pooled {sorted(rows.items())}"
        return {
            spot: mean(row)
            + self.error
            + self.world.uniform(self.step / 2)
            + (self.world.uniform(doubt) if doubt else 0.0)
            + (self.world.student(s / sqrt(len(row)), dof, family) if s else 0.0)
            for spot, row in rows.items()
        }


def mean(values: Sequence[Spread]) -> Spread:
    return sum(values) / len(values)


def at_20(
    length: Spread, part_c: float, gauge_c: float, part_per_k: float, gauge_per_k: float
) -> Spread:
    """Return a length as it is at 20 degrees C (ISO 1): two temperatures +-1 K, expansions +-10 %.

    Both half widths are common practice without a source; `uncertainties` only.
    """
    part, gauge = (ufloat(c - 20.0, 1 / sqrt(3)) for c in (part_c, gauge_c))
    grown = (ufloat(per_k, 0.1 * per_k / sqrt(3)) for per_k in (part_per_k, gauge_per_k))
    part_expansion, gauge_expansion = grown
    return length * (1 - (part_expansion * part - gauge_expansion * gauge))


def highest(values: Sequence[Spread]) -> Spread:
    """The largest in each trial."""
    return np.max(np.stack(list(values)), axis=0)


def lowest(values: Sequence[Spread]) -> Spread:
    """The smallest in each trial."""
    return np.min(np.stack(list(values)), axis=0)


def width(values: Sequence[Spread]) -> Spread:
    """The largest less the smallest in each trial."""
    return highest(values) - lowest(values)


class Outcome(NamedTuple):
    """A value and its standard uncertainty; ``close`` is how near to it the program must come."""

    value: float
    u: float
    close: float


def exact(found: Spread) -> Outcome:
    """Of a ufloat. A relative 1e-6 leaves room for nothing but binary dust."""
    return Outcome(found.nominal_value, found.std_dev, 1e-6)


def by_trials(value: float, drawn: Spread, close: float = 0.015) -> Outcome:
    """Of draws, about the plain value. Two sets of 1e5 draws differ by well under 1.5 %."""
    return Outcome(value, float(np.std(drawn)), close)


def by_middle(value: float, drawn: Spread, close: float = 0.02) -> Outcome:
    """Of draws of a t with one or two degrees of freedom: half of the middle 68.27 %."""
    low, high = np.quantile(drawn, (0.15865, 0.84135))
    return Outcome(value, float(high - low) / 2, close)


def en(first: Spread, second: Spread) -> float:
    """Return |a - b| / U(a - b) of two draws, with half the 95 % interval of their difference."""
    apart = first - second
    low, high = np.quantile(apart, (0.025, 0.975))
    return float(abs(np.mean(apart)) / ((high - low) / 2))
