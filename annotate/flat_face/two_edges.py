"""The drilled edge of a hole in a flat face, and the edge of its chamfer: two rings about one axis.

Where a target shows how the face lies, it is known where on the face the camera looks from: the
lower edge of a chamfer is a smaller circle about the same axis, seen moved along the line of sight
by its depth times the sight's slope. The bottom of a hole, a shadow or a drill mark lies deeper and
is seen moved farther. All edges along rays from the middle vote for the circle they may be of; a
pair of circles that both have enough votes, one where the other's lower edge must be, is a
chamfer, and the smaller one is the drilled edge. Derivation: written out here; no outside source.
"""

from typing import Final, NamedTuple

import numpy as np
from msgspec import Struct

from annotate.errors import CannotMeasure
from annotate.fit import FitFailed, fit_circle
from annotate.flat_face.other_edges import INSIDE, NARROWEST_PX, is_torn, other_edges
from annotate.flat_face.ring_votes import (
    ANGLES,
    Array,
    Circle,
    Rays,
    Voted,
    circles,
    edges_on,
    rays_from,
    share_on,
    share_rising,
)
from annotate.marks import Points, Rim
from annotate.pixels.half_light import Picture, refine_rim
from annotate.scale import Scale

_OUTER_VOTES: Final = 0.33  # of the rays on which a circle must show
_INNER_VOTES: Final = 0.36  # of what the face leaves to be seen of a lower edge
_SHOWN: Final = 0.45  # of the rays on which a lower edge may be seen
_GAIN: Final = 0.25  # votes that a second circle must add
_CANDIDATES: Final = 14
_HINT: Final = 0.2  # of what would show of a lower edge: less is chance
_HINT_PX: Final = 2.5  # nearer the rim its own blur gives such hints
# Of the rays, on which an edge is found that shows all round. On pictures rendered by ourselves one
# chamfer in the dark of seven showed its edge in the face on more of them.
_WHOLE: Final = 0.85
# Less than so much of a circle may be the hole's bottom, or a shadow, as well as its edge: on
# pictures rendered by ourselves of four so short three were.
_HALF: Final = 0.6
# Less of a lower edge leaves its size open against its depth, and the line where a shadow ends in
# a lit hole passes for it: on 140 faces rendered by ourselves 16 of 57 such diameters were farther
# off than they may be, of those of which more shows 7 of 59.
_LOWER_HALF: Final = 0.55
# A chamfer is lighter than the hole below it: on .86 of a lower edge or more on all pictures
# rendered by ourselves, round the bottom of a hole nowhere.
_DARKER: Final = 0.5
_FEWEST: Final = 24  # points of an edge
_FAINT: Final = 0.4  # of a rim's strongest contrast


class Edges(Struct, frozen=True):
    """The drilled edge, and the chamfer's edge in the face if there is one.

    ``partly``: so little of the drilled edge shows that its size stays open. Of a chamfer's lower
    edge hardly half, or the one edge found on a part of its circle only, and nobody said that the
    hole is plain: where light comes from a side, the rest may be a lit wall, or a chamfer whose
    drilled edge lies in the dark.
    """

    drilled: Rim
    outer: Rim | None = None
    partly: bool = False


class _Lower(NamedTuple):
    """A lower edge, the share of all rays that are on it, and of those on which it can show."""

    circle: Circle
    votes: float
    cover: float


def both_edges(picture: Picture, scale: Scale, rim: Rim, *, plain: bool = False) -> Edges:
    """Return the edges of the hole that a found rim is of, refined in linear light.

    ``rim`` may run along either edge of a chamfer, or partly along each; a hole known to be
    ``plain`` has none. Raises CannotMeasure where the drilled edge below a chamfer is hardly to be
    seen, or hardly more than half of any edge, or where it may be the hole's lit bottom.
    """
    start = fit_circle(scale.to_mm(rim.array_px()))
    if isinstance(start, FitFailed):
        return Edges(refine_rim(picture, rim, faint=_FAINT))
    middle, radius = np.array([start.shape.cx, start.shape.cy]), start.shape.radius
    rays = rays_from(picture, scale, middle, radius)
    foot, height = scale.camera_over()
    sight = None if plain else (foot - middle) / height
    ring, lower = _pair(rays, radius, sight)

    def placed(places: Points, reach_px: float) -> Rim:
        there = _rim(rim, scale.to_px(middle + places))
        return refine_rim(picture, there, reach_px=reach_px, faint=_FAINT)

    if ring is not None and lower is not None:
        # Farther across lies the other edge.
        reach = 0.5 * (ring.circle[2] - lower.circle[2]) / rays.mm_per_px
        clear = NARROWEST_PX * rays.mm_per_px
        drilled = placed(_within(edges_on(rays, lower.circle), ring.circle, clear), reach)
        outer = placed(_off(edges_on(rays, ring.circle), lower.circle, clear), reach)
        return Edges(drilled, outer, partly=len(drilled.points_px) < _LOWER_HALF * ANGLES)
    if ring is not None and ring.votes < _HALF:
        raise CannotMeasure(
            "hardly more than half of one circle shows, which may be the hole's bottom or a shadow",
            "light it from all round",
        )
    partly = (
        sight is not None
        and ring is not None
        and (ring.votes < _WHOLE or is_torn(rays, ring.circle, sight))
    )
    if ring is not None and _is_better(rays, ring, (0.0, 0.0, radius)):
        return Edges(placed(edges_on(rays, ring.circle), np.inf), partly=partly)
    return Edges(refine_rim(picture, rim, faint=_FAINT), partly=partly)


