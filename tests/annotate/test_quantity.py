from math import inf, nan, sqrt
from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from annotate.errors import BadQuantity, UnitMismatch
from annotate.quantity import QUANTILE_STEPS, UNITS, Quantity, conversion_factor
from tests.truth import uncertainty

DRAWS = 400_000
finite = st.floats(-1e6, 1e6)
spreads = st.floats(1e-6, 1e3)


def rectangle(rng: np.random.Generator, half: float) -> np.ndarray:
    return rng.uniform(-half, half, DRAWS)


# --- published Monte Carlo results


def test_four_normals_add_up() -> None:
    # JCGM 101:2008, 9.2.2: u 2.00, 95 % [-3.92, 3.92].
    rng = np.random.default_rng(1)
    parts = [Quantity(0.0, "mm", 1.0).draw(rng, DRAWS) for _ in range(4)]
    total = Quantity.from_samples(np.sum(parts, axis=0), "mm")
    assert_allclose(total.u, 2.0, atol=0.01)
    assert_allclose(total.interval(), (-3.92, 3.92), atol=0.03)


def test_four_rectangles_have_a_narrower_interval_than_a_normal_would() -> None:
    # JCGM 101:2008, 9.2.3: u 2.00, 95 % exactly +-3.8794.
    rng = np.random.default_rng(2)
    total = Quantity.from_samples(sum(rectangle(rng, sqrt(3)) for _ in range(4)), "mm")
    half = uncertainty.ADDITIVE_RECTANGULAR_HALF_WIDTH
    assert_allclose(total.u, 2.0, atol=0.01)
    assert_allclose(total.interval(), (-half, half), atol=0.02)


def test_one_wide_rectangle_is_not_squeezed_into_a_normal() -> None:
    # JCGM 101:2008, 9.2.4: u 10.15; 95 % is +-17.0, where 1.96 u would claim +-19.9.
    rng = np.random.default_rng(3)
    parts = [rectangle(rng, sqrt(3) * size) for size in (1, 1, 1, 10)]
    total = Quantity.from_samples(sum(parts), "mm")
    assert_allclose(total.u, 10.15, atol=0.05)
    assert_allclose(total.interval(), (-17.0, 17.0), atol=0.1)


def test_mass_calibration_is_wider_than_first_order() -> None:
    # JCGM 101:2008, 9.3: masses in mg, densities in kg/m3, weighing in air of 1.2 by agreement.
    rng = np.random.default_rng(4)
    standard = rng.normal(100_000.0, 0.050, DRAWS)
    added = rng.normal(1.234, 0.020, DRAWS)
    air = rng.uniform(1.10, 1.30, DRAWS)
    weight, reference = rng.uniform(7000, 9000, DRAWS), rng.uniform(7950, 8050, DRAWS)
    mass = (standard + added) * (1 + (air - 1.2) * (1 / weight - 1 / reference)) - 100_000
    result, truth = Quantity.from_samples(mass, "1"), uncertainty.MASS_CALIBRATION
    assert_allclose(result.value, truth["estimate"], atol=0.001)
    assert_allclose(result.u, truth["u"], atol=0.0005)
    assert_allclose(result.interval(), truth["interval"], atol=0.002)
    assert result.u > 1.35 * truth["first_order_u"]


def test_correlated_readings_carry_through() -> None:
    # GUM H.2: R = (V / I) cos(phi) and so on, from the means of five readings each.
    readings = np.array([uncertainty.H2_VOLTS, uncertainty.H2_MILLIAMPERES, uncertainty.H2_RADIANS])
    covariance = np.cov(readings) / 5
    spread = np.sqrt(np.diag(covariance))
    correlation = covariance / np.outer(spread, spread)
    printed = uncertainty.H2_CORRELATIONS
    pairs = [correlation[0, 1], correlation[0, 2], correlation[1, 2]]
    assert_allclose(pairs, [printed[k] for k in ("VI", "Vphi", "Iphi")], atol=0.0055)
    rng = np.random.default_rng(5)
    V, current, phi = rng.multivariate_normal(readings.mean(axis=1), covariance, DRAWS).T
    impedance = V / current * 1000
    for name, samples in {
        "R": impedance * np.cos(phi),
        "X": impedance * np.sin(phi),
        "Z": impedance,
    }.items():
        value, u = uncertainty.H2_RESULTS[name]
        result = Quantity.from_samples(samples, "1")
        assert_allclose(result.value, value, atol=0.002)
        assert_allclose(result.u, u, atol=0.0012)


