"""Points of a face's rims that lie on another edge: told by the circle the whole face gives them.

An ellipse of its own goes a long way to meet a stretch of points on a shadow, on the lit wall or on
the other edge of a chamfer: it has five unknowns. A circle on a plane that target and all rims
share has three: of all that can be laid through three of a rim's points the one to which two thirds
of them lie nearest is taken (least quantile of squares: Rousseeuw and Leroy, Robust Regression and
Outlier Detection, 1987), and whoever stands off from it by several times what the others scatter is
left out. Then the face is adjusted again. Points set by hand stay: they are the hand's.
"""

from collections.abc import Sequence
from typing import Final

import numpy as np

from annotate.flat_face.face_eye import Ring
from annotate.flat_face.face_fit import Array, Fit, Mask

# Errors along a rim go together: more than its points' scatter shows. No rim is better than that.
ALIKE: Final = 2.5
LEAST_SIGMA_PX: Final = 0.12
_ROUNDS: Final = 3
_FAR: Final = 3.0  # scatters
_LEAST_SCATTER_PX: Final = 0.07  # of a sharp edge's points
_MOST: Final = 0.65  # of a rim's points lie on one edge
_OF_NORMAL: Final = 0.935  # standard deviations within which so many of normal errors lie
_FEWEST: Final = 10  # points of a rim
_THROUGH: Final = 200  # circles tried


def found_sigma_px(scatter_px: float) -> float:
    """Return the standard uncertainty of points found on a rim, across it, from their scatter."""
    return max(LEAST_SIGMA_PX, ALIKE * scatter_px)


def settled(fit: Fit) -> tuple[Fit, Array]:
    """Return the fit without points that lie on other edges, and its best parameters."""
    every, p = fit, fit.best()
    if not any(ring.found for ring in fit.rings):
        return fit, p
    for _ in range(_ROUNDS):
        off = every.off_px(p)
        kept = [
            on_one_circle(one, angles) if ring.found else np.ones(len(one), dtype=bool)
            for one, angles, ring in zip(off, every.angles, every.rings, strict=True)
        ]
        fit = every.with_rings(_thinned(every.rings, off, kept), kept)
        p = fit.best(p)
    return fit, p


def on_one_circle(off_px: Array, angles: Array) -> Mask:
    """Return which points lie on one circle: they stand ``off_px`` (N,) out of another near it.

    ``angles`` are those of its outward normals there: a circle near it stands off by a constant,
    its move along them, to first order.
    """
    count = len(off_px)
    if count < _FEWEST:
        return np.ones(count, dtype=bool)
    design = np.stack([np.ones(count), np.cos(angles), np.sin(angles)], axis=1)
    rng = np.random.default_rng(count)
    three = np.argsort(rng.random((_THROUGH, count)), axis=1)[:, :3]
    # Three points close together make no circle.
    three = three[np.abs(np.linalg.det(design[three])) > 0.3]  # noqa: PLR2004 - a sixth of the most
    if not len(three):
        return np.ones(count, dtype=bool)
    circles = np.linalg.solve(design[three], off_px[three][..., None])[..., 0]
    left = np.abs(off_px - circles @ design.T)
    best = int(np.argmin(np.quantile(left, _MOST, axis=1)))
    near = left[best] <= np.quantile(left[best], _MOST)
    for _ in range(2):
        circle = np.linalg.lstsq(design[near], off_px[near], rcond=None)[0]
        beside = np.abs(off_px - design @ circle)
        scatter = float(np.quantile(beside, _MOST)) / _OF_NORMAL
        near = beside < _FAR * max(_LEAST_SCATTER_PX, scatter)
    return np.asarray(near)


def _thinned(rings: Sequence[Ring], off: Sequence[Array], kept: Sequence[Mask]) -> list[Ring]:
    """Return rings with the points kept, and the uncertainty that these show."""
    return [
        ring._replace(
            points_px=ring.points_px[keep], sigma_px=found_sigma_px(float(np.std(o[keep])))
        )
        if ring.found
        else ring
        for ring, o, keep in zip(rings, off, kept, strict=True)
    ]
