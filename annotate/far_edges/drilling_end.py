"""What may be the far drilling's other end, deeper than its rim; and the rim round such an end."""

from typing import Final

import numpy as np

from annotate.far_edges.arcs import Arc
from annotate.far_edges.nested import BESIDE, Circle, circle_of, is_farther_out, off, outside
from annotate.pixels.half_light import light_of
from annotate.pixels.polar import Tilt

FAINT: Final = 15.0  # grey values across an edge that say little of which side is which
SAME_TONE: Final = 12.0  # grey values by which two looks at one surface may differ, at least
_NARROWEST: Final = 0.6  # far drilling's far end, seen, in radii of its rim
_SLACK: Final = 0.03  # near radii by which a circle's place may be off
_HARDLY: Final = 0.15  # share of an arc's piece that counts as none
_AN_EDGE: Final = 0.12  # worth of an arc that is an edge of something
_DARK: Final = 0.1  # of the face's light: the wall of a drilling gets no more
_LIGHT: Final = 0.25  # of the face's light
_DIM: Final = 0.4  # of the face's light: no lamp behind, and less than what falls in lights up
_AWAY: Final = np.radians(32)
_FRONT: Final = 0.02  # near radii: how well the near hole's far edge is known
_FARTHER_ON: Final = 0.1  # near radii that plainly are a deeper edge's
_AS_PLAIN: Final = 0.5  # of an arc's worth
_SEEN_LEAN: Final = 0.03  # near radii that the near hole's far edge must have moved to tell the way


def may_be_dark_end(arc: Arc, front: Circle | None, face: float) -> bool:
    """Return whether an arc may be the other end of the far drilling, which itself is in the dark.

    Its wall gets next to none of the light that falls on the part behind. ``front`` is the near
    hole's own far edge, ``face`` the face's grey value.
    """
    dark = light_of(arc.outside) < _DARK * light_of(face)
    return bool(arc.contrast > 0 and dark and _is_moved_on(arc, front))


def may_be_end_in_dark(arc: Arc, front: Circle | None, face: float) -> bool:
    """Return whether an arc may be such an end, darker than its wall or dimly lit.

    What is lighter inside than outside, and dark outside, has a drilling's wall round it, or a
    shadow: light that falls in through the near hole reaches a drilling's bottom before its wall.
    """
    face_light = light_of(face)
    dark = light_of(arc.outside) < _DARK * face_light
    dim = arc.contrast < 0 and dark and light_of(arc.inside) < _DIM * face_light
    return bool(dim) or may_be_dark_end(arc, front, face)


def is_dark_end_among(found: list[Arc], front: Circle | None, face: float) -> bool:
    """Return whether one of the arcs is an edge that may be such an end."""
    edges = (arc for arc in found if arc.worth > _AN_EDGE)
    return any(may_be_end_in_dark(arc, front, face) for arc in edges)


def may_be_lit_end(arc: Arc, front: Circle | None, face: float) -> bool:
    """Return whether an arc may be the other end of the far drilling, lit from behind.

    Its wall has a quarter of the light of the face or more: the part behind gets what falls in
    through the near hole. Where no far edge of the near hole tells which way it would be moved, any
    opening lighter than the face may be it: of 36 and 53 own pictures, with the wall typed and
    without, it was on 4 and 10.
    """
    light = light_of(arc.outside) > _LIGHT * light_of(face)
    if arc.contrast > -FAINT or not light:
        return False
    # It is told all the same, only loosely: so the way may be as doubtful as it is.
    return arc.inside > face if front is None else bool(_is_moved_on(arc, front, _FRONT))


def less_moved_on(arc: Arc, found: list[Arc], front: Circle | None) -> Arc:
    """Return the rim of the two edges round one light that falls through a far drilling.

    What is seen of the light is inside the rim and inside the drilling's other end. That is deeper,
    and so moved farther on the way that the near hole's own far edge (``front``) is moved.
    """
    if front is None or arc.contrast > -FAINT or np.hypot(*front[:2]) < _SEEN_LEAN:
        return arc
    way = np.array(front[:2]) / np.hypot(*front[:2])
    rest = [other for other in found if _bounds_its_light(other, arc)]
    if not rest:
        return arc
    rim = min(rest, key=lambda other: float(way @ (other.x, other.y)))
    moved = float(way @ (arc.x - rim.x, arc.y - rim.y))
    return rim if moved > _FARTHER_ON else arc


def _bounds_its_light(other: Arc, arc: Arc) -> bool:
    """Return whether another edge, as plain, is lit inside like an arc."""
    if other is arc or other.contrast > -FAINT or other.worth < _AS_PLAIN * arc.worth:
        return False
    return abs(other.inside - arc.inside) < SAME_TONE and off(other, circle_of(arc)) > BESIDE


def _is_moved_on(arc: Arc, front: Circle | None, slack: float = 0.0) -> bool:
    """Return whether an arc lies the way that the near hole's own far edge (``front``) is moved.

    What lies deeper looks moved that way to whoever looks in askew, and many times as far. The less
    that edge has moved, the less it tells which way, its place known to ``slack`` near radii.
    """
    if front is None:
        return False
    way, move = np.array(front[:2]), np.array([arc.x - front[0], arc.y - front[1]])
    size = float(np.hypot(*way))
    if size < _SEEN_LEAN:
        return False
    most = _AWAY + np.arctan(slack / size)
    return bool(way @ move > np.cos(most) * size * np.hypot(*move))


def rim_round(arc: Arc, found: list[Arc], tilt: Tilt) -> Arc:
    """Return the rim of the far drilling of which an arc may be the other end, lit from behind.

    Through a drilling lit from behind its far end is the brightest edge, its wall a crescent
    round it. The end lies inside the rim or touches it, is no larger, and moved along the tilt;
    the crescent has one tone from the one to the other, however little the rim stands out.
    """
    if arc.contrast > 0:
        return arc
    for rim in sorted(found, key=lambda other: -other.worth):
        move = np.array([arc.x - rim.x, arc.y - rim.y])
        # Of a near rim that may be round the way of the tilt is not known.
        across = abs(float(move @ np.array([-tilt.along[1], tilt.along[0]]))) * (tilt.least > 0)
        wall = abs(rim.inside - arc.outside) < SAME_TONE + 0.2 * abs(arc.contrast)
        size = arc.radius / rim.radius
        inside = outside(arc, circle_of(rim)) < _HARDLY
        if (
            _NARROWEST < size < 1 + _SLACK
            and across < _SLACK + 0.8 * float(np.hypot(*move))
            and inside
            and is_farther_out(rim, arc)
            and wall
        ):
            return rim
    return arc
