"""Whether an edge is soft, as the border of a lamp's shadow is, and no edge of metal.

Grain makes a soft edge look narrow from place to place. Along all of it the tone goes on changing
beside it, where an edge of metal is done within what the lens blurs.
"""

from typing import Final

import numpy as np

from annotate.far_edges.arcs import Arc
from annotate.far_edges.nested import Circle, circle_of, plain_edges
from annotate.far_edges.rough_arcs import Patch
from annotate.pixels.polar import Array, circle

_CLOSE, _WIDE = 0.02, 0.08  # near radii either side of an edge
_ABOUT: Final = np.linspace(-0.008, 0.008, 5)  # near radii about each
_PLACES: Final = 60  # along an edge
_FEWEST: Final = 8
_CLEAR: Final = 0.93  # near radii from the near rim's middle: beyond, its own edge is met
_NO_CHANGE: Final = 4.0  # grey values, below which grain and stains tell no share of it
# Of the share of the most abrupt plain edge. 1569 own pictures: one shadow's 0.31 (0.48 of the arc
# found without a wall), right rims 0.50 and more, but for three whose tone turns round beside them.
_SOFT: Final = 0.49
_ONE_STEP: Final = 1.2  # share close by of one step of tone, with what blur and grain do to it
_NEAR_RIM: Final = (0.0, 0.0, 1.0)


def is_soft(flat: Patch, arc: Arc, found: list[Arc]) -> bool:
    """Return whether an arc is much softer than the most abrupt of plain edges.

    Of all found, and of the near rim: in the dark nothing else may be plain.
    """
    share = _share_close(flat, arc)
    if share is None or share < 0:
        return False
    others = [_share_close(flat, other) for other in plain_edges(found)]
    told = [other for other in others if other is not None]
    most = max([*told, _near_rims_share(flat)])
    return share < _SOFT * min(most, 1.0)


def _share_close(flat: Patch, arc: Arc) -> float | None:
    """Return the share of the change of tone across an arc that lies close by; None if untold."""
    t = arc.start + arc.sweep * np.linspace(0.05, 0.95, _PLACES)
    way = np.stack([np.cos(t), np.sin(t)], axis=-1)[:, None]
    close, wide = (_change(flat, arc, way, away) for away in (_CLOSE, _WIDE))
    if close is None or wide is None or abs(wide) < _NO_CHANGE:
        return None
    return close / wide


def _near_rims_share(flat: Patch) -> float:
    """Return the same of the near rim, at the median round it; 0 where a line runs along it."""
    way = circle(2 * _PLACES)[:, None]
    across = (_across(_NEAR_RIM, way, away) for away in (_CLOSE, _WIDE))
    close, wide = (float(np.median(_changes(flat, places))) for places in across)
    # With a chamfer's line along it, its tones change more close by than farther off.
    return close / wide if abs(wide) > _NO_CHANGE and 0 < close / wide < _ONE_STEP else 0.0


def _change(flat: Patch, arc: Arc, way: Array, away: float) -> float | None:
    """Return the mean change of tone from so far inside an arc to as far outside, in grey values.

    ``way`` (N, 1, 2) are directions from its middle; None if too few places are clear of the rim.
    """
    places = _across(circle_of(arc), way, away)
    clear = np.all(np.hypot(places[..., 0], places[..., 1]) < _CLEAR, axis=1)
    if np.count_nonzero(clear) < _FEWEST:
        return None
    return float(np.mean(_changes(flat, places[clear])))


def _across(about: Circle, way: Array, away: float) -> Array:
    """Return places (N, 10, 2): five about so far inside a circle, five about as far outside."""
    x, y, radius = about
    off = np.concatenate([-away + _ABOUT, away + _ABOUT])
    return np.asarray((x, y) + (radius + off)[:, None] * way)


def _changes(flat: Patch, places: Array) -> Array:
    """Return the changes of tone (N,) across an edge at places of ``_across``."""
    tones = flat.at(places)
    half = len(_ABOUT)
    return np.asarray(tones[:, half:].mean(axis=1) - tones[:, :half].mean(axis=1), np.float64)