def test_a_calliper_and_a_dominant_rectangle_have_their_published_factors() -> None:
    # EA-4/02 S10: rectangles of u 29 (resolution), 15 (mechanics), 1.15 K x 1.7 and 0.46 um: nearly
    # a trapezoid, k = 1.83, U = 0.06 mm. S9: one rectangle dominates, k = 1.65.
    rng = np.random.default_rng(6)
    parts = [rectangle(rng, sqrt(3) * u) for u in (28.9, 15.0, 1.15 * 1.7, 0.46)]
    result = Quantity.from_samples(sum(parts) / 1000, "mm")
    low, high = result.interval()
    assert_allclose(result.u, uncertainty.CALLIPER_U_MM, atol=0.0005)
    assert_allclose((high - low) / 2 / result.u, uncertainty.CALLIPER_K, atol=0.02)
    assert round((high - low) / 2, 2) == uncertainty.CALLIPER_EXPANDED_MM
    one = Quantity.from_samples(rectangle(rng, 1.0), "mm")
    low, high = one.interval()
    assert_allclose((high - low) / 2 / one.u, uncertainty.DOMINANT_RECTANGLE_K, atol=0.01)


# --- published stated quantities


def test_the_end_gauge_has_its_published_expanded_uncertainty() -> None:
    # GUM H.1.6: u_c 32 nm, 16 degrees of freedom, t99 = 2.92, U99 = 93 nm.
    truth = uncertainty.H1
    gauge = Quantity(truth["length_nm"] * 1e-3, "um", truth["u_nm"] * 1e-3, 16)
    low, high = gauge.interval(0.99)
    assert_allclose((high - low) / 2 * 1000, truth["U99"], atol=0.6)
    assert_allclose((high + low) / 2, gauge.value)


def test_certificates_and_proportions_read_backwards() -> None:
    bound, u = uncertainty.CERTIFICATE_99
    assert_allclose(Quantity(0.0, "1", u).interval(0.99)[1], bound, atol=0.3)
    bound, u = uncertainty.HALF_OF_PARTS
    assert_allclose(Quantity(10.11, "mm", u).interval(0.5), (10.07, 10.15), atol=0.0006)


def test_conformity_probabilities_are_the_published_ones() -> None:
    value, u, limit, probability = uncertainty.ZENER
    assert_allclose(Quantity(value, "1", u).probability_below(limit), probability, atol=0.0005)
    for probability, z in uncertainty.ONE_SIDED_Z.items():
        assert_allclose(Quantity(0.0, "1", 1.0).quantile(probability), z, atol=0.0051)
        assert_allclose(Quantity(0.0, "1", 1.0).probability_below(z), probability, atol=0.0015)


def test_standard_deviations_are_right_to_the_last_figures_of_hard_data() -> None:
    # NIST StRD NumAcc1 to NumAcc4: s exact; double precision of the inputs limits 3 and 4.
    data, mean, deviation, _ = uncertainty.STRD_NUMACC1
    found = Quantity.from_samples(np.array(data), "1")
    assert (found.value, found.u) == (mean, deviation)
    for first, pair in uncertainty.STRD_NUMACC2_TO_4.items():
        found = Quantity.from_samples(np.array([first, *(pair * 500)]), "1")
        assert found.value == first
        assert_allclose(found.u, 0.1, atol=1e-8)


