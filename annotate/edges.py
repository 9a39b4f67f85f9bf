"""Rims of two holes, one behind the other, found from one click: sub-pixel points or a refusal.

First the near rim is looked for: the outermost ellipse round the click that an edge borders all
round, or the drilled edge inside it if that is a chamfer's. In the frame that makes the near rim a
circle the far rim and the near hole's own far edge are circles as well, so arcs are looked for
there. Everything is scaled by the hole's own size, never by the picture's.
"""

from collections.abc import Callable
from typing import Final

import numpy as np
from msgspec import UNSET, Struct
from msgspec.structs import replace

from annotate.far_edges.inside import Inner, inside
from annotate.far_edges.opening import FarState
from annotate.marks import Point, Rim
from annotate.near_edges.border import may_cut
from annotate.near_edges.long_hole import is_slot
from annotate.near_edges.one_rim import Told, lies_within, told_by_outline
from annotate.near_edges.ring_rim import ring_rim
from annotate.near_edges.rings import Ring
from annotate.near_edges.track import near_ring, stacked_ring
from annotate.pixels.halvings import Pyramid, pyramid
from annotate.pixels.large import (
    reduced,
    reduced_hint,
    reduced_point,
    reduction,
    restored_rim,
    said,
)
from annotate.pixels.polar import Array, Frame, Picture
from annotate.pixels.rim_points import frame_through
from annotate.wall_hint import WallHint

_WEAK: Final = 0.55  # share of a ring's edge below which a person should look
_SLANT: Final = 0.7  # axis ratio at 45 degrees: from there on little shows of what lies behind


class Rims(Struct, frozen=True):
    """What was found round and behind one click.

    ``near`` is the drilled edge; ``far`` points on the visible arc of the hole behind; ``back`` the
    near hole's own far edge where it shows. ``far_state`` says what is seen when there is no far
    arc: "open" only a through view, "shut" only material, "end" what may be the far drilling's
    other end, "elsewhere" what looks like the near hole's own far edge where the wall does not put
    it, so that neither is believed, "slot" an edge behind that has a straight side and so is no
    round hole's, "unknown" none of these can be told.
    """

    near: Rim
    far: Rim | None
    back: Rim | None
    far_state: FarState
    warnings: tuple[str, ...] = ()


class NotFound(Struct, frozen=True):
    """A refusal: ``reason`` is one clause, ``advice`` what to do about it.

    ``by_hand``: what will do as well where points can be placed.
    """

    reason: str
    advice: str
    by_hand: str = ""

    @property
    def advice_or_by_hand(self) -> str:
        """Return what to do about it where points can be placed."""
        return f"{self.advice}, or {self.by_hand}" if self.by_hand else self.advice


class _Near(Struct, frozen=True):
    """A near rim. ``one``: whether its outline by itself tells that it is one rim's."""

    rim: Rim
    one: Told
    warnings: tuple[str, ...]


_NOT_ONE: Final = NotFound(
    "the outline round the click is not that of one rim",
    "light the hole so that its rim stands out all round",
    "place points on it by hand",
)
_CUT_OFF: Final = NotFound(
    "the picture's border cuts the hole off, or may",
    "take the photo again with the whole hole and some of the face round it",
    "place points on what is seen of its rims by hand",
)
_SLOT: Final = NotFound(
    "the rim round the click has two straight sides, as a slot's has and no round hole's",
    "measure it with a gauge: only a hole behind may be a slot, and is drawn by its corners",
)
_TOO_FLAT: Final = NotFound(
    "the rim found is flatter than a round hole looks from 45 degrees off its axis",
    "look into the hole more squarely",
    "place points on its rim by hand",
)


