"""Which of the arcs inside a near rim is the far rim, or none of them.

Never one that may not be it, nor the border of a shadow, nor one of two edges far apart that could
be it, nor what may be the far drilling's other end, in the dark.
"""

from typing import Final, NamedTuple

import numpy as np

from annotate.far_edges.arcs import Arc, piece_of
from annotate.far_edges.back_edge import Backs
from annotate.far_edges.drilling_end import FAINT, less_moved_on, may_be_end_in_dark, rim_round
from annotate.far_edges.may_be_rim import (
    STEADY,
    VALUE,
    WELL_CLEAR,
    Click,
    may_be,
    may_be_faint,
    may_be_near_back,
    may_be_round,
    of_any_tone,
    standing_out,
    value,
)
from annotate.far_edges.nested import BESIDE, Circle, circle_of, is_farther_out, off, sharp
from annotate.pixels.polar import Tilt

_VALUE_BEHIND: Final = 0.08  # value of the only arc, with the edge in front of it known
_PLAIN: Final = 0.3  # value of an arc that no second look is needed at
_HALF: Final = 0.5  # of an arc's worth
_NEARLY_AS_GOOD: Final = 0.6  # of the best arc's value
_AS_PLAIN: Final = 0.75
_MUCH_BETTER: Final = 2.0
_TOO_LITTLE: Final = 0.3  # of the worth of the edge inside it
_ENOUGH: Final = 0.5
_NO_LAMP: Final = 0.9  # of the face's grey value: no light behind looks darker
_AS_LIGHT: Final = 0.8  # of the face's grey value
_CLOSE_WITHIN: Final = 0.84  # near radii from the near rim's middle
_IN_SHADOW: Final = 0.9  # ... of 1600 own pictures two are lit inside from there on, no rim either
_BETWEEN: Final = 0.18  # near radii between two edges of which one is the rim


class FarRim(NamedTuple):
    """The arc that is the far rim, and the standard uncertainty of its place in near radii.

    That is more than nothing where another edge so far inside it may be the rim instead.
    """

    arc: Arc
    doubt: float = 0.0


def far_of(
    found: list[Arc], backs: Backs, back: Arc | None, tilt: Tilt, click: Click
) -> FarRim | None:
    """Return the arc of all found that is the far rim, or None if none plainly is.

    Most edge, most contrast, the click's own tone on the click's side. ``back`` is the arc among
    them that is the near hole's own far edge.
    """
    front = front_of(back, backs)
    rest = [arc for arc in found if arc is not back and may_be(arc, backs, front, click)]
    rest = sharp(rest, found)
    if front is None and not _best_is_far(found, rest, click):
        return None
    rim = _best_of(rest, found, (backs, front), tilt, click)
    if rim is None:
        return None
    rim = rim._replace(arc=less_moved_on(rim.arc, rest, front))
    if may_be_end_in_dark(rim.arc, front, click.face) or _may_be_shadow(rim.arc, rest, click):
        return None
    if _may_be_near_rims_shadow(rim.arc, click):
        return None
    return None if front is None and _may_be_lit_wall(rim.arc, click) else rim


def _best_of(
    rest: list[Arc], found: list[Arc], own: tuple[Backs, Circle | None], tilt: Tilt, click: Click
) -> FarRim | None:
    """Return the rim among the ``rest``, all arcs that may be it, or None if that is not plain."""
    backs, front = own
    best = max(rest, key=lambda arc: value(arc, click), default=None)
    if best is None or value(best, click) < VALUE:
        # The click's tone is that of one place only. It is not needed if one edge is left.
        if front is None:
            return _sure(_alone(rest, found, backs))
        return _sure(_only(rest or of_any_tone(found, backs, front, click), backs, front))
    round_it = [arc for arc in rest if arc.worth > _HALF * best.worth]
    round_it += [arc for arc in found if may_be_faint(arc, own, click)]
    rim = rim_round(best, round_it, tilt)
    if front is not None and backs.told:
        return _sure(_outermost(rim, [a for a in rest if may_be_round(rim, a, backs, front)]))
    least = _NEARLY_AS_GOOD * standing_out(best)
    outer = [arc for arc in rest if standing_out(arc) > least and is_farther_out(arc, rim)]
    if outer:
        return _one_of_two(rim, outer)
    if front is None and may_be_near_back(rim, backs):
        # Then another as plain would be the far rim.
        least = _AS_PLAIN * standing_out(rim)
        if any(arc is not rim and standing_out(arc) > least for arc in rest):
            return None
    return FarRim(rim)


