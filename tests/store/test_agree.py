"""Do two routes to one number agree?"""

from math import hypot, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from annotate.errors import UnitMismatch
from annotate.estimates.repeats import MARKING, PEOPLE
from annotate.quantity import Quantity
from annotate.result import BudgetLine, Coverage, Known, Parallax, Unknown
from annotate.sight import priors
from store.agree import PERSONAL, agreement, blind_agreement
from store.budgets.budget import Budget, Source, coverage_budget, quantity_budget
from store.errors import CannotDerive
from store.judge import AGREEMENT_LIMIT, judge

K = 1.959963984540054  # the normal 97.5 % point: U at 95 % is K u


def expanded(value: float, U: float, label: str, unit: str = "mm") -> Budget:
    return quantity_budget(Quantity(value, unit, u=U / K), label, f"error of {label}")


def test_en_of_a_worked_case() -> None:
    # ISO 13528's formula; worked by hand: 0.015 / sqrt(0.012^2 + 0.005^2) = 0.015 / 0.013 = 1.154
    found = agreement(expanded(10.015, 0.012, "a"), expanded(10.000, 0.005, "b"))
    assert found.en == pytest.approx(1.154, abs=0.0005)
    assert found.expanded == pytest.approx(0.013, abs=1e-6)
    assert found.difference.value == pytest.approx(0.015)
    assert judge(found.quantity, AGREEMENT_LIMIT).state == "outside"
    assert found.worth_repeating == "first"
    assert found.shared == ()


def test_two_that_agree_are_within() -> None:
    found = agreement(expanded(10.009, 0.012, "a"), expanded(10.000, 0.005, "b"))
    assert found.en == pytest.approx(9 / 13, rel=1e-4)
    assert found.quantity == Quantity(found.en, "1")
    assert judge(found.quantity, AGREEMENT_LIMIT).state == "within"


def test_few_degrees_of_freedom_widen_the_interval() -> None:
    # GUM Table G.2: t at 95 % for 5 degrees of freedom is 2.57
    few = quantity_budget(Quantity(1.3, "mm", u=0.1, dof=5), "a", "w")
    assert agreement(few, Budget(1.0, "mm")).en == pytest.approx(0.3 / 0.257, rel=0.001)


def test_units_are_converted() -> None:
    found = agreement(expanded(25.5, 0.1, "a"), Budget(1.0, "in"))
    assert found.en == pytest.approx(1.0)
    assert found.difference.unit == "mm"
    with pytest.raises(UnitMismatch):
        agreement(expanded(25.5, 0.1, "a"), Budget(1.0, "N.m"))


def test_a_sampled_value_has_half_its_interval() -> None:
    samples = np.random.default_rng(3).uniform(-1.0, 1.0, 100_000)
    photo = coverage_budget(Quantity.from_samples(samples, "mm", value=0.0), "e1")
    assert agreement(photo, Budget(0.95, "mm")).en == pytest.approx(1.0, abs=0.01)


def test_two_exact_values_agree_only_if_equal() -> None:
    assert agreement(Budget(4, "count"), Budget(4, "count")).en == 0.0
    with pytest.raises(CannotDerive, match="neither value has an uncertainty of its own"):
        agreement(Budget(4, "count"), Budget(5, "count"))
    assert agreement(Budget(0, "count"), Budget(0, "count")).en == 0.0
    assert agreement(Budget(1e6, "mm"), Budget(1e6 + 1e-7, "mm")).en == 0.0
    with pytest.raises(CannotDerive):
        agreement(Budget(1e-6, "mm"), Budget(1.001e-6, "mm"))
    # an inch and 25.4 mm are equal, whatever binary makes of them
    assert agreement(Budget(2.5984, "in"), Budget(65.99936, "mm")).en == 0.0


def test_what_both_have_in_common_can_not_make_them_disagree() -> None:
    gauge = Source("gauge mic-a", "error of mic-a", 0.1, "normal")
    first = Budget(10.015, "mm", (gauge, Source("a", "w", 0.012 / K, "normal")))
    second = Budget(10.000, "mm", (gauge, Source("b", "w", 0.005 / K, "normal")))
    found = agreement(first, second)
    assert found.en == pytest.approx(1.154, abs=0.0005)
    assert found.shared == ("error of mic-a",)
    assert found.worth_repeating == "first"
    assert agreement(second, first).worth_repeating == "second"
    # the common part may be the larger by far, and is no reason to repeat
    other = Budget(10.0, "mm", (gauge.times(3), Source("b", "w", 0.005 / K, "normal")))
    assert agreement(first, other).worth_repeating == "first"


