"""Which of the arcs inside a near rim is which: the far rim, the near hole's own far edge, neither.

The near hole's own far edge is known before it is seen: the near rim's size, moved along its minor
axis by no more than the tilt allows. What fits that is never taken for the far rim.
"""

from typing import Final, Literal

import numpy as np

from annotate.arcs import Arc, along
from annotate.placing import CLIPPED
from annotate.polar import Array, Frame, Tilt, tilt_of
from annotate.rough_arcs import Patch
from annotate.wall_hint import WallHint

FarState = Literal["seen", "open", "shut", "unknown"]

_BACK_RADII: Final = (0.93, 0.96, 0.99, 1.02)  # near radii: less by depth per distance
_THICKEST: Final = 1.8  # near radii of wall
_SLACK: Final = 0.03  # near radii by which a circle's place may be off
_ON_IT: Final = 0.02  # near radii from a circle within which an arc runs along it
_EDGED: Final = 0.57  # edge strength along an arc that is an edge most of the way
_BACK_WORTH: Final = 0.2
_PLAINLY_BACK: Final = 0.015  # near radii off what can be a back edge
_MAY_BE_BACK: Final = 0.022
_CRESCENT: Final = 0.7  # near radii: the border of a crescent is long
_FAR_VALUE: Final = 0.12
_FAINT: Final = 15.0  # grey values across an edge that say little of which side is which
_FAINT_WORTH: Final = 0.45  # a faint edge must be long and clean instead
_FAR_LENGTH: Final = 0.3  # near radii
_TENTH: Final = 0.1  # of the places inside the rim: an opening shows at least so much
_SAME_TONE: Final = 12.0  # grey values by which two looks at one surface may differ, at least
_BLACK: Final = 0.12  # of the face's grey value
_ALL: Final = 0.85  # share of an arc's piece that counts as the whole
_NARROWEST: Final = 0.6  # far drilling's far end, seen, in radii of its rim
_HALF: Final = 0.5  # share of an arc's piece that tells where it lies
_NEARLY_AS_GOOD: Final = 0.6  # of the best arc's value
_MUCH_BETTER: Final = 2.0


def opening(flat: Patch) -> Array:
    """Return a place in the unit frame that stands for the opening when nobody clicked."""
    axis = np.linspace(-0.8, 0.8, 41)
    places = np.stack(np.meshgrid(axis, axis), axis=-1).reshape(-1, 2)
    places = places[np.hypot(places[:, 0], places[:, 1]) < 0.8]  # noqa: PLR2004 - clear of the rim
    level = flat.at(places[:, None, :])[:, 0]
    bright = level >= CLIPPED
    stands_out = bright if bright.mean() > _TENTH else level <= np.quantile(level, _TENTH)
    return np.asarray(np.median(places[stands_out], axis=0))


def tone_at(flat: Patch, at: Array) -> float:
    """Return the grey value round a place of the unit frame."""
    axis = np.linspace(-0.05, 0.05, 7)
    return float(np.median(flat.at(at + np.stack(np.meshgrid(axis, axis), axis=-1))))


def _farthest(tilt: Tilt, hint: WallHint | None) -> float:
    """Return how far, in near radii, depth can move the near hole's own far edge."""
    if hint is not None:
        return (hint.radii + 2 * hint.u_radii) * tilt.most + _SLACK
    # The thickest wall and the steepest tilt that the ellipse allows are not assumed together.
    return max(tilt.most, _THICKEST * (tilt.least + tilt.most) / 2) + _SLACK


def _off_a_back(arc: Arc, frame: Frame, hint: WallHint | None) -> float:
    """Return how far, in near radii, the piece of an arc runs from all that can be a back edge.

    That is the near rim less the depth's share, moved along the ellipse's minor axis by
    t tan(theta) with a wall t of 1.8 near radii at most, or as the hint has it. Of the piece four
    fifths are asked: its ends may belong to something else.
    """
    tilt = tilt_of(frame)
    most = _farthest(tilt, hint)
    moves = np.arange(-most, most + 1e-9, 0.01)[:, None] * tilt.along
    circles = [np.column_stack([moves, np.full(len(moves), r)]) for r in _BACK_RADII]
    return float(along(arc, np.concatenate(circles), share=0.8).min())