def _is_better(rays: Rays, ring: Voted, found: Circle) -> bool:
    """Return whether a ring is the edge rather than the circle that was found."""
    darker = share_rising(rays, found) < _DARKER <= share_rising(rays, ring.circle)
    return darker or ring.votes > share_on(rays, found) + _GAIN


def _pair(rays: Rays, radius: float, sight: Array | None) -> tuple[Voted | None, _Lower | None]:
    """Return the best ring that stands for itself or for a chamfer's edge, and one below it.

    Without a line of sight nothing is looked for below. Raises CannotMeasure where a lower edge
    shows here and there only.
    """
    rings = circles(rays, radius, _OUTER_VOTES, _CANDIDATES)
    if not rings:
        return None, None
    # A face is lighter than its holes, but for one lit from behind or to its bottom: an edge round
    # that is taken only where there is no other.
    clear = [
        ring for ring in rings if ring.votes >= _HALF and share_rising(rays, ring.circle) >= _DARKER
    ]
    alone = max(clear or rings, key=lambda ring: ring.votes)
    if sight is None:
        return alone, None
    best, found = alone.votes + _GAIN, None
    for outer in rings:
        lower = _below(rays, outer.circle, sight)
        if lower.cover > _INNER_VOTES and outer.votes + lower.votes > best:
            best, found = outer.votes + lower.votes, (outer, lower)
    if found is not None:
        if share_rising(rays, found[1].circle) < _DARKER:
            raise CannotMeasure(
                "the lighter middle of the hole may be its bottom, or end below a chamfer",
                "look at it less squarely, or say that no hole has a chamfer",
            )
        return found
    hinted = _below(rays, alone.circle, sight)
    if hinted.cover > _HINT and alone.circle[2] - hinted.circle[2] > _HINT_PX * rays.mm_per_px:
        raise CannotMeasure(
            "the drilled edge below a chamfer shows on a part of it only",
            "light the hole from all round or from above",
        )
    return alone, None


def _below(rays: Rays, outer: Circle, sight: Array) -> _Lower:
    """Return the best lower edge of a chamfer whose edge in the face is given.

    Only what the face does not hide of it can show: its part within the outer circle.
    """
    best = _Lower(outer, 0.0, 0.0)
    for width, moves, inside, met in other_edges(rays, outer, sight, INSIDE):
        hits, shown = np.sum(met, axis=1), np.sum(inside, axis=1)
        cover = np.where(shown > _SHOWN * ANGLES, hits / np.maximum(shown, 1), 0.0)
        k = int(np.argmax(cover))
        if cover[k] > best.cover:
            x, y = outer[0] + float(moves[k, 0]), outer[1] + float(moves[k, 1])
            best = _Lower((x, y, outer[2] - width), float(hits[k]) / ANGLES, float(cover[k]))
    return best


def _within(places: Points, outer: Circle, clear: float) -> Points:
    """Return the places that lie clear within a circle: beyond them the face hides a lower edge.

    Nearer to it the face's own edge is taken for the lower one. All where few would be left.
    """
    inside = outer[2] - np.hypot(places[:, 0] - outer[0], places[:, 1] - outer[1]) > clear
    return places[inside] if inside.sum() >= _FEWEST else places


def _off(places: Points, lower: Circle, clear: float) -> Points:
    """Return the places that lie clear off a lower circle, outside it or where it is hidden."""
    gap = np.hypot(places[:, 0] - lower[0], places[:, 1] - lower[1]) - lower[2]
    apart = (gap > clear) | (gap < 0)
    return places[apart] if apart.sum() >= _FEWEST else places


def _rim(found: Rim, points_px: Points) -> Rim:
    pairs = tuple((float(x), float(y)) for x, y in points_px)
    return Rim(found.which, pairs, found.sigma_px, found.placed, found.seed)
