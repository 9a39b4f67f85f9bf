"""What shows round and behind a near rim that a hand placed: chamfer, far edge and far rim.

A pixel that a hand is off is more than the near hole's own far edge is foretold to. Where the
drilled edge plainly shows beside the points, what lies inside is looked for from that edge; the
points themselves stay where they were put.
"""

from typing import Final

import numpy as np
from msgspec import UNSET, UnsetType
from msgspec.structs import replace

from annotate.edges import Rims, restored
from annotate.far_edges.inside import Inner, inside
from annotate.marks import Point, Rim
from annotate.near_edges.ring_rim import ring_rim
from annotate.near_edges.rings import Ring
from annotate.near_edges.stack import drilled_of
from annotate.pixels.halvings import Pyramid, pyramid
from annotate.pixels.large import reduced, reduced_hint, reduced_point, reduced_rim, reduction
from annotate.pixels.polar import Frame, Picture
from annotate.pixels.rim_points import frame_through
from annotate.wall_hint import WallHint

_SAME: Final = 0.04  # near radii that a rim placed by hand may lie off the one that shows


def find_behind(
    picture: Picture, near: Rim, click: Point | None, hint: WallHint | None = None
) -> Rims:
    """Return what shows inside a near rim placed by hand (at least five points), in pixels.

    Without a click the brightest (if clipped) or the darkest place inside it stands for the
    opening. ``hint`` as of ``find_rims``. The near rim returned bears the chamfer above it, and the
    hint that it was found with, where one plainly shows.
    """
    sought = _Sought(picture, near, hint)
    inner = sought.inner(click)
    chamfer = sought.chamfer
    if chamfer is not UNSET:
        near = replace(near, chamfer=chamfer, wall_hint=UNSET if hint is None else hint)
    return Rims(near, *inner)


def find_inner(
    picture: Picture, near: Rim, click: Point | None, hint: WallHint | None = None
) -> Inner:
    """Return the far rim, the near hole's own far edge and what is seen, as of ``find_behind``."""
    return _Sought(picture, near, hint).inner(click)


def chamfer_above(picture: Picture, near: Rim, hint: WallHint | None = None) -> float | UnsetType:
    """Return how wide a chamfer plainly shows above a near rim placed by hand, in its radii.

    Unset where none is plain, or where the drilled edge that shows is not where the hand put it.
    ``hint`` as of ``find_rims``.
    """
    return _Sought(picture, near, hint).chamfer


class _Sought:
    """A near rim placed by hand in a picture, and the drilled edge that shows beside its points."""

    def __init__(self, picture: Picture, near: Rim, hint: WallHint | None) -> None:
        self._factor = reduction(picture)
        self._levels = pyramid(reduced(picture, self._factor))
        self._near = reduced_rim(near, self._factor)
        self._hint = hint
        self._drilled = _drilled_at(self._levels, self._near, reduced_hint(hint, self._factor))

    @property
    def chamfer(self) -> float | UnsetType:
        """Return the width of the chamfer above the drilled edge in its radii, if it is plain."""
        drilled = self._drilled
        return drilled.chamfer if drilled is not None and drilled.chamfer > 0 else UNSET

    def inner(self, click: Point | None) -> Inner:
        """Return what shows inside the drilled edge, or inside the points where none shows."""
        at = reduced_point(click, self._factor) if click else None
        drilled = self._drilled and ring_rim(self._levels, self._drilled, at)
        hint = reduced_hint(self._hint, self._factor)
        found = inside(self._levels, drilled or self._near, at, hint)
        return restored(found, self._factor, click, self._hint)


def _drilled_at(levels: Pyramid, near: Rim, hint: WallHint | None) -> Ring | None:
    """Return the drilled edge that shows where a hand placed a near rim, None if none is there."""
    frame = frame_through(near)
    if frame is None:
        return None
    ring = Ring(frame, 1.0)
    stack = drilled_of(levels, [ring], ring, hint)
    return stack.ring if stack is not None and _is_near(stack.ring.frame, frame) else None


def _is_near(one: Frame, other: Frame) -> bool:
    """Return whether two ellipses are of one rim, as a hand and a search may tell it."""
    away = np.hypot(one.cx - other.cx, one.cy - other.cy)
    grown = abs(one.radius_px - other.radius_px)
    return bool(away + grown < _SAME * other.radius_px)
