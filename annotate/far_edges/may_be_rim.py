"""Which of the arcs inside a near rim may be the far rim, and how much speaks for each.

What can be the near hole's own far edge may not, nor what lies outside that edge, on the near
hole's wall, nor what may be the near hole's drilled edge itself.
"""

from typing import Final

import numpy as np
from msgspec import Struct

from annotate.far_edges.arcs import Arc
from annotate.far_edges.back_edge import Backs
from annotate.far_edges.drilling_end import FAINT, SAME_TONE
from annotate.far_edges.nested import ON_IT, Circle, off, outside, sharp
from annotate.pixels.polar import Array

_EDGED: Final = 0.55  # edge strength along an arc that is an edge most of the way
_MAY_BE_BACK: Final = 0.022  # near radii off what can be the near hole's own edge
_ALONG_BACK: Final = 0.045  # ... all along an arc too long to run beside such an edge by chance
_BY_CHANCE: Final = 1.3  # radians of an arc
_CLEAR_OF_BACK: Final = 0.05  # ... of an arc of that edge's own size, where none was told to be it
_JUST_THERE: Final = 0.01
_BACKS_SIZE: Final = 1.05  # near radii: no larger, and an arc's piece tells its size only so well
_BACKS_LEAST: Final = 0.85
VALUE: Final = 0.12  # edge and contrast of an arc that is an edge of something
STEADY: Final = 0.8  # share of a rim of one tone: stains are lighter here and darker there
_FAINT_WORTH: Final = 0.45  # a faint edge must be long and clean instead
_FAINT_BEHIND: Final = 0.25  # ... with the edge in front of it known
_DOUBTFUL: Final = 0.025  # near radii that the near rim may be off
_BELOW_CHAMFER: Final = (0.75, 1.0)  # near radii
_SAME_MIDDLE: Final = 0.15
_LENGTH: Final = 0.3  # near radii
_STRAIGHT: Final = 0.2  # radians: what bends by less is as likely a scratch or a tool's mark
_HOLDS: Final = 1.03  # radii of an arc within which the click lies
_LONG: Final = 2.0  # radians of an arc whose circle is well known
_HALF: Final = 0.5  # of an arc's piece: it tells where the arc lies
_CLEAR: Final = 0.04  # near radii off the near hole's own edge: no piece of that
WELL_CLEAR: Final = 0.1  # ... and surely none of it


class Click(Struct, frozen=True):
    """A place inside the opening, in the near rim's unit frame, and the grey value round it.

    ``face``: the grey value of the face round the near rim.
    """

    at: Array
    level: float
    face: float


def may_be(arc: Arc, backs: Backs, front: Circle | None, click: Click) -> bool:
    """Return whether an arc is edge enough, holds the click, and is no back edge."""
    return _has_tone(arc, click) and _may_be_of_any_tone(arc, backs, front, click)


def of_any_tone(found: list[Arc], backs: Backs, front: Circle, click: Click) -> list[Arc]:
    """Return what may be the rim of a drilling whose wall is lit at the rim and dark farther in."""
    if not backs.told:
        return []
    rest = [arc for arc in found if _may_be_of_any_tone(arc, backs, front, click)]
    return sharp(rest, found)


def _may_be_of_any_tone(arc: Arc, backs: Backs, front: Circle | None, click: Click) -> bool:
    if not _clicked_into(arc, click) or not _is_edge(arc):
        return False
    known = front is not None and backs.told
    if abs(arc.contrast) < FAINT and arc.worth < (_FAINT_BEHIND if known else _FAINT_WORTH):
        return False
    # The part behind is seen through the near hole's own far edge: what lies outside that edge is
    # on the near hole's wall.
    if backs.told and backs.outside(arc) > _HALF:
        return False
    return _is_no_back(arc, backs, front)


def may_be_faint(arc: Arc, own: tuple[Backs, Circle | None], click: Click) -> bool:
    """Return whether an arc is edge enough to be a rim however faint, well clear of a back edge.

    Of the far drilling's wall and the part it is drilled into one may be as light as the other.
    """
    backs, front = own
    if np.hypot(click.at[0] - arc.x, click.at[1] - arc.y) > arc.radius:
        return False
    if not _is_edge(arc) or arc.worth < VALUE:
        return False
    if front is None:
        return backs.off(arc) > WELL_CLEAR
    return outside(arc, front) < _HALF and off(arc, front) > _CLEAR


