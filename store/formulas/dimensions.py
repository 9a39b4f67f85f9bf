"""Does a formula come to the unit of its check? Lengths with lengths, and so on, at plan time."""

from collections.abc import Callable, Mapping
from types import MappingProxyType

from annotate.quantity import UNITS
from store.errors import BadPlan
from store.formulas.formula import Call, Name, Negative, Node, Number, Operation, Ref

Dimension = Mapping[str, int]  # kind of unit -> power

# Kinds that are made of others; every other kind stands for itself.
_MADE_OF: Mapping[str, Dimension] = {
    "ratio": {},
    "area": {"length": 2},
    "pressure per time": {"pressure": 1, "time": -1},
}
# What a value is worked out in, so that a formula whose parts share one unit converts nothing.
BASE_UNITS: Mapping[str, str] = MappingProxyType(
    {
        "length": "mm",
        "angle": "deg",
        "torque": "N.m",
        "pressure": "kPa",
        "time": "min",
        "count": "count",
        "pixels": "px",
    }
)


def dimension_of(unit: str) -> Dimension:
    """Return what a unit is made of: {"length": 2} for mm^2, {} for a bare number.

    Raises BadPlan for a unit that is none.
    """
    if unit not in UNITS:
        raise BadPlan(f"there is no unit {unit!r}")
    kind = UNITS[unit][1]
    return _MADE_OF.get(kind, {kind: 1})


def check_unit(formula: Node, unit_of: Callable[[Ref], str], unit: str) -> None:
    """Refuse with BadPlan a formula that does not come to ``unit``, or mixes kinds.

    ``unit_of`` returns the unit of what a name stands for and raises BadPlan for a name it does
    not know; that refusal then says so if only a blank round a minus is missing.
    """
    found = _dimension(formula, unit_of)
    wanted = dimension_of(unit)
    if found != wanted:
        raise BadPlan(f"the formula comes to {_words(found)}, and the check's unit is {unit}")


def _dimension(node: Node, unit_of: Callable[[Ref], str]) -> Dimension:
    match node:
        case Number():
            return dimension_of(node.unit)
        case Name():
            return dimension_of(_unit_of(node, unit_of))
        case Negative():
            return _dimension(node.of, unit_of)
        case Operation():
            left, right = _dimension(node.left, unit_of), _dimension(node.right, unit_of)
            if node.sign in "*/":
                return _product(left, right, 1 if node.sign == "*" else -1)
            return _same([left, right], f"column {node.column}: {node.sign}")
        case Call():
            each = [_dimension(argument, unit_of) for argument in node.arguments]
            one = _same(each, f"column {node.column}: {node.function}")
            return _root(one, node.column) if node.function == "sqrt" else one


def _unit_of(name: Name, unit_of: Callable[[Ref], str]) -> str:
    try:
        return unit_of(name.ref)
    except BadPlan as error:
        text = name.ref.key
        for at, sign in enumerate(text):
            if sign == "-" and _is_known(text[:at], unit_of):
                raise BadPlan(
                    f"column {name.column}: {error}; for {text[:at]} minus something, "
                    "put a blank on both sides of the minus"
                ) from None
        raise BadPlan(f"column {name.column}: {error}") from None


def _is_known(text: str, unit_of: Callable[[Ref], str]) -> bool:
    try:
        unit_of(Ref(text))
    except BadPlan:
        return False
    return True


def _product(left: Dimension, right: Dimension, power: int) -> Dimension:
    kinds = {kind: left.get(kind, 0) + power * right.get(kind, 0) for kind in {**left, **right}}
    return {kind: each for kind, each in kinds.items() if each}


def _root(squared: Dimension, column: int) -> Dimension:
    if any(power % 2 for power in squared.values()):
        raise BadPlan(f"column {column}: {_words(squared)} has no square root that is a unit")
    return {kind: power // 2 for kind, power in squared.items()}


def _same(dimensions: list[Dimension], where: str) -> Dimension:
    first = dimensions[0]
    for other in dimensions[1:]:
        if other != first:
            bare = {} in (first, other)
            hint = "; give the number its unit" if bare else ""
            raise BadPlan(f"{where} of {_words(first)} and {_words(other)}{hint}")
    return first


def _words(dimension: Dimension) -> str:
    """Return a dimension for a person: "length", "length * length", "pressure / time"."""
    above = [kind for kind, power in dimension.items() for _ in range(power)]
    below = [kind for kind, power in dimension.items() for _ in range(-power)]
    over = " * ".join(above) or ("1" if below else "a bare number")
    return " / ".join([over, *below])
