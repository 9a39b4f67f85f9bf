"""What an adjusted face leaves over: how far each point lies off the edge it was found on.

What can be shown of the computation: every point that was used and every one that was left out.
"""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np

from annotate.flat_face.face import adjusted
from annotate.flat_face.face_fit import Array
from annotate.flat_face.two_edges import Edges
from annotate.marks import Points, Rim
from annotate.scale import Scale


class OnEdge(NamedTuple):
    """Points (N, 2) on one edge of a hole, in px, and how far outwards each lies off it (N, 2).

    ``drilled``: the drilled edge, else that of the chamfer in the face. ``left_out`` (M, 2): points
    that were found and not used, for they lie on no circle with the others.
    """

    hole: int
    drilled: bool
    points_px: Points
    off_px: Points
    left_out_px: Points

    def edge_px(self) -> Points:
        """Return the edge itself (N, 2): where each point would be were nothing left over."""
        return np.asarray(self.points_px - self.off_px)


class LeftOver(NamedTuple):
    """Points (N, 2) of a target, in px, and how far off its place each is seen; and the edges.

    ``outline_px`` (4, 2) goes round all places of the target that were used.
    """

    outline_px: Points
    print_px: Points
    print_off_px: Points
    edges: tuple[OnEdge, ...]


def left_over(scale: Scale, edges: Sequence[Rim | Edges]) -> LeftOver:
    """Return what the adjustment of a face leaves over; raises as ``face.measure_holes``."""
    both, _, fit, best = adjusted(scale, edges)
    off = fit.off_px(best)
    found = []
    for ring, here, angles in zip(fit.rings, off, fit.angles, strict=True):
        out = np.stack([np.cos(angles), np.sin(angles)], axis=1)
        hole = both[ring.hole]
        drilled = ring.deep or hole.outer is None
        rim = hole.drilled if drilled or hole.outer is None else hole.outer
        unused = np.array(list(_unused(rim.array_px(), ring.points_px))).reshape(-1, 2)
        found.append(OnEdge(ring.hole, drilled, ring.points_px, here[:, None] * out, unused))
    outline = scale.to_px(_rectangle(fit.seen.places_mm))
    return LeftOver(outline, fit.seen.points_px, fit.off_print_px(best), tuple(found))


def _rectangle(places: Points) -> Points:
    (left, top), (right, bottom) = places.min(axis=0), places.max(axis=0)
    return np.array([[left, top], [right, top], [right, bottom], [left, bottom]])


def _unused(every: Array, used: Array) -> Iterator[Array]:
    kept = {(float(x), float(y)) for x, y in used}
    return (point for point in every if (float(point[0]), float(point[1])) not in kept)
