"""What a reading is worth, and differences of two."""

from math import inf, nan, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from annotate.errors import UnitMismatch
from annotate.quantity import Quantity
from store.derive import difference, effective_dof, reading_quantity
from store.errors import CannotDerive
from store.plan import Gauge


def gauge(resolution: float, error: float, unit: str = "mm") -> Gauge:
    return Gauge(
        id="G1",
        kind="calliper",
        resolution=Quantity(resolution, unit),
        permissible_error=Quantity(error, unit),
    )


def test_a_digital_step_is_uncertain_by_029_of_it() -> None:
    # GUM F.2.2.1: u = step / sqrt(12) = 0.29 step
    worth = reading_quantity(34.91, "mm", half_step=0.005)
    assert worth.u == pytest.approx(0.29 * 0.01, rel=0.01)
    assert worth.u == pytest.approx(0.01 / sqrt(12), rel=1e-12)
    assert (worth.value, worth.unit, worth.dof) == (34.91, "mm", None)


def test_a_rectangle_of_known_bounds_is_uncertain_by_its_half_over_root_three() -> None:
    # GUM 4.3.7, the thermal expansion of copper: 16.52 +- 0.40 gives u = 0.23
    assert reading_quantity(16.52, "mm", half_step=0.0, plus_minus=0.40).u == pytest.approx(
        0.23, abs=0.005
    )


def test_the_coarser_of_number_and_gauge_is_the_step() -> None:
    coarse = reading_quantity(34.91, "mm", half_step=0.005, gauge=gauge(0.05, 0.0))
    assert coarse.u == pytest.approx(0.05 / sqrt(12))
    fine = reading_quantity(34.91, "mm", half_step=0.005, gauge=gauge(0.001, 0.0))
    assert fine.u == pytest.approx(0.01 / sqrt(12))


def test_the_gauge_adds_its_permissible_error_as_a_rectangle() -> None:
    worth = reading_quantity(34.91, "mm", half_step=0.005, gauge=gauge(0.01, 0.03))
    assert worth.u == pytest.approx(sqrt(0.01**2 / 12 + 0.03**2 / 3))


def test_a_vernier_calliper_is_worth_what_ea_4_02_says() -> None:
    # EA-4/02 S10 (1999/2013), calliper at 150 mm, all rectangular: half widths 15 um (resolution
    # 0.05 mm there: 25 um of it as 15 um u) and 50 um permissible: u = 15 um and 29 um.
    worth = reading_quantity(150.10, "mm", half_step=0.025, gauge=gauge(0.05, 0.05))
    assert worth.u == pytest.approx(sqrt(0.0144**2 + 0.0289**2), abs=0.0001)


def test_a_typed_plus_minus_replaces_rounding_and_gauge() -> None:
    worth = reading_quantity(8.0, "mm", half_step=0.5, plus_minus=0.2, gauge=gauge(1.0, 1.0))
    assert worth.u == pytest.approx(0.2 / sqrt(3))


def test_a_gauge_in_inches_serves_a_reading_in_millimetres() -> None:
    worth = reading_quantity(20.0, "mm", half_step=0.0, gauge=gauge(0.001, 0.002, "in"))
    assert worth.u == pytest.approx(25.4 * sqrt(0.001**2 / 12 + 0.002**2 / 3))


def test_a_gauge_of_another_kind_is_refused() -> None:
    with pytest.raises(UnitMismatch):
        reading_quantity(20.0, "N.m", half_step=0.5, gauge=gauge(0.01, 0.01))


@pytest.mark.parametrize("wrong", [-0.1, inf, nan])
def test_a_width_that_can_not_be_is_refused(wrong: float) -> None:
    with pytest.raises(CannotDerive):
        reading_quantity(20.0, "mm", half_step=wrong)
    with pytest.raises(CannotDerive):
        reading_quantity(20.0, "mm", half_step=0.5, plus_minus=wrong)


def test_a_gauge_with_a_negative_error_is_refused() -> None:
    with pytest.raises(CannotDerive):
        reading_quantity(20.0, "mm", half_step=0.5, gauge=gauge(0.01, -0.1))


def test_a_difference_adds_uncertainties_as_squares() -> None:
    # GUM 5.1.2
    nip = difference(Quantity(20.11, "mm", u=0.003), Quantity(20.02, "mm", u=0.004))
    assert nip.value == pytest.approx(0.09)
    assert nip.u == pytest.approx(0.005)
    assert (nip.unit, nip.dof) == ("mm", None)


