"""Arithmetic on values that carry their errors along: first order, and by trials where that fails.

First order is the law of propagation of uncertainty of JCGM 100:2008 (GUM) 5.1.2 and 5.2.2, error
by error, so that what two values have in common counts as common. It fails near a kink (the larger
of two nearly equal sizes), where a product or quotient is bent within its uncertainty, and where a
sampled value meets one of these. Such a value is ``rough``, and store.budgets.outcome works the
whole expression out again with trials.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import ceil, fsum, isfinite, log10, sqrt
from typing import TYPE_CHECKING

from store.budgets.budget import Budget, merged
from store.errors import CannotDerive

if TYPE_CHECKING:
    from store.budgets.trials import Trials

_KINK_U, _KINK_SAMPLED_U = 3.0, 6.0  # a tie nearer than this is a kink; a sampled tail is longer
_BENT = 0.1  # second order over first order: it then adds half a per cent to u
_BENT_DIVISOR = 0.05  # relative standard uncertainty of a divisor, or of a root's square
_FIGURES = 12  # what binary arithmetic keeps of the largest term, and a little less


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

    @property
    def plain(self) -> float:
        """The value without binary dust.

        0.017 for the 0.01699999999999999 that 0.02 - (0.244 - 0.12 - 0.121) is in binary.
        """
        if self.scale == 0:
            return self.value
        return round(self.value, _FIGURES - ceil(log10(self.scale)))

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


def of_budget(budget: Budget, entries: tuple[str, ...]) -> Value:
    """Return a value with the errors of a budget; ``entries`` are where it stands."""
    sources = [source for source in merged(budget.sources) if source.u]
    return Value(
        value=budget.value,
        errors={source.label: source.u for source in sources},
        scale=abs(budget.value),
        entries=entries,
        sampled=any(source.shape == "sampled" for source in sources),
    )


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


def _joined(value: float, *terms: tuple[Value, float]) -> Value:
    """Return a value with the errors of those it depends on, each times its sensitivity."""
    if not isfinite(value):
        raise CannotDerive("the result is too large to be a number: check what was read")
    errors: dict[str, float] = {}
    largest: dict[str, float] = {}
    for term, factor in terms:
        for label, u in term.errors.items():
            errors[label] = errors.get(label, 0.0) + factor * u
            largest[label] = max(largest.get(label, 0.0), abs(factor * u))
    return Value(
        value=value,
        # Of an error that cancels, binary arithmetic leaves a little: it is no error.
        errors={k: u for k, u in errors.items() if abs(u) > 10.0**-_FIGURES * largest[k]},
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
