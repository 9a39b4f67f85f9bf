"""What shows inside a near rim: points on the far rim and on the near hole's own far edge."""

from typing import Final, Literal

import numpy as np
from msgspec.structs import replace

from annotate.far_edges.arcs import Arc, arcs
from annotate.far_edges.back_edge import Backs, backs
from annotate.far_edges.drilling_end import is_dark_end_among, may_be_lit_end
from annotate.far_edges.far_rim import FarRim, far_of, front_of, is_plain
from annotate.far_edges.may_be_rim import Click
from annotate.far_edges.nested import Circle, shown
from annotate.far_edges.opening import FarState, face_tone, opening, state_of, tone_at
from annotate.far_edges.own_edge import (
    along_foretold,
    back_of,
    lies_elsewhere,
    may_be_shadow,
    piece_of_back,
)
from annotate.far_edges.rough_arcs import INNER, Patch, patch
from annotate.far_edges.soft_border import is_soft
from annotate.far_edges.straight_sides import is_slots
from annotate.marks import IN_PART, MAY_BE_END, ONLY_A_SIDE, Point, Rim
from annotate.pixels.halvings import Pyramid
from annotate.pixels.placing import place
from annotate.pixels.polar import Frame, Tilt, tilt_of
from annotate.pixels.rim_points import as_rim, frame_through
from annotate.wall_hint import WallHint

_ARC_POINTS: Final = 60
_MOST_SLACK: Final = 0.03  # near radii
_CLEAR: Final = 0.03  # near radii inside an edge, beyond which no blur of it reaches
_SHADOWED: Final = 0.05  # near radii: how well what may be a shadow's border tells where an edge is

Inner = tuple[Rim | None, Rim | None, FarState]


def inside(levels: Pyramid, near: Rim, click: Point | None, hint: WallHint | None) -> Inner:
    """Return far rim, back rim and state inside a near rim."""
    frame = frame_through(near)
    if frame is None:
        return None, None, "unknown"
    flat = patch(levels, frame)
    at = opening(flat) if click is None else frame.to_unit(np.array([click.x_px, click.y_px]))
    found = arcs(flat)
    # What may be wrong with the near rim's points may be wrong with the frame, and shifts the rest.
    slack = min(near.sigma_px / frame.radius_px, _MOST_SLACK)
    foretold = backs(frame, hint, levels.levels[0].shape, slack)
    back = back_of(found, foretold) or along_foretold(flat, foretold)
    tilt, spot = tilt_of(frame), Click(at, tone_at(flat, at), face_tone(flat))
    far = _far(flat, found, (foretold, back), tilt, spot)
    far_rim = _arc_rim(levels, frame, far.arc, "far", click) if far else None
    if far_rim and back is None and _contradicted(frame, found, foretold, _arc(far)):
        return None, None, "elsewhere"
    front = front_of(back, foretold)
    if far and far_rim:
        far_rim = _doubted(far_rim, far, front, (frame, spot))
    piece = back or piece_of_back(found, foretold)
    back_rim = _arc_rim(levels, frame, piece, "back", click) if piece else None
    if back_rim and piece is not back:
        back_rim = replace(back_rim, sigma_px=ONLY_A_SIDE * frame.radius_px)
    elif back_rim and back and may_be_shadow(back, tilt):
        back_rim = replace(back_rim, sigma_px=_SHADOWED * frame.radius_px)
    if far_rim is not None:
        slots = is_slots(flat, frame.to_unit(far_rim.array_px()))
        return (None, back_rim, "slot") if slots else (far_rim, back_rim, "seen")
    rest = [arc for arc in found if arc is not back]
    if is_dark_end_among(rest, front, spot.face):
        return None, back_rim, "end"
    return None, back_rim, state_of(flat, rest, back)


def _far(
    flat: Patch, found: list[Arc], own: tuple[Backs, Arc | None], tilt: Tilt, spot: Click
) -> FarRim | None:
    """Return the far rim, ``own`` is where the near hole's own edge may lie and the arc that is it.

    None if none is plain, or if it is as soft as a shadow's border.
    """
    foretold, back = own
    far = far_of(found, foretold, back, tilt, spot)
    if back is not None and foretold.told and not is_plain(_arc(far), foretold, back, spot):
        # With the edge in front known only what shows inside it is looked at: then nothing of that
        # edge takes the place of an arc behind it, or is taken for one piece with it.
        x, y, radius = foretold.nearest(back)
        behind = arcs(replace(flat, through=(x, y, radius - _CLEAR)))
        far = far_of([back, *behind], foretold, back, tilt, spot) or far
    return None if far is None or is_soft(flat, far.arc, found) else far


def _doubted(rim: Rim, far: FarRim, front: Circle | None, seen: tuple[Frame, Click]) -> Rim:
    """Return points found on a far rim with the doubt which edge that is."""
    frame, spot = seen
    doubt = max(far.doubt, IN_PART * (1 - shown(far.arc, front)) ** 2)
    if may_be_lit_end(far.arc, front, spot.face):
        doubt = MAY_BE_END
    sigma = float(np.hypot(rim.sigma_px, doubt * frame.radius_px))
    return replace(rim, sigma_px=sigma)


def _arc(far: FarRim | None) -> Arc | None:
    return None if far is None else far.arc


def _contradicted(frame: Frame, found: list[Arc], foretold: Backs, far: Arc | None) -> bool:
    """Return whether a typed wall foretold an edge that lies somewhere else."""
    if not foretold.told:
        return False
    return lies_elsewhere(found, backs(frame, None, ()), foretold, far)


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
    tones = (arc.inside, arc.outside)
    placed = place(levels, frame, curve, smooth, closed=False, tones=tones)
    return as_rim(which, placed, _ARC_POINTS, click) if placed else None
