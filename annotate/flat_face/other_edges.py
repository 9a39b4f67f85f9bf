"""Where the other edge of a ring's chamfer would be seen on its face, and whether it is.

A chamfer's lower edge is a smaller circle about the same axis, moved along the line of sight by its
depth times the sight's slope. So from either edge it is known, but for width and depth, where the
other must be. Derivation: written out here; no outside source.
"""

from collections.abc import Iterator
from itertools import takewhile
from typing import Final, NamedTuple

import numpy as np
from msgspec.structs import replace

from annotate.flat_face.ring_votes import (
    ANGLES,
    Array,
    Circle,
    Mask,
    Rays,
    longest_run,
    meets,
    on_circle,
)

INSIDE: Final = -1  # lower edges of a ring that is the edge in the face
OUTSIDE: Final = 1  # edges in the face of a ring that is the lower one
NARROWEST_PX: Final = 1.8  # of a chamfer
_WIDEST: Final = 0.32  # of a chamfer, in radii
_DEPTHS: Final = np.array([0.45, 0.55, 0.65, 0.8, 1.0, 1.2, 1.45, 1.75])  # of one, in its width
_CLEAR_PX: Final = 1.2  # between two edges, for them to be two
# Share of the rays that miss a ring, as they do at the lit part of a dark chamfer, and how many of
# those meet one lower edge there. On 140 faces rendered by ourselves 28 of 330 lone rings were such
# ones, and 11 of those a chamfer's edge in the face.
_MISSED: Final = 0.045
_MET: Final = 0.6
# Rays in a row, of all, with an edge of one circle just outside a ring: on the same pictures five
# more, all of them partly a lower edge, partly one in the face. Farther out run machining marks,
# and the edge of a wide chamfer is found for itself.
_RUN: Final = 0.07
_JUST_PX: Final = 3.0


class Others(NamedTuple):
    """Circles that the other edge of a chamfer of one width (mm) may be of, one for each depth D.

    ``moves``: how far each is seen moved (D, 2) in mm; ``open``: on which rays (D, A) it lies clear
    of the ring, so that it may show; ``met``: on which it does.
    """

    width: float
    moves: Array
    open: Mask
    met: Mask


def other_edges(rays: Rays, ring: Circle, sight: Array, way: int) -> Iterator[Others]:
    """Yield what may be the other edge of a ring's chamfer, by widths: INSIDE or OUTSIDE of it.

    ``sight`` (2,) is how far a place on the face is seen moved for each unit that it lies deeper.
    """
    x, y, radius = ring
    px = rays.mm_per_px
    tolerance = max(0.8 * px, 0.006 * radius)
    for width in np.arange(NARROWEST_PX * px, _WIDEST * radius, 0.35 * px).tolist():
        moves = -way * sight * _DEPTHS[:, None] * width
        at = meets(rays, moves[:, 0] + x, moves[:, 1] + y, radius + way * width)  # (D, A)
        places = at[..., None] * rays.towards
        beyond = way * (np.hypot(places[..., 0] - x, places[..., 1] - y) - radius)
        clear = beyond > _CLEAR_PX * px
        near = np.any(np.abs(rays.radii_mm - at[..., None]) < tolerance, axis=2)
        yield Others(width, moves, clear, clear & near)


def is_torn(rays: Rays, ring: Circle, sight: Array) -> bool:
    """Return whether a lone ring has, on a part of it, a second edge as a chamfer would have it.

    A chamfer as dark as its hole shows where light falls on it only: there the edge leaves the ring
    for a smaller one, or a second edge runs just outside.
    """
    return _is_left(rays, ring, sight) or _has_another_outside(rays, ring, sight)


def _is_left(rays: Rays, ring: Circle, sight: Array) -> bool:
    missed = ~on_circle(rays, ring)
    count = int(missed.sum())
    return count > _MISSED * ANGLES and any(
        int(np.sum(other.met & missed, axis=1).max()) > _MET * count
        for other in other_edges(rays, ring, sight, INSIDE)
    )


def _has_another_outside(rays: Rays, ring: Circle, sight: Array) -> bool:
    px = rays.mm_per_px
    at = meets(rays, np.array([ring[0]]), np.array([ring[1]]), ring[2])[0]
    # The ring's own edges are none beside it.
    clear = np.where(rays.radii_mm - at[:, None] > _CLEAR_PX * px, rays.radii_mm, np.nan)
    others = other_edges(replace(rays, radii_mm=clear), ring, sight, OUTSIDE)
    narrow = takewhile(lambda other: other.width < _JUST_PX * px, others)
    return any(longest_run(other.met) > _RUN * ANGLES for other in narrow)
