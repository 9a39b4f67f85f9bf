"""What an expression over budgets comes to: first order where it does, by trials where not.

Where a value is rough (see store.budgets.spread) the whole expression is worked out again with
100 000 trials of every error (JCGM 101:2008; the same draws every time, whatever else stands in
it).

The value is always the plain arithmetic of what was read. The trials only spread it: the mean of
the trials of a range, say, is larger than the range that was read.
"""

from collections.abc import Iterable
from dataclasses import replace
from typing import TYPE_CHECKING

import msgspec
from msgspec import Struct

from annotate.quantity import Quantity
from store.budgets.budget import Budget, Source, merged, tidy
from store.budgets.spread import Expression, Value, of_budget
from store.budgets.trials import TRIALS, standard_trials

if TYPE_CHECKING:
    from store.budgets.trials import Trials

_ONE_U = 0.6827  # of a normal distribution lies within one u


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


def worked(expression: Expression, unit: str, cites: Iterable[str] = ()) -> Worked:
    """Return what an expression comes to, in ``unit``.

    ``expression`` is handed how to take in a Budget and the entries it stands in, and returns
    the Value; it is called a second time, with trials, if first order does not do. Raises
    CannotDerive where there is no result: a division by what may be 0.
    """
    known: dict[str, Source] = {}

    def trace(budget: Budget, entries: tuple[str, ...]) -> Value:
        for source in merged(budget.sources):
            if source.u:
                known.setdefault(source.label, source)
        return of_budget(budget, entries)

    def draw(budget: Budget, entries: tuple[str, ...]) -> Value:
        traced = trace(budget, entries)
        return replace(traced, drawn=_trials(traced, known))

    found = expression(trace)
    cites, decisive = tuple(dict.fromkeys(cites)), tuple(dict.fromkeys(found.decisive))
    if not found.rough:
        sources = tuple(known[k].times(u / known[k].u) for k, u in found.errors.items() if u)
        budget = Budget(found.plain, unit, sources)
        return Worked(budget.quantity(), budget, cites, decisive)
    heavy = any(_has_no_deviation(known[label]) for label in found.errors)
    quantity = _sampled(expression(draw), found.plain, unit, heavy=heavy)
    return Worked(quantity, None, cites, decisive)


def _trials(traced: Value, known: dict[str, Source]) -> "Trials | None":
    """Return trials of a value, None if it is exact."""
    import numpy as np  # noqa: PLC0415 - trials only

    if not traced.errors:
        return None
    trials = np.full(TRIALS, traced.value)
    for label, u in traced.errors.items():
        trials += u * standard_trials(known[label])
    return trials


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
