"""Areas of polygons, whole and within a circle about the origin; vectorised over sets of corners.

Corners are x, y (K, N): K polygons of N corners each, closed, not crossing themselves.
"""

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]


def area(x: Array, y: Array) -> Array:
    """Return the areas (K,): the shoelace formula."""
    return np.asarray(np.abs(np.sum(_doubled(x, y), axis=1)) / 2)


def centroid(x: Array, y: Array) -> tuple[Array, Array]:
    """Return the centres of the areas (K,), x and y."""
    doubled = _doubled(x, y)
    whole = 3 * np.sum(doubled, axis=1)
    next_x, next_y = np.roll(x, -1, axis=1), np.roll(y, -1, axis=1)
    middle_x = np.sum((x + next_x) * doubled, axis=1) / whole
    middle_y = np.sum((y + next_y) * doubled, axis=1) / whole
    return np.asarray(middle_x), np.asarray(middle_y)


def area_in_circle(x: Array, y: Array, radius: Array) -> Array:
    """Return the areas (K,) that polygons share with circles of ``radius`` (K,) about the origin.

    Each side with the origin makes a triangle; what of it lies in the circle is a triangle where
    the side runs inside and a sector where it runs outside. Added with their signs the pieces make
    the shared area. Derived here (Green's theorem over the border of the common part).
    """
    r2 = radius[:, None] ** 2
    step_x, step_y = np.roll(x, -1, axis=1) - x, np.roll(y, -1, axis=1) - y
    # Where the side, begin + t step, meets the circle: step^2 t^2 + 2 along t + off = 0.
    square = step_x**2 + step_y**2
    along, off = x * step_x + y * step_y, x**2 + y**2 - r2
    root = np.sqrt(np.maximum(along**2 - square * off, 0.0))
    square = np.where(square > 0, square, 1.0)
    enter = np.clip((-along - root) / square, 0.0, 1.0)
    leave = np.clip((-along + root) / square, 0.0, 1.0)
    in_x, in_y = x + enter * step_x, y + enter * step_y
    out_x, out_y = x + leave * step_x, y + leave * step_y
    end_x, end_y = x + step_x, y + step_y
    inside = in_x * out_y - in_y * out_x
    outside = r2 * (_angle(x, y, in_x, in_y) + _angle(out_x, out_y, end_x, end_y))
    return np.asarray(np.abs(np.sum(inside + outside, axis=1)) / 2)


def _doubled(x: Array, y: Array) -> Array:
    return np.asarray(x * np.roll(y, -1, axis=1) - np.roll(x, -1, axis=1) * y)


def _angle(x: Array, y: Array, to_x: Array, to_y: Array) -> Array:
    """Return the turn from one direction to another, in radians, -pi to pi."""
    return np.asarray(np.arctan2(x * to_y - y * to_x, x * to_x + y * to_y))
