"""Handles: which points of a mark can be taken hold of, and what moving one does to the mark.

A mark of few points has a handle at each. A found rim of a hundred points gets eight, evenly
along its edge, one seen in part five. Moving one carries the points between it and its two
neighbours along, by cos^2(pi/2 s) with s the part of the way to the neighbour: all of the move at
the handle, none of it at the neighbours, and no kink at either end. The way is counted in points,
not in pixels, so that a stray point far off the edge neither draws a handle nor bends the way.
"""

from typing import TypeAlias

import numpy as np
import numpy.typing as npt
from msgspec import Struct
from msgspec.structs import replace

from annotate.marks import (
    Angle,
    Area,
    Diameter,
    Distance,
    FarOutline,
    KnownCircle,
    KnownDistance,
    Layer,
    Mark,
    Note,
    PixelPair,
    Point,
    Points,
    Rim,
)

# A point set by hand lands about this far off the edge (common practice, no source). A found rim
# that a hand has moved is no better known than that, whatever the search said of it.
HAND_SIGMA_PX = 1.0
FEW_POINTS = 12  # so many can each have a handle without crowding
RIM_HANDLES = 8
ARC_HANDLES = 5  # of a rim that is seen in part
_OPEN = 4.0  # a gap this many times the usual one, and of no less than _OPEN_DEG, opens the ring
_OPEN_DEG = 20.0

_Index: TypeAlias = npt.NDArray[np.intp]


class Ring(Struct, frozen=True, eq=False):
    """Points in their order round their middle; ``closed`` if no gap parts the last from the first.

    An open ring starts after its gap, so that its ends are the first and last of the order.
    """

    order: _Index
    closed: bool


def ring_of(points: Points) -> Ring:
    """Return the order of points (N, 2) along a round edge or a piece of one."""
    out = points - points.mean(axis=0)
    # Seen from its own middle an arc still turns one way, however short it is.
    angle = np.arctan2(out[:, 1], out[:, 0])
    order = np.argsort(angle)
    gaps = np.diff(angle[order], append=angle[order[0]] + 2 * np.pi)
    widest = int(np.argmax(gaps))
    wide = np.degrees(gaps[widest]) > _OPEN_DEG and gaps[widest] > _OPEN * np.median(gaps)
    return Ring(np.roll(order, -(widest + 1)) if wide else order, closed=not wide)


def rim_handles(rim: Rim) -> tuple[int, ...]:
    """Return the numbers of the rim's points that carry a handle, in order along the edge."""
    count = len(rim.points_px)
    if count == 0:
        return ()
    ring = ring_of(rim.array_px())
    if count <= FEW_POINTS:
        return tuple(int(k) for k in ring.order)
    if ring.closed:
        wanted = np.linspace(0, count, RIM_HANDLES + 1)[:-1]
    else:
        wanted = np.linspace(0, count - 1, ARC_HANDLES)  # both ends carry one
    return tuple(int(ring.order[int(k)]) for k in wanted)


def bent(rim: Rim, handles: tuple[int, ...], handle: int, by: PixelPair) -> Rim:
    """Return the rim with one handle moved by (x, y) px and the points round it carried along.

    The whole rim counts as placed by hand from then on, and its points as no better known than
    those a hand sets.
    """
    points = rim.array_px()
    moved = points + _carried(points, handles, handle)[:, None] * np.asarray(by)
    return Rim(
        which=rim.which,
        points_px=tuple((float(x), float(y)) for x, y in moved),
        sigma_px=max(rim.sigma_px, HAND_SIGMA_PX),
    )


def handle_points(mark: Mark) -> tuple[PixelPair, ...]:
    """Return the points of a mark that can be taken hold of; a rim's are chosen by rim_handles.

    A marker or chessboard has none: its corners were found, and moving one would bend the ruler.
    """
    match mark:
        case KnownDistance() | Distance():
            points: tuple[Point, ...] = (mark.a, mark.b)
        case Angle():
            points = (mark.a, mark.vertex, mark.b)
        case Note():
            points = (mark.at,)
        case KnownCircle() | Diameter():
            return mark.points_px
        case Area() | FarOutline():
            return mark.corners_px
        case Rim():
            return tuple(mark.points_px[k] for k in rim_handles(mark))
        case _:
            points = ()
    return tuple((p.x_px, p.y_px) for p in points)


def moved(mark: Mark, handle: int, to: PixelPair) -> Mark:
    """Return a mark other than a rim with one of its handles at another place.

    Raises BadMark where that makes it a mark that cannot exist.
    """
    point = Point(*to)
    match mark:
        case KnownDistance() | Distance():
            return replace(mark, **{("a", "b")[handle]: point})
        case Angle():
            return replace(mark, **{("a", "vertex", "b")[handle]: point})
        case Note():
            return replace(mark, at=point)
        case KnownCircle() | Diameter():
            return replace(mark, points_px=_with(mark.points_px, handle, to))
        case Area() | FarOutline():
            return replace(mark, corners_px=_with(mark.corners_px, handle, to))
        case _:
            return mark


def inside(layer: Layer, at: PixelPair) -> PixelPair:
    """Return the place nearest to ``at`` that lies in the picture."""
    x = min(max(at[0], -0.5), layer.width_px - 0.5)
    return x, min(max(at[1], -0.5), layer.height_px - 0.5)


def _with(points: tuple[PixelPair, ...], k: int, to: PixelPair) -> tuple[PixelPair, ...]:
    return (*points[:k], to, *points[k + 1 :])


def _carried(points: Points, handles: tuple[int, ...], handle: int) -> npt.NDArray[np.float64]:
    """Return the part (N,) of a handle's move that each point makes with it."""
    ring, count = ring_of(points), len(points)
    rank = np.empty(count)
    rank[ring.order] = np.arange(count)
    to = rank - rank[handles[handle]]
    if ring.closed:
        to = (to + count / 2) % count - count / 2
    others = np.delete(to[list(handles)], handle)
    ahead, behind = others[others > 0], others[others < 0]
    forward = float(ahead.min()) if len(ahead) else np.inf
    backward = float(-behind.max()) if len(behind) else np.inf
    share = np.where(to >= 0, to / forward, -to / backward)
    part: npt.NDArray[np.float64] = np.cos(np.pi / 2 * np.clip(share, 0.0, 1.0)) ** 2
    part[handles[handle]] = 1.0
    # A point that shares its handle's place must not part from it; one at a neighbour must stay.
    part[[h for k, h in enumerate(handles) if k != handle]] = 0.0
    return part
