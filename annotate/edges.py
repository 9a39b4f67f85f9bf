"""Rims of two holes, one behind the other, found from one click: sub-pixel points or a refusal.

First the near rim is looked for: the outermost ellipse round the click that an edge borders all
round, or the drilled edge inside it if that is a chamfer's. In the frame that makes the near rim a
circle the far rim and the near hole's own far edge are circles as well, so arcs are looked for
there. Everything is scaled by the hole's own size, never by the picture's.
"""

from collections.abc import Callable
from typing import Final, Literal

import numpy as np
from msgspec import UNSET, Struct
from msgspec.structs import replace

from annotate.far_edges.arcs import Arc, arcs
from annotate.far_edges.back_edge import backs
from annotate.far_edges.far_rim import Click, far_of, front_of, is_plain
from annotate.far_edges.nested import shown
from annotate.far_edges.opening import FarState, face_tone, opening, state_of, tone_at
from annotate.far_edges.own_edge import back_of, may_be_shadow, piece_of_back
from annotate.far_edges.rough_arcs import INNER, patch
from annotate.marks import ONLY_A_SIDE, Point, Rim
from annotate.near_edges.follow import curve_px
from annotate.near_edges.one_rim import is_one_rim
from annotate.near_edges.rings import Ring
from annotate.near_edges.track import near_ring, stacked_ring
from annotate.pixels.halvings import Pyramid, pyramid
from annotate.pixels.large import (
    reduced,
    reduced_hint,
    reduced_point,
    reduced_rim,
    reduction,
    restored_rim,
    said,
)
from annotate.pixels.placing import Placed, place
from annotate.pixels.polar import (
    Array,
    Frame,
    Picture,
    frame_of,
    harmonics,
    robust_fit,
    tilt_of,
)
from annotate.wall_hint import WallHint

_NEAR_POINTS: Final = 120
_ARC_POINTS: Final = 60
_WHOLE: Final = 0.75  # share of the near rim that must lie in the picture
_WEAK: Final = 0.55  # share of a ring's edge below which a person should look
_MOST_SLACK: Final = 0.03  # near radii
_CLEAR: Final = 0.03  # near radii inside an edge, beyond which no blur of it reaches
_SLANT: Final = 0.7  # axis ratio at 45 degrees: from there on little shows of what lies behind
_SHADOWED: Final = 0.05  # near radii: how well what may be a shadow's border tells where an edge is
# Near radii: how well a circle lies of which next to nothing shows where it could. What does show
# may be the border of a highlight or a shadow along it.
_IN_PART: Final = 0.09
_CONIC: Final = 5  # points that make an ellipse


class Rims(Struct, frozen=True):
    """What was found round and behind one click.

    ``near`` is the drilled edge; ``far`` points on the visible arc of the hole behind; ``back`` the
    near hole's own far edge where it shows. ``far_state`` says what is seen when there is no far
    arc: "open" only a through view, "shut" only material, "unknown" neither can be told.
    """

    near: Rim
    far: Rim | None
    back: Rim | None
    far_state: FarState
    warnings: tuple[str, ...] = ()


class NotFound(Struct, frozen=True):
    """A refusal: ``reason`` is one clause, ``advice`` what to do about it."""

    reason: str
    advice: str


Inner = tuple[Rim | None, Rim | None, FarState]


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
    near, warnings = found
    inner = _inner(levels, near, at, known)
    far, back, state = _restored(inner, factor, click, hint)
    if factor > 1:
        near = restored_rim(near, factor, click)
    near = replace(near, wall_hint=UNSET if hint is None else hint)
    return Rims(near, far, back, state, (*said(factor), *warnings))


def find_near(picture: Picture, click: Point) -> Rim | NotFound:
    """Return points on the drilled edge of the hole round a click, below any chamfer, in pixels."""
    factor = reduction(picture)
    levels = pyramid(reduced(picture, factor))
    found = _near(levels, reduced_point(click, factor), lambda click: near_ring(levels, click))
    if isinstance(found, NotFound):
        return found
    return restored_rim(found[0], factor, click) if factor > 1 else found[0]


