"""Which of the arcs inside a near rim is the far rim, or none of them.

What can be the near hole's own far edge is never taken for it, nor what lies outside that edge, on
the near hole's wall, nor the border of a shadow, nor one of two edges that could be it, nor what
may be the far drilling's other end, in the dark.
"""

from typing import Final

import numpy as np
from msgspec import Struct

from annotate.far_edges.arcs import Arc
from annotate.far_edges.back_edge import Backs
from annotate.far_edges.drilling_end import FAINT, SAME_TONE, may_be_end_in_dark, rim_round
from annotate.far_edges.nested import ON_IT, Circle, circle_of, is_farther_out, off, outside, sharp
from annotate.pixels.polar import Array, Tilt

_EDGED: Final = 0.55  # edge strength along an arc that is an edge most of the way
_MAY_BE_BACK: Final = 0.022  # near radii off what can be the near hole's own edge
_ALONG_BACK: Final = 0.045  # ... all along an arc too long to run beside such an edge by chance
_BY_CHANCE: Final = 1.3  # radians of an arc
_CLEAR_OF_BACK: Final = 0.05  # ... of an arc of that edge's own size, where none was told to be it
_JUST_THERE: Final = 0.01
_BACKS_SIZE: Final = 1.05  # near radii: no larger, and an arc's piece tells its size only so well
_BACKS_LEAST: Final = 0.85
_VALUE: Final = 0.12  # of an arc that is an edge
_VALUE_BEHIND: Final = 0.08  # ... of the only one, with the edge in front of it known
_STEADY: Final = 0.8  # share of a rim of one tone: stains are lighter here and darker there
_PLAIN: Final = 0.3  # value of an arc that no second look is needed at
_FAINT_WORTH: Final = 0.45  # a faint edge must be long and clean instead
_FAINT_BEHIND: Final = 0.25  # ... with the edge in front of it known
_DOUBTFUL: Final = 0.025  # near radii that the near rim may be off
_BELOW_CHAMFER: Final = (0.75, 1.0)  # near radii
_SAME_MIDDLE: Final = 0.15
_LENGTH: Final = 0.3  # near radii
_STRAIGHT: Final = 0.2  # radians: what bends by less is as likely a scratch or a tool's mark
_HOLDS: Final = 1.03  # radii of an arc within which the click lies
_LONG: Final = 2.0  # radians of an arc whose circle is well known
_HALF: Final = 0.5  # of an arc: its piece tells where it lies, its worth what stands beside it
_NEARLY_AS_GOOD: Final = 0.6  # of the best arc's value
_MUCH_BETTER: Final = 2.0
_CLEAR: Final = 0.04  # near radii off the near hole's own edge: no piece of that
_WELL_CLEAR: Final = 0.1
_TOO_LITTLE: Final = 0.3  # of the worth of the edge inside it
_ENOUGH: Final = 0.5


class Click(Struct, frozen=True):
    """A place inside the opening, in the near rim's unit frame, and the grey value round it.

    ``face``: the grey value of the face round the near rim.
    """

    at: Array
    level: float
    face: float


def far_of(
    found: list[Arc], backs: Backs, back: Arc | None, tilt: Tilt, click: Click
) -> Arc | None:
    """Return the arc of all found that is the far rim, or None if none plainly is.

    Most edge, most contrast, the click's own tone on the click's side. ``back`` is the arc among
    them that is the near hole's own far edge.
    """
    front = front_of(back, backs)
    rest = [arc for arc in found if arc is not back and _may_be(arc, backs, front, click)]
    rest = sharp(rest, found)
    if front is None and not _best_is_far(found, rest, click):
        return None
    rim = _best_of(rest, found, (backs, front), tilt, click)
    return None if rim is None or may_be_end_in_dark(rim, front, click.face) else rim


def _best_of(
    rest: list[Arc], found: list[Arc], own: tuple[Backs, Circle | None], tilt: Tilt, click: Click
) -> Arc | None:
    """Return the rim among the ``rest``, all arcs that may be it, or None if that is not plain."""
    backs, front = own
    best = max(rest, key=lambda arc: _value(arc, click), default=None)
    if best is None or _value(best, click) < _VALUE:
        # The click's tone is that of one place only. It is not needed if one edge is left.
        if front is None:
            return _alone(rest, found, backs)
        return _only(rest or _of_any_tone(found, backs, front, click), backs, front)
    round_it = [arc for arc in rest if arc.worth > _HALF * best.worth]
    round_it += [arc for arc in found if _may_be_faint(arc, own, click)]
    rim = rim_round(best, round_it, tilt)
    if front is not None and backs.told:
        return _outermost(rim, [arc for arc in rest if _may_be_round(rim, arc, backs, front)])
    least = _NEARLY_AS_GOOD * _standing_out(best)
    # Farther in an edge may be a shadow in the far drilling or its other end. One farther out may
    # be the rim and the best one a shadow, or the other way round: nothing here tells which, not
    # even the click, for it may lie in the shadow.
    if any(_standing_out(arc) > least and is_farther_out(arc, rim) for arc in rest):
        return None
    return rim