def find_rims(picture: Picture, click: Point, hint: WallHint | None = None) -> Rims | NotFound:
    """Return the near rim round a click and what shows behind it, points in picture pixels.

    ``click`` is any place inside the opening as seen; ``hint`` what is known of the wall, which
    foretells the near hole's own far edge. A rim that does not stand out is refused.
    """
    factor = reduction(picture)
    levels = pyramid(reduced(picture, factor))
    at = reduced_point(click, factor)
    known = reduced_hint(hint, factor)
    found = _near(levels, at, lambda click: stacked_ring(levels, click, known))
    if isinstance(found, NotFound):
        return found
    near = found.rim
    if _is_slot(levels, near):
        # An opening that two rims leave between them bends as a slot does.
        return _SLOT if found.one == "is" else _NOT_ONE
    inner = inside(levels, near, at, known)
    if found.one != "is" and not _shows_within(near, inner[0]):
        return _NOT_ONE
    far, back, state = restored(inner, factor, click, hint)
    near = restored_rim(near, factor, click)
    near = replace(near, wall_hint=UNSET if hint is None else hint)
    return Rims(near, far, back, state, (*said(factor), *found.warnings))


def find_near(picture: Picture, click: Point) -> Rim | NotFound:
    """Return points on the drilled edge of the hole round a click, below any chamfer, in pixels."""
    factor = reduction(picture)
    levels = pyramid(reduced(picture, factor))
    found = _near(levels, reduced_point(click, factor), lambda click: near_ring(levels, click))
    if isinstance(found, NotFound):
        return found
    if found.one != "is":
        return _NOT_ONE
    return restored_rim(found.rim, factor, click)


def restored(inner: Inner, factor: int, click: Point | None, hint: WallHint | None) -> Inner:
    """Return what was found in a reduced picture as it lies in the picture itself.

    Each rim bears the hint that it was found with: whoever looks for it again needs it.
    """
    far, back, state = inner
    far, back = (restored_rim(rim, factor, click) if rim else None for rim in (far, back))
    known = UNSET if hint is None else hint
    far, back = (replace(rim, wall_hint=known) if rim else None for rim in (far, back))
    return far, back, state


def _near(
    levels: Pyramid, click: Point, ring_at: Callable[[Array], Ring | None]
) -> _Near | NotFound:
    """Return the rim of the ring that is found at a click, or why there is none."""
    height, width = levels.levels[0].shape
    half = 0.5  # a pixel reaches half a pixel beyond its centre
    if not (-half <= click.x_px <= width - half and -half <= click.y_px <= height - half):
        return NotFound("the click is outside the picture", "click inside the opening")
    ring = ring_at(np.array([click.x_px, click.y_px]))
    if ring is None:
        return NotFound(
            "no closed rim stands out round the click",
            "click inside the opening",
            "place points on the rim by hand",
        )
    placed = ring_rim(levels, ring, click)
    if placed is None or may_cut(levels, ring.frame):
        return _CUT_OFF
    return _judged(levels, ring, placed)


def _judged(levels: Pyramid, ring: Ring, rim: Rim) -> _Near | NotFound:
    """Return the rim found on a ring, or why it can't be one hole's that is looked into."""
    frame = frame_through(rim)
    if frame is None:
        return _NOT_ONE
    one = "is" if ring.borne_out else told_by_outline(levels, frame, rim.array_px())
    if one == "is not":
        return _NOT_ONE
    if _ratio(frame) < _SLANT:
        return _TOO_FLAT if one == "is" else _NOT_ONE
    return _Near(rim, one, _warnings(ring))


def _shows_within(near: Rim, far: Rim | None) -> bool:
    """Return whether a far rim was found that lies well inside the near one."""
    frame = frame_through(near)
    return far is not None and frame is not None and lies_within(frame, far.array_px())


def _is_slot(levels: Pyramid, near: Rim) -> bool:
    """Return whether a near rim is a slot's.

    Of a hole in a flat face that is not asked: wide chamfers, some lit, some dark, look so there.
    """
    frame = frame_through(near)
    return frame is not None and is_slot(levels, frame)


def _ratio(frame: Frame) -> float:
    """Return the small axis of an ellipse over the large one."""
    large, small = np.linalg.svd(frame.matrix, compute_uv=False)
    return float(small / large)


def _warnings(ring: Ring) -> tuple[str, ...]:
    """Return what a user should check by eye."""
    if ring.doubt_px > 0:
        return ("the near rim has a chamfer: check that the points lie on its lower edge",)
    if ring.support < _WEAK:
        return ("the near rim stands out weakly: check by eye that the points lie on it",)
    return ()
