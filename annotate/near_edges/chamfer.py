"""The drilled edge below a chamfer, told by where it can lie: a ring just inside the outer edge.

A chamfer's lower edge is a smaller circle in a parallel plane, as deep below the face as the
chamfer goes. Seen aslant it is moved along the tilt by that depth times the tilt's tangent, so by
about its width times it, never sideways; the near hole's own far edge is moved by the wall's
depth, which is many times the difference of its radius. Seen squarely neither is moved, and the
two cannot be told apart: that is said as a doubt.
"""

from typing import Final

import numpy as np

from annotate.near_edges.follow import ANGLES, ORDERS, follow, peaks
from annotate.near_edges.many import Frames, edge_strength, laid
from annotate.near_edges.rings import Ring
from annotate.pixels.halvings import Pyramid
from annotate.pixels.polar import Array, Frame, Image, blurred, circle, harmonics, tilt_of

_SMALLEST: Final = 0.78  # outer radii of the drilled edge: chamfers wider than that are rare
_SUPPORT: Final = 0.38
_SHARE: Final = 0.45  # of the outer ring's support
_COVER: Final = 0.65  # share of the circle on which a chamfer's lower edge must show
_STEEPEST: Final = 1.4  # depth of a chamfer per width of it: 54 degrees
_FLATTEST: Final = 0.5
_LOOSE: Final = 0.12  # slack of a move per width of the chamfer
_PLACED: Final = 0.006  # outer radii to which a ring is placed
_DOUBT: Final = 0.05  # of a chamfer's width: how well its lower edge is told from it
_SQUARE: Final = 0.22  # tangent of the tilt below which a wall seen squarely looks like a chamfer
_WALL_SEEN: Final = 0.07  # outer radii that a wall seen squarely may show: its depth per distance
_SURE_SUPPORT: Final = 0.5
_SURE_COVER: Final = 0.85
_UNSURE: Final = 0.5  # of the width: either edge may be the drilled one
_THIN: Final = 0.035  # outer radii of a chamfer whose two edges disturb each other


def drilled_edge(levels: Pyramid, outer: Ring) -> tuple[Ring, float]:
    """Return the drilled edge in or on an outer ring, and the doubt which edge it is, in px."""
    inner = _ring_inside(levels, outer)
    cover = _cover(levels, inner)
    if inner.support < max(_SUPPORT, _SHARE * outer.support) or cover < _COVER:
        return outer, 0.0
    width_px = outer.frame.radius_px - inner.frame.radius_px
    width = width_px / outer.frame.radius_px
    sure = inner.support > _SURE_SUPPORT and cover > _SURE_COVER
    if not _is_below(outer.frame, inner.frame):
        # Two edges so near each other are each found a little wrong.
        thin = sure and 0 < width < _THIN
        return outer, _UNSURE * width_px if thin else 0.0
    if tilt_of(outer.frame).most > _SQUARE or width > _WALL_SEEN:
        return inner, _DOUBT * width_px
    return inner if sure else outer, _UNSURE * width_px


def _is_below(outer: Frame, inner: Frame) -> bool:
    """Return whether an inner ring lies where a chamfer's lower edge can, below an outer one."""
    tilt = tilt_of(outer)
    move = outer.to_unit(np.array([inner.cx, inner.cy]))
    width = 1 - inner.radius_px / outer.radius_px
    slack = _LOOSE * width + _PLACED
    along = abs(float(move @ tilt.along))
    across = abs(float(move @ np.array([-tilt.along[1], tilt.along[0]])))
    low, high = _FLATTEST * tilt.least * width, _STEEPEST * tilt.most * width
    return across < slack and low - slack < along < high + slack


def _ring_inside(levels: Pyramid, outer: Ring) -> Ring:
    """Return the best ring just inside another where a chamfer's lower edge can lie."""
    wanted = min(outer.frame.radius_px, 150.0)
    gap = max(0.012, 2.5 / outer.frame.radius_px)
    radii, grid = _band(levels, outer.frame, (_SMALLEST - 0.1, 1.04), wanted)
    peak = peaks(np.abs(edge_strength(grid[None], radii[None] < 1 - gap / 2))[0])
    hits = np.minimum(blurred(peak, 1.0, 1) / 0.4, 1)
    tilt = tilt_of(outer.frame)
    slopes = np.arange(-_STEEPEST * tilt.most, _STEEPEST * tilt.most + 1e-9, 0.06)
    slopes = slopes[np.abs(slopes) >= _FLATTEST * tilt.least]
    towards = circle(ANGLES) @ tilt.along
    at = np.arange(ANGLES)[None, :]
    best, start = -1.0, outer.frame
    for radius in np.arange(_SMALLEST, 1 - gap, 0.005):
        moves = (1 - radius) * slopes
        columns = np.rint((radius + moves[:, None] * towards - radii[0]) / (radii[1] - radii[0]))
        score = hits[at, np.clip(columns.astype(int), 0, len(radii) - 1)].mean(axis=1)
        i = int(np.argmax(score))
        if score[i] > best:
            best = float(score[i])
            start = outer.frame.shifted(moves[i] * tilt.along).grown(float(radius))
    return follow(levels, [start], (0.012, 0.008), wanted, calm_inside=True)[0]


def _cover(levels: Pyramid, ring: Ring) -> float:
    """Return the share of the circle, in steps of 18 degrees, on which a ring's edge shows."""
    wanted = min(ring.frame.radius_px, 150.0)
    radii, grid = _band(levels, ring.frame, (0.9, 1.04), wanted)
    inside = radii[None] < 0.995  # noqa: PLR2004 - just inside it
    peak = peaks(np.abs(edge_strength(grid[None], inside))[0])
    design = harmonics(2 * np.pi * np.arange(ANGLES) / ANGLES, ORDERS)
    off = radii[None, :] - 1 - (design[:, 5:] @ np.array(ring.bend))[:, None]
    close = np.abs(off) < max(0.01, 1.2 * (radii[1] - radii[0]))
    hit = np.max(np.where(close, peak, 0), axis=1).reshape(20, -1).mean(axis=1)
    return float(np.mean(hit > 0.35))  # noqa: PLR2004 - edge strength plainly above chance


def _band(
    levels: Pyramid, frame: Frame, span: tuple[float, float], wanted_px: float
) -> tuple[Array, Image]:
    """Return radii (of the ellipse) and grey values (angles, radii) of a band round an ellipse."""
    count = max(12, int((span[1] - span[0]) * min(frame.radius_px, wanted_px) * 1.5))
    radii = np.linspace(*span, count)
    return radii, laid(levels, Frames.of([frame]), radii[None], ANGLES, wanted_px)[0]
