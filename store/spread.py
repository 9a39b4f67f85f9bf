"""Arithmetic on values that carry their errors along: first order, and by trials where that fails.

First order is the law of propagation of uncertainty of JCGM 100:2008 (GUM) 5.1.2 and 5.2.2, error
by error, so that what two values have in common counts as common. It fails near a kink (the larger
of two nearly equal sizes), where a product or quotient is bent within its uncertainty, and where a
sampled value meets one of these; then the whole expression is worked out again with 100 000 trials
of every error (JCGM 101:2008; the same draws every time, whatever else is in the expression).

The value is always the plain arithmetic of what was read. The trials only spread it: the mean of
the trials of a range, say, is larger than the range that was read.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from hashlib import sha256
from math import ceil, fsum, isfinite, log10, sqrt
from typing import TYPE_CHECKING

import msgspec
from msgspec import Struct

from annotate.quantity import QUANTILE_STEPS, Quantity
from store.budget import Budget, Source, merged, tidy
from store.errors import CannotDerive

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    Trials = npt.NDArray[np.float64]

TRIALS = 100_000
_KINK_U, _KINK_SAMPLED_U = 3.0, 6.0  # a tie nearer than this is a kink; a sampled tail is longer
_BENT = 0.1  # second order over first order: it then adds half a per cent to u
_BENT_DIVISOR = 0.05  # relative standard uncertainty of a divisor, or of a root's square
_ONE_U = 0.6827  # of a normal distribution lies within one u
_FIGURES = 12  # what binary arithmetic keeps of the largest term, and a little less


class Worked(Struct, frozen=True):
    """What came of other values.

    ``budget`` is None where trials were needed: the errors are then no longer known apart, and
    ``quantity`` is sampled. ``cites`` are the entries it rests on; ``decisive`` those that made it
    what it is (the largest and the smallest of a range), empty where all did alike.
    """

    quantity: Quantity
    budget: Budget | None
    cites: tuple[str, ...] = ()
    decisive: tuple[str, ...] = ()


@dataclass(frozen=True)
class Value:
    """A number on the way, in some unit that the caller knows.

    ``errors`` are the contributions by label. ``scale`` is the largest term that went into it, of
    which binary arithmetic keeps its digits. ``rough``: first order does not do. ``drawn`` are the
    trials, if this is the second time round.
    """

    value: float
    errors: dict[str, float]
    scale: float
    entries: tuple[str, ...] = ()
    decisive: tuple[str, ...] = ()
    rough: bool = False
    sampled: bool = False
    drawn: "Trials | None" = None

    @property
    def u(self) -> float:
        """The standard uncertainty to first order."""
        return sqrt(fsum(each**2 for each in self.errors.values()))

    @property
    def trials(self) -> "Trials | float":
        """The trials, or the value itself where nothing was drawn."""
        return self.value if self.drawn is None else self.drawn

    def __neg__(self) -> "Value":
        return exact(0.0) - self

    def __add__(self, other: "Value") -> "Value":
        made = _joined(self.value + other.value, (self, 1.0), (other, 1.0))
        scale = max(self.scale, other.scale)
        return replace(made, scale=scale, drawn=_array(self.trials + other.trials))

    def __sub__(self, other: "Value") -> "Value":
        made = _joined(self.value - other.value, (self, 1.0), (other, -1.0))
        scale = max(self.scale, other.scale)
        return replace(made, scale=scale, drawn=_array(self.trials - other.trials))

    def __mul__(self, other: "Value") -> "Value":
        made = _joined(self.value * other.value, (self, other.value), (other, self.value))
        second = self.u * other.u
        bent = second > _BENT * made.u or (second > 0 and made.sampled)
        return replace(
            made,
            scale=self.scale * other.scale,
            rough=made.rough or bent,
            drawn=_array(self.trials * other.trials),
        )

    def __truediv__(self, other: "Value") -> "Value":
        _refuse_zero(other)
        by = other.value
        made = _joined(self.value / by, (self, 1 / by), (other, -self.value / by**2))
        bent = other.u > _BENT_DIVISOR * abs(by) or (other.u > 0 and made.sampled)
        return replace(
            made,
            scale=max(self.scale / abs(by), abs(self.value / by) * other.scale / abs(by)),
            rough=made.rough or bent,
            drawn=_array(self.trials / other.trials),
        )

    def __abs__(self) -> "Value":
        kept = self if self.value >= 0 else -self
        near = _near(self)
        return replace(
            kept, rough=kept.rough or near, drawn=None if self.drawn is None else abs(self.drawn)
        )

    def root(self) -> "Value":
        """Return the square root; raises CannotDerive of a negative number."""
        if self.value < 0:
            raise CannotDerive(f"{self.value:.6g} has no square root: check what was read")
        height = sqrt(self.value)
        if height == 0 and self.u > 0:
            raise CannotDerive("the root of 0 +- something is not known: check what was read")
        made = _joined(height, (self, 0.5 / height if height else 0.0))
        drawn = None if self.drawn is None else self.drawn.clip(0.0) ** 0.5
        return replace(
            made,
            scale=max(height, 0.5 * self.scale / height) if height else 0.0,
            rough=made.rough or self.u > 2 * _BENT_DIVISOR * self.value,
            drawn=drawn,
        )


Leaf = Callable[[Budget, tuple[str, ...]], Value]
Expression = Callable[[Leaf], Value]


def exact(number: float) -> Value:
    """Return a number without an error."""
    return Value(number, {}, abs(number))


def largest(values: Sequence[Value]) -> Value:
    """Return the largest of one or more; what made it decisive is its entries."""
    best = _first_at(max(each.value for each in values), values)
    rough = best.drawn is None and any(_near(best - each) for each in values if each is not best)
    return _picked(best, values, rough=rough, largest_of=True)


def smallest(values: Sequence[Value]) -> Value:
    """Return the smallest of one or more."""
    best = _first_at(min(each.value for each in values), values)
    rough = best.drawn is None and any(_near(each - best) for each in values if each is not best)
    return _picked(best, values, rough=rough, largest_of=False)


def range_of(values: Sequence[Value]) -> Value:
    """Return the largest less the smallest; raises CannotDerive for fewer than two."""
    if len(values) < 2:  # noqa: PLR2004 - one has no range
        raise CannotDerive("a range needs two readings or more")
    return largest(values) - smallest(values)


def mean(values: Sequence[Value]) -> Value:
    """Return the arithmetic mean of one or more."""
    total = values[0]
    for value in values[1:]:
        total += value
    return total / exact(len(values))


def worked(expression: Expression, unit: str, cites: Iterable[str] = ()) -> Worked:
    """Return what an expression comes to, in ``unit``.

    ``expression`` is handed how to take in a Budget and the entries it stands in, and returns
    the Value; it is called a second time, with trials, if first order does not do. Raises
    CannotDerive where there is no result: a division by what may be 0.
    """
    known: dict[str, Source] = {}

    def trace(budget: Budget, entries: tuple[str, ...]) -> Value:
        sources = [source for source in merged(budget.sources) if source.u]
        for source in sources:
            known.setdefault(source.label, source)
        return _value(budget, entries, sources)

    def draw(budget: Budget, entries: tuple[str, ...]) -> Value:
        traced = trace(budget, entries)
        return replace(traced, drawn=_trials(traced, known))

    found = expression(trace)
    cites, decisive = tuple(dict.fromkeys(cites)), tuple(dict.fromkeys(found.decisive))
    value = _without_binary_dust(found)
    if not found.rough:
        sources = tuple(known[k].times(u / known[k].u) for k, u in found.errors.items() if u)
        budget = Budget(value, unit, sources)
        return Worked(budget.quantity(), budget, cites, decisive)
    heavy = any(_has_no_deviation(known[label]) for label in found.errors)
    quantity = _sampled(expression(draw), value, unit, heavy=heavy)
    return Worked(quantity, None, cites, decisive)


def _value(budget: Budget, entries: tuple[str, ...], sources: list[Source]) -> Value:
    return Value(
        value=budget.value,
        errors={source.label: source.u for source in sources},
        scale=abs(budget.value),
        entries=entries,
        sampled=any(source.shape == "sampled" for source in sources),
    )


def _joined(value: float, *terms: tuple[Value, float]) -> Value:
    """Return a value with the errors of those it depends on, each times its sensitivity."""
    if not isfinite(value):
        raise CannotDerive("the result is too large to be a number: check what was read")
    errors: dict[str, float] = {}
    for term, factor in terms:
        for label, u in term.errors.items():
            errors[label] = errors.get(label, 0.0) + factor * u
    return Value(
        value=value,
        errors=errors,
        scale=abs(value),
        entries=tuple(dict.fromkeys(each for term, _ in terms for each in term.entries)),
        decisive=tuple(dict.fromkeys(each for term, _ in terms for each in term.decisive)),
        rough=any(term.rough for term, _ in terms),
        sampled=any(term.sampled for term, _ in terms),
    )


def _first_at(value: float, values: Sequence[Value]) -> Value:
    """Return the first that is at a value; binary dust does not decide which reading is told."""
    dust = 10.0**-_FIGURES * max(each.scale for each in values)
    return next(each for each in values if abs(each.value - value) <= dust)


def _near(gap: Value) -> bool:
    """Return whether a difference may as well have the other sign."""
    reach = _KINK_SAMPLED_U if gap.sampled else _KINK_U
    return abs(gap.value) < reach * gap.u


def _picked(best: Value, values: Sequence[Value], *, rough: bool, largest_of: bool) -> Value:
    drawn: Trials | None = None
    if any(each.drawn is not None for each in values):
        import numpy as np  # noqa: PLC0415 - trials only

        rows = np.broadcast_arrays(*(each.trials for each in values))
        drawn = np.max(rows, axis=0) if largest_of else np.min(rows, axis=0)
    return replace(
        best,
        scale=max(each.scale for each in values),
        decisive=best.decisive or best.entries,
        rough=rough or any(each.rough for each in values),
        drawn=drawn,
    )


def _array(trials: "Trials | float") -> "Trials | None":
    return None if isinstance(trials, float) else trials


def _refuse_zero(divisor: Value) -> None:
    changes_sign = divisor.drawn is not None and divisor.drawn.min() <= 0 <= divisor.drawn.max()
    if divisor.value == 0 or changes_sign:
        words = "is 0" if divisor.u == 0 else f"is {divisor.value:.6g} and may as well be 0"
        raise CannotDerive(f"what is divided by {words}: check what was read")


def _without_binary_dust(found: Value) -> float:
    """Return 0.017 for the 0.01699999999999999 that 0.02 - (0.244 - 0.12 - 0.121) is in binary."""
    if found.scale == 0:
        return found.value
    return round(found.value, _FIGURES - ceil(log10(found.scale)))


def _trials(traced: Value, known: dict[str, Source]) -> "Trials | None":
    """Return trials of a value, None if it is exact."""
    import numpy as np  # noqa: PLC0415 - trials only

    if not traced.errors:
        return None
    trials = np.full(TRIALS, traced.value)
    for label, u in traced.errors.items():
        trials += u * _standard(known[label])
    return trials


def _standard(source: Source) -> "Trials":
    """Return trials of an error in units of its u; the same for one label every time."""
    import numpy as np  # noqa: PLC0415 - trials only

    rng = _generator(f"error {source.label}")
    if source.shape == "sampled":
        steps = np.linspace(0.0, 1.0, QUANTILE_STEPS + 1)
        upright = source.times(1 / source.u)
        return np.asarray(np.interp(rng.random(TRIALS), steps, upright.quantiles))
    if source.shape == "rectangular":
        return np.asarray(sqrt(3) * (2 * rng.random(TRIALS) - 1))
    if source.shape == "triangular":
        return np.asarray(sqrt(6) * (rng.random(TRIALS) + rng.random(TRIALS) - 1))
    normal = rng.standard_normal(TRIALS)
    if source.shape == "normal" or source.dof is None:
        return normal
    # One estimate of the spread serves a whole family: so do its trials (JCGM 101:2008 6.4.9).
    spread = _generator(f"family {source.family or source.label}").chisquare(source.dof, TRIALS)
    return np.asarray(normal / np.sqrt(spread / source.dof))


def _generator(words: str) -> "np.random.Generator":
    import numpy as np  # noqa: PLC0415 - trials only

    seed = int.from_bytes(sha256(words.encode()).digest()[:16], "big")
    return np.random.Generator(np.random.PCG64(seed))


def _has_no_deviation(source: Source) -> bool:
    """Return whether a t has no standard deviation: with one or two degrees of freedom."""
    return source.shape == "t" and source.dof is not None and source.dof <= 2  # noqa: PLR2004 - as said


def _sampled(found: Value, value: float, unit: str, *, heavy: bool) -> Quantity:
    """Return what the trials come to; ``heavy`` tails have no deviation, but a middle 68 %."""
    if found.drawn is None:
        return Quantity(value, unit)
    quantity = Quantity.from_samples(found.drawn, unit, value=value)
    low, high = quantity.interval(_ONE_U)
    u = (high - low) / 2 if heavy else quantity.u
    quantiles = tidy(quantity.quantiles, u)
    return msgspec.structs.replace(quantity, u=u, quantiles=quantiles)
