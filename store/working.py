"""What a kept value rests on, and what follows from it: budgets, grids, formulas, agreements.

Everything is worked out from the entries and the plan as it stood when each of them arrived, so
that it can be worked out again at any time.
"""

from typing import NamedTuple

from annotate.errors import AnnotateError
from annotate.quantity import Quantity
from store import agree, evaluate, grid
from store.budget import Budget, coverage_budget, reading_budget
from store.codec import Entry
from store.errors import CannotDerive
from store.evidence import Derived, Marked, Read
from store.plan import Characteristic, Gauge, Plan, Spot, key_of
from store.telling import Telling, part_of


class Worth(NamedTuple):
    """What a value came to: the quantity, the entries it rests on and those that decided it."""

    quantity: Quantity
    cites: tuple[str, ...]
    decisive: tuple[str, ...]
    budget: Budget


class Working:
    """Works out what entries are worth, remembering what it has worked out before."""

    def __init__(self, told: Telling) -> None:
        self._told = told
        self._known: dict[tuple[str, str], Budget] = {}

    def reading(self, read: Read, position: int, entry: str = "this reading") -> Budget:
        """Return the budget of a reading under the plan at a moment; it need not be kept yet.

        Raises CannotDerive, and UnitMismatch for a gauge of another kind.
        """
        told = self._told
        plan = told.plan_at(position)
        check = plan.characteristic(read.key)[1]
        return reading_budget(
            read,
            entry=entry,
            gauge=_gauge(plan, read.gauge),
            material=check.material,
            doubts=check.doubts,
            zero=self._zero(read),
        )

    def budget(self, digest: str, part: str = "") -> Budget:
        """Return the budget of a kept value, or of a part of a coverage; raises CannotDerive."""
        known = (digest, part)
        if known not in self._known:
            self._known[known] = self._budget(digest, part)
        return self._known[known]

    def worth(self, key: str, upto: int) -> Worth:
        """Return what a grid or a worked-out check comes to from what counted at a moment.

        Raises CannotDerive saying why not, and UnitMismatch.
        """
        told = self._told
        check, cites = told.check_at(key, upto), told.inputs(key, upto)
        if check is None or cites is None:
            raise CannotDerive(f"{key} still waits for readings")
        return self.worth_of(key, check, cites, upto)

    def worth_of(self, key: str, check: Characteristic, cites: tuple[str, ...], upto: int) -> Worth:
        """Return what a check comes to from these entries, which its wires lead to."""
        if check.is_grid:
            cells = {spot: (e, self.budget(e)) for spot, e in zip(check.spots, cites, strict=True)}
            made = grid.taken(check, cells)
            return Worth(made.quantity, cites, made.decisive, made.budget)
        if check.of:
            return self._agreement(check.of, cites)
        made = evaluate.evaluate(check.formula, self._lookup(key, cites, upto), check.unit)
        return Worth(made.quantity, cites, made.decisive, made.budget)

    def _zero(self, read: Read) -> Budget | None:
        return self.budget(read.zero.entry) if read.zero and read.zero.entry else None
