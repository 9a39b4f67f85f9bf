"""Which of the arcs inside a near rim is the near hole's own far edge, or none of them."""

from typing import Final

import numpy as np

from annotate.far_edges.arcs import Arc, judged
from annotate.far_edges.back_edge import Backs
from annotate.far_edges.nested import circle_of, off, outside, sharp, within
from annotate.far_edges.rough_arcs import Patch
from annotate.pixels.polar import Array, Tilt

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
# Worth of a piece along a foretold circle, and the share of it that the other lean's may have: 29
# own pictures of 394 without the edge had such a piece, on 28 it was the edge.
_ALONG, _OTHER_LEAN = 0.3, 0.6
_COARSE: Final = 0.016  # near radii between circles that are tried first
_AT_ONCE: Final = 100
_TOO_MANY: Final = 500  # circles of a lean: of a hole so squarely seen both leans are one
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


def along_foretold(flat: Patch, backs: Backs) -> Arc | None:
    """Return the best piece along a circle that one lean of a typed wall foretells, or None.

    Asked where no arc found is the edge: a shadow beside it or a rim that crosses it pulls a circle
    that may lie anywhere off it, and these lie where they do. None if the other lean has as much.
    """
    if not backs.told:
        return None
    best = [_best_along(flat, circles) for circles in backs.leans]
    less, more = sorted(best, key=lambda arc: 0.0 if arc is None else arc.worth)
    if more is None or more.worth < _ALONG:
        return None
    return more if less is None or less.worth < _OTHER_LEAN * more.worth else None


def _best_along(flat: Patch, circles: Array) -> Arc | None:
    coarse = np.unique(np.rint(circles / _COARSE), axis=0)
    rough = _best_of(flat, _COARSE * coarse) if len(coarse) < _TOO_MANY else None
    if rough is None:
        return None
    off = np.abs(circles - (rough.x, rough.y, rough.radius)).max(axis=1)
    return _best_of(flat, circles[off < _COARSE])


def _best_of(flat: Patch, circles: Array) -> Arc | None:
    # Few at a time: what is laid out stays in the processor's own memory.
    parts = np.array_split(circles, -(-len(circles) // _AT_ONCE)) if len(circles) else []
    arcs = (arc for part in parts for arc in judged(flat, part))
    return max(arcs, key=lambda arc: arc.worth, default=None)


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