def _may_be_shadow(rim: Arc, rest: list[Arc], click: Click) -> bool:
    """Return whether an edge that is lit inside may be a shadow's border, and a dark one the rim.

    What is no lighter than the face has no lamp behind it: it may be the part behind, in the light
    that falls through the near hole, with that hole's shadow beside it.
    """
    if rim.contrast > -FAINT or rim.inside > _NO_LAMP * click.face:
        return False
    least = _NEARLY_AS_GOOD * standing_out(rim)
    dark = (arc for arc in rest if arc.contrast > FAINT and standing_out(arc) > least)
    return any(off(arc, circle_of(rim)) > BESIDE for arc in dark)


def _may_be_near_rims_shadow(rim: Arc, click: Click) -> bool:
    """Return whether an edge that is lit inside may bound the near rim's shadow on the part behind.

    A lamp beside the camera throws it there, a little smaller than the rim or beside it; what it
    leaves lit is no lighter than the face, as an opening with a lamp behind it mostly is.
    """
    if rim.contrast > -FAINT or rim.inside > click.face:
        return False
    return _reach(rim) > _IN_SHADOW


def _may_be_lit_wall(rim: Arc, click: Click) -> bool:
    """Return whether an edge close within the near rim may bound a lit part of that hole's wall.

    A lamp from low on one side lights the wall opposite as much as the face; the part behind gets
    less, but not always. Asked where no far edge of the near hole tells where its wall ends.
    """
    if rim.contrast < FAINT or rim.outside < _AS_LIGHT * click.face:
        return False
    return _reach(rim) > _CLOSE_WITHIN


def _reach(rim: Arc) -> float:
    """Return how far from the near rim's middle an edge runs, in near radii, on average."""
    return float(np.hypot(*piece_of(rim).T).mean())


def _sure(arc: Arc | None) -> FarRim | None:
    return None if arc is None else FarRim(arc)


def _one_of_two(inner: Arc, outer: list[Arc]) -> FarRim | None:
    """Return the rim where another edge lies farther out, None if they lie far apart.

    The one farther in may be a shadow in the far drilling or its other end. The one farther out may
    be the rim and the best one a shadow, or the other way round: nothing here tells which, not even
    the click, for it may lie in the shadow.
    """
    rim = max(outer, key=lambda arc: arc.worth)
    between = off(inner, circle_of(rim))
    if between > _BETWEEN or any(arc.contrast < FAINT for arc in outer):
        return None
    return FarRim(rim, between)


def front_of(back: Arc | None, backs: Backs) -> Circle | None:
    """Return the edge of the near hole's other end, of which an arc shows, as it is known best."""
    if back is None:
        return None
    return backs.nearest(back) if backs.told else circle_of(back)


def is_plain(far: Arc | None, backs: Backs, back: Arc, click: Click) -> bool:
    """Return whether an arc was found that stands out, well clear of the edge in front of it."""
    if far is None:
        return False
    return off(far, backs.nearest(back)) > WELL_CLEAR and value(far, click) > _PLAIN


def _best_is_far(found: list[Arc], rest: list[Arc], click: Click) -> bool:
    """Return whether no plain arc is much better than the best of the ``rest``, that may be far.

    Such an arc would be a back edge, or the far rim, or part of both: it was not told which.
    """
    best = max((value(arc, click) for arc in rest), default=0.0)
    return all(value(arc, click) < max(_MUCH_BETTER * best, VALUE) for arc in found)


def _only(rest: list[Arc], backs: Backs, front: Circle) -> Arc | None:
    """Return the only edge that is left, None if there are several or none."""
    left = [arc for arc in rest if standing_out(arc) > VALUE]
    if not left and backs.told:
        # With the edge in front known, less is enough where it is no piece of that.
        left = [arc for arc in rest if standing_out(arc) > _VALUE_BEHIND and arc.steady > STEADY]
        left = [arc for arc in left if off(arc, front) > WELL_CLEAR]
    return left[0] if len(left) == 1 else None


def _alone(rest: list[Arc], found: list[Arc], backs: Backs) -> Arc | None:
    """Return the only edge that stands out of all found, well clear of any back edge, or None."""
    best = max(rest, key=standing_out, default=None)
    if best is None or standing_out(best) < VALUE or backs.off(best) < WELL_CLEAR:
        return None
    # Pieces of its own edge are no others.
    others = (arc.worth for arc in found if off(arc, circle_of(best)) > BESIDE)
    return best if max(others, default=0.0) < _HALF * best.worth else None


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
