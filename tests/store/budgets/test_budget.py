"""A budget: what adds up, what cancels, and with which factor it is expanded."""

from math import inf, nan, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from annotate.errors import UnitMismatch
from annotate.mathematics import student
from annotate.quantity import Quantity
from store.budgets.budget import (
    Budget,
    Source,
    combined,
    correlation,
    coverage_budget,
    joint_budgets,
    merged,
    quantity_budget,
    tidy,
)
from store.errors import CannotDerive
from tests.truth import uncertainty


def budget(*parts: tuple[float, float | None], value: float = 1.0, name: str = "s") -> Budget:
    """Return a budget of independent t errors: (u, degrees of freedom)."""
    sources = tuple(
        Source(f"{name}{number}", "an error", u, "t", dof=dof)
        for number, (u, dof) in enumerate(parts)
    )
    return Budget(value, "mm", sources)


def skewed(value: float = 2.0) -> Quantity:
    rng = np.random.default_rng(4)
    return Quantity.from_samples(rng.gamma(2.0, 0.1, 50_000) + value, "mm")


def test_independent_errors_add_as_squares() -> None:
    # GUM 5.1.2
    assert budget((0.003, None), (-0.004, None)).u == pytest.approx(0.005)
    assert budget().u == 0.0
    assert budget().dof is None


def test_one_error_met_twice_adds_up_with_its_sign() -> None:
    # GUM 5.2.2, r = 1: u = |u1 + u2|
    gauge = Source("gauge A", "error of A", 0.002)
    assert Budget(1.0, "mm", (gauge, gauge)).u == pytest.approx(0.004)
    assert Budget(1.0, "mm", (gauge, gauge.times(-1))).u == 0.0
    both = merged((gauge, Source("other", "w", 0.1), gauge.times(2)))
    assert [(each.label, each.u) for each in both] == [("gauge A", 0.006), ("other", 0.1)]


def test_what_cancels_at_first_may_count_again() -> None:
    gauge = Source("gauge A", "error of A", 0.002)
    zero = gauge.times(0)
    assert merged((zero, gauge))[0].u == 0.002
    assert merged((gauge, zero))[0].u == 0.002
    assert merged((zero, zero))[0].u == 0.0


def test_a_difference_loses_what_both_have_in_common() -> None:
    gauge = Source("gauge A", "error of A", 0.02)
    a = Budget(5.0, "mm", (gauge, Source("a", "w", 0.003)))
    b = Budget(3.0, "mm", (gauge, Source("b", "w", 0.004)))
    assert combined(2.0, "mm", [(a, 1.0), (b, -1.0)]).u == pytest.approx(0.005)
    assert combined(8.0, "mm", [(a, 1.0), (b, 1.0)]).u == pytest.approx(sqrt(0.04**2 + 0.005**2))
    assert combined(10.0, "mm", [(a, 2.0)]).u == pytest.approx(2 * a.u)


def test_correlation_is_that_of_the_common_errors() -> None:
    common = Source("c", "w", 3.0)
    a = Budget(0.0, "mm", (common, Source("a", "w", 4.0)))
    b = Budget(0.0, "mm", (common.times(-1), Source("b", "w", 4.0)))
    assert correlation(a, b) == pytest.approx(-9 / 25)
    assert correlation(a, a) == pytest.approx(1.0)
    assert correlation(a, Budget(1.0, "mm")) == 0.0
    assert correlation(Budget(1.0, "mm"), a) == 0.0


def test_degrees_of_freedom_as_published() -> None:
    # A US national laboratory's course notes (second hand): 0.57 with 9 and 0.25 exact: 12.8
    assert budget((0.57, 9), (0.25, None)).dof == pytest.approx(12.8, abs=0.05)
    assert budget((0.57, 9), (0.25, inf)).dof == pytest.approx(12.8, abs=0.05)
    assert budget((0.57e-100, 9), (0.25e-100, None)).dof == pytest.approx(12.8, abs=0.05)
    assert budget((1.0, None), (2.0, inf)).dof is None
    assert budget((0.0, 3.0)).dof is None
    assert budget((0.0, 3.0), (0.57, 9), (0.25, None)).dof == pytest.approx(12.8, abs=0.05)


