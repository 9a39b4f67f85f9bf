"""Many points on a rim -> fewer that say the same of it.

Neighbours a few pixels apart have the same curve of the rim between them and tell the same thing:
a run of them is one point with a smaller error. The mean is taken round the middle of the near
hole, as direction and distance, for the mean of x and y would cut the corner of a curved rim.
"""

import numpy as np

from annotate.holes import Array

MOST = {"near": 48, "far": 30, "back": 24}


def condensed(points_px: Array, about_px: tuple[float, float], most: int) -> tuple[Array, Array]:
    """Return at most ``most`` points (N, 2) in the order round ``about_px``, and counts (N,).

    Each is the mean of as many neighbours as its count says; few points come back as they are.
    """
    if len(points_px) <= most:
        return points_px, np.ones(len(points_px))
    away = points_px - np.asarray(about_px)
    angle, reach = np.arctan2(away[:, 1], away[:, 0]), np.hypot(away[:, 0], away[:, 1])
    # Begun after the widest gap, so that no run goes over it.
    order = np.argsort(angle)
    gaps = np.diff(angle[order], append=angle[order[0]] + 2 * np.pi)
    order = np.roll(order, -int(np.argmax(gaps)) - 1)
    turn, reach = np.unwrap(angle[order]), reach[order]
    runs = np.array_split(np.arange(len(turn)), most)
    middle = np.array([turn[run].mean() for run in runs])
    distance = np.array([reach[run].mean() for run in runs])
    out = np.stack([distance * np.cos(middle), distance * np.sin(middle)], axis=1)
    return out + np.asarray(about_px), np.array([float(len(run)) for run in runs])
