"""Least squares of orthogonal distances to a closed outline: the kernel under ``fit``.

An outline is ``centre + S u`` for unit vectors ``u``, with a symmetric positive definite
``S = sum w_k B_k``: round (B = identity), elliptic (three B), or of one given form. It is linear
in centre and w, and unlike half axes with an angle it keeps its footing when an ellipse becomes
a circle. Since a distance is stationary in its foot point, its slopes are exact in one line.

Works in the caller's frame: centre and scale the points first.
"""

from collections.abc import Sequence
from math import inf, sqrt

import numpy as np
import numpy.typing as npt
from msgspec import Struct

Array = npt.NDArray[np.float64]
Mask = npt.NDArray[np.bool_]
Basis = Sequence[Array]

ROUND: Basis = (np.eye(2),)
ELLIPTIC: Basis = (np.diag([1.0, 0.0]), np.array([[0.0, 1.0], [1.0, 0.0]]), np.diag([0.0, 1.0]))

_STEPS = 200
_SAME = 1e-6  # in units of the points' spread: nearer to a least sum of squares leads to it
_STILL = 1e-13  # a step this small, in units of the points' spread, ends the descent
_EPS = float(np.finfo(float).eps)
_EPSILONS = 8.0  # of rounding in one distance: a few operations
_STUCK = 1e12
_FOOT_STEPS = 60
_LARGEST = 1e4  # half axes beyond this many times the points' spread: a line or a parabola
_FLATTEST = 1e-6
_MAD_TO_SIGMA = 1.4826  # of a normal distribution
_CUT = 3.0
_TRIMMINGS = 30
_REFITTED = 8  # the trial from a few noisy points that looks best need not lead to the best


class Outline(Struct, frozen=True, eq=False):
    """A trial outline: its centre (2,), and S (2, 2)."""

    centre: Array
    matrix: Array


def distances(points: Array, outline: Outline) -> tuple[Array, Array, Array]:
    """Return signed distances (outside positive), unit normals and ``u`` at the foot points."""
    local = points - outline.centre
    halves, axes = np.linalg.eigh(outline.matrix)
    u = _feet(local @ axes, halves) @ axes.T
    normals = u @ np.linalg.inv(outline.matrix)
    normals /= np.linalg.norm(normals, axis=1, keepdims=True)
    return np.sum(normals * (local - u @ outline.matrix), axis=1), normals, u


def slopes(normals: Array, u: Array, basis: Basis) -> Array:
    """Return the derivatives (N, 2 + K) of the distances by centre and weights."""
    by_weight = [-np.sum(normals * (u @ b), axis=1) for b in basis]
    return np.column_stack([-normals, *by_weight])


def best(points: Array, basis: Basis, starts: Sequence[Outline]) -> Outline | None:
    """Return the outline of least squares over all starts, or None if none settles."""
    settled: list[Outline] = []
    for start in starts:
        found = _descend(points, basis, start, settled)
        settled += [] if found is None else [found]
    return min(settled, key=lambda o: float(np.sum(distances(points, o)[0] ** 2)), default=None)


def best_trimmed(
    points: Array, basis: Basis, starts: Sequence[Outline], sigma: float
) -> tuple[Outline | None, Mask]:
    """Return the outline of the majority of the points and the mask of those kept.

    The trials with the least median distance (least median of squares, Rousseeuw, JASA 79 (1984)
    871-880) are refitted without what is farther off than 3 standard deviations until the same
    points stay; the least median then decides. ``sigma`` (0: unknown) is the least deviation
    believed.
    """
    medians = [float(np.median(_radial_distances(points, trial))) for trial in starts]
    promising = [starts[k] for k in np.argsort(medians)[:_REFITTED]]
    trimmed = [_trimmed(points, basis, trial, sigma) for trial in promising]
    settled = [(found, kept) for found, kept in trimmed if found is not None]
    if not settled:
        everything = np.ones(len(points), dtype=bool)
        return best(points, basis, starts[:1]), everything
    return min(settled, key=lambda pair: float(np.median(np.abs(distances(points, pair[0])[0]))))


