"""The answer of a drawing program: the flat ratio of two areas, no line of sight, no error.

A near ellipse through the near points, a far ellipse of the same shape through the far points,
and the area of their intersection over the smaller one's. Own code on shapely and scikit-image,
sharing nothing with what it is compared with.
"""

from collections.abc import Sequence
from typing import Any

import numpy as np
import numpy.typing as npt
from scipy.optimize import least_squares
from shapely import affinity
from shapely.geometry import Point
from skimage.measure import EllipseModel

Pixels = Sequence[tuple[float, float]]
SIDES = 256  # per quarter turn: area right to 1e-5


def naive_covered(near_px: Pixels, far_px: Pixels) -> float | None:
    """Return the covered fraction of the smaller hole as drawn; None if it cannot be drawn."""
    if len(near_px) < 5 or len(far_px) < 3:
        return None
    model: Any = EllipseModel.from_estimate(np.asarray(near_px, dtype=float))  # type: ignore[no-untyped-call]
    if not model:
        return None
    (cx, cy), (a, b), theta = model.center, model.axis_lengths, model.theta
    turn = np.array([[np.cos(theta), -np.sin(theta)], [np.sin(theta), np.cos(theta)]])
    # In units of the near ellipse both outlines are circles, and ratios of areas stay.
    flat = (np.asarray(far_px, dtype=float) - (cx, cy)) @ turn / (a, b)
    x, y, radius = _circle(flat)
    near = Point(0, 0).buffer(1.0, quad_segs=SIDES)
    far = affinity.translate(Point(0, 0).buffer(radius, quad_segs=SIDES), x, y)
    return 1 - float(near.intersection(far).area / min(near.area, far.area))


def _circle(points: npt.NDArray[np.float64]) -> tuple[float, float, float]:
    """Return the circle of least distance to the points: x, y, radius."""

    def distances(guess: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
        return np.asarray(np.hypot(*(points - guess[:2]).T) - guess[2])

    middle = points.mean(axis=0)
    start = (*middle, float(np.hypot(*(points - middle).T).mean()) + 0.5)
    x, y, radius = least_squares(distances, start).x
    return float(x), float(y), abs(float(radius))
