"""Whether the picture's border cuts a hole off, though a ring was found round the click.

What is left of a hole that the border cuts may hold a smaller ring: its far rim, or an ellipse that
just touches the border. So a ring that touches it is not believed, and round any other near it a
larger one is looked for that holds it and leaves the picture.
"""

from typing import Final, NamedTuple

import numpy as np

from annotate.near_edges.follow import peaks
from annotate.near_edges.many import Frames, edge_strength, laid, outlines
from annotate.pixels.halvings import Pyramid
from annotate.pixels.polar import Array, Frame, Mask, circle

# From own pictures 0-59 and 30000-30059, cut by the border or nearly so, 878 rings found. Of those
# nearer to the border than this, in radii, 23 of 114 were wrong, of all others 41 of 764.
_TOUCHES: Final = 0.03
# Edge along what of a larger ring is in the picture, by how far the border is, in radii: round 27
# of these 41 there was more, and round 16 of 399 right ones that lie clear of the border.
_BORDERED: Final = ((0.1, 0.3, 0.5), (0.59, 0.54, 0.52))
_BESIDE: Final = 1.6  # radii from the border beyond which nothing is looked for
_WORTH_A_LOOK: Final = 0.48  # ... along a rough one: none of those had less
_SEEN: Final = 0.5  # of a larger ring in the picture
_CUT: Final = 0.985  # ... of one that the border cuts
_HOLDS: Final = 0.03  # radii by which it may fail to hold the ring: both are known so well
_REACH: Final = 3.0  # radii that are looked at
_WANTED_PX: Final = 48.0
_PER_PX: Final = 1.2


class _Tried(NamedTuple):
    """Which larger rings are tried: radii (what is nearer may be a chamfer's top), step, angles."""

    radii: Array
    move: float
    angles: int


_ROUGHLY: Final = _Tried(np.arange(1.2, 2.5, 0.03), 0.06, 90)
_FINELY: Final = _Tried(np.arange(1.2, 2.5, 0.015), 0.04, 120)


def may_cut(levels: Pyramid, frame: Frame) -> bool:
    """Return whether a ring may be only a part of a hole that the picture's border cuts off."""
    gap = border_gap(levels, frame)
    if abs(gap) < _TOUCHES or gap > _BESIDE:
        return gap < _BESIDE
    if larger_cut(levels, frame, roughly=True) < _WORTH_A_LOOK:
        return False
    return larger_cut(levels, frame) > float(np.interp(gap, *_BORDERED))


def border_gap(levels: Pyramid, frame: Frame) -> float:
    """Return how far inside the picture an ellipse lies, in its radii; less than 0 if it leaves."""
    height, width = levels.levels[0].shape
    points = outlines(Frames.of([frame]), 180)[0]
    # A pixel reaches half a pixel beyond its centre.
    low, high = points.min(axis=0) + 0.5, np.array([width, height]) - 0.5 - points.max(axis=0)
    return float(min(low.min(), high.min()) / frame.radius_px)


def larger_cut(levels: Pyramid, frame: Frame, *, roughly: bool = False) -> float:
    """Return the most edge, 0 to 1, along what is seen of a larger ring that the border cuts.

    It holds the ring and is a circle of its frame, as a near rim nearly is of its far rim's.
    ``roughly``: ten times faster, and a little less.
    """
    tried = _ROUGHLY if roughly else _FINELY
    step = 1 / (_PER_PX * min(_WANTED_PX, frame.radius_px))
    radii = np.arange(0.6, _REACH, step)
    grid = laid(levels, Frames.of([frame]), radii[None], tried.angles, _WANTED_PX)
    peak = peaks(np.abs(edge_strength(grid))[0])
    edge = peak.copy()  # spread to either side: circles are tried a little apart
    np.maximum(edge[:, 1:], peak[:, :-1], out=edge[:, 1:])
    np.maximum(edge[:, :-1], peak[:, 1:], out=edge[:, :-1])
    # Beyond the last of the radii lies nothing: a circle that goes there is not seen there either.
    seen = np.pad(~np.isnan(grid[0]), ((0, 0), (0, 1)))
    edge = np.pad(edge, ((0, 0), (0, 1))) * seen
    angle, best = np.arange(tried.angles)[None], 0.0
    for radius in tried.radii.tolist():
        moves = _moves(radius, tried)
        moves = moves[_leave(levels, frame, moves, radius)]
        column = np.rint((_reaches(radius, moves, tried.angles) - radii[0]) / step).astype(int)
        column = np.minimum(column, len(radii))
        share = seen[angle, column].mean(axis=1)
        along = edge[angle, column].mean(axis=1) / np.maximum(share, _SEEN)
        best = max(best, float(along[(share > _SEEN) & (share < _CUT)].max(initial=0.0)))
    return best


def _moves(radius: float, tried: _Tried) -> Array:
    """Return the middles (N, 2) of circles of a radius that go round the unit circle."""
    most = radius - 1 + _HOLDS
    axis = np.arange(0, most + tried.move, tried.move)
    axis = np.concatenate([-axis[:0:-1], axis])
    moves = np.stack(np.meshgrid(axis, axis), axis=-1).reshape(-1, 2)
    return np.asarray(moves[np.hypot(moves[:, 0], moves[:, 1]) <= most])


def _leave(levels: Pyramid, frame: Frame, moves: Array, radius: float) -> Mask:
    """Return which circles (N,) of a frame leave the picture: the only ones it can cut."""
    half = radius * np.linalg.norm(frame.matrix, axis=0)
    middle, size = frame.to_px(moves), np.array(levels.levels[0].shape[::-1])
    return np.asarray(np.any((middle < half) | (middle > size - 1 - half), axis=1))


def _reaches(radius: float, moves: Array, angles: int) -> Array:
    """Return how far moved circles (N) reach from the frame's middle, (N, angles), in its radii."""
    along = moves @ circle(angles).T
    sideways = np.sum(moves**2, axis=1)[:, None] - along**2
    return np.asarray(along + np.sqrt(radius**2 - sideways))