def find_inner(
    picture: Picture, near: Rim, click: Point | None, hint: WallHint | None = None
) -> Inner:
    """Return far rim, the near hole's own far edge and what is seen, inside a near rim, in pixels.

    ``near`` may be placed by hand (at least five points). Without a click the brightest (if
    clipped) or the darkest place inside it stands for the opening. ``hint`` as of ``find_rims``.
    """
    factor = reduction(picture)
    levels = pyramid(reduced(picture, factor))
    at = reduced_point(click, factor) if click else None
    rim = reduced_rim(near, factor) if factor > 1 else near
    return _restored(_inner(levels, rim, at, reduced_hint(hint, factor)), factor, click, hint)


def _restored(inner: Inner, factor: int, click: Point | None, hint: WallHint | None) -> Inner:
    """Return what was found in a reduced picture as it lies in the picture itself.

    Each rim bears the hint that it was found with: whoever looks for it again needs it.
    """
    far, back, state = inner
    if factor > 1:
        far, back = (restored_rim(rim, factor, click) if rim else None for rim in (far, back))
    known = UNSET if hint is None else hint
    far, back = (replace(rim, wall_hint=known) if rim else None for rim in (far, back))
    return far, back, state


def _near(
    levels: Pyramid, click: Point, ring_at: Callable[[Array], Ring | None]
) -> tuple[Rim, tuple[str, ...]] | NotFound:
    """Return the rim of the ring that is found at a click, and warnings, or why not."""
    height, width = levels.levels[0].shape
    half = 0.5  # a pixel reaches half a pixel beyond its centre
    if not (-half <= click.x_px <= width - half and -half <= click.y_px <= height - half):
        return NotFound("the click is outside the picture", "click inside the opening")
    ring = ring_at(np.array([click.x_px, click.y_px]))
    if ring is None:
        return NotFound(
            "no closed rim stands out round the click",
            "click inside the opening, or place points on the rim by hand",
        )
    placed = _ring_rim(levels, ring, click)
    if placed is None:
        return NotFound(
            "the picture's border cuts the hole off",
            "take the photo again with the whole hole in it",
        )
    frame = _frame(placed)
    if frame is None or not (ring.borne_out or is_one_rim(levels, frame, placed.array_px())):
        return NotFound(
            "the outline round the click is not that of one rim",
            "light the hole so that its rim stands out all round, or place points on it by hand",
        )
    if _ratio(frame) < _SLANT:
        return NotFound(
            "the rim found is flatter than a round hole looks from 45 degrees off its axis",
            "look into the hole more squarely, or place points on its rim by hand",
        )
    return placed, _warnings(ring)


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


def _ring_rim(levels: Pyramid, ring: Ring, click: Point) -> Rim | None:
    """Return sub-pixel points on a ring, or None if too little of it is in the picture."""
    phi = 2 * np.pi * np.arange(360) / 360
    points, normals = curve_px(ring, phi)
    placed = place(levels, ring.frame, (points, normals), harmonics(phi, 3), closed=True)
    if placed is None or placed.seen < _WHOLE:
        return None
    sure = Placed(placed.points, float(np.hypot(placed.sigma_px, ring.doubt_px)), placed.seen)
    rim = _as_rim("near", sure, _NEAR_POINTS, click)
    return replace(rim, chamfer=ring.chamfer) if ring.chamfer > 0 else rim


def _as_rim(
    which: Literal["near", "far", "back"], placed: Placed, most: int, click: Point | None
) -> Rim:
    """Return a found rim with its points thinned evenly."""
    count = len(placed.points)
    pick = np.unique(np.linspace(0, count - 1, min(most, count)).astype(int))
    pairs = tuple((float(x), float(y)) for x, y in placed.points[pick])
    return Rim(which, pairs, placed.sigma_px, "found", click)


