"""Areas and intersections of two round holes, vectorised over numpy arrays.

Lengths and areas in any one unit. Circles by the closed form of their lens (two circular
segments); ellipses by chords.
"""

from math import factorial

import numpy as np
import numpy.typing as npt

from annotate.errors import BadMark
from annotate.fit import shape_matrix
from annotate.marks import Ellipse

Array = npt.NDArray[np.float64]
Lengths = float | Array

_BLOCK = 8192
_SERIES_BELOW = 0.5  # rad; eleven terms have reached machine precision there
# a - sin(a) cos(a) = a^3 (terms of a^0, a^2, ...), from the series of sin(2 a).
_SERIES = tuple((-1) ** (k + 1) * 4**k / factorial(2 * k + 1) for k in range(1, 12))
_NEGLIGIBLE = 1e-15
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(96)


def lens_area(r1: Lengths, r2: Lengths, s: Lengths) -> Array:
    """Return the area that two circles of radii r1, r2 share, their centres s apart.

    0 from outer tangency on, the smaller circle once it lies inside. The order of the circles and
    the sign of s are free. Raises BadMark for a radius that is not positive.
    Source: MathWorld, Circle-Circle Intersection, with each segment's half angle from the area of
    the triangle of r1, r2, s (Heron), which keeps its figures near tangency where acos loses them.
    """
    ones, others, distances = np.broadcast_arrays(
        *(np.asarray(lengths, dtype=np.float64) for lengths in (r1, r2, s))
    )
    big, small = np.maximum(ones, others).ravel(), np.minimum(ones, others).ravel()
    apart = np.abs(distances).ravel()
    if not (np.all(small > 0) and np.all(np.isfinite(big)) and np.all(np.isfinite(apart))):
        raise BadMark("overlap needs positive radii and finite distances")
    area, narrow, wide = np.empty((3, len(apart)))
    # Block by block: what is worked on stays in the processor's own memory.
    for begin in range(0, len(apart), _BLOCK):
        some = slice(begin, begin + _BLOCK)
        area[some], narrow[some], wide[some] = _sectors(big[some], small[some], apart[some])
    # Sectors less their kite lose every figure of a thin segment: there segment by segment.
    thin = np.flatnonzero(narrow < _SERIES_BELOW)
    area[thin] = big[thin] ** 2 * _segment(narrow[thin]) + small[thin] ** 2 * _segment(wide[thin])
    # Only concentric circles of one size have no angles to add up; rounding must not exceed them.
    whole = np.pi * (small * small)
    np.minimum(area, whole, out=area)
    np.copyto(area, whole, where=apart <= big - small)
    return area.reshape(distances.shape)


def _sectors(big: Array, small: Array, apart: Array) -> tuple[Array, Array, Array]:
    """Return the shared area and each circle's half angle of it, the big one's first.

    Both sectors less the kite of the two centres and the two crossings.
    """
    step, both = big - small, big + small
    # Clamped: beyond either tangency one factor is negative (the triangle does not close), and
    # just before it rounding can make it so; both mean an angle of 0 or pi, never NaN.
    inner = np.maximum(apart - step, 0.0)
    outer = np.maximum(both - apart, 0.0)
    # Root by root: the product of two tiny distances would vanish. Twice the kite's area.
    height = np.sqrt(inner) * np.sqrt(apart + step) * np.sqrt(outer * (apart + both))
    # apart^2 +- (big^2 - small^2), written as products: the squares' difference would cancel.
    square, difference = apart * apart, step * both
    narrow = np.arctan2(height, square + difference)
    wide = np.arctan2(height, square - difference)
    return big * big * narrow + small * small * wide - height / 2, narrow, wide


def equivalent_diameter(area: Lengths) -> Array:
    """Return the diameter of the round hole that has this area."""
    result: Array = np.sqrt(4 * np.asarray(area, dtype=np.float64) / np.pi)
    return result