def _trimmed(
    points: Array, basis: Basis, start: Outline, sigma: float
) -> tuple[Outline | None, Mask]:
    found: Outline | None = start
    kept = np.zeros(len(points), dtype=bool)
    for _ in range(_TRIMMINGS):
        if found is None:
            break
        off = np.abs(distances(points, found)[0])
        deviation = max(sigma, _MAD_TO_SIGMA * float(np.median(off)), 1e-12)
        keep = off <= _CUT * deviation
        # One more than the parameters must stay, or the fit would judge itself.
        if keep.sum() < 2 + len(basis) + 1:
            return None, keep
        if (keep == kept).all():
            break
        found, kept = _descend(points[keep], basis, found), keep
    return found, kept


def _descend(
    points: Array, basis: Basis, start: Outline, known: Sequence[Outline] = ()
) -> Outline | None:
    """Return the local least-squares outline (Levenberg-Marquardt), None if it runs away.

    One that comes to a known outline is not followed to its end, but is that one.
    """
    outline, damping = _in_basis(start, basis), 1e-3
    off, normals, u = distances(points, outline)
    cost = float(off @ off)
    for _ in range(_STEPS):
        by = slopes(normals, u, basis)
        normal = by.T @ by
        damped = normal + damping * np.diag(np.diag(normal))
        step: Array = -np.linalg.lstsq(damped, by.T @ off, rcond=None)[0].astype(np.float64)
        trial = _moved(outline, step, basis)
        trial_cost = inf
        if _is_sound(trial):
            trial_off, trial_normals, trial_u = distances(points, trial)
            trial_cost = float(trial_off @ trial_off)
        if trial_cost <= cost:
            small = float(np.abs(step).max()) < _STILL * max(1.0, float(outline.matrix.max()))
            outline, off, normals, u, cost = trial, trial_off, trial_normals, trial_u, trial_cost
            damping = max(damping / 10, 1e-15)
            if small:
                return outline
            same = [one for one in known if _apart(one, outline) < _SAME]
            if same:
                return same[0]
        else:
            damping *= 10
            # Where no more is promised than a sum of squares rounds off, there is no way down.
            if damping > _STUCK or abs(step @ (by.T @ off)) < _EPSILONS * _EPS * cost:
                break
    largest = float(np.abs(points).max())
    return outline if _is_level(slopes(normals, u, basis), off, largest) else None


def _apart(one: Outline, other: Outline) -> float:
    return float(
        max(np.abs(one.centre - other.centre).max(), np.abs(one.matrix - other.matrix).max())
    )


def _is_level(by: Array, off: Array, largest: float) -> bool:
    """Tell whether the slope is nothing: the distances stand square on every derivative.

    Distances of points that lie on the outline are no more than what rounding leaves of
    coordinates as large as ``largest``, and may stand as they like.
    """
    pull = np.abs(by.T @ off)
    rounding = _EPSILONS * _EPS * largest * np.sqrt(len(off))
    allowed = np.linalg.norm(by, axis=0) * (1e-6 * np.linalg.norm(off) + rounding)
    return bool((pull <= allowed).all())


def _is_sound(outline: Outline) -> bool:
    halves = np.linalg.eigvalsh(outline.matrix)
    return bool(halves[0] > _FLATTEST * halves[1] and halves[1] < _LARGEST)


def _in_basis(start: Outline, basis: Basis) -> Outline:
    columns = np.column_stack([b.ravel() for b in basis])
    weights = np.linalg.lstsq(columns, start.matrix.ravel(), rcond=None)[0]
    return Outline(start.centre, (columns @ weights).reshape(2, 2))


def _moved(outline: Outline, step: Array, basis: Basis) -> Outline:
    matrix = outline.matrix + sum(
        (s * b for s, b in zip(step[2:], basis, strict=True)), np.zeros((2, 2))
    )
    return Outline(outline.centre + step[:2], matrix)