@pytest.mark.parametrize(("start", "end", "factor"), uncertainty.CONVERSIONS)
def test_conversions_are_the_published_factors(start, end, factor) -> None:
    tolerance = 1e-10 if (start, end) == ("bar", "psi") else 1e-14
    assert_allclose(conversion_factor(start, end), factor, rtol=tolerance)
    assert_allclose(conversion_factor(end, start), 1 / factor, rtol=tolerance)


def test_the_inch_is_not_the_survey_inch() -> None:
    # UCUM keeps both: [in_i] 25.4 mm and [in_us] 25.4000508 mm.
    assert abs(conversion_factor("in", "mm") - 25.4) < 1e-12


# --- forms and refusals


@given(
    value=finite, u=spreads, dof=st.one_of(st.none(), st.floats(1, 200)), p=st.floats(0.01, 0.99)
)
def test_quantile_and_probability_are_inverse_for_a_stated_quantity(value, u, dof, p) -> None:
    stated = Quantity(value, "mm", u, dof)
    assert_allclose(stated.probability_below(stated.quantile(p)), p, atol=1e-5)


@given(seed=st.integers(0, 50), p=st.floats(0.005, 0.995))
def test_quantile_and_probability_are_inverse_for_a_sampled_quantity(seed, p) -> None:
    samples = np.random.default_rng(seed).gamma(2.0, 3.0, 4000)
    sampled = Quantity.from_samples(samples, "mm")
    assert_allclose(sampled.probability_below(sampled.quantile(p)), p, atol=1e-9)
    assert_allclose(sampled.quantile(p), np.quantile(samples, p), rtol=0.05, atol=0.05)


def test_a_skewed_result_keeps_its_skewed_interval() -> None:
    samples = np.random.default_rng(1).exponential(1.0, DRAWS)
    sampled = Quantity.from_samples(samples, "mm")
    low, high = sampled.interval()
    assert_allclose([low, sampled.value, high], -np.log([0.975, 0.5, 0.025]), rtol=0.02)
    assert high - sampled.value > 3 * (sampled.value - low)
    assert Quantity.from_samples(samples, "mm", value=0.9).value == 0.9


def test_a_pile_of_equal_trials_counts_as_a_whole() -> None:
    samples = np.concatenate([np.zeros(600), np.linspace(0.1, 1, 400)])
    sampled = Quantity.from_samples(samples, "1")
    assert_allclose(sampled.probability_below(0.0), 0.6, atol=0.006)
    assert sampled.probability_below(-1e-9) == 0.0
    assert sampled.probability_below(1.0) == 1.0


def test_a_certain_quantity_is_a_step() -> None:
    sure = Quantity(2.0, "mm")
    assert sure.probability_below(2.0) == 1.0
    assert sure.probability_below(1.999) == 0.0
    assert sure.interval() == (2.0, 2.0)


@given(value=finite, u=spreads, dof=st.one_of(st.none(), st.floats(3, 200)))
def test_draws_follow_the_quantity(value, u, dof) -> None:
    stated = Quantity(value, "mm", u, dof)
    draws = stated.draw(np.random.default_rng(1), 4000)
    for p in (0.1, 0.5, 0.9):
        assert abs(np.mean(draws <= stated.quantile(p)) - p) < 0.03


def test_draws_of_a_sampled_quantity_follow_its_samples() -> None:
    samples = np.random.default_rng(1).gamma(2.0, 3.0, 20000)
    again = Quantity.from_samples(samples, "mm").draw(np.random.default_rng(2), 20000)
    assert_allclose(
        np.quantile(again, [0.1, 0.5, 0.9]), np.quantile(samples, [0.1, 0.5, 0.9]), rtol=0.04
    )


