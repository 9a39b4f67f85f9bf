"""Weighted samples against their textbook mean, deviation, quantiles and direction."""

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy import stats

from annotate.estimates import weighted


def test_equal_weights_give_the_samples_own_mean_and_deviation() -> None:
    # NIST StRD NumAcc1: 10000001, 10000003, 10000002 have mean 10000002; s is 1 with n - 1, and
    # sqrt(2 / 3) for a whole distribution, which is what weights describe.
    values = np.array([10000001.0, 10000003.0, 10000002.0])
    found = weighted.summary(values, np.full(3, 1 / 3), "mm")
    assert_allclose(found.value, 10000002, rtol=1e-15)
    assert_allclose(found.u, np.sqrt(2 / 3), rtol=1e-7)


def test_weights_turn_one_distribution_into_another() -> None:
    # Samples of N(0, 2) weighted by N(1, 1) / N(0, 2): importance sampling of N(1, 1).
    rng = np.random.default_rng(5)
    values = rng.normal(0, 2, 200_000)
    weight = stats.norm.pdf(values, 1, 1) / stats.norm.pdf(values, 0, 2)
    weight /= weight.sum()
    found = weighted.summary(values, weight, "1")
    assert_allclose((found.value, found.u), (1, 1), atol=0.02)
    assert_allclose(found.interval(), stats.norm.interval(0.95, 1, 1), atol=0.03)
    assert_allclose(found.quantile(0.5), 1, atol=0.02)
    # The two ends stand for 1 and 999 in 1000.
    assert_allclose(found.quantile(0), stats.norm.ppf(0.001, 1, 1), atol=0.15)
    assert_allclose(found.quantile(1), stats.norm.ppf(0.999, 1, 1), atol=0.15)


def test_a_bound_that_values_cannot_pass_is_kept() -> None:
    found = weighted.summary(np.array([-0.2, 0.5, 1.4]), np.full(3, 1 / 3), "1", 0.0, 1.0)
    assert (min(found.quantiles), max(found.quantiles)) == (0.0, 1.0)
    assert_allclose(found.value, 0.5)


@pytest.mark.parametrize("count", [4, 40, 1000])
def test_the_estimate_is_the_average_of_the_middle_half(count: int) -> None:
    # scipy.stats.trim_mean cuts a quarter off either end.
    values = np.random.default_rng(count).exponential(1.0, count)
    found = weighted.summary(values, np.full(count, 1 / count), "mm")
    assert_allclose(found.value, stats.trim_mean(values, 0.25), rtol=1e-12)
    # A weight of three is three samples, and only a weight's share counts.
    thrice = weighted.midmean(np.sort(values), np.full(count, 3.0))
    assert_allclose(thrice, found.value, rtol=1e-12)
    uneven = np.random.default_rng(1).integers(1, 5, count)
    repeated = np.repeat(np.sort(values), 4 * uneven)
    expected = stats.trim_mean(repeated, 0.25)
    assert_allclose(weighted.midmean(np.sort(values), 1.0 * uneven), expected, rtol=1e-12)


@pytest.mark.parametrize(("share", "expected"), [(0.8, 0.1), (0.5, 0.4), (0.6, 0.28)])
def test_of_two_humps_the_estimate_is_the_likelier_one_and_it_does_not_jump(
    share: float, expected: float
) -> None:
    # 0.1 with this share, else 0.7. The middle half of 0.6 and 0.4: 0.35 and 0.15 of 0.5.
    values = np.array([0.1, 0.7])
    found = weighted.summary(values, np.array([share, 1 - share]), "1")
    assert_allclose(found.value, expected, rtol=1e-12)
    assert_allclose(found.u, 0.6 * np.sqrt(share * (1 - share)))  # of a binary variable


@pytest.mark.parametrize(
    ("right", "up", "clock"), [(0, 1, 0), (1, 0, 90), (0, -1, 180), (-1, 0, 270), (1, 1, 45)]
)
def test_direction_counts_clockwise_from_up(right: float, up: float, clock: float) -> None:
    found = weighted.direction(np.full(4, right) * 1.0, np.full(4, up) * 1.0, np.full(4, 0.25))
    assert_allclose(found.value % 360, clock, atol=1e-9)
    assert_allclose(found.u, 0, atol=1e-6)


def test_direction_is_weighted_and_does_not_break_at_twelve_o_clock() -> None:
    degrees = np.radians([350.0, 30.0])
    weight = np.array([0.6, 0.4])
    found = weighted.direction(np.sin(degrees), np.cos(degrees), weight)
    assert_allclose((found.value + 180) % 360 - 180, 2.0, atol=1e-9)  # 0.7 x -10 + 0.3 x 30
    low, high = found.interval()
    assert high - low <= 40.0 + 1e-9