def back_of(found: list[Arc], frame: Frame, hint: WallHint | None = None) -> Arc | None:
    """Return the arc that is the near hole's own far edge, or None if none plainly is.

    It is in front of all else that is seen behind it: a rival of the same size, as the far rim
    or the near rim's shadow on the part behind, shows inside it only.
    """
    fits = [
        a
        for a in found
        if a.quality > _EDGED
        and a.worth > _BACK_WORTH
        and a.radius * a.sweep > _CRESCENT
        and _off_a_back(a, frame, hint) < _PLAINLY_BACK
    ]
    for back in fits:
        rivals = [
            a
            for a in found
            if a is not back
            and a.worth > 0.4 * back.worth
            and _off_a_back(a, frame, hint) < _PLAINLY_BACK
        ]
        if all(_within(a, back) > _ALL for a in rivals):
            return back
    return None


def _within(arc: Arc, other: Arc) -> float:
    """Return the share of the piece of an arc that lies plainly inside another's circle."""
    return float(np.mean(_beyond(arc, other) < -_ON_IT))


def _outside(arc: Arc, other: Arc) -> float:
    """Return the share of the piece of an arc that lies plainly outside another's circle."""
    return float(np.mean(_beyond(arc, other) > _ON_IT))


def _beyond(arc: Arc, other: Arc) -> Array:
    """Return how far the points of an arc's piece lie outside another's circle, in near radii."""
    points = _piece(arc)
    return np.asarray(np.hypot(points[:, 0] - other.x, points[:, 1] - other.y) - other.radius)


def _piece(arc: Arc) -> Array:
    """Return points (15, 2) along the piece of an arc that shows."""
    t = arc.start + arc.sweep * np.linspace(0.03, 0.97, 15)
    way = np.stack([np.cos(t), np.sin(t)], axis=-1)
    return np.asarray((arc.x, arc.y) + arc.radius * way)


def far_of(
    found: list[Arc], frame: Frame, at: Array, level_at: float, hint: WallHint | None = None
) -> Arc | None:
    """Return the arc of all found that is the far rim, or None if none plainly is.

    Most edge, most contrast, the click's own tone on the click's side. What may be the near hole's
    own far edge is never taken for the far rim, nor is one of two that could be it.
    """
    back = back_of(found, frame, hint)
    rest = [a for a in found if a is not back and _may_be_far(a, frame, at, back, hint)]
    if back is None and not _best_is_far(found, rest, level_at):
        return None
    best = max(rest, key=lambda a: _value(a, level_at), default=None)
    if best is None or _value(best, level_at) < _FAR_VALUE:
        # The click's tone is that of one place only. It is not needed if one edge is left.
        alone = [a for a in rest if _standing_out(a) > _FAR_VALUE]
        return alone[0] if back is not None and len(alone) == 1 else None
    rim = _rim_of_drilling(best, rest, frame)
    least = _NEARLY_AS_GOOD * _value(best, level_at)
    # Farther in an edge may be a shadow in the far drilling or its other end. One farther out may
    # be the rim and the best one a shadow, or the other way round: nothing here tells which.
    if any(_value(a, level_at) > least and _is_farther_out(a, rim) for a in rest):
        return None
    return rim


def _best_is_far(found: list[Arc], rest: list[Arc], level_at: float) -> bool:
    """Return whether no arc is much better than the best of the ``rest``, those that may be far.

    Such an arc would be a back edge, or the far rim, or part of both: it was not told which.
    """
    best = max((_value(a, level_at) for a in rest), default=0.0)
    return all(_value(a, level_at) < _MUCH_BETTER * best for a in found)


def _is_farther_out(arc: Arc, other: Arc) -> bool:
    """Return whether another arc's piece lies inside an arc's circle, but not the arc's in it."""
    return _within(other, arc) > _HALF and _within(arc, other) < _HALF


