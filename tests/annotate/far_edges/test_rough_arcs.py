"""Short arcs are among those that are looked at closely, however much longer edge there is."""

import numpy as np
import pytest

from annotate.far_edges.rough_arcs import Patch, inside_range, rough

Circle = tuple[float, float, float]
HALF = 130.0


def turned_ground(circle: Circle) -> Patch:
    """Return a patch with the marks of a cutter all over, round its middle, and a dark opening."""
    import cv2  # noqa: PLC0415 - as in the code under test

    axis = np.arange(-169, 170) / HALF
    x, y = np.meshgrid(axis, axis)
    away = np.hypot(x + 0.3, y - 0.2)
    grey = 120 + 14 * np.sign(np.sin(2 * np.pi * away / 0.16))
    grey[np.hypot(x - circle[0], y - circle[1]) < circle[2]] = 70.0
    noise = np.random.default_rng(5).normal(0, 3, grey.shape)
    return Patch(cv2.GaussianBlur((grey + noise).astype(np.float32), (0, 0), 1.0), HALF)


@pytest.mark.parametrize("circle", [(1.65, -0.71, 1.21), (0.1, 1.6, 0.95), (-2.0, 0.2, 1.3)])
def test_a_short_arc_is_kept_beside_many_long_ones(circle: Circle) -> None:
    kept = rough(turned_ground(circle), 96)
    start, sweep = inside_range(np.array([circle]))
    t = start + sweep * np.linspace(0.05, 0.95, 15)
    x, y = circle[0] + circle[2] * np.cos(t), circle[1] + circle[2] * np.sin(t)
    off = np.abs(np.hypot(x - kept[:, :1], y - kept[:, 1:2]) - kept[:, 2:])
    assert np.quantile(off, 0.8, axis=1).min() < 0.04
