"""The smoothest closed path through unrolled edges, against paths that are known."""

from itertools import product

import numpy as np
from numpy.testing import assert_array_equal

from annotate.near_edges.follow import closed_paths


def ridge(angles: int, radii: int, where: np.ndarray, noise: float, seed: int) -> np.ndarray:
    gain = noise * np.random.default_rng(seed).random((angles, radii)).astype(np.float32)
    gain[np.arange(angles), where] += 1
    return gain


def wave(angles: int, middle: float, size: float, turns: int) -> np.ndarray:
    phi = 2 * np.pi * np.arange(angles) / angles
    return np.rint(middle + size * np.cos(turns * phi + 0.4)).astype(int)


def test_a_ridge_is_followed_all_round() -> None:
    for angles in (90, 91, 180):
        where = wave(angles, 9, 5, 2)
        assert_array_equal(closed_paths([ridge(angles, 20, where, 0.3, 0)[None]])[0][0], where)


def test_gains_of_several_widths_are_followed_as_each_alone() -> None:
    gains = [
        np.stack([ridge(90, w, wave(90, w / 2, w / 4, k + 1), 0.9, k) for k in range(n)])
        for w, n in ((12, 3), (20, 1), (31, 4))
    ]
    for gain, path in zip(gains, closed_paths(gains), strict=True):
        for one, its in zip(gain, path, strict=True):
            assert_array_equal(closed_paths([one[None]])[0][0], its)


def test_a_gap_is_bridged_the_shortest_way() -> None:
    where = wave(90, 8, 0, 1)
    gain = ridge(90, 16, where, 0.0, 0)
    gain[20:40] = 0
    gain[25:30, 2] = 0.3  # something, but less than the way there and back costs
    assert_array_equal(closed_paths([gain[None]])[0][0], where)


def test_no_other_closed_path_gains_more() -> None:
    # Of four radii and eight angles every closed path can be tried.
    rng = np.random.default_rng(5)
    gain = rng.random((8, 4)).astype(np.float32)
    tried = np.array(list(product(range(4), repeat=8)))
    steps = np.abs(tried - np.roll(tried, 1, axis=1))
    worth = gain[np.arange(8), tried].sum(axis=1) - 0.15 * steps.sum(axis=1)
    best = tried[np.where((steps <= 2).all(axis=1), worth, -np.inf).argmax()]
    assert_array_equal(closed_paths([gain[None]])[0][0], best)