def _may_be_far(arc: Arc, frame: Frame, at: Array, back: Arc | None, hint: WallHint | None) -> bool:
    """Return whether an arc is edge enough, holds the click, and is no back edge."""
    if np.hypot(at[0] - arc.x, at[1] - arc.y) > 1.03 * arc.radius:
        return False
    if arc.radius * arc.sweep < _FAR_LENGTH or arc.quality < _EDGED:
        return False
    if abs(arc.contrast) < _FAINT and arc.worth < _FAINT_WORTH:
        return False
    if back is not None:
        # The part behind is seen through the near hole's own far edge: what lies outside that edge
        # is on the near hole's wall.
        if _outside(arc, back) > _HALF:
            return False
        return bool(along(arc, np.array([[back.x, back.y, back.radius]]))[0] > _ON_IT)
    return _off_a_back(arc, frame, hint) > _MAY_BE_BACK


def _value(arc: Arc, level_at: float) -> float:
    """Return how much speaks for an arc as the rim of the opening that was clicked into."""
    size = abs(arc.contrast)
    # Where the sign of the contrast changes along the arc, its tones are no guide.
    plain = max(0.0, 2 * arc.steady - 1)
    off = plain * abs(level_at - arc.inside) / (0.5 * size + _SAME_TONE)
    return float(_standing_out(arc) * np.exp(-0.5 * off**2))


def _standing_out(arc: Arc) -> float:
    """Return how much edge and contrast an arc has, whatever its tones."""
    size = abs(arc.contrast)
    return arc.worth * (0.3 + 0.7 * size / (size + 25))


def _rim_of_drilling(arc: Arc, rest: list[Arc], frame: Frame) -> Arc:
    """Return the rim of the far drilling of which an arc may be the other end, lit from behind.

    Through a drilling lit from behind its far end is the brightest edge, its wall a crescent
    round it. The end lies inside the rim, is no larger, and moved along the tilt.
    """
    if arc.contrast > 0:
        return arc
    tilt = tilt_of(frame)
    for rim in sorted(rest, key=lambda a: -a.worth):
        move = np.array([arc.x - rim.x, arc.y - rim.y])
        across = abs(float(move @ np.array([-tilt.along[1], tilt.along[0]])))
        wall = abs(rim.inside - arc.outside) < _SAME_TONE + 0.2 * abs(arc.contrast)
        size = arc.radius / rim.radius
        if (
            rim is not arc
            and _NARROWEST < size < 1 + _SLACK
            and across < _SLACK + 0.8 * float(np.hypot(*move))
            and _within(arc, rim) > _ALL
            and wall
        ):
            return rim
    return arc


def state_of(flat: Patch, rest: list[Arc], back: Arc | None) -> FarState:
    """Return what fills the hole when no far arc is seen in it."""
    if any(a.worth > 0.08 for a in rest):  # noqa: PLR2004 - an edge that was not understood
        return "unknown"
    axis = np.linspace(-0.9, 0.9, 61)
    places = np.stack(np.meshgrid(axis, axis), axis=-1).reshape(-1, 2)
    seen = np.hypot(places[:, 0], places[:, 1]) < 0.9  # noqa: PLR2004 - clear of the rim
    if back is not None:
        seen &= np.hypot(places[:, 0] - back.x, places[:, 1] - back.y) < back.radius - 0.08
    level = flat.at(places[seen][:, None, :])[:, 0]
    face = flat.at(1.15 * np.stack([np.cos(axis * 3.5), np.sin(axis * 3.5)], axis=-1)[:, None, :])
    bright = float(np.median(face))
    low, high = np.quantile(level, 0.05), np.quantile(level, 0.95)
    # A part behind that lies in shadow is dark too, but seldom as dark as a drilling.
    if np.quantile(level, 0.1) >= CLIPPED or high < _BLACK * bright:
        return "open"
    # Brighter than the face is a light behind, not the part behind.
    if low > 0.4 * bright and high < 0.95 * bright:
        return "shut"
    return "unknown"