def largest_pin(r_near: Lengths, r_far: Lengths, s: Lengths) -> Array:
    """Return the diameter of the largest straight pin along the axes that passes both holes.

    r_near + r_far - s, at most the smaller hole, 0 from outer tangency on.
    """
    smaller = 2 * np.minimum(r_near, r_far)
    result: Array = np.clip(np.asarray(r_near) + np.asarray(r_far) - np.abs(s), 0.0, smaller)
    return result


def ellipse_area(ellipse: Ellipse) -> float:
    """Return the area of an ellipse."""
    return float(np.pi * ellipse.semi_major * ellipse.semi_minor)


def ellipse_overlap(one: Ellipse, other: Ellipse) -> float:
    """Return the area that two ellipses share.

    Chords of both in the frame where ``one`` is the unit circle, by Gauss-Legendre between the
    places where the outlines cross. A crossing missed or invented costs accuracy only, so
    tangent and coinciding outlines need no cases of their own.
    """
    frame = shape_matrix(one)
    back = np.linalg.inv(frame)
    centre = back @ np.array([other.cx - one.cx, other.cy - one.cy])
    transform = back @ shape_matrix(other)
    spread = transform @ transform.T  # its outline: (p - centre)' spread^-1 (p - centre) = 1
    reach = float(np.sqrt(spread[0, 0]))
    low, high = max(-1.0, centre[0] - reach), min(1.0, centre[0] + reach)
    if low >= high:
        return 0.0
    inside = [
        x for x in _crossings(centre, np.linalg.inv(spread).astype(np.float64)) if low < x < high
    ]
    edges = np.array([low, *sorted(inside), high])
    middle, half = (edges[1:] + edges[:-1]) / 2, (edges[1:] - edges[:-1]) / 2
    # x = (3v - v^3)/2 crowds the nodes at both ends and turns the chords' square-root ends smooth.
    x = middle[:, None] + half[:, None] * (3 * _NODES - _NODES**3) / 2
    weights = half[:, None] * _WEIGHTS * 1.5 * (1 - _NODES**2)
    area = float(np.sum(weights * _shared_chord(x, centre, spread)))
    return area * float(np.linalg.det(frame))


def _segment(half_angle: Array) -> Array:
    """Return the area of the unit circle's segment, a - sin(a) cos(a), of half angle a."""
    result: Array = half_angle - np.sin(2 * half_angle) / 2
    # Subtracting two near equals loses everything for thin segments: the series there.
    thin = half_angle < _SERIES_BELOW
    angle = half_angle[thin]
    squared, total = angle * angle, np.zeros_like(angle)
    for term in reversed(_SERIES):
        total = total * squared + term
    result[thin] = total * squared * angle
    return result


def _shared_chord(x: Array, centre: Array, spread: Array) -> Array:
    """Return the length that the unit circle and the ellipse share on the vertical line at x."""
    unit = np.sqrt(np.maximum(0.0, 1 - x**2))
    across = (x - centre[0]) / np.sqrt(spread[0, 0])
    middle = centre[1] + spread[0, 1] / np.sqrt(spread[0, 0]) * across
    height = np.sqrt(np.linalg.det(spread) / spread[0, 0]) * np.sqrt(np.maximum(0.0, 1 - across**2))
    shared = np.minimum(unit, middle + height) - np.maximum(-unit, middle - height)
    result: Array = np.maximum(0.0, shared)
    return result


def _crossings(centre: Array, form: Array) -> list[float]:
    """Return x of the points of the unit circle that lie on (p - centre)' form (p - centre) = 1.

    With z = x + iy on the circle this is a polynomial of degree 4 in z.
    """
    second = (form[0, 0] - form[1, 1]) / 4 - 0.5j * form[0, 1]
    pull = form @ centre
    first = -(pull[0] - 1j * pull[1])
    level = (form[0, 0] + form[1, 1]) / 2 + centre @ pull - 1
    ladder = np.array([second, first, level, np.conj(first), np.conj(second)])
    # Nearly round outlines: a subnormal leading term would overflow the companion matrix.
    ladder[np.abs(ladder) < _NEGLIGIBLE * np.abs(ladder).max()] = 0
    roots = np.roots(ladder)
    result: list[float] = np.real(roots).tolist()
    return result
