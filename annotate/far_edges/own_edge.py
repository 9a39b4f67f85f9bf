"""Which of the arcs inside a near rim is the near hole's own far edge, or none of them."""

from typing import Final

from annotate.far_edges.arcs import Arc
from annotate.far_edges.back_edge import Backs
from annotate.far_edges.nested import circle_of, off, outside, sharp, within
from annotate.pixels.polar import Tilt

_PLAINLY: Final = 0.015  # near radii off what can be the edge
_STRONGLY: Final = 0.02  # ... of a strong arc, where it was foretold
_STRONG: Final = 0.5  # worth
_EDGED: Final = 0.57  # edge strength along an arc that is an edge most of the way
_EDGED_THERE: Final = 0.5  # ... where it was foretold: it need not stand out against all others
_FARTHER: Final = 0.02  # near radii: what may be off of the near rim moves all arcs alike
_WORTH: Final = 0.2
_WORTH_THERE: Final = 0.15
_CRESCENT: Final = 0.7  # near radii: the border of a crescent is long
_RIVAL: Final = 0.4  # of an arc's worth
_ALL: Final = 0.85  # share of an arc's piece that counts as the whole
_APART: Final = 0.03  # near radii between an arc's ways off for the two leans that tell them apart
_PIECES: Final = 0.08  # worth of pieces together, where chance leaves 0.04 once in twenty times
_LITTLE: Final = 0.3  # of what shows for one lean
_SQUARE: Final = 0.05  # tangent of a tilt
_LIGHTER: Final = 40.0  # grey values
# An edge that is no far rim, and not where a typed wall puts the near hole's own: of 952 own
# pictures answered 3 had one, with half the wall typed 286 of 926, with twice the wall 301 of 892.
_SURELY: Final = 0.3  # worth
_ELSEWHERE: Final = 0.02  # near radii
_NOT_FAR: Final = 0.05
_CROSSING: Final = 0.3  # share of a piece of the same edge that may stray from it


def back_of(found: list[Arc], backs: Backs) -> Arc | None:
    """Return the arc that is the near hole's own far edge, or None if none plainly is.

    It is in front of all else that is seen behind it: a rival of the same size, as the far rim
    or the near rim's shadow on the part behind, shows inside it only. Where a typed wall foretold
    it a rival may be a piece of it as well.
    """
    if backs.told:
        return _foretold(found, backs)
    there = [arc for arc in found if backs.off(arc) < _PLAINLY]
    for back in _edges(there, found, _EDGED, _WORTH):
        rivals = [arc for arc in there if arc is not back and arc.worth > _RIVAL * back.worth]
        if all(within(arc, circle_of(back)) > _ALL for arc in rivals):
            return back
    return None


def _foretold(found: list[Arc], backs: Backs) -> Arc | None:
    """Return the arc that runs where the edge was foretold, None if one for each lean does."""
    there = [arc for arc in found if backs.off(arc) < _slack(arc)]
    fits = _edges(there, found, _EDGED_THERE, _WORTH_THERE)
    nearest = min((min(backs.runs_off(arc)) for arc in fits), default=0.0)
    fits = [arc for arc in fits if min(backs.runs_off(arc)) < nearest + _FARTHER]
    for back in sorted(fits, key=lambda arc: -arc.worth):
        rivals = [arc for arc in fits if arc is not back and arc.worth > _RIVAL * back.worth]
        if all(
            outside(arc, circle_of(back)) < _CROSSING and _share_a_lean(arc, back, backs)
            for arc in rivals
        ):
            return back
    return None


def lies_elsewhere(found: list[Arc], anywhere: Backs, foretold: Backs, far: Arc | None) -> bool:
    """Return whether what looks like the edge lies where the typed wall does not put it.

    ``anywhere`` is where it may lie for any wall. Asked where none was found where it was foretold.
    """
    edge = back_of(found, anywhere)
    if edge is None or edge.worth < _SURELY or foretold.off(edge) < _ELSEWHERE:
        return False
    return far is None or (edge is not far and off(edge, circle_of(far)) > _NOT_FAR)


def piece_of_back(found: list[Arc], backs: Backs) -> Arc | None:
    """Return the best of the pieces that run where one lean foretells the edge, and it alone.

    In the dark or across a shadow's border the edge shows in pieces, each too short or too weak to
    be told by itself, but chance puts next to nothing just there. None where there is little of
    them, or something of the other lean's, or no wall is typed. Which way the hole leans is all
    that such a piece is good for: it may be one with the border of a shadow.
    """
    if not backs.told:
        return None
    there = [arc for arc in found if backs.off(arc) < _PLAINLY]
    pieces: tuple[list[Arc], list[Arc]] = ([], [])
    for arc in there:
        one, other = backs.off_each(arc)
        if abs(one - other) > _APART:
            pieces[one > other].append(arc)
    less, more = sorted(pieces, key=_worth_of)
    if _worth_of(more) < _PIECES or _worth_of(less) > _LITTLE * _worth_of(more):
        return None
    return max(more, key=lambda arc: arc.worth)


def may_be_shadow(back: Arc, tilt: Tilt) -> bool:
    """Return whether an arc may be the border of the near edge's shadow on the part behind.

    Looked at squarely with a lamp beside the camera, that border runs about where the edge would
    at some degrees of lean, and it is lighter inside as well.
    """
    return tilt.least < _SQUARE and back.contrast < -_LIGHTER


def _worth_of(arcs: list[Arc]) -> float:
    return sum(arc.worth for arc in arcs)


def _edges(there: list[Arc], found: list[Arc], edged: float, worth: float) -> list[Arc]:
    """Return the arcs that are long, sharp and plain edges."""
    return [
        arc
        for arc in sharp(there, found)
        if arc.quality > edged and arc.worth > worth and arc.radius * arc.sweep > _CRESCENT
    ]


def _share_a_lean(one: Arc, other: Arc, backs: Backs) -> bool:
    """Return whether the hole may lean so that both arcs run where the edge was foretold."""
    pairs = zip(backs.off_each(one), backs.off_each(other), strict=True)
    return any(max(pair) < _STRONGLY for pair in pairs)


def _slack(arc: Arc) -> float:
    """Return how far off the foretold place, in near radii, an arc may be the edge.

    Of a strong one it is sooner the place that is a little off: it hangs on the near rim's fit.
    """
    return _STRONGLY if arc.worth > _STRONG else _PLAINLY
