"""Whether the near hole is a slot: its outline has two straight sides, as no round hole's has.

A round hole is seen as an ellipse, bent in its third harmonic where its face is a bore. A slot with
round ends, from wherever it is seen, is an ellipse bent in its fourth: inside it at the middle of
each side and at each end, outside it in between. An oval that is itself an ellipse can't be told
from a round hole seen at a slant.
"""

from functools import cache
from typing import Final

import numpy as np

from annotate.near_edges.follow import peak_offsets, peaks
from annotate.near_edges.many import Frames, edge_strength, robust_fit, unrolled
from annotate.pixels.halvings import Pyramid
from annotate.pixels.polar import Array, Frame, harmonics

_ANGLES: Final = 180
_WANTED_PX: Final = 250.0
_REACH: Final = 0.2  # near radii either side that are looked at
_LONG: Final = (1.12, 1.2, 1.3, 1.42)  # length over breadth; a longer one is refused as too flat
_TURNS: Final = 8  # directions of half a turn
_BANDS: Final = (0.05, 0.03, 0.018)  # near radii off an outline where its edge is looked for
_CLOSE: Final = 0.006  # near radii from an outline within which an edge is its own
_EDGE: Final = 0.3  # edge strength plainly above chance
_ROUND: Final = 3  # harmonics that a round hole's outline has
_SLOT: Final = 4
_BARE: Final = 0.88  # share of a round hole's outline with an edge, above which it is one
_WHOLE: Final = 0.85  # the same of a slot's outline, below which it is none
_BETTER: Final = 0.1  # of mean edge strength, by which a slot's outline is the plainer one
_BENT: Final = 0.007  # near radii: least fourth harmonic of a slot


def is_slot(levels: Pyramid, frame: Frame) -> bool:
    """Return whether edges run along a slot's outline where they leave the ellipse of a rim.

    ``frame`` is that of the ellipse. A chamfer or a shadow beside a round rim makes no such
    outline: it would have to leave the ellipse both ways, and four times round.
    """
    part = next(iter(unrolled(levels, Frames.of([frame]), np.array([_REACH]), _ANGLES, _WANTED_PX)))
    strength = np.abs(edge_strength(part.grid))
    radii = part.radii[0]
    step = float(radii[1] - radii[0])
    edges = peaks(strength)[0], radii + peak_offsets(strength)[0] * step
    close = max(_CLOSE, 0.5 * step)
    worth, share = _shown(edges, _fitted(edges, np.ones((1, _ANGLES)), _ROUND), close)
    if share[0] > _BARE:
        return False
    slots = _fitted(edges, _slots(), _SLOT)
    as_slot, whole = _shown(edges, slots, close)
    turn = harmonics(2 * np.pi * np.arange(_ANGLES) / _ANGLES, _SLOT)[:, -2:]
    bent = np.linalg.norm(2 / _ANGLES * slots @ turn, axis=1)
    return bool(np.any((bent > _BENT) & (whole > _WHOLE) & (as_slot > worth[0] + _BETTER)))


def _fitted(edges: tuple[Array, Array], shapes: Array, orders: int) -> Array:
    """Return outlines (N, angles) pulled onto the edges beside them by their harmonics.

    ``edges``: strength and place (angles, K) of each.
    """
    peak, at = edges
    turn = harmonics(2 * np.pi * np.arange(_ANGLES) / _ANGLES, orders)
    outlines = shapes
    for band in _BANDS:
        near = peak * np.exp(-0.5 * ((at - outlines[..., None]) / (0.6 * band)) ** 2)
        pick = near.argmax(axis=2)
        which = np.arange(_ANGLES)
        weight = np.take_along_axis(near, pick[..., None], 2)[..., 0] ** 2
        off = at[which, pick] - shapes
        bend = robust_fit(turn, off, np.full(len(shapes), band), weight)
        outlines = shapes + bend @ turn.T
    return outlines


def _shown(edges: tuple[Array, Array], outlines: Array, close: float) -> tuple[Array, Array]:
    """Return the mean edge strength on outlines (N, angles), and the share that has an edge."""
    peak, at = edges
    on_it = (peak * np.exp(-0.5 * ((at - outlines[..., None]) / close) ** 2)).max(axis=2)
    return on_it.mean(axis=1), (on_it > _EDGE).mean(axis=1)


@cache
def _slots() -> Array:
    """Return the outlines (N, angles) of slots in the frames of the ellipses nearest to them."""
    phi = 2 * np.pi * np.arange(_ANGLES) / _ANGLES
    turns = np.pi * np.arange(_TURNS) / _TURNS
    outlines = [_slot(long) for long in _LONG]
    return np.array(
        [np.interp(phi - a, phi, one, period=2 * np.pi) for one in outlines for a in turns]
    )


def _slot(long: float) -> Array:
    """Return the radii (angles,) of the outline of a slot that lies along angle 0."""
    phi = 2 * np.pi * np.arange(_ANGLES) / _ANGLES
    end = np.linspace(-np.pi / 2, np.pi / 2, 200)
    side = np.linspace(long - 1, 1 - long, 100)
    half = np.concatenate(
        [
            np.stack([np.cos(end) + long - 1, np.sin(end)], axis=-1),
            np.stack([side, np.ones_like(side)], axis=-1)[1:-1],
        ]
    )
    outline = np.concatenate([half, -half])
    squeeze = np.array([1 / long, 1.0])
    for _ in range(8):
        seen = outline * squeeze
        around = np.arctan2(seen[:, 1], seen[:, 0])
        order = np.argsort(around)
        radii = np.interp(phi, around[order], np.hypot(*seen.T)[order], period=2 * np.pi)
        size, stretched = radii.mean(), 2 * np.mean(radii * np.cos(2 * phi))
        squeeze = squeeze / (size + stretched * np.array([1, -1]))
    return np.asarray(radii)
