"""Which of the arcs inside a near rim is which: the far rim, the near hole's own far edge, neither.

The near hole's own far edge is known before it is seen: the near rim's size, moved along its minor
axis by no more than the tilt allows. What fits that is never taken for the far rim.
"""

from typing import Final, Literal

import numpy as np

from annotate.arcs import Arc, Patch
from annotate.polar import Array, Frame

FarState = Literal["seen", "open", "shut", "unknown"]

CLIPPED: Final = 250.0
_BACK_RADII: Final = (0.93, 1.03)  # near radii: a short arc does not tell its radius better
_SLACK: Final = 0.03  # near radii by which a circle's place may be off
_EDGED: Final = 0.57  # edge strength along an arc that is an edge most of the way
_BACK_WORTH: Final = 0.2
_CRESCENT: Final = 0.8  # near radii: the border of a crescent is long
_FAR_VALUE: Final = 0.12
_FAINT: Final = 15.0  # grey values across an edge that say little of which side is which
_FAINT_WORTH: Final = 0.45  # a faint edge must be long and clean instead
_FAR_LENGTH: Final = 0.3  # near radii
_TENTH: Final = 0.1  # of the places inside the rim: an opening shows at least so much


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


def _tilt(frame: Frame) -> tuple[float, Array]:
    """Return the greatest tangent of the view angle an ellipse allows, and its minor axis."""
    values, vectors = np.linalg.eigh(frame.matrix)
    # A saddle-shaped rim and the fit blur the ratio of the axes by about this much.
    cosine = float(np.clip(abs(values[0] / values[1]) - 0.008, 0.1, 0.999))
    return float(np.sqrt(1 - cosine**2) / cosine), vectors[:, 0]


def _could_be_back(arc: Arc, frame: Frame, thickest: float = 1.0) -> bool:
    """Return whether a circle can be the near hole's own far edge, by size and by place.

    It is the near rim less the depth's share, moved along the ellipse's minor axis by t tan(theta)
    with a wall t of ``thickest`` near radii at most.
    """
    tangent, minor = _tilt(frame)
    shift = np.array([arc.x, arc.y])
    size = float(np.hypot(*shift))
    if not _BACK_RADII[0] < arc.radius < _BACK_RADII[1] or size > thickest * tangent + _SLACK:
        return False
    no_direction = size < 2 * _SLACK or tangent < 0.2  # noqa: PLR2004 - too little tilt to tell
    return no_direction or abs(float(shift @ minor)) > 0.85 * size  # within 32 degrees


def back_of(found: list[Arc], frame: Frame) -> Arc | None:
    """Return the arc that is the near hole's own far edge, or None if none plainly is.

    The near rim's shadow on the part behind has the same size, so a rival of the same kind in
    another place means that neither is sure.
    """
    fits = [
        a
        for a in found
        if a.quality > _EDGED
        and a.worth > _BACK_WORTH
        and a.radius * a.sweep > _CRESCENT
        and _could_be_back(a, frame, 0.75)
    ]
    if len(fits) > 1 and fits[1].worth > 0.6 * fits[0].worth:
        return None
    return fits[0] if fits else None


def far_of(found: list[Arc], frame: Frame, at: Array, level_at: float) -> Arc | None:
    """Return the arc that is the far rim, or None if none plainly is.

    Most edge, most contrast, the click's own tone on the click's side. What may be the near hole's
    own far edge is never taken for the far rim.
    """
    best: tuple[float, Arc | None] = (_FAR_VALUE, None)
    for arc in found:
        holds_click = np.hypot(at[0] - arc.x, at[1] - arc.y) < 1.03 * arc.radius
        long_enough = arc.radius * arc.sweep > _FAR_LENGTH
        if not (holds_click and long_enough) or arc.quality < _EDGED:
            continue
        if _could_be_back(arc, frame):
            continue
        size = abs(arc.contrast)
        value = arc.worth * (0.3 + 0.7 * size / (size + 25))
        if size < _FAINT and arc.worth < _FAINT_WORTH:
            continue
        if size > _FAINT and abs(level_at - arc.inside) > abs(level_at - arc.outside):
            value *= 0.4
        if value > best[0]:
            best = (value, arc)
    return best[1]


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
    if np.quantile(level, 0.1) >= CLIPPED or np.quantile(level, 0.95) < 0.25 * bright:
        return "open"
    if np.quantile(level, 0.05) > 0.4 * bright and np.quantile(level, 0.95) < 1.2 * bright:
        return "shut"
    return "unknown"
