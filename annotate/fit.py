"""Points -> Line | Circle | Ellipse with covariance, or FitFailed with a reason.

Every fit here is geometric: it minimises the sum of squared ORTHOGONAL distances (Gander, Golub
and Strebel, BIT 34 (1994) 558-578), by Gauss-Newton steps with Levenberg-Marquardt damping.
Points are (N, 2) arrays of x, y in any one unit; results are in that unit.
"""

from collections.abc import Callable, Sequence
from math import atan2, cos, degrees, inf, isfinite, radians, sin, sqrt
from typing import Generic, TypeVar

import numpy as np
from msgspec import Struct

from annotate.errors import BadMark
from annotate.marks import Ellipse, Points
from annotate.mathematics.orthogonal import (
    ELLIPTIC,
    ROUND,
    Array,
    Basis,
    Mask,
    Outline,
    best,
    best_trimmed,
    circle_start,
    distances,
    ellipse_start,
    slopes,
)

# Standard uncertainty of centre or size, as a part of the smallest half axis, that is no use.
USELESS = 0.2
_RANDOM_STARTS = 150

_Start = Callable[[Array], Outline | None]


class FitFailed(Struct, frozen=True, tag="fit failed"):
    """No useful fit, and why."""

    reason: str


class Line(Struct, frozen=True):
    """A line through (cx, cy), the points' centroid; ``angle_deg`` from +x towards +y, [0, 180)."""

    cx: float
    cy: float
    angle_deg: float


class Circle(Struct, frozen=True):
    """A circle: centre and radius."""

    cx: float
    cy: float
    radius: float

    def __post_init__(self) -> None:
        if not (0 < self.radius < inf and isfinite(self.cx) and isfinite(self.cy)):
            raise BadMark("a circle needs a finite centre and a positive radius")


Shape = TypeVar("Shape", Line, Circle, Ellipse)


class Fitted(Struct, Generic[Shape], frozen=True, eq=False):
    """A shape fitted to points.

    ``covariance`` is that of - line: offset across it at its centroid, angle in rad; circle: cx,
    cy, radius; ellipse: cx, cy, s_xx, s_xy, s_yy of ``shape_matrix``; ellipse of a given form:
    cx, cy, geometric mean of the half axes. ``sigma`` is the standard uncertainty of one point
    across the outline, given or else estimated from the residuals; ``rms`` the root mean square
    of the kept residuals. ``residuals`` (outside positive) has all points; ``kept`` is False
    where a point was left out.
    """

    shape: Shape
    covariance: Array
    sigma: float
    rms: float
    residuals: Array
    kept: Mask


def shape_matrix(ellipse: Ellipse) -> Array:
    """Return the symmetric 2 x 2 matrix that maps the unit circle onto an ellipse's outline."""
    turn = radians(ellipse.angle_deg)
    axes = np.array([[cos(turn), -sin(turn)], [sin(turn), cos(turn)]])
    matrix: Array = axes @ np.diag([ellipse.semi_major, ellipse.semi_minor]) @ axes.T
    return matrix


def ellipse_of(centre: Array, matrix: Array) -> Ellipse:
    """Return the ellipse with the outline ``centre + matrix u``: the inverse of shape_matrix."""
    halves, axes = np.linalg.eigh(matrix)
    angle = degrees(atan2(axes[1, 1], axes[0, 1])) % 180.0
    return Ellipse(
        cx=float(centre[0]),
        cy=float(centre[1]),
        semi_major=float(halves[1]),
        semi_minor=float(halves[0]),
        angle_deg=angle % 180.0,  # twice: -1e-17 % 180 is 180.0, outside the range
    )


def outline_points(ellipse: Ellipse, count: int = 360) -> Points:
    """Return ``count`` points on an ellipse, from its major axis on, turning from +x to +y."""
    turns = np.arange(count) * (2 * np.pi / count)
    major = radians(ellipse.angle_deg)
    along, across = ellipse.semi_major * np.cos(turns), ellipse.semi_minor * np.sin(turns)
    x = ellipse.cx + along * cos(major) - across * sin(major)
    y = ellipse.cy + along * sin(major) + across * cos(major)
    return np.column_stack([x, y])


