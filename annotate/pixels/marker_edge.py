"""Sub-pixel corners of a printed marker, from its edges.

A detector's marker corners are those of a traced contour on gamma-coded grey, where blur makes a
black square shrink, an over-exposed white more so. Here the four edges are located at the
half-way level in linear light and the corners are where lines through them meet. What bloom is
left shows inside the marker: white modules have grown by as much as the square has shrunk, and
the corners are put back by that.
"""

import numpy as np
import numpy.typing as npt

from annotate.marks import Points
from annotate.optics.homography import homography, mapped
from annotate.pixels.half_light import Light, half_way, offsets, profiles, sampled

Array = npt.NDArray[np.float64]
_Line = tuple[Array, Array]  # a point on it and its unit normal, outward

_PROFILES = 60  # per edge
_SKIPPED_ENDS = 0.08  # of an edge: rounded corners and the neighbouring edge's blur
_ROUNDS = 3


def refined_corners(light: Light, corners: Points, modules: int) -> Points:
    """Return a marker's corners located on its edges; ``corners`` themselves where it cannot.

    ``light`` is the picture in linear light; ``modules`` how many modules the black square is
    wide, its border included. Order kept.
    """
    current, lines = corners, list[_Line]()
    for _ in range(_ROUNDS):
        found = _square_lines(light, current, modules)
        if found is None:
            return corners
        lines, current = found, _corners_of(found)
        side = float(np.linalg.norm(corners[1] - corners[0]))
        if not np.all(np.linalg.norm(current - corners, axis=1) < side / modules):
            return corners
    bloom = _bloom_px(light, current, modules)
    return _corners_of([(at + bloom * normal, normal) for at, normal in lines])


def _square_lines(light: Light, corners: Points, modules: int) -> list[_Line] | None:
    middle = corners.mean(axis=0)
    lines = []
    for start, end in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        length = float(np.linalg.norm(end - start))
        outward = _left_of(end - start)
        outward = outward if outward @ (start - middle) > 0 else -outward
        # The black border is one module wide, the white round it at least as wide.
        span = np.linspace(_SKIPPED_ENDS, 1 - _SKIPPED_ENDS, _PROFILES)[:, None]
        places = start + span * (end - start)
        steps = _offsets(length / modules)
        crossing = _rise(light, places, outward, steps)
        seen = np.isfinite(crossing)
        if seen.sum() < _PROFILES / 2:
            return None
        at, normal = _majority_line(places[seen] + crossing[seen, None] * outward)
        lines.append((at, normal if normal @ outward > 0 else -normal))
    return lines


def _corners_of(lines: list[_Line]) -> Points:
    return np.array([_meeting(lines[k - 1], lines[k]) for k in range(4)])


def _bloom_px(light: Light, corners: Points, modules: int) -> float:
    """Return by how many pixels white has grown over black, from the edges inside the marker.

    With bloom d the square found is 2d too small. An inner edge at module k of n, white on its
    low side (p = 1) or its high side (p = -1), then shows d (p - 1 + 2k/n) off its place there.
    """
    frame = homography(_unit_corners(modules), corners)
    centres = np.arange(modules) + 0.5
    grid = np.stack(np.meshgrid(centres, centres), axis=-1).reshape(-1, 2)
    brightness = sampled(light, mapped(frame, grid)).reshape(modules, modules)
    contrast = float(brightness.max() - brightness.min())
    shown, told = [], []
    for axis in (0, 1):  # edges met going right, then going down
        rows = brightness if axis == 0 else brightness.T
        for (line, k), step in np.ndenumerate(np.diff(rows, axis=1)):
            if abs(step) > contrast / 2:
                off = _inner_offset(light, frame, (axis, int(k) + 1, int(line)), bool(step < 0))
                shown.append(off)
                told.append((1 if step < 0 else -1) - 1 + 2 * (int(k) + 1) / modules)
    observed, factor = np.array(shown), np.array(told)
    seen = np.isfinite(observed) & (np.abs(factor) > 0.3)  # noqa: PLR2004 - hardly tells
    if seen.sum() < 4:  # noqa: PLR2004 - one speck must not decide
        return 0.0
    return float(np.median(observed[seen] / factor[seen]))


def _inner_offset(light: Light, frame: Array, edge: tuple[int, int, int], falling: bool) -> float:
    """Return how far (px, towards rising module numbers) an inner edge lies off its place."""
    axis, k, line = edge
    across = np.linspace(line + 0.2, line + 0.8, 9)
    here, beyond = (np.column_stack([np.full(9, k + more), across]) for more in (0.0, 0.5))
    places = mapped(frame, here if axis == 0 else here[:, ::-1])
    ahead = mapped(frame, beyond if axis == 0 else beyond[:, ::-1])
    normal = _left_of(places[-1] - places[0])
    module = 2 * float(np.linalg.norm(ahead[4] - places[4]))
    # Towards the white side, so that one routine finds the rise.
    sense = 1.0 if normal @ (ahead[4] - places[4]) > 0 else -1.0
    to_white = normal * (-sense if falling else sense)
    steps = _offsets(module)
    crossing = _rise(light, places, to_white, steps)
    found = float(np.median(crossing))
    return -found if falling else found


def _unit_corners(size: float) -> Points:
    return np.array([[0.0, 0.0], [size, 0.0], [size, size], [0.0, size]])


def _left_of(along: Array) -> Array:
    normal: Array = np.array([along[1], -along[0]]) / np.linalg.norm(along)
    return normal


def _offsets(module_px: float) -> Array:
    return offsets(float(np.clip(0.7 * module_px, 2.0, 8.0)))


def _rise(light: Light, places: Points, direction: Array, steps: Array) -> Array:
    """Return where black turns to white along a direction, NaN where it does not."""
    crossing, contrast = half_way(profiles(light, places, direction, steps), steps)
    crossing[contrast <= 0] = np.nan
    return crossing


def _majority_line(points: Points) -> _Line:
    kept = points
    for _ in range(5):
        centre = kept.mean(axis=0)
        normal = np.linalg.svd(kept - centre, full_matrices=False)[2][1]
        off = np.abs((points - centre) @ normal)
        kept = points[off <= 3 * max(1.4826 * float(np.median(off)), 0.02)]
    return centre, normal.astype(np.float64)


def _meeting(one: _Line, other: _Line) -> Array:
    normals = np.array([one[1], other[1]])
    meeting: Array = np.linalg.solve(normals, [one[1] @ one[0], other[1] @ other[0]])
    return meeting
