"""Which of the arcs inside a near rim is the near hole's own far edge, or none of them."""

from typing import Final

from annotate.arcs import Arc
from annotate.back_edge import Backs
from annotate.nested import circle_of, outside, sharp, within

_PLAINLY: Final = 0.015  # near radii off what can be the edge
_STRONGLY: Final = 0.02  # ... of a strong arc, where it was foretold
_STRONG: Final = 0.5  # worth
_EDGED: Final = 0.57  # edge strength along an arc that is an edge most of the way
_EDGED_THERE: Final = 0.5  # ... where it was foretold: it need not stand out against all others
_WORTH: Final = 0.2
_WORTH_THERE: Final = 0.15
_CRESCENT: Final = 0.7  # near radii: the border of a crescent is long
_RIVAL: Final = 0.4  # of an arc's worth
_ALL: Final = 0.85  # share of an arc's piece that counts as the whole
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
    for back in sorted(fits, key=lambda arc: -arc.worth):
        rivals = [arc for arc in fits if arc is not back and arc.worth > _RIVAL * back.worth]
        if all(
            outside(arc, circle_of(back)) < _CROSSING and _share_a_lean(arc, back, backs)
            for arc in rivals
        ):
            return back
    return None


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