@given(parts=st.lists(st.tuples(st.floats(1e-6, 1e3), st.floats(1, 1e4)), min_size=1, max_size=6))
def test_effective_degrees_lie_between_the_least_and_their_sum(
    parts: list[tuple[float, float | None]],
) -> None:
    # GUM G.4.1 note: v_eff <= sum of v_i; and never below the smallest
    dof = budget(*parts).dof
    assert dof is not None
    degrees = [v for _, v in parts if v is not None]
    assert min(degrees) * (1 - 1e-9) <= dof <= sum(degrees) * (1 + 1e-9)


def test_a_family_has_its_degrees_of_freedom_once() -> None:
    # Two readings of one gauge whose repeatability is known from 5 repeats: of their mean and of
    # their difference it is known no better than from those.
    pair = [
        Budget(1.0, "mm", (Source(f"r{n}", "w", 0.1, "t", dof=4.0, family="r"),)) for n in (1, 2)
    ]
    total = combined(2.0, "mm", [(pair[0], 1.0), (pair[1], 1.0)])
    assert total.u == pytest.approx(0.1 * sqrt(2))
    assert total.dof == pytest.approx(4.0)
    alone = budget((0.1, 4.0), (0.1, 4.0))
    assert alone.dof == pytest.approx(8.0)
    # one t of 4 degrees of freedom (GUM Table G.2: 2.78), not the sum of two
    assert total.factor() == pytest.approx(student.quantile(0.975, 4.0), rel=1e-9)
    assert alone.factor(0.99) < 0.95 * total.factor(0.99)


def test_stated_and_sampled_quantities() -> None:
    kept = budget((0.57, 9), (0.25, None)).quantity()
    assert (kept.value, kept.unit, kept.quantiles) == (1.0, "mm", ())
    assert kept.u == pytest.approx(sqrt(0.57**2 + 0.25**2))
    assert kept.dof == pytest.approx(12.8, abs=0.05)
    with_photo = coverage_budget(skewed(), "e1").quantity()
    assert with_photo.quantiles == pytest.approx(skewed().quantiles, abs=1e-4)
    assert (with_photo.value, with_photo.u) == (skewed().value, pytest.approx(skewed().u))


def test_a_skewed_result_is_subtracted_as_a_distribution() -> None:
    rng = np.random.default_rng(11)
    a, b = rng.gamma(2.0, 1.0, 200_000), rng.normal(1.0, 0.5, 200_000)
    first = coverage_budget(Quantity.from_samples(a, "mm"), "e1")
    second = quantity_budget(Quantity(1.0, "mm", u=0.5), "pin", "the pin")
    gap = combined(first.value - 1.0, "mm", [(first, 1.0), (second, -1.0)]).quantity()
    turned = combined(1.0 - first.value, "mm", [(first, -1.0), (second, 1.0)]).quantity()
    for probability in (0.05, 0.25, 0.5, 0.75, 0.95):
        expected = np.quantile(a - b, probability)
        assert gap.quantile(probability) == pytest.approx(expected, abs=0.03)
        assert turned.quantile(1 - probability) == pytest.approx(-expected, abs=0.03)
    assert gap.value == pytest.approx(np.median(a) - 1.0)


def test_half_a_sampled_error_and_half_again_is_all_of_it() -> None:
    whole = coverage_budget(skewed(), "e1")
    halves = combined(skewed().value, "mm", [(whole, 0.5), (whole, 0.5)])
    assert halves.quantity().quantiles == pytest.approx(whole.quantity().quantiles, abs=1e-4)
    less = combined(0.0, "mm", [(whole, 0.5), (whole, -1.5)])
    assert less.quantity().quantile(0.9) == pytest.approx(
        skewed().value - skewed().quantile(0.1), abs=0.001
    )


def test_two_values_of_one_photo_are_two_errors_and_one_value_is_one() -> None:
    one, other = coverage_budget(skewed(2.0), "e1"), coverage_budget(skewed(3.0), "e1")
    same = coverage_budget(skewed(2.0), "e1")
    assert combined(0.0, "mm", [(one, 1.0), (same, -1.0)]).u == 0.0
    assert combined(1.0, "mm", [(other, 1.0), (one, -1.0)]).u == pytest.approx(
        sqrt(one.u**2 + other.u**2)
    )
    elsewhere = coverage_budget(skewed(2.0), "e2")
    assert combined(0.0, "mm", [(one, 1.0), (elsewhere, -1.0)]).u > one.u