def _radial_distances(points: Array, outline: Outline) -> Array:
    local = points - outline.centre
    reach = np.linalg.norm(local @ np.linalg.inv(outline.matrix), axis=1)
    nonzero = np.maximum(reach, 1e-12)
    result: Array = np.abs(np.linalg.norm(local, axis=1) * (1 - 1 / nonzero))
    return result


def _feet(local: Array, halves: Array) -> Array:
    """Return u (N, 2) of the nearest points on an axis-parallel ellipse of these half axes.

    The multiplier t solves sum (e y / (t + e^2))^2 = 1. Its left side is convex and falls, so
    Newton from anywhere lands left of the root, and from there cannot overshoot (Eberly, Distance
    from a point to an ellipse, 2013). Begun at 0, where a point on the outline has its root.
    """
    # A point exactly on an axis would hide one of the two feet behind 0/0.
    y = np.maximum(np.abs(local), 1e-13 * halves)
    least = np.max(halves * y - halves**2, axis=1)
    t = np.zeros(len(y))
    for _ in range(_FOOT_STEPS):
        far = t[:, None] + halves**2
        square = (halves * y / far) ** 2
        step = (square.sum(axis=1) - 1) / (2 * (square / far).sum(axis=1))
        further = np.maximum(t + step, least)
        still = np.abs(further - t) <= 1e-14 * (np.abs(t) + halves[1] ** 2)
        t = further
        if still.all():
            break
    u = halves * y / (t[:, None] + halves**2)
    result: Array = np.copysign(u / np.linalg.norm(u, axis=1, keepdims=True), local)
    return result


def circle_start(points: Array) -> Outline | None:
    """Return the algebraic circle (Kasa's linear fit): a start, and on short arcs no more."""
    design = np.column_stack([2 * points, np.ones(len(points))])
    solution, _, rank, _ = np.linalg.lstsq(design, np.sum(points**2, axis=1), rcond=None)
    square = solution[2] + solution[0] ** 2 + solution[1] ** 2
    if rank < design.shape[1] or square <= 0:
        return None
    return Outline(solution[:2], sqrt(square) * np.eye(2))


def ellipse_start(points: Array) -> Outline | None:
    """Return the direct ellipse (Halir and Flusser, WSCG 1998): a start, biased on short arcs."""
    x, y = points.T
    quadratic = np.column_stack([x * x, x * y, y * y])
    linear = np.column_stack([x, y, np.ones(len(x))])
    try:
        back = -np.linalg.solve(linear.T @ linear, linear.T @ quadratic)
        reduced = quadratic.T @ quadratic + quadratic.T @ linear @ back
        constrained = np.array([reduced[2] / 2, -reduced[1], reduced[0] / 2])
        vectors = np.real(np.linalg.eig(constrained)[1])
    except np.linalg.LinAlgError:
        return None
    elliptic = 4 * vectors[0] * vectors[2] - vectors[1] ** 2 > 0
    if not elliptic.any():
        return None
    conic = vectors[:, elliptic][:, 0]
    return _conic_outline(conic, back @ conic)


def _conic_outline(quadratic: Array, linear: Array) -> Outline | None:
    """Return the outline of a x^2 + b xy + c y^2 + d x + e y + f = 0, None if it is no ellipse."""
    a, b, c = quadratic
    form = np.array([[a, b / 2], [b / 2, c]])
    try:
        centre = -np.linalg.solve(form, linear[:2]) / 2
    except np.linalg.LinAlgError:
        return None  # a parabola, or all of the plane
    level = centre @ form @ centre - linear[2]
    values, axes = np.linalg.eigh(form / level)
    if not (np.isfinite(values).all() and values[0] > 0):
        return None
    return Outline(centre, axes @ np.diag(1 / np.sqrt(values)) @ axes.T)
