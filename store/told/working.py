"""What a kept value rests on, and what follows from it: budgets, grids, formulas, agreements.

Everything is worked out from the entries and the plan as it stood when each of them arrived, so
that it can be worked out again at any time.
"""

from typing import NamedTuple

from annotate.quantity import Quantity
from store.agree import Agreement, agreement
from store.budgets.budget import Budget, coverage_budget
from store.budgets.grid import Grid, single, taken
from store.budgets.worth import reading_budget
from store.characteristic import Characteristic, Spot
from store.codec import Entry
from store.errors import CannotDerive
from store.evidence import Derived, Marked, Read
from store.formulas.evaluate import evaluate
from store.formulas.formula import Ref
from store.formulas.wiring import Wire
from store.plan import Gauge, Plan, key_of
from store.told.telling import Telling
from store.told.values import part_of


class Worth(NamedTuple):
    """What a value came to: the quantity, the entries it rests on and those that decided it.

    ``budget`` is None where it was worked out by trials.
    """

    quantity: Quantity
    cites: tuple[str, ...]
    decisive: tuple[str, ...] = ()
    budget: Budget | None = None


class Working:
    """Works out what entries are worth, remembering what it has worked out before."""

    def __init__(self, told: Telling) -> None:
        self._told = told
        self._known: dict[tuple[str, str, bool], Budget] = {}

    def reading(
        self, read: Read, position: int, entry: str = "this reading", *, corrected: bool = True
    ) -> Budget:
        """Return the budget of a reading under the plan at a moment; it need not be kept yet.

        Raises CannotDerive, and UnitMismatch for a gauge of another kind.
        """
        plan = self._told.plan_at(position)
        check = plan.characteristic(read.key)[1]
        zero = read.zero.entry if read.zero else ""
        return reading_budget(
            read,
            entry=entry,
            unit=check.unit,
            gauge=_gauge(plan, read.gauge),
            material=check.material,
            doubts=check.doubts,
            zero=self.budget(zero, corrected=False) if zero else None,
            corrected=corrected,
        )

    def budget(self, digest: str, part: str = "", *, corrected: bool = True) -> Budget:
        """Return the budget of a kept value, or of a part of a coverage; raises CannotDerive.

        ``corrected`` is whether a length is as it would be at 20 degrees C.
        """
        known = (digest, part, corrected)
        if known not in self._known:
            self._known[known] = self._budget(digest, part, corrected=corrected)
        return self._known[known]

    def worth(self, key: str, upto: int) -> Worth:
        """Return what a grid or a worked-out check comes to from what counted at a moment.

        Raises CannotDerive saying why not, and UnitMismatch.
        """
        check, cites = self._told.check_at(key, upto), self._told.inputs(key, upto)
        if check is None or cites is None:
            raise CannotDerive(f"{key} still waits for readings")
        return self.worth_of(key, check, cites, upto)

    def worth_of(
        self,
        key: str,
        check: Characteristic,
        cites: tuple[str, ...],
        upto: int,
        *,
        corrected: bool = True,
    ) -> Worth:
        """Return what a check comes to from these entries, which its wires lead to."""
        if check.of:
            agreed = self._agreement(check.of, cites)
            return Worth(Quantity(agreed.en, "1"), cites)
        if check.is_grid:
            made = taken(self._grid(check, cites, corrected=corrected), check.unit)
        else:
            made = evaluate(
                check.formula, self._lookup(key, cites, upto, corrected=corrected), check.unit
            )
        return Worth(made.quantity, cites, made.decisive, made.budget)

    def agreement_of(self, key: str, upto: int) -> Agreement:
        """Return how far the two routes of an agreement agree at a moment; raises CannotDerive."""
        check, cites = self._told.check_at(key, upto), self._told.inputs(key, upto)
        if check is None or check.of is None or cites is None:
            raise CannotDerive(f"{key} still waits for readings")
        return self._agreement(check.of, cites)

    def _agreement(self, of: tuple[str, str], cites: tuple[str, ...]) -> Agreement:
        first, second = (
            self.budget(entry, route.removeprefix(key_of(route)).lstrip("."))
            for route, entry in zip(of, cites, strict=True)
        )
        return agreement(first, second)

    def _grid(self, check: Characteristic, entries: tuple[str, ...], *, corrected: bool) -> Grid:
        there = {
            spot: (entry, self.budget(entry, corrected=corrected))
            for spot, entry in zip(check.spots, entries, strict=True)
        }
        return Grid(there, check.take)

    def _lookup(self, key: str, cites: tuple[str, ...], upto: int, *, corrected: bool) -> "_Lookup":
        wires = self._told.wiring_at(upto).inputs[key]
        ends = dict(zip(wires, cites, strict=True))
        return _Lookup(self, self._told, upto, ends, corrected=corrected)

    def _budget(self, digest: str, part: str, *, corrected: bool) -> Budget:
        if digest not in self._told.by_hash:
            raise CannotDerive(f"the entry {digest[:12]} is not there")
        position, entry = self._told.by_hash[digest]
        match entry.evidence:
            case Read() as read:
                return self.reading(read, position, digest, corrected=corrected)
            case Marked(key=key):
                return coverage_budget(self._part(entry, key, position, part), digest)
            case Derived() as derived:
                return self._derived(derived, position, digest, corrected=corrected)
        raise CannotDerive(f"the entry {digest[:12]} carries no value")

    def _part(self, entry: Entry, key: str, position: int, part: str) -> Quantity:
        check = self._told.check_at(key, position)
        if check is None:
            raise CannotDerive(f"{key} is not in the plan")
        value, why = part_of(entry, check, part)
        if value is None:
            raise CannotDerive(why)
        return value

    def _derived(self, derived: Derived, position: int, digest: str, *, corrected: bool) -> Budget:
        """Return the errors of a derived value one by one, or as one where they are not known."""
        check = self._told.check_at(derived.key, position)
        if check is None:
            raise CannotDerive(f"{derived.key} is not in the plan")
        worth = self.worth_of(
            derived.key, check, derived.from_entries, position, corrected=corrected
        )
        return worth.budget or coverage_budget(worth.quantity, digest)


class _Lookup:
    """What the names of one formula stand for."""

    def __init__(
        self,
        working: Working,
        told: Telling,
        upto: int,
        ends: dict[Wire, str],
        *,
        corrected: bool,
    ) -> None:
        self._working, self._told, self._upto, self._ends = working, told, upto, ends
        self._corrected = corrected

    def __call__(self, ref: Ref) -> Grid:
        check = self._told.check_at(ref.key, self._upto)
        if check is None:
            raise CannotDerive(f"{ref.key} is not in the plan")
        if not check.is_grid:
            entry = self._entry(ref.key, ref.part)
            return single(entry, self._budget(entry, ref.part))
        spots = [s for s in check.spots if all(w in {s.position, s.axis} for w in ref.at)]
        read = {spot: self._entry(ref.key, "", spot) for spot in spots}
        there = {spot: (entry, self._budget(entry)) for spot, entry in read.items()}
        return Grid(there, check.take)

    def _budget(self, entry: str, part: str = "") -> Budget:
        return self._working.budget(entry, part, corrected=self._corrected)

    def _entry(self, key: str, part: str, spot: Spot | None = None) -> str:
        return self._ends[Wire(key, part, spot)]


def _gauge(plan: Plan, gauge: str) -> Gauge | None:
    return plan.gauge(gauge) if gauge else None