def test_a_stated_quantity_is_one_error_of_its_own_shape() -> None:
    few = quantity_budget(Quantity(1.0, "mm", u=0.1, dof=5), "x", "w")
    assert few.sources == (Source("x", "w", 0.1, "t", dof=5),)
    normal = quantity_budget(Quantity(1.0, "mm", u=0.1), "x", "w")
    assert normal.sources == (Source("x", "w", 0.1, "normal"),)
    assert quantity_budget(Quantity(4, "count"), "x", "w") == Budget(4, "count")


def test_the_factor_is_that_of_the_true_shape() -> None:
    # GUM G.1.3, one rectangle: 1.65 for 95 %; Table G.2: 2.57 for t with 5; 1.96 for a normal
    rectangle = Budget(0.0, "mm", (Source("r", "w", 0.03),))
    assert rectangle.factor() == pytest.approx(uncertainty.DOMINANT_RECTANGLE_K, abs=0.005)
    assert rectangle.expanded() == pytest.approx(0.95 * 0.03 * sqrt(3))
    assert budget((0.1, 5)).factor() == pytest.approx(2.57, abs=0.005)
    assert budget((0.1, None)).factor(0.99) == pytest.approx(2.576, abs=0.0005)
    assert Budget(1.0, "mm").expanded() == 0.0
    with pytest.raises(CannotDerive, match="exact value has no coverage factor"):
        Budget(1.0, "mm").factor()


def test_units_are_converted_with_all_that_belongs_to_them() -> None:
    whole = coverage_budget(skewed(), "e1").to("in")
    assert whole.value == pytest.approx(skewed().value / 25.4)
    assert whole.u == pytest.approx(skewed().u / 25.4)
    assert whole.quantity().quantile(0.9) == pytest.approx(skewed().quantile(0.9) / 25.4, rel=1e-4)
    with pytest.raises(UnitMismatch):
        whole.to("N.m")


def test_paired_repeats_make_correlated_means() -> None:
    first, second = joint_budgets(((1.0, 2.0, 3.0), (7.0, 5.0, 3.0)), ("mm", "in"), "sitting")
    assert (first.value, second.value) == (2.0, 5.0)
    assert (first.unit, second.unit) == ("mm", "in")
    assert first.u == pytest.approx(1 / sqrt(3))  # s = 1, n = 3
    assert second.u == pytest.approx(2 / sqrt(3))
    assert correlation(first, second) == pytest.approx(-1.0)
    assert first.dof == pytest.approx(2.0)
    assert combined(0.0, "mm", [(first, 2.0), (second, 1.0)]).u == pytest.approx(0.0, abs=1e-12)


def test_two_repeats_are_enough() -> None:
    (two,) = joint_budgets(((1.0, 3.0),), ("mm",), "sitting")
    assert (two.value, two.u, two.dof) == (2.0, pytest.approx(1.0), pytest.approx(1.0))


@pytest.mark.parametrize("rows", [(), ((1.0,), (2.0,)), ((1.0, 2.0), (1.0, 2.0, 3.0))])
def test_repeats_that_do_not_pair_are_refused(rows: tuple[tuple[float, ...], ...]) -> None:
    with pytest.raises(CannotDerive, match="two or more"):
        joint_budgets(rows, ("mm",) * len(rows), "sitting")


def test_what_is_no_number_is_refused() -> None:
    with pytest.raises(CannotDerive, match="no number"):
        Budget(nan, "mm")
    with pytest.raises(CannotDerive, match="not a number"):
        Source("a", "w", inf)
    with pytest.raises(CannotDerive, match="below 1"):
        Source("a", "w", 1.0, "t", dof=0.5)
    for wrong in (nan, 0.0):
        with pytest.raises(CannotDerive, match="below 1"):
            Source("a", "w", 1.0, "t", dof=wrong)
    assert Source("a", "w", 1.0, "t", dof=1.0).dof == 1.0
    for shape, quantiles in (("sampled", ()), ("normal", (0.0,) * 201), ("sampled", (0.0,) * 200)):
        with pytest.raises(CannotDerive, match="its quantiles"):
            Source("a", "w", 1.0, shape, quantiles=quantiles)
    with pytest.raises(CannotDerive, match="not a number"):
        Source("a", "w", 1.0, "sampled", quantiles=(*((0.0,) * 200), inf))


def test_kept_quantiles_have_four_figures_of_the_uncertainty() -> None:
    assert tidy([88.84912345], 0.001) == (88.849123,)
    assert tidy([88.84912345], 0.0034) == (88.849123,)
    assert tidy([1234.5678], 25.0) == (1234.57,)
    assert tidy([1 / 3], 0.0) == (pytest.approx(1 / 3, abs=1e-14),)
