"""Many points on a rim -> fewer that say the same of it.

Neighbours a few pixels apart have the same curve of the rim between them and tell the same thing:
a run of them is one point with a smaller error. The mean is taken as direction and distance
from the middle of a circle through them, for the mean of x and y would cut a curved rim's corner.
"""

import numpy as np

from annotate.holes import Array

# Errors of a rim reach over 0.6 of its radius (``rim_noise``). Of 36 points round it three lie that
# near to each other: more would tell the same again, and take their time.
MOST = {"near": 36, "far": 24, "back": 18}


def condensed(points_px: Array, most: int) -> tuple[Array, Array]:
    """Return at most ``most`` points (N, 2) in the order along the rim, and counts (N,).

    Each is the mean of as many neighbours as its count says; few points come back as they are.
    """
    if len(points_px) <= most:
        return points_px, np.ones(len(points_px))
    middle = _middle_of_circle(points_px)
    away = points_px - middle
    angle, reach = np.arctan2(away[:, 1], away[:, 0]), np.hypot(away[:, 0], away[:, 1])
    # Begun after the widest gap, so that no run goes over it.
    order = np.argsort(angle)
    gaps = np.diff(angle[order], append=angle[order[0]] + 2 * np.pi)
    order = np.roll(order, -int(np.argmax(gaps)) - 1)
    turn, reach = np.unwrap(angle[order]), reach[order]
    runs = np.array_split(np.arange(len(turn)), most)
    at = np.array([turn[run].mean() for run in runs])
    distance = np.array([reach[run].mean() for run in runs])
    out = np.stack([distance * np.cos(at), distance * np.sin(at)], axis=1)
    return out + middle, np.array([float(len(run)) for run in runs])


def _middle_of_circle(points_px: Array) -> Array:
    """Return the middle of the algebraic circle through points: on the hollow side of any arc."""
    mean = points_px.mean(axis=0)
    local = points_px - mean
    columns = np.column_stack([2 * local, np.ones(len(local))])
    answer, *_ = np.linalg.lstsq(columns, np.sum(local**2, axis=1), rcond=1e-9)
    return np.asarray(mean + answer[:2])