def arc_degrees(points: Points, centre: tuple[float, float]) -> float:
    """Return how many degrees of a full turn the points span, seen from a centre."""
    angles = np.sort(np.arctan2(points[:, 1] - centre[1], points[:, 0] - centre[0]))
    gaps = np.diff(np.concatenate([angles, angles[:1] + 2 * np.pi]))
    return degrees(2 * np.pi - float(gaps.max()))


def fit_line(points: Points, sigma: float | None = None) -> Fitted[Line] | FitFailed:
    """Return the line with the least sum of squared orthogonal distances."""
    if problem := _unusable(points, 2, sigma):
        return FitFailed(problem)
    centre = points.mean(axis=0)  # first: far from the origin, squares drown the direction
    _, spread, axes = np.linalg.svd(points - centre, full_matrices=False)
    residuals: Array = (points - centre) @ np.array([-axes[0, 1], axes[0, 0]])
    squares = float(np.sum(residuals**2))
    known = sigma if sigma is not None else sqrt(squares / (len(points) - 2))
    angle = degrees(atan2(axes[0, 1], axes[0, 0])) % 180.0
    return Fitted(
        shape=Line(float(centre[0]), float(centre[1]), angle % 180.0),
        covariance=known**2 * np.diag([1 / len(points), 1 / float(spread[0]) ** 2]),
        sigma=known,
        rms=sqrt(squares / len(points)),
        residuals=residuals,
        kept=np.ones(len(points), dtype=bool),
    )


def fit_circle(
    points: Points, sigma: float | None = None, *, robust: bool = False
) -> Fitted[Circle] | FitFailed:
    """Return the circle with the least sum of squared orthogonal distances.

    ``robust`` leaves out points far off the majority's circle. Refuses too few points, points on
    a line, and (with ``sigma``) an arc so short for its noise that centre or radius would be
    known to no better than a fifth of the radius; without sigma the covariance is yours to judge.
    Source: Gander, Golub and Strebel, section 3.
    """
    fitted = _fit(points, ROUND, [circle_start], sigma, robust=robust)
    if isinstance(fitted, FitFailed):
        return fitted
    circle = Circle(fitted.shape.cx, fitted.shape.cy, fitted.shape.semi_major)
    return Fitted(
        circle, fitted.covariance, fitted.sigma, fitted.rms, fitted.residuals, fitted.kept
    )


def fit_ellipse(
    points: Points, sigma: float | None = None, *, robust: bool = False, all_round: bool = False
) -> Fitted[Ellipse] | FitFailed:
    """Return the ellipse with the least sum of squared orthogonal distances.

    ``robust`` leaves out points far off the majority's ellipse. ``all_round``: points without noise
    all round an outline have one least sum, and it is looked for from one place only. Refuses too
    few points, points on a line or a parabola, and (with ``sigma``) an arc so short for its noise
    that centre or axes would be known to no better than a fifth of the minor half axis; without
    sigma the covariance is yours to judge. Source: Gander, Golub and Strebel.
    """
    starts = [ellipse_start] if all_round else [ellipse_start, circle_start]
    return _fit(points, ELLIPTIC, starts, sigma, robust=robust)


def fit_circle_like(
    points: Points, shape: Ellipse, sigma: float | None = None, *, robust: bool = False
) -> Fitted[Ellipse] | FitFailed:
    """Return the best ellipse of a given axis ratio and angle: free centre and size.

    This is what a second circle, parallel to the first, looks like in the same picture from a
    camera that is far off. An arc of 60 degrees can carry three numbers; it cannot carry five.
    """
    form = shape_matrix(shape) / sqrt(shape.semi_major * shape.semi_minor)
    upright = np.linalg.inv(form)

    def start(some: Array) -> Outline | None:
        # The linear circle fit, in the frame where the form is round.
        found = circle_start(some @ upright)
        return None if found is None else Outline(form @ found.centre, form @ found.matrix)

    return _fit(points, (form,), [start], sigma, robust=robust)


