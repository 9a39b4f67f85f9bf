"""What shows inside a near rim: where its opening is, of what tone, and what fills it."""

from typing import Final, Literal

import numpy as np

from annotate.far_edges.arcs import Arc
from annotate.far_edges.rough_arcs import Patch
from annotate.pixels.coded_edge import CLIPPED
from annotate.pixels.polar import Array

FarState = Literal["seen", "open", "shut", "end", "elsewhere", "slot", "unknown"]

_TENTH: Final = 0.1  # of the places inside the rim: an opening shows at least so much
_BLACK: Final = 0.12  # of the face's grey value


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


def face_tone(flat: Patch) -> float:
    """Return the grey value of the face round the near rim."""
    t = np.linspace(-np.pi, np.pi, 61)
    return float(np.median(flat.at(1.15 * np.stack([np.cos(t), np.sin(t)], axis=-1)[:, None, :])))


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
    bright = face_tone(flat)
    low, high = np.quantile(level, 0.05), np.quantile(level, 0.95)
    # A part behind that lies in shadow is dark too, but seldom as dark as a drilling.
    if np.quantile(level, 0.1) >= CLIPPED or high < _BLACK * bright:
        return "open"
    # Brighter than the face is a light behind, not the part behind.
    if low > 0.4 * bright and high < 0.95 * bright:
        return "shut"
    return "unknown"
