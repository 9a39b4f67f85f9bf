"""What no real part has among the lengths that a person gives."""

from math import sqrt

import pytest

from annotate.givens import Givens, impossible
from annotate.quantity import Quantity


def mm(value: float, plus_minus: float = 0.01) -> Quantity:
    return Quantity(value, "mm", plus_minus / sqrt(3))


@pytest.mark.parametrize(
    "givens",
    [
        Givens(),
        Givens(near_diameter=mm(6.3), far_diameter=mm(9), wall=mm(1.8), bore_diameter=mm(52)),
        Givens(near_diameter=mm(6.3), wall=mm(40)),  # a hole drilled through a block
        Givens(near_diameter=mm(6.3), bore_diameter=mm(6.5)),  # two drillings that meet
        Givens(wall=mm(90), flat=True),
    ],
)
def test_what_may_be_is_left_alone(givens: Givens) -> None:
    assert impossible(givens) == {}


@pytest.mark.parametrize(
    ("givens", "field", "told"),
    [
        (Givens(near_diameter=mm(630)), "near_diameter", "630 mm across is too large"),
        (Givens(far_diameter=mm(0.09, 0.001)), "far_diameter", "0.09 mm across is too small"),
        (Givens(wall=mm(0.0003, 0.00005)), "wall", "a wall of 0.0003 mm is thinner than foil"),
        (Givens(wall=mm(300)), "wall", "a wall of 300 mm is too deep"),
        (Givens(near_diameter=mm(6.3), wall=mm(90)), "wall", "with a hole of 6.3 mm in it is too"),
        (Givens(near_diameter=mm(6.3), bore_diameter=mm(4)), "bore_diameter",
         "a bore of 4 mm is no larger than the near hole of 6.3 mm"),
        (Givens(wall=mm(1.8, 2)), "wall", "wall 1.8 mm +- 2 mm may as well be nothing"),
        (Givens(near_diameter=Quantity(25, "in", 0.01)), "near_diameter", "635 mm across"),
    ],
)  # fmt: skip
def test_what_no_real_part_has_is_told_with_its_number(
    givens: Givens, field: str, told: str
) -> None:
    cannot_be = impossible(givens)
    assert list(cannot_be) == [field]
    assert told in cannot_be[field]