def test_two_with_every_error_in_common_are_as_good_as_exact() -> None:
    gauge = Source("gauge mic-a", "error of mic-a", 0.1 / 3)
    same = Budget(0.3, "mm", (gauge,))
    assert agreement(same, Budget(0.1 + 0.2, "mm", (gauge,))).en == 0.0
    dust = gauge.times(1 + 1e-15)
    assert agreement(same, Budget(0.1 + 0.2, "mm", (dust,))).en == 0.0
    with pytest.raises(CannotDerive, match="of its own"):
        agreement(same, Budget(0.31, "mm", (gauge,)))


def test_neither_is_worth_repeating_before_the_other_when_they_are_alike() -> None:
    assert agreement(expanded(1.0, 0.1, "a"), expanded(1.1, 0.1, "b")).worth_repeating == ""
    assert agreement(expanded(1.0, 0.1, "a"), expanded(1.1, 0.1001, "b")).worth_repeating == (
        "second"
    )
    assert agreement(Budget(1.0, "mm"), expanded(1.1, 0.1, "b")).worth_repeating == "second"


@given(a=st.floats(-9, 9), b=st.floats(-9, 9), u=st.floats(0.01, 3), v=st.floats(0.01, 3))
def test_of_independent_values_it_is_the_textbook_formula(
    a: float, b: float, u: float, v: float
) -> None:
    one, other = expanded(a, u, "a"), expanded(b, v, "b")
    found = agreement(one, other)
    assert found.en == pytest.approx(abs(a - b) / hypot(u, v), rel=1e-3, abs=1e-9)
    assert found.en == pytest.approx(agreement(other, one).en)


# --- two people, one photo


def coverage(value: float, *, near: float, arc: float, scale: float, **lines: float) -> Coverage:
    no = Unknown("not needed here")
    named = {priors.NEAR_RIM: near, priors.ARC: arc, priors.SCALE: scale}
    named |= {words.replace("_", " "): points for words, points in lines.items()}
    spread = Known(Quantity(value, "1", u=0.2))
    return Coverage(
        covered=spread, open=no, covered_of_near=no, covered_of_far=no, open_area=no,
        equivalent_diameter=no, offset=no, offset_clock=no, largest_pin=no, line_of_sight=no,
        parallax=Parallax(no, no, no), uncorrected=no,
        budget=tuple(BudgetLine(source, points) for source, points in named.items()),
    )  # fmt: skip


def test_only_what_a_person_placed_counts_between_two_people() -> None:
    first = coverage(0.30, near=1.0, arc=2.0, scale=9.0, lens=5.0, wall=12.0)
    second = coverage(0.36, near=2.0, arc=1.0, scale=9.0, lens=5.0)
    found = blind_agreement(first, second)
    # u of each is sqrt(1 + 4) points: of the difference sqrt(10) points
    assert found.difference.u == pytest.approx(sqrt(10) / 100)
    assert found.en == pytest.approx(0.06 / (K * sqrt(10) / 100), rel=1e-3)
    assert found.difference.value == pytest.approx(-0.06)
    assert found.worth_repeating == ""
    wide = coverage(0.36, near=2.0, arc=4.0, scale=1.0)
    assert blind_agreement(first, wide).worth_repeating == "second"


def test_the_back_edge_is_a_persons_too() -> None:
    lines = {"near hole's back edge": 3.0}
    found = blind_agreement(
        coverage(0.3, near=0.0, arc=0.0, scale=1.0, **lines),
        coverage(0.3, near=0.0, arc=4.0, scale=1.0),
    )
    assert found.difference.u == pytest.approx(0.05)
    assert found.en == 0.0


def test_the_lines_of_a_person_are_called_as_the_measurement_calls_them() -> None:
    told = {priors.NEAR_RIM, priors.ARC, priors.BACK, MARKING, PEOPLE}
    assert set(PERSONAL) == {*told, "marking, by the repeats of this book"}  # as books have it


def test_people_without_a_number_or_a_budget_can_not_be_compared() -> None:
    good = coverage(0.3, near=1.0, arc=1.0, scale=1.0)
    with pytest.raises(CannotDerive, match="the second marks give no coverage: it is dark"):
        blind_agreement(good, replace(good, covered=Unknown("it is dark")))
    with pytest.raises(CannotDerive, match="the first marks say nothing of how well"):
        blind_agreement(replace(good, budget=()), good)
