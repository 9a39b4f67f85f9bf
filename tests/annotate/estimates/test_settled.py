"""Trials are added until the numbers stand still (JCGM 101:2008, 7.9)."""

from itertools import pairwise

import numpy as np
import pytest

from annotate.estimates.settled import Settled, scatter, settle, unsteady


def normal(trials: int, seed: int = 4) -> tuple[np.ndarray, np.ndarray]:
    return np.random.default_rng(seed).normal(0.3, 0.05, trials), np.full(trials, 1 / trials)


def test_the_scatter_is_that_of_the_ends_of_the_interval() -> None:
    # The sample quantile of n normal values: sqrt(p (1 - p) / n) / density (Kendall and Stuart).
    n = 40_000
    density = np.exp(-(1.959964**2) / 2) / np.sqrt(2 * np.pi) / 0.05
    expected = 2 * np.sqrt(0.025 * 0.975 / n) / density
    found = np.mean([scatter(*normal(n, seed)) for seed in range(12)])
    assert found == pytest.approx(expected, rel=0.25)


def test_equal_weights_are_as_good_as_none() -> None:
    values, weight = normal(5000)
    assert scatter(values, weight) == pytest.approx(scatter(values, 7 * weight), rel=1e-9)


def test_trials_are_added_until_the_tolerance_is_reached_and_not_before() -> None:
    asked: list[int] = []

    def run(trials: int) -> tuple[np.ndarray, np.ndarray]:
        asked.append(trials)
        return normal(trials)

    settled = settle(run, 1000, tolerance=0.001, most=400_000)
    assert settled.reached <= 0.001
    assert asked == sorted(asked)
    assert scatter(*normal(asked[-2])) > 0.001
    assert all(b <= 4 * a + 1000 for a, b in pairwise(asked))


def test_what_was_reached_is_told_where_the_most_did_not_do() -> None:
    settled = settle(normal, 1000, tolerance=1e-6, most=3000)
    assert settled == Settled(3000, scatter(*normal(3000)))
    assert settled.reached > 1e-6
    assert settle(normal, 1000, tolerance=1.0) == Settled(1000, scatter(*normal(1000)))


def test_where_the_numbers_lie_does_not_matter() -> None:
    values, weight = normal(5000)
    assert scatter(values + 5, weight) == pytest.approx(scatter(values, weight), rel=1e-6)


@pytest.mark.parametrize("side", [1, -1])
def test_a_long_tail_on_either_side_is_what_stands_least_still(side: int) -> None:
    # Of an exponential distribution the far end, at 97.5 %, has the density 0.025: 2 sqrt(0.025 x
    # 0.975 / n) / 0.025; the near end stands forty times stiller.
    n = 20_000
    found = [
        scatter(side * np.random.default_rng(seed).exponential(size=n), np.full(n, 1 / n))
        for seed in range(12)
    ]
    assert np.mean(found) == pytest.approx(2 * np.sqrt(0.025 * 0.975 / n) / 0.025, rel=0.2)


def test_an_interval_that_other_trials_would_move_is_a_warning() -> None:
    rng = np.random.default_rng(11)
    covered = np.clip(rng.normal(0.4, 0.04, 6000), 0, 1)
    assert unsteady(covered, np.full(6000, 1 / 6000)) == ()
    # A handful of trials carries nearly all of the weight, as where a best fit was missed.
    weight = np.exp(rng.normal(0, 4, 6000))
    (told,) = unsteady(covered, weight)
    assert "the interval is hardly settled: other trials would move its ends by up to" in told
    reached = 100 * scatter(covered, weight)
    assert f"by up to {reached:.1f} points" in told
    # As unsteady for its width, but within what nobody minds.
    assert unsteady(0.4 + covered / 50, weight) == ()
