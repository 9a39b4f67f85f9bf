"""Levenberg-Marquardt for one face: from a first guess down to the least sum of squares.

One set of unknowns at a time, with slopes that the caller knows to be sparse; many small sets at
once go down in ``descent``.
"""

from collections.abc import Callable

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]

_STEPS = 60
_STUCK = 1e8  # damping at which no step is left worth taking
_SETTLED = 1e-7  # part of the cost


def descended(
    residuals: Callable[[Array], Array], slopes: Callable[[Array, Array], Array], p: Array
) -> tuple[Array, float]:
    """Return where the method of Levenberg and Marquardt ends from ``p`` (P,), and the cost there.

    ``residuals`` of p are (M,), ``slopes`` of p and its residuals (M, P).
    """
    value, damping = residuals(p), 1e-3
    slope, cost = slopes(p, value), float(value @ value)
    for _ in range(_STEPS):
        normal = slope.T @ slope
        ease = damping * np.diag(np.diag(normal) + 1e-9)
        step = np.linalg.solve(normal + ease, slope.T @ value)
        tried = residuals(p - step)
        gain = cost - float(tried @ tried)
        if not gain > 0:
            damping *= 5
            if damping > _STUCK:
                break
            continue
        p, value, cost, damping = p - step, tried, cost - gain, damping / 5
        slope = slopes(p, value)
        if gain < _SETTLED * (1 + cost):
            break
    return p, cost
