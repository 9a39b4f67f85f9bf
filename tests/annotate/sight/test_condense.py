"""Condensed rims, against circles and arcs whose points are known exactly."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from annotate.sight.condense import condensed

MIDDLE = np.array([800.0, 600.0])


def arc(start_deg: float, end_deg: float, count: int, radius: float = 200.0) -> np.ndarray:
    angle = np.radians(np.linspace(start_deg, end_deg, count, endpoint=False))
    return MIDDLE + radius * np.stack([np.cos(angle), np.sin(angle)], axis=1)


@pytest.mark.parametrize(("start", "end"), [(0, 360), (150, 210), (300, 480), (20, 32)])
def test_condensed_points_of_a_circle_lie_on_it(start: float, end: float) -> None:
    points, counts = condensed(arc(start, end, 120), 24)
    assert points.shape == (24, 2)
    # The mean of x and y of five neighbours would lie inside by r (1 - cos) of their spread.
    assert_allclose(np.hypot(*(points - MIDDLE).T), 200.0, atol=1e-6)
    assert_allclose(counts, 5)


@pytest.mark.parametrize(("start", "end"), [(300, 480), (100, 300)])
def test_condensed_points_keep_the_order_whatever_the_order_they_came_in(
    start: float, end: float
) -> None:
    whole = arc(start, end, 90)
    shuffled = whole[np.random.default_rng(1).permutation(90)]
    points, _ = condensed(shuffled, 30)
    steps = np.linalg.norm(np.diff(points, axis=0), axis=1)
    assert_allclose(steps, steps[0], rtol=1e-6)
    assert_allclose(points, condensed(whole, 30)[0], atol=1e-9)


def test_runs_that_do_not_divide_evenly_say_how_many_points_each_stands_for() -> None:
    points, counts = condensed(arc(0, 90, 50), 24)
    assert counts.sum() == 50
    assert set(counts) == {2.0, 3.0}
    assert len(points) == 24


def test_few_points_come_back_untouched() -> None:
    few = arc(0, 60, 8)
    points, counts = condensed(few, 30)
    assert points is few
    assert_allclose(counts, 1)


def test_noise_is_averaged_by_the_root_of_the_count() -> None:
    # 400 points with 1 px across the rim, ten to a run: 1 / sqrt(10) is left.
    rng = np.random.default_rng(5)
    whole = arc(0, 360, 400)
    noisy = MIDDLE + (whole - MIDDLE) * (1 + rng.normal(size=(400, 1)) / 200.0)
    points, _ = condensed(noisy, 40)
    left = np.std(np.hypot(*(points - MIDDLE).T) - 200.0)
    assert 0.2 < left < 0.45