def front_of(back: Arc | None, backs: Backs) -> Circle | None:
    """Return the edge of the near hole's other end, of which an arc shows, as it is known best."""
    if back is None:
        return None
    return backs.nearest(back) if backs.told else circle_of(back)


def is_plain(far: Arc | None, backs: Backs, back: Arc, click: Click) -> bool:
    """Return whether an arc was found that stands out, well clear of the edge in front of it."""
    if far is None:
        return False
    return off(far, backs.nearest(back)) > _WELL_CLEAR and _value(far, click) > _PLAIN


def _best_is_far(found: list[Arc], rest: list[Arc], click: Click) -> bool:
    """Return whether no arc is much better than the best of the ``rest``, those that may be far.

    Such an arc would be a back edge, or the far rim, or part of both: it was not told which.
    """
    best = max((_value(arc, click) for arc in rest), default=0.0)
    return all(_value(arc, click) < _MUCH_BETTER * best for arc in found)


def _may_be(arc: Arc, backs: Backs, front: Circle | None, click: Click) -> bool:
    """Return whether an arc is edge enough, holds the click, and is no back edge."""
    return _has_tone(arc, click) and _may_be_of_any_tone(arc, backs, front, click)


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


def _may_be_faint(arc: Arc, own: tuple[Backs, Circle | None], click: Click) -> bool:
    """Return whether an arc is edge enough to be a rim however faint, well clear of a back edge.

    Of the far drilling's wall and the part it is drilled into one may be as light as the other.
    """
    backs, front = own
    if np.hypot(click.at[0] - arc.x, click.at[1] - arc.y) > arc.radius:
        return False
    if not _is_edge(arc) or arc.worth < _VALUE:
        return False
    if front is None:
        return backs.off(arc) > _WELL_CLEAR
    return outside(arc, front) < _HALF and off(arc, front) > _CLEAR


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


def _of_any_tone(found: list[Arc], backs: Backs, front: Circle, click: Click) -> list[Arc]:
    """Return what may be the rim of a drilling whose wall is lit at the rim and dark farther in."""
    if not backs.told:
        return []
    rest = [arc for arc in found if _may_be_of_any_tone(arc, backs, front, click)]
    return sharp(rest, found)


def _only(rest: list[Arc], backs: Backs, front: Circle) -> Arc | None:
    """Return the only edge that is left, None if there are several or none."""
    left = [arc for arc in rest if _standing_out(arc) > _VALUE]
    if not left and backs.told:
        # With the edge in front known, less is enough where it is no piece of that.
        left = [arc for arc in rest if _standing_out(arc) > _VALUE_BEHIND and arc.steady > _STEADY]
        left = [arc for arc in left if off(arc, front) > _WELL_CLEAR]
    return left[0] if len(left) == 1 else None


def _alone(rest: list[Arc], found: list[Arc], backs: Backs) -> Arc | None:
    """Return the only edge that stands out of all found, well clear of any back edge, or None."""
    best = max(rest, key=_standing_out, default=None)
    if best is None or _standing_out(best) < _VALUE or backs.off(best) < _WELL_CLEAR:
        return None
    others = (arc.worth for arc in found if arc is not best)
    return best if max(others, default=0.0) < _HALF * best.worth else None


def _may_be_round(rim: Arc, arc: Arc, backs: Backs, front: Circle) -> bool:
    """Return whether an arc is clear of the near hole's own edge, its tones one, and no reverse.

    Round a rim that is dark inside none is the other way round: the wall of the far drilling does
    not outshine the part that it is drilled into.
    """
    least = _CLEAR_OF_BACK if arc.radius < _BACKS_SIZE else _CLEAR
    clear = off(arc, front) > _CLEAR and backs.off(arc) > least
    tones = arc.steady > _STEADY and not (rim.contrast > FAINT and arc.contrast < -FAINT)
    return clear and tones


def _outermost(rim: Arc, rest: list[Arc]) -> Arc | None:
    """Return the edge round an arc and round all others, None where that can't be told.

    All of the far drilling is seen through its rim: its other end, the light that falls in and a
    step in it lie inside. What lies outside is the part behind, and smooth: a long edge there
    would be the near hole's own, and that is known.
    """
    while True:
        rest = [arc for arc in rest if is_farther_out(arc, rim)]
        best = max(rest, key=lambda arc: arc.worth, default=None)
        if best is None or best.worth < _TOO_LITTLE * rim.worth:
            return rim
        if best.worth < _ENOUGH * rim.worth:
            return None
        rim = best


def _value(arc: Arc, click: Click) -> float:
    """Return how much speaks for an arc as the rim of the opening that was clicked into."""
    size = abs(arc.contrast)
    # Where the sign of the contrast changes along the arc, its tones are no guide.
    plain = max(0.0, 2 * arc.steady - 1)
    away = plain * abs(click.level - arc.inside) / (0.5 * size + SAME_TONE)
    return float(_standing_out(arc) * np.exp(-0.5 * away**2))


def _standing_out(arc: Arc) -> float:
    """Return how much edge and contrast an arc has, whatever its tones."""
    size = abs(arc.contrast)
    return arc.worth * (0.3 + 0.7 * size / (size + 25))