def test_the_sign_is_first_minus_second() -> None:
    assert difference(Quantity(1.0, "mm"), Quantity(3.0, "mm")).value == -2.0


def test_the_second_is_taken_in_the_unit_of_the_first() -> None:
    nip = difference(Quantity(25.5, "mm"), Quantity(1.0, "in", u=0.001))
    assert nip.value == pytest.approx(0.1)
    assert (nip.unit, nip.u) == ("mm", pytest.approx(0.0254))


def test_different_kinds_have_no_difference() -> None:
    with pytest.raises(UnitMismatch):
        difference(Quantity(1.0, "mm"), Quantity(1.0, "N.m"))


def test_degrees_of_freedom_of_two_parts_as_published() -> None:
    # A US national laboratory's course notes: u 0.57 with 9 and 0.25 with infinite: 12.8
    assert effective_dof([(0.57, 9), (0.25, None)]) == pytest.approx(12.8, abs=0.05)


def test_degrees_of_freedom_of_the_end_gauge_as_published() -> None:
    # GUM H.1 (JCGM 100:2008), Table H.1 in nm: 25 with 18; 5.8 with 24, 3.9 with 5, 6.7 with 8:
    # u(d) = 9.7 with 25.6 (printed from the rounded 9.7; 25.4 without rounding);
    # and with 16.6 (2) and 2.9 (50) for the length: 32 with 16.7
    comparator = [(5.8, 24), (3.9, 5), (6.7, 8)]
    assert sqrt(sum(u**2 for u, _ in comparator)) == pytest.approx(9.7, abs=0.05)
    assert effective_dof(comparator) == pytest.approx(25.4, abs=0.1)
    length = [(25, 18), (9.7, 25.6), (2.9, 50), (16.6, 2)]
    assert sqrt(sum(u**2 for u, _ in length)) == pytest.approx(32, abs=0.5)
    assert effective_dof(length) == pytest.approx(16.7, abs=0.1)


def test_a_difference_carries_the_degrees_of_freedom() -> None:
    nip = difference(Quantity(5.0, "mm", u=0.57, dof=9), Quantity(1.0, "mm", u=0.25))
    assert nip.dof == pytest.approx(12.8, abs=0.05)


def test_two_exact_values_have_an_exact_difference() -> None:
    assert difference(Quantity(3, "count"), Quantity(3, "count")) == Quantity(0, "count")
    assert effective_dof([(0.0, 3.0)]) is None
    assert effective_dof([]) is None


def test_tiny_uncertainties_do_not_vanish_in_fourth_powers() -> None:
    assert effective_dof([(0.57e-100, 9), (0.25e-100, None)]) == pytest.approx(12.8, abs=0.05)


@given(parts=st.lists(st.tuples(st.floats(1e-6, 1e3), st.floats(1, 1e4)), min_size=1, max_size=6))
def test_effective_degrees_lie_between_the_least_and_their_sum(
    parts: list[tuple[float, float]],
) -> None:
    # GUM G.4.1 note: v_eff <= sum of v_i; and never below the smallest
    dof = effective_dof([(u, v) for u, v in parts])
    assert dof is not None
    assert min(v for _, v in parts) * (1 - 1e-9) <= dof
    assert dof <= sum(v for _, v in parts) * (1 + 1e-9)


def test_a_skewed_result_is_subtracted_as_a_distribution() -> None:
    rng = np.random.default_rng(11)
    a, b = rng.gamma(2.0, 1.0, 200_000), rng.normal(1.0, 0.5, 200_000)
    sampled = difference(Quantity.from_samples(a, "mm"), Quantity(1.0, "mm", u=0.5))
    truth = a - b
    for probability in (0.05, 0.25, 0.5, 0.75, 0.95):
        expected = np.quantile(truth, probability)
        assert sampled.quantile(probability) == pytest.approx(expected, abs=0.03)
    assert sampled.quantiles
    assert sampled.value == pytest.approx(np.median(a) - 1.0, abs=1e-9)
    other = difference(Quantity(1.0, "mm", u=0.5), Quantity.from_samples(a, "mm"))
    assert other.quantile(0.95) == pytest.approx(-sampled.quantile(0.05), abs=1e-6)
