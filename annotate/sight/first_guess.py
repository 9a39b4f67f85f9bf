"""Where to begin looking for the holes of a sighting: both tilts that the near rim allows."""

from math import log, radians

import numpy as np

from annotate import holes
from annotate.holes import INDEX, Array
from annotate.sight.sighting import Sighting

_SIZES = 3.0  # a first guess of the far radius beyond this factor is no guess


def starts(sighting: Sighting) -> Array:
    """Return states to start from (K, P) as q: both tilts the near rim allows, bore directions."""
    s, e = sighting, sighting.near_ellipse
    flattening = min(max(1 - (e.semi_minor / e.semi_major) ** 2, 0.0), 0.5) ** 0.5
    across = radians(e.angle_deg + 90)
    turns = [0.0] if s.turn_known else [0.0, np.pi / 4, np.pi / 2, -np.pi / 4]
    found = []
    for side in (1, -1):
        for turn in turns:
            for outward in _outward(s):
                state = s.mean.copy()
                state[INDEX["tilt_x"]] = side * flattening * np.cos(across)
                state[INDEX["tilt_y"]] = side * flattening * np.sin(across)
                state[INDEX["bore_turn"]] = turn
                found.append(_with_far(s, state, outward))
    return np.asarray((np.array(found) - s.mean) / s.deviation)


def _outward(s: Sighting) -> list[Array]:
    """Return directions in the picture in which the far hole may lie seen from its arc."""
    points = s.points[1]
    if len(points) == 0:
        return [np.zeros(2)]
    chord = points[-1] - points[0]
    if s.near.seed is not None:
        inside = np.array([s.near.seed.x_px, s.near.seed.y_px]) - points.mean(axis=0)
        return [inside / max(float(np.linalg.norm(inside)), 1e-9)]
    normal = np.array([-chord[1], chord[0]]) / max(float(np.linalg.norm(chord)), 1e-9)
    return [normal, -normal]


def _with_far(s: Sighting, state: Array, outward: Array) -> Array:
    """Return ``state`` with the far hole where its arc puts it, for this tilt."""
    if len(s.far.points_px) == 0:
        return state
    sets = state[None]
    where = holes.pose(sets, s.camera)
    x, y = holes.carry_back(sets, where, s.camera, s.points[1], holes.depths(sets)[1])
    points = np.nan_to_num(np.stack([x[0], y[0]], axis=1))
    middle, towards = points.mean(axis=0), outward * np.array([1.0, -1.0])
    radius = float(np.exp(state[INDEX["ln_far"]]))
    centre, r = _algebraic_circle(points, radius)
    if s.givens.far_diameter is not None or not 1 / _SIZES < r / radius < _SIZES:
        centre, r = middle + towards * radius, radius
    elif np.dot(centre - middle, towards) < 0 and len(_outward(s)) > 1:
        centre = 2 * middle - centre
    out = state.copy()
    out[INDEX["far_x"]], out[INDEX["far_y"]] = centre
    out[INDEX["ln_far"]] = log(r)
    return out


def _algebraic_circle(points: Array, fallback: float) -> tuple[Array, float]:
    """Return a rough centre and radius (a start only: algebraic fits are biased on short arcs)."""
    middle = points.mean(axis=0)
    local = points - middle
    columns = np.column_stack([2 * local, np.ones(len(local))])
    answer, _, rank, _ = np.linalg.lstsq(columns, np.sum(local**2, axis=1), rcond=1e-9)
    squared = answer[2] + answer[0] ** 2 + answer[1] ** 2
    if rank < columns.shape[1] or squared <= 0:
        return middle, fallback * 100
    return middle + answer[:2], float(np.sqrt(squared))