@given(seed=st.integers(0, 20), value=st.floats(0.1, 100))
def test_conversion_there_and_back_is_nothing(seed, value) -> None:
    samples = value + np.random.default_rng(seed).normal(0, 0.1, 500)
    for quantity in (Quantity(value, "in", 0.01, 7.0), Quantity.from_samples(samples, "in")):
        metric = quantity.to("mm")
        assert metric.unit == "mm"
        assert metric.dof == quantity.dof
        assert_allclose(metric.u, quantity.u * 25.4)
        assert_allclose(metric.interval(), np.multiply(quantity.interval(), 25.4))
        back = metric.to("in")
        assert_allclose([back.value, back.u], [quantity.value, quantity.u])
        assert_allclose(back.quantiles, quantity.quantiles)


def test_probabilities_do_not_change_with_the_unit() -> None:
    samples = np.random.default_rng(3).gamma(4, 0.01, 3000)
    quantity = Quantity.from_samples(samples, "in")
    assert_allclose(
        quantity.probability_below(0.05), quantity.to("mm").probability_below(0.05 * 25.4)
    )


@pytest.mark.parametrize(
    ("start", "end", "said"),
    [
        ("mm", "N.m", r"mm \(length\) cannot become N.m \(torque\)"),
        ("mm", "mm^2", r"mm \(length\) cannot become mm\^2 \(area\)"),
        ("furlong", "mm", "unknown unit 'furlong'; known: 1, %, mm"),
        ("mm", "mil", "unknown unit 'mil'"),
    ],
)
def test_other_kinds_and_unknown_units_are_refused(start, end, said) -> None:
    with pytest.raises(UnitMismatch, match=said):
        conversion_factor(start, end)


def test_every_unit_converts_to_its_own_kind_only() -> None:
    for one, (_, kind) in UNITS.items():
        for other, (_, other_kind) in UNITS.items():
            if kind == other_kind:
                there, back = conversion_factor(one, other), conversion_factor(other, one)
                assert_allclose(there * back, 1.0, rtol=1e-14)
            else:
                with pytest.raises(UnitMismatch):
                    conversion_factor(one, other)


GOOD = tuple(float(k) for k in range(QUANTILE_STEPS + 1))


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"value": nan}, "is not a quantity"),
        ({"value": inf}, "is not a quantity"),
        ({"u": -1.0}, r"1.0 \+- -1.0 mm is not a quantity"),
        ({"u": nan}, "is not a quantity"),
        ({"u": inf}, "is not a quantity"),
        ({"unit": "furlong"}, "unknown unit 'furlong'; known: 1, %, mm"),
        ({"dof": 0.5}, "degrees of freedom 0.5 below 1"),
        ({"dof": nan}, "degrees of freedom"),
        ({"quantiles": (1.0, 2.0)}, "must be 201 non-decreasing"),
        ({"quantiles": GOOD[::-1]}, "non-decreasing"),
        ({"quantiles": (*GOOD[:-1], nan)}, "non-decreasing"),
        ({"quantiles": (*GOOD[:-1], inf)}, "non-decreasing"),
    ],
)
def test_a_quantity_cannot_exist_wrong(wrong, said) -> None:
    with pytest.raises(BadQuantity, match=said):
        Quantity(**{"value": 1.0, "unit": "mm", "u": 0.1, **wrong})


def test_one_degree_of_freedom_is_enough() -> None:
    assert Quantity(1.0, "mm", 0.1, 1).quantile(0.75) == pytest.approx(1.1)


@pytest.mark.parametrize("samples", [[], [1.0], [1.0, nan], [1.0, inf]])
def test_samples_that_say_nothing_are_refused(samples) -> None:
    with pytest.raises(BadQuantity, match="at least two finite samples"):
        Quantity.from_samples(np.array(samples), "mm")


def test_two_samples_have_a_spread() -> None:
    pair = Quantity.from_samples(np.array([1.0, 3.0]), "mm")
    assert (pair.value, pair.u) == (2.0, pytest.approx(sqrt(2)))


def test_levels_widen_the_interval() -> None:
    stated = Quantity(0.0, "mm", 1.0)
    z = NormalDist().inv_cdf(0.95)
    assert_allclose(stated.interval(0.9), (-z, z))