def may_be_round(rim: Arc, arc: Arc, backs: Backs, front: Circle) -> bool:
    """Return whether an arc is clear of the near hole's own edge, its tones one, and no reverse.

    Round a rim that is dark inside none is the other way round: the wall of the far drilling does
    not outshine the part that it is drilled into.
    """
    least = _CLEAR_OF_BACK if arc.radius < _BACKS_SIZE else _CLEAR
    clear = off(arc, front) > _CLEAR and backs.off(arc) > least
    tones = arc.steady > STEADY and not (rim.contrast > FAINT and arc.contrast < -FAINT)
    return clear and tones


def may_be_near_back(arc: Arc, backs: Backs) -> bool:
    """Return whether an arc has the size of the near hole's own far edge and runs not far off it.

    Where no wall foretells that edge, its place is known so well only.
    """
    return _BACKS_LEAST < arc.radius < _BACKS_SIZE and backs.off(arc) < WELL_CLEAR


def value(arc: Arc, click: Click) -> float:
    """Return how much speaks for an arc as the rim of the opening that was clicked into."""
    size = abs(arc.contrast)
    # Where the sign of the contrast changes along the arc, its tones are no guide.
    plain = max(0.0, 2 * arc.steady - 1)
    away = plain * abs(click.level - arc.inside) / (0.5 * size + SAME_TONE)
    return float(standing_out(arc) * np.exp(-0.5 * away**2))


def standing_out(arc: Arc) -> float:
    """Return how much edge and contrast an arc has, whatever its tones."""
    size = abs(arc.contrast)
    return arc.worth * (0.3 + 0.7 * size / (size + 25))


def _is_no_back(arc: Arc, backs: Backs, front: Circle | None) -> bool:
    """Return whether an arc is neither the near hole's own far edge nor on the wall before it."""
    if _may_be_drilled_edge(arc, backs):
        return False
    its_size = arc.radius < _BACKS_SIZE
    if front is None:
        by_chance = backs.told or arc.sweep < _BY_CHANCE
        may_be = _MAY_BE_BACK if by_chance else _ALONG_BACK
        return backs.off(arc) > (_CLEAR_OF_BACK if its_size else may_be)
    # Just where the edge would be if the hole leaned the other way: what was told to be it may be
    # the border of a shadow.
    if backs.told and its_size and arc.radius > _BACKS_LEAST and backs.off(arc) < _JUST_THERE:
        return False
    return outside(arc, front) < _HALF and off(arc, front) > ON_IT + backs.slack


def _may_be_drilled_edge(arc: Arc, backs: Backs) -> bool:
    """Return whether an arc may be the near rim itself, below a chamfer whose top was taken for it.

    So it may be where the near rim is doubtful, and the arc runs round the same middle inside it.
    """
    low, high = _BELOW_CHAMFER
    doubtful, size = backs.slack > _DOUBTFUL, low < arc.radius < high
    return doubtful and size and bool(np.hypot(arc.x, arc.y) < _SAME_MIDDLE)


def _is_edge(arc: Arc) -> bool:
    """Return whether an arc is long, bent and edge enough to be a rim."""
    long = arc.radius * arc.sweep > _LENGTH and arc.sweep > _STRAIGHT
    return long and arc.quality > _EDGED


def _clicked_into(arc: Arc, click: Click) -> bool:
    """Return whether an arc holds the click."""
    reach = _HOLDS if arc.sweep < _LONG else 1.0
    return bool(np.hypot(click.at[0] - arc.x, click.at[1] - arc.y) <= reach * arc.radius)


def _has_tone(arc: Arc, click: Click) -> bool:
    """Return whether an arc is not lit from behind round a dark click."""
    # What is lighter inside than outside is an opening with light behind it: all of it is light.
    return arc.contrast > -FAINT or click.level > arc.outside - SAME_TONE