def _unusable(points: Points, parameters: int, sigma: float | None) -> str:
    if points.ndim != 2 or points.shape[1] != 2:  # noqa: PLR2004 - rows of x, y
        return "points must be rows of x, y"
    if not np.isfinite(points).all():
        return "a point is not finite"
    if sigma is not None and not 0 < sigma < inf:
        return "the uncertainty of a point must be positive"
    # Without a sigma, one point more must tell how well the others fit.
    least = parameters if sigma is not None else parameters + 1
    if len(np.unique(points, axis=0)) < least:
        return f"at least {least} different points are needed"
    return ""


def _fit(
    points: Points, basis: Basis, starts: Sequence[_Start], sigma: float | None, *, robust: bool
) -> Fitted[Ellipse] | FitFailed:
    if problem := _unusable(points, 2 + len(basis), sigma):
        return FitFailed(problem)
    middle = points.mean(axis=0)
    size = sqrt(float(np.mean(np.sum((points - middle) ** 2, axis=1))))
    # Centre and scale first: far from the origin, squares drown the radius.
    local = (points - middle) / size
    across = float(np.linalg.svd(local, compute_uv=False)[1]) / sqrt(len(points))
    rounding = 1e-12 * max(1.0, float(np.abs(middle).max()) / size)
    if across <= rounding:
        return FitFailed("the points lie on a line")
    trials = [trial for start in starts if (trial := start(local)) is not None]
    kept = np.ones(len(points), dtype=bool)
    if robust:
        trials += _random_trials(local, starts[0], 2 + len(basis))
        found, kept = best_trimmed(local, basis, trials, (sigma or 0.0) / size)
    else:
        found = best(local, basis, trials)
    if found is None:
        return FitFailed("the points do not settle on one outline; mark more of it")
    outline = Outline(middle + size * found.centre, size * found.matrix)
    return _judged(points, kept, outline, basis, sigma)


def _random_trials(local: Array, start: _Start, parameters: int) -> list[Outline]:
    """Return starts from random subsets; the same points always give the same subsets."""
    rng = np.random.default_rng(1)
    # One point more than the parameters: exact fits through noisy points are wild.
    count = min(parameters + 1, len(local))
    subsets = (rng.choice(len(local), count, replace=False) for _ in range(_RANDOM_STARTS))
    return [trial for subset in subsets if (trial := start(local[subset])) is not None]


def _judged(
    points: Points, kept: Mask, outline: Outline, basis: Basis, sigma: float | None
) -> Fitted[Ellipse] | FitFailed:
    """Return the fit with its covariance, or why it says too little to be used."""
    residuals, normals, u = distances(points, outline)
    squares = float(np.sum(residuals[kept] ** 2))
    count = int(kept.sum())
    known = sigma if sigma is not None else sqrt(squares / (count - 2 - len(basis)))
    by = slopes(normals, u, basis)[kept]
    try:
        covariance = (known**2 * np.linalg.inv(by.T @ by)).astype(np.float64)
    except np.linalg.LinAlgError:
        return FitFailed("the points do not determine the outline")
    shape = ellipse_of(outline.centre, outline.matrix)
    parts = covariance[:2, :2], covariance[2:, 2:]
    worst = max(float(np.linalg.eigvalsh(part)[-1]) for part in parts)
    if sigma is not None and not worst <= (USELESS * shape.semi_minor) ** 2:
        seen = arc_degrees(points[kept], (shape.cx, shape.cy))
        return FitFailed(f"{seen:.0f} degrees of the outline are too few for points this uncertain")
    return Fitted(shape, covariance, known, sqrt(squares / count), residuals, kept)