def _frame(near: Rim) -> Frame | None:
    """Return the ellipse through a near rim's points, or None if they make none."""
    import cv2  # noqa: PLC0415 - heavy, only when a picture is looked at

    points = near.array_px()
    if len(points) < _CONIC:
        return None
    centre = points.mean(axis=0)
    (x, y), (a, b), turn = cv2.fitEllipseDirect((points - centre).astype(np.float32))
    if not (np.isfinite([x, y, a, b]).all() and min(a, b) > 0):
        return None
    frame = frame_of(x + centre[0], y + centre[1], (a / 2, b / 2), np.radians(turn))
    for _ in range(3 if len(points) > 2 * _CONIC else 0):
        unit = frame.to_unit(points)
        phi = np.arctan2(unit[:, 1], unit[:, 0])
        radial = np.hypot(unit[:, 0], unit[:, 1]) - 1
        frame = frame.moved(robust_fit(harmonics(phi, 2), radial, 0.05, np.ones(len(phi))))
    return frame


def _inner(levels: Pyramid, near: Rim, click: Point | None, hint: WallHint | None) -> Inner:
    """Return far rim, back rim and state inside a near rim."""
    frame = _frame(near)
    if frame is None:
        return None, None, "unknown"
    flat = patch(levels, frame)
    at = opening(flat) if click is None else frame.to_unit(np.array([click.x_px, click.y_px]))
    found = arcs(flat)
    # What may be wrong with the near rim's points may be wrong with the frame, and shifts the rest.
    slack = min(near.sigma_px / frame.radius_px, _MOST_SLACK)
    foretold = backs(frame, hint, levels.levels[0].shape, slack)
    back = back_of(found, foretold)
    tilt, inside = tilt_of(frame), Click(at, tone_at(flat, at), face_tone(flat))
    far = far_of(found, foretold, back, tilt, inside)
    if back is not None and foretold.told and not is_plain(far, foretold, back, inside):
        # With the edge in front known only what shows inside it is looked at: then nothing of that
        # edge takes the place of an arc behind it, or is taken for one piece with it.
        x, y, radius = foretold.nearest(back)
        behind = arcs(replace(flat, through=(x, y, radius - _CLEAR)))
        far = far_of([back, *behind], foretold, back, tilt, inside) or far
    far_rim = _arc_rim(levels, frame, far, "far", click) if far else None
    if far and far_rim:
        hidden = 1 - shown(far, front_of(back, foretold))
        doubt = _IN_PART * hidden**2 * frame.radius_px
        far_rim = replace(far_rim, sigma_px=float(np.hypot(far_rim.sigma_px, doubt)))
    piece = back or piece_of_back(found, foretold)
    back_rim = _arc_rim(levels, frame, piece, "back", click) if piece else None
    if back_rim and piece is not back:
        back_rim = replace(back_rim, sigma_px=ONLY_A_SIDE * frame.radius_px)
    elif back_rim and back and may_be_shadow(back, tilt):
        back_rim = replace(back_rim, sigma_px=_SHADOWED * frame.radius_px)
    if far_rim is not None:
        return far_rim, back_rim, "seen"
    return None, back_rim, state_of(flat, [a for a in found if a is not back], back)


def _arc_rim(
    levels: Pyramid, frame: Frame, arc: Arc, which: Literal["far", "back"], click: Point | None
) -> Rim | None:
    """Return sub-pixel points on the piece of an arc that shows, or None if too few hold."""
    length_px = arc.radius * arc.sweep * frame.radius_px
    count = int(np.clip(length_px, 20, 240))
    t = arc.start + arc.sweep * np.linspace(0.01, 0.99, count)
    unit = np.stack([arc.x + arc.radius * np.cos(t), arc.y + arc.radius * np.sin(t)], axis=-1)
    outward = np.stack([np.cos(t), np.sin(t)], axis=-1) @ np.linalg.inv(frame.matrix)
    outward /= np.hypot(outward[:, 0], outward[:, 1])[:, None]
    inside = np.hypot(unit[:, 0], unit[:, 1]) < INNER
    x = np.linspace(-1, 1, count)[inside]
    smooth = np.stack([x**k for k in range(4)], axis=1)
    curve = (frame.to_px(unit)[inside], outward[inside])
    placed = place(levels, frame, curve, smooth, closed=False)
    return _as_rim(which, placed, _ARC_POINTS, click) if placed else None
