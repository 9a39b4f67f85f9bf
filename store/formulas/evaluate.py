"""A formula and the readings that count -> what it comes to, with its uncertainty.

Errors that two readings have in common count as common (JCGM 100:2008 (GUM) 5.2, H.2); where first
order does not do, trials do it (JCGM 101:2008; see store.budgets.outcome).
"""

from collections.abc import Callable, Mapping

from annotate.quantity import UNITS, conversion_factor
from store.budgets import grid, spread
from store.budgets.budget import Budget, combined
from store.budgets.grid import Grid
from store.budgets.outcome import Worked, worked
from store.budgets.spread import Leaf, Value
from store.characteristic import Take
from store.errors import CannotDerive
from store.formulas import formula as written
from store.formulas.dimensions import BASE_UNITS, check_unit
from store.formulas.formula import Call, Name, Negative, Node, Number, Operation, Ref

Lookup = Callable[[Ref], Grid]

_TAKES: Mapping[str, Take] = {"out_of_round": "out-of-round", "taper": "taper"}


def evaluate(formula: Node | str, lookup: Lookup, unit: str) -> Worked:
    """Return what a formula comes to, in ``unit``.

    ``lookup`` returns what is known of a check: its readings by spot, or one value (grid.single);
    the selection in brackets is made here. It raises CannotDerive, with words, where there is
    none. Among several things, and in a function of a name alone, max, min, mean and range take
    every reading of a grid; anywhere else a grid stands for the number that it takes.

    Raises CannotDerive where there is no result (a division by what may be 0), and BadPlan for a
    text that is no formula or does not come to ``unit``.
    """
    tree = written.parse(formula) if isinstance(formula, str) else formula
    found = {ref: _chosen(lookup(ref), ref) for ref in written.names(tree)}
    check_unit(tree, lambda ref: found[ref].unit, unit)
    bases = {**BASE_UNITS, **_own_base(unit)}
    factor = 1 / _factor(unit, bases)

    def expression(leaf: Leaf) -> Value:
        result = _Evaluation(found, bases, leaf).value(tree)
        return result if factor == 1 else result * spread.exact(factor)

    cites = [entry for there in found.values() for entry in there.entries]
    return worked(expression, unit, cites)


class _Evaluation:
    """One walk through a formula; ``leaf`` takes in a budget."""

    def __init__(self, found: dict[Ref, Grid], bases: Mapping[str, str], leaf: Leaf) -> None:
        self.found, self.bases, self.leaf = found, bases, leaf

    def value(self, node: Node) -> Value:
        match node:
            case Number():
                return spread.exact(node.value * _factor(node.unit, self.bases))
            case Name():
                there = self.found[node.ref]
                return grid.take_of(there, there.take, self._leaf)
            case Negative():
                return -self.value(node.of)
            case Operation():
                return self._operation(node.sign, self.value(node.left), self.value(node.right))
            case Call():
                return self._call(node)

    @staticmethod
    def _operation(sign: str, left: Value, right: Value) -> Value:
        if sign == "+":
            return left + right
        if sign == "-":
            return left - right
        return left * right if sign == "*" else left / right

    def _call(self, call: Call) -> Value:
        first = call.arguments[0]
        if call.function in _TAKES and isinstance(first, Name):
            return grid.take_of(self.found[first.ref], _TAKES[call.function], self._leaf)
        if call.function == "abs":
            return abs(self.value(first))
        if call.function == "sqrt":
            return self.value(first).root()
        return self._among(call.function, [v for each in call.arguments for v in self._each(each)])

    def _each(self, node: Node) -> list[Value]:
        """Return every reading of a grid named by itself, else the one value."""
        if isinstance(node, Name):
            return grid.readings(self.found[node.ref], self._leaf)
        return [self.value(node)]

    @staticmethod
    def _among(function: str, values: list[Value]) -> Value:
        if function == "mean":
            return spread.mean(values)
        if function == "max":
            return spread.largest(values)
        if function == "min":
            return spread.smallest(values)
        return spread.range_of(values)

    def _leaf(self, budget: Budget, entries: tuple[str, ...]) -> Value:
        factor = _factor(budget.unit, self.bases)
        if factor == 1:
            return self.leaf(budget, entries)
        return self.leaf(combined(budget.value * factor, "1", [(budget, factor)]), entries)


def _chosen(there: Grid, ref: Ref) -> Grid:
    try:
        return there.at(ref.at) if ref.at else there
    except CannotDerive as error:
        raise CannotDerive(f"{ref.key}: {error}") from None


def _own_base(unit: str) -> dict[str, str]:
    """Return the base units that a result's unit settles: inches all through for inches."""
    kind = UNITS[unit][1]
    if kind in BASE_UNITS:
        return {kind: unit}
    by_unit = {"mm^2": {"length": "mm"}, "in^2": {"length": "in"}, "psi/min": {"pressure": "psi"}}
    return by_unit.get(unit, {})


def _factor(unit: str, bases: Mapping[str, str]) -> float:
    """Return the number that turns a value in ``unit`` into one in base units."""
    kind = UNITS[unit][1]
    if kind in bases:
        return conversion_factor(unit, bases[kind])
    if kind == "ratio":
        return conversion_factor(unit, "1")
    if kind == "area":
        same = f"{bases['length']}^2"
        if same in UNITS:
            return conversion_factor(unit, same)
        return conversion_factor(unit, "mm^2") * conversion_factor("mm", bases["length"]) ** 2
    per_minute = (
        conversion_factor(unit, f"{bases['pressure']}/min")
        if (f"{bases['pressure']}/min" in UNITS)
        else conversion_factor(unit, "kPa/min") * conversion_factor("kPa", bases["pressure"])
    )
    return per_minute / conversion_factor("min", bases["time"])
