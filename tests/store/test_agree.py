"""Do two routes to one number agree?"""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from annotate.errors import UnitMismatch
from annotate.quantity import Quantity
from store.agree import agreement, en
from store.errors import CannotDerive
from store.judge import AGREEMENT_LIMIT, judge

K = 1.959963984540054  # the normal 97.5 % point: U at 95 % is K u


def expanded(value: float, U: float, unit: str = "mm") -> Quantity:
    return Quantity(value, unit, u=U / K)


def test_en_of_a_worked_case() -> None:
    # ISO 13528's formula; worked by hand: 0.015 / sqrt(0.012^2 + 0.005^2) = 0.015 / 0.013 = 1.154
    number = en(expanded(10.015, 0.012), expanded(10.000, 0.005))
    assert number == pytest.approx(1.154, abs=0.0005)
    worked = agreement(expanded(10.015, 0.012), expanded(10.000, 0.005))
    assert judge(worked, AGREEMENT_LIMIT).state == "outside"


def test_two_that_agree_are_within() -> None:
    worked = agreement(expanded(10.009, 0.012), expanded(10.000, 0.005))
    assert worked.value == pytest.approx(9 / 13)
    assert (worked.unit, worked.u) == ("1", 0.0)
    assert judge(worked, AGREEMENT_LIMIT).state == "within"


def test_few_degrees_of_freedom_widen_the_interval() -> None:
    # GUM Table G.2: t at 95 % for 5 degrees of freedom is 2.57
    few = Quantity(1.3, "mm", u=0.1, dof=5)
    assert en(few, Quantity(1.0, "mm")) == pytest.approx(0.3 / 0.257, rel=0.001)


def test_units_are_converted() -> None:
    assert en(expanded(25.5, 0.1), Quantity(1.0, "in")) == pytest.approx(1.0)
    with pytest.raises(UnitMismatch):
        en(expanded(25.5, 0.1), Quantity(1.0, "N.m"))


def test_a_sampled_value_has_half_its_interval() -> None:
    samples = np.random.default_rng(3).uniform(-1.0, 1.0, 100_000)
    assert en(Quantity.from_samples(samples, "mm", value=0.0), Quantity(0.95, "mm")) == (
        pytest.approx(1.0, abs=0.01)
    )


def test_two_exact_values_agree_only_if_equal() -> None:
    assert en(Quantity(4, "count"), Quantity(4, "count")) == 0.0
    with pytest.raises(CannotDerive, match="neither value has an uncertainty"):
        en(Quantity(4, "count"), Quantity(5, "count"))


@given(a=st.floats(-9, 9), b=st.floats(-9, 9), u=st.floats(0.01, 3), v=st.floats(0.01, 3))
def test_the_order_of_the_two_does_not_matter(a: float, b: float, u: float, v: float) -> None:
    one, other = Quantity(a, "mm", u=u), Quantity(b, "mm", u=v)
    assert en(one, other) == pytest.approx(en(other, one))
    assert en(one, other) >= 0
