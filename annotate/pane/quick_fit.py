"""Outlines for the eye, in a few milliseconds: the least squares of ``fit``, stopped early.

The same sum of squared orthogonal distances is made least, by the same kernel (``orthogonal``),
but only to a thousandth of a pixel and from one start. ``fit`` goes to rounding, from many starts,
and can take seconds where points lie on no ellipse at all, as those of a rim that is being
dragged. What is measured is never fitted here.
"""

from math import sqrt
from typing import TypeAlias

import numpy as np
import numpy.typing as npt
from msgspec import Struct

from annotate.fit import USELESS, ellipse_of, shape_matrix
from annotate.marks import Ellipse, Points
from annotate.mathematics.orthogonal import (
    ELLIPTIC,
    Basis,
    Outline,
    circle_start,
    distances,
    ellipse_start,
    slopes,
)

Array: TypeAlias = npt.NDArray[np.float64]
Mask: TypeAlias = npt.NDArray[np.bool_]

_STEPS = 40
_STILL = 1e-6  # of the points' spread: a thousandth of a pixel on 1000
_STUCK = 1e6
_FLATTEST = 0.05  # a rim seen so slantingly is no picture of a hole
_LARGEST = 20.0  # times the points' spread
_MAD_TO_SIGMA = 1.4826  # of a normal distribution
_CUT = 3.0
_TRIMMINGS = 8


class QuickFit(Struct, frozen=True, eq=False):
    """An outline, each point's residual across it (outside positive), and which were kept."""

    outline: Ellipse
    residuals_px: Array
    kept: Mask

    @property
    def scatter_px(self) -> float:
        """Root mean square of the kept residuals."""
        return sqrt(float(np.mean(self.residuals_px[self.kept] ** 2)))


def quick_fit(
    points: Points, sigma_px: float, *, form: Ellipse | None = None, trim: bool = False
) -> QuickFit | None:
    """Return the outline through points (N, 2), None where they determine none.

    ``form`` gives ratio of axes and angle. ``trim`` leaves out what lies farther off than three
    standard deviations (of the kept points' median distance, at least ``sigma_px``), over and over
    until the same points stay.
    """
    basis = ELLIPTIC if form is None else (_form_of(form),)
    middle = points.mean(axis=0)
    size = sqrt(float(np.mean(np.sum((points - middle) ** 2, axis=1)))) or 1.0
    # Centre and scale first: far from the origin, squares drown the radius.
    local = (points - middle) / size
    found = _start(local, form)
    kept = np.ones(len(points), dtype=bool)
    for _ in range(_TRIMMINGS if trim else 1):
        if found is None or kept.sum() < 2 + len(basis):
            return None
        found = settled(local[kept], found, basis)
        off = np.abs(distances(local, found)[0]) * size
        limit = _CUT * max(sigma_px, _MAD_TO_SIGMA * float(np.median(off[kept])))
        before, kept = kept, (off <= limit) if trim else kept
        if (kept == before).all():
            break
    if found is None or not _is_determined(local[kept], found, basis, sigma_px / size):
        return None
    outline = ellipse_of(middle + size * found.centre, size * found.matrix)
    return QuickFit(outline, size * distances(local, found)[0], kept)


def followed(outline: Ellipse, points: Points, *, keeps_form: bool, steps: int = 2) -> Ellipse:
    """Return the outline after a step or two towards points that have moved a little."""
    middle, size = np.array([outline.cx, outline.cy]), outline.semi_major
    start = Outline(np.zeros(2), shape_matrix(outline) / size)
    basis = (_form_of(outline),) if keeps_form else ELLIPTIC
    found = settled((points - middle) / size, start, basis, steps)
    return ellipse_of(middle + size * found.centre, size * found.matrix)


def settled(points: Points, start: Outline, basis: Basis, steps: int = _STEPS) -> Outline:
    """Return the outline after damped Gauss-Newton steps; the start where none makes it better."""
    outline, damping = start, 1e-3
    off, normals, u = distances(points, outline)
    for _ in range(steps):
        by = slopes(normals, u, basis)
        normal = by.T @ by
        damped = normal + damping * np.diag(np.diag(normal)) + 1e-12 * np.eye(len(normal))
        step: Array = -np.linalg.solve(damped, by.T @ off).astype(np.float64)
        trial = _moved(outline, step, basis)
        tried = distances(points, trial) if _is_sound(trial) else None
        if tried is not None and tried[0] @ tried[0] <= off @ off:
            outline, (off, normals, u), damping = trial, tried, damping / 10
            if float(np.abs(step).max()) < _STILL:
                break
        else:
            damping *= 10
            if damping > _STUCK:
                break
    return outline


def _form_of(ellipse: Ellipse) -> Array:
    form: Array = shape_matrix(ellipse) / sqrt(ellipse.semi_major * ellipse.semi_minor)
    return form


def _start(local: Array, form: Ellipse | None) -> Outline | None:
    if form is None:
        if len(np.unique(local, axis=0)) < 2 + len(ELLIPTIC):
            return None
        found = ellipse_start(local)
        return found if found is not None and _is_sound(found) else circle_start(local)
    upright = _form_of(form)
    found = circle_start(local @ np.linalg.inv(upright))
    return None if found is None else Outline(upright @ found.centre, upright @ found.matrix)


def _is_determined(points: Array, outline: Outline, basis: Basis, sigma: float) -> bool:
    """Tell whether centre and size are known to a fifth of the minor half axis, as ``fit`` asks."""
    if not _is_sound(outline):
        return False
    _, normals, u = distances(points, outline)
    by = slopes(normals, u, basis)
    try:
        covariance = sigma**2 * np.linalg.inv(by.T @ by)
    except np.linalg.LinAlgError:
        return False
    worst = max(float(np.linalg.eigvalsh(p)[-1]) for p in (covariance[:2, :2], covariance[2:, 2:]))
    return worst <= (USELESS * float(np.linalg.eigvalsh(outline.matrix)[0])) ** 2


def _moved(outline: Outline, step: Array, basis: Basis) -> Outline:
    grown = np.tensordot(step[2:], np.array(basis), axes=1)
    return Outline(outline.centre + step[:2], outline.matrix + grown)


def _is_sound(outline: Outline) -> bool:
    halves = np.linalg.eigvalsh(outline.matrix)
    return bool(
        np.isfinite(outline.centre).all()
        and halves[0] > _FLATTEST * halves[1]
        and halves[1] < _LARGEST
    )
