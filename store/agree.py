"""Do two routes to one number agree? Photo against pin, two datums, two people.

En = |a - b| / U(a - b), with the expanded uncertainty at 95 % of the DIFFERENCE; the routes agree
if En <= 1 (ISO 13528, ISO/IEC 17043: there the two are independent, and U(a - b) is then
sqrt(Ua^2 + Ub^2)). What both routes have in common, one gauge or one zero, can't make them
disagree and does not count: it is left out of U by its label.
"""

from math import hypot, isclose
from typing import Literal

from msgspec import Struct

from annotate.quantity import Quantity
from annotate.result import Coverage, Known
from store.budgets.budget import Budget, Source, combined, merged
from store.errors import CannotDerive

Which = Literal["", "first", "second"]

# The lines of a coverage's budget that come of where somebody put the points. Scale, wall, lens,
# line of sight and the bore's curve are the photo's and the job's: the same for both people.
PERSONAL = (
    "near rim", "arc of the far rim", "near hole's back edge",
    "marking again by one person, by this book's repeats",
    "marking by several people, by this book's repeats",
    "marking, by the repeats of this book",  # in older entries
)  # fmt: skip

_ROUNDING = 1e-12  # of the values: their difference in binary is known no better


class Agreement(Struct, frozen=True):
    """How far two routes are apart, and what they may be apart by.

    ``difference`` is first minus second with its own budget, ``expanded`` its U at 95 % in its
    unit. ``shared`` are the words of what both have in common. ``worth_repeating`` is the route
    whose own uncertainty is the larger: to do that one again settles more; empty if neither.
    """

    en: float
    difference: Budget
    expanded: float
    shared: tuple[str, ...] = ()
    worth_repeating: Which = ""

    @property
    def quantity(self) -> Quantity:
        """The En number as an exact quantity of unit "1", to be judged against En <= 1."""
        return Quantity(self.en, "1")


def agreement(first: Budget, second: Budget) -> Agreement:
    """Return how two routes to one number agree.

    Two that are exact, or have every error in common, agree (En 0) if they are equal; if not, En
    can't be worked out and CannotDerive is raised. Raises UnitMismatch.
    """
    second = second.to(first.unit)
    apart = first.value - second.value
    difference = combined(apart, first.unit, [(first, 1.0), (second, -1.0)])
    labels = _labels(first) & _labels(second)
    shared = tuple(s.words for s in merged(first.sources) if s.label in labels)
    # What is left of equal errors in binary is nothing.
    left = difference.u > _ROUNDING * (abs(first.value) + abs(second.value))
    expanded = difference.expanded() if left else 0.0
    return Agreement(
        en=_en(apart, expanded, first.value),
        difference=difference,
        expanded=expanded,
        shared=shared,
        worth_repeating=_worth_repeating(_own_u(first, labels), _own_u(second, labels)),
    )


def blind_agreement(first: Coverage, second: Coverage) -> Agreement:
    """Return how two people agree who marked the same photo without seeing each other's marks.

    Only what comes of the points they placed counts (PERSONAL); all else is common to both.
    Compares ``covered``, in unit "1". Raises CannotDerive where one of them has no number or no
    budget (no far rim was to be seen), so that there is nothing to compare.
    """
    return agreement(_of_person(first, "first"), _of_person(second, "second"))


def _en(apart: float, expanded: float, size: float) -> float:
    if expanded > 0:
        return abs(apart) / expanded
    if abs(apart) > _ROUNDING * abs(size):
        raise CannotDerive(
            "neither value has an uncertainty of its own, so they can't be shown to agree: "
            "ask for their difference instead"
        )
    return 0.0


def _labels(budget: Budget) -> set[str]:
    return {source.label for source in budget.sources}


def _own_u(budget: Budget, shared: set[str]) -> float:
    return hypot(*(source.u for source in merged(budget.sources) if source.label not in shared))


def _worth_repeating(first_u: float, second_u: float) -> Which:
    if isclose(first_u, second_u, rel_tol=1e-6):
        return ""
    return "first" if first_u > second_u else "second"


def _of_person(coverage: Coverage, which: str) -> Budget:
    """Return what a coverage is uncertain by for the sake of its points alone."""
    if not isinstance(coverage.covered, Known):
        raise CannotDerive(f"the {which} marks give no coverage: {coverage.covered.reason}")
    lines = [line for line in coverage.budget if line.source in PERSONAL]
    if not lines:
        raise CannotDerive(f"the {which} marks say nothing of how well the rims were placed")
    sources = tuple(
        Source(
            f"{line.source} of the {which}", line.source, line.points / 100,
            "normal" if line.dof is None else "t", line.dof,
        )
        for line in lines
    )  # fmt: skip
    return Budget(coverage.covered.quantity.value, "1", sources)
