"""A face's descent, against scipy's least squares."""

import numpy as np
from numpy.testing import assert_allclose
from scipy.optimize import least_squares

from annotate.flat_face.face_descent import descended


def _banana(p: np.ndarray) -> np.ndarray:
    return np.array([10 * (p[1] - p[0] ** 2), 1 - p[0], 0.3 * (p[0] + p[1])])


def _slopes(p: np.ndarray, value: np.ndarray) -> np.ndarray:
    return np.stack([(_banana(p + step) - value) / 1e-6 for step in 1e-6 * np.eye(2)], axis=1)


def test_it_ends_where_scipy_ends() -> None:
    # Rosenbrock's valley, with a third pull.
    for start in ([-1.2, 1.0], [2.0, -3.0], [0.0, 0.0]):
        end, cost = descended(_banana, _slopes, np.array(start))
        known = least_squares(_banana, start)
        assert_allclose(end, known.x, atol=1e-3)
        assert_allclose(cost, 2 * known.cost, rtol=1e-5)


def test_at_the_bottom_it_stays() -> None:
    bottom = least_squares(_banana, [0.5, 0.5], xtol=1e-14, ftol=1e-14, gtol=1e-14).x
    end, _ = descended(_banana, _slopes, bottom)
    assert_allclose(end, bottom, atol=1e-6)
