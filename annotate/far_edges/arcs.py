"""Arcs seen through a near rim: circles of its own frame, of which only a piece shows.

In the frame that makes the near rim the unit circle, every other edge of the two drillings is a
circle too (parallel planes), whatever the tilt; its radius and place are unknown. A circle is
judged by the best unbroken piece of it inside the near rim: edge strength on the circle, less what
chance would give, summed along the piece.
"""

from collections.abc import Sequence
from typing import Final

import numpy as np
from msgspec import Struct

from annotate.far_edges.rough_arcs import RADII, SHORTEST, Patch, inside_range, rough
from annotate.near_edges.follow import peak_offsets, peak_offsets_at, peaks
from annotate.pixels.polar import Array, Image, blurred_both, known, medians, sample_at, slopes

CHANCE: Final = 0.45  # edge strength that a place without an edge may show by chance
_LARGEST: Final = 4.0  # near radii: beyond, an arc is a straight line to us
_SAMPLES: Final = 160  # along the part of a circle that lies inside the near rim
# Near radii that an edge may lie off a circle, and samples: a rough one is pulled nearer first.
_BANDS: Final = ((0.05, 80), (0.03, 80), (0.02, _SAMPLES), (0.02, _SAMPLES))
_SURE: Final = 0.2  # worth of an arc that needs no better fit
_SAME: Final = 0.02  # near radii between arcs that are one edge
_BESIDE: Final = 0.03  # near radii off an edge where its two tones are read
_CALM_PX: Final = 6.0  # of the patch, either side: a small hole's edge must not fill the band
_SPACING_PX: Final = 0.7  # of the patch, between samples across an edge
_ALONG: Final = 15  # points along a piece that tell how far off another circle runs
_FEWEST: Final = 5  # samples that make a piece


class Arc(Struct, frozen=True):
    """A circle in the near rim's unit frame and the piece of it that shows an edge.

    ``x``, ``y``, ``radius`` in near radii; ``start`` and ``sweep`` in radians from +x towards +y.
    ``worth``: excess edge strength summed along the piece (near radii). ``contrast``: grey outside
    the circle minus inside, median along the piece; ``steady``: share of the piece with that sign;
    ``inside`` and ``outside``: those grey values. ``width``: how far across the edge its tone
    changes, in pixels of the patch, median along the piece (half height of the slope).
    """

    x: float
    y: float
    radius: float
    start: float
    sweep: float
    worth: float
    quality: float
    contrast: float
    steady: float
    inside: float
    outside: float
    width: float


def arcs(flat: Patch, keep: int = 24) -> list[Arc]:
    """Return the best circles inside the near rim, most worth first."""
    left = rough(flat, 4 * keep)
    found: list[Arc] = []
    while len(left):
        found += fit(flat, left[:keep])
        # A rough circle through an arc already fitted would only find it again.
        sure = [arc for arc in found if arc.worth > _SURE]
        left = left[keep:]
        left = left[np.all(_along_each(sure, left) >= 1.5 * _SAME, axis=0)]
    found.sort(key=lambda a: -a.worth)
    same = (
        _along_each(found, np.array([[a.x, a.y, a.radius] for a in found]).reshape(-1, 3)) < _SAME
    )
    kept: list[int] = []
    for i, one in enumerate(same):
        if not np.any(one[kept]):
            kept.append(i)
    return [found[i] for i in kept[:keep]]


def along(arc: Arc, circles: Array, share: float = 0.5) -> Array:
    """Return how far circles (N, 3) run from the given share of an arc's piece that shows."""
    return np.asarray(_along_each([arc], circles, share)[0])


def _along_each(some: Sequence[Arc], circles: Array, share: float = 0.5) -> Array:
    """Return the same of several arcs (arcs, N)."""
    x, y, radius, start, sweep = (
        np.array([[a.x, a.y, a.radius, a.start, a.sweep] for a in some])
        .reshape(-1, 5, 1)
        .transpose(1, 0, 2)
    )
    t = start + sweep * np.linspace(0, 1, _ALONG)
    across = (x + radius * np.cos(t))[:, None] - circles[:, 0, None]
    down = (y + radius * np.sin(t))[:, None] - circles[:, 1, None]
    off = np.sort(np.abs(np.hypot(across, down) - circles[:, 2, None]), axis=2)
    # The quantile between two of them, as numpy has it, and many times faster.
    low, part = divmod(share * (_ALONG - 1), 1)
    below, above = off[..., int(low)], off[..., min(int(low) + 1, _ALONG - 1)]
    return np.asarray(below + part * (above - below))


def piece_of(arc: Arc) -> Array:
    """Return points (15, 2) along the piece of an arc that shows."""
    t = arc.start + arc.sweep * np.linspace(0.03, 0.97, 15)
    way = np.stack([np.cos(t), np.sin(t)], axis=-1)
    return np.asarray((arc.x, arc.y) + arc.radius * way)


def fit(flat: Patch, circles: Array) -> list[Arc]:
    """Return circles (N, 3) pulled onto the edges beside them, with the pieces that show."""
    at = circles
    for band, samples in _BANDS:
        at, t, offsets, grid = _lay(flat, at, max(band + 0.04, _CALM_PX / flat.half), samples)
        if not len(at):
            return []
        strength = np.abs(_edges(grid))
        peak = peaks(strength)
        window = np.exp(-0.5 * (offsets / (0.7 * band)) ** 2).astype(np.float32)
        pick = np.argmax((peak + 0.1 * strength) * window, axis=2)
        on_it = np.take_along_axis(peak, pick[..., None], 2)[..., 0] * flat.shows(_along(at, t))
        value = offsets[pick] + peak_offsets_at(strength, pick) * (offsets[1] - offsets[0])
        at = at + _steps(t, value, on_it.astype(np.float64) ** 2, band)
        sound = (RADII[0] * 0.8 < at[:, 2]) & (at[:, 2] < _LARGEST)
        at = at[sound & (np.hypot(at[:, 0], at[:, 1]) < _LARGEST)]
    return judged(flat, at)


def _along(at: Array, t: Array) -> Array:
    """Return points (N, S, 2) at angles (N, S) on circles (N, 3)."""
    way = np.stack([np.cos(t), np.sin(t)], axis=-1)
    return np.asarray(at[:, None, :2] + at[:, None, 2:] * way)


def _steps(t: Array, value: Array, weight: Array, band: float) -> Array:
    """Return the robust changes (N, 3) of circles towards edges ``value`` (N, S) off them."""
    design = np.stack([np.cos(t), np.sin(t), np.ones_like(t)], axis=-1)
    # A short arc leaves centre and radius free against each other: the ridge keeps the step short.
    ridge = 1e-3 * np.eye(3)
    use, step = weight, np.zeros((len(t), 3))
    for _ in range(6):
        normal = (design * use[..., None]).transpose(0, 2, 1)
        step = np.linalg.solve(normal @ design + ridge, normal @ value[..., None])[..., 0]
        left = np.clip(np.abs(value - (design @ step[..., None])[..., 0]) / band, 0, 1)
        use = weight * (1 - left**2) ** 2
    return np.asarray(np.clip(step, -0.3, 0.3))


def _lay(
    flat: Patch, at: Array, band: float, samples: int = _SAMPLES
) -> tuple[Array, Array, Array, Image]:
    """Return circles that come inside, angles on them (N, S), offsets across, and grey values."""
    start, sweep = inside_range(at)
    enough = sweep * at[:, 2] > 0.8 * SHORTEST
    at, start, sweep = at[enough], start[enough], sweep[enough]
    t = start[:, None] + sweep[:, None] * (np.arange(samples) + 0.5) / samples
    offsets = np.arange(-band, band + 1e-9, _SPACING_PX / flat.half)
    if not len(at):
        return at, t, offsets, np.zeros((0, samples, len(offsets)), np.float32)
    r = ((at[:, 2, None] + offsets) * flat.half).astype(np.float32)[:, None, :]
    x, y = (
        way.astype(np.float32)[..., None] * r + centre.astype(np.float32)[:, None, None]
        for way, centre in zip((np.cos(t), np.sin(t)), flat.to_px(at[:, :2]).T, strict=True)
    )
    return at, t, offsets, sample_at(flat.image, x, y)


def _edges(grid: Image) -> Image:
    """Return signed edge strength 'outwards brighter' along each row of laid-out bands."""
    slope = slopes(blurred_both(known(grid), 1.4, 1.2))
    # A third of the rows tells what is usual.
    usual = 2 * medians(np.abs(slope[:, ::3])) + 0.5
    return np.asarray(slope / (np.abs(slope) + usual.astype(np.float32)[:, None, None]))


def judged(flat: Patch, circles: Array) -> list[Arc]:
    """Return circles (N, 3) as they lie with their best piece, those of which something shows."""
    at, t, offsets, grid = _lay(flat, circles, max(0.07, _CALM_PX / flat.half))
    if not len(at):
        return []
    close = max(0.008, 0.8 / flat.half)
    # Farther off an edge counts for nothing.
    there = slice(*np.searchsorted(offsets, (-5 * close, 5 * close)))
    strength = np.abs(_edges(grid))[..., there]
    away = offsets[there].astype(np.float32)
    away = away + peak_offsets(strength) * np.float32(offsets[1] - offsets[0])
    on_it = np.exp(-0.5 * (away / np.float32(close)) ** 2)
    scores = np.max(peaks(strength) * on_it, axis=2).astype(np.float64) * flat.shows(_along(at, t))
    outside = grid[:, :, np.searchsorted(offsets, _BESIDE, "right") :].mean(axis=2)
    inside = grid[:, :, : np.searchsorted(offsets, -_BESIDE)].mean(axis=2)
    widths = _widths(grid, offsets)
    found = [_arc(*parts) for parts in zip(at, t, scores, inside, outside, widths, strict=True)]
    return [arc for arc in found if arc is not None]


def _widths(grid: Image, offsets: Array) -> Array:
    """Return how far across each place of laid-out bands the tone changes, in pixels (N, S)."""
    slope = slopes(blurred_both(known(grid), 1.2, 2.0))
    middle = np.flatnonzero(np.abs(offsets) < _BESIDE)
    first, last = int(middle[0]), int(middle[-1])
    top = first + np.argmax(np.abs(slope[..., first : last + 1]), axis=2)[..., None]
    height = np.take_along_axis(slope, top, 2)
    low = slope * np.sign(height) < 0.5 * np.abs(height)
    at = np.arange(len(offsets), dtype=np.int16)
    left = np.max((low & (at < top)) * (at + 1), axis=2) - 1
    right = len(at) - np.max((low & (at > top)) * (len(at) - at), axis=2)
    return np.asarray((right - left - 1) * _SPACING_PX)


def _arc(
    at: Array, t: Array, score: Array, inside: Image, outside: Image, width: Array
) -> Arc | None:
    """Return one circle with its best piece; None if nothing of it shows."""
    radius, step = float(at[2]), float(t[1] - t[0])
    first, last, worth = best_piece(score - CHANCE, step * len(t) > 0.995 * 2 * np.pi)
    piece = np.arange(first, last) % len(t)
    if len(piece) < _FEWEST:
        return None
    difference = outside[piece] - inside[piece]
    parts = difference, inside[piece], outside[piece], width[piece]
    contrast, inner, outer, across = medians(np.stack(parts)).tolist()
    return Arc(
        float(at[0]),
        float(at[1]),
        radius,
        start=float(t[piece[0]] - step / 2),
        sweep=len(piece) * step,
        worth=worth * step * radius,
        quality=float(score[piece].mean()),
        contrast=contrast,
        steady=float(np.mean(np.sign(difference) == np.sign(contrast))),
        inside=inner,
        outside=outer,
        width=across,
    )


def best_piece(gain: Array, closed: bool) -> tuple[int, int, float]:
    """Return start, end and sum of the contiguous run of ``gain`` with the greatest sum."""
    count = len(gain)
    values = np.concatenate([gain, gain]) if closed else gain
    best, best_first, best_last = 0.0, 0, 0
    total, first = 0.0, 0
    for i, v in enumerate(values.tolist()):
        if total <= 0:
            total, first = 0.0, i
        total += v
        if total > best and i - first < count:
            best, best_first, best_last = total, first, i + 1
    return best_first, best_last, best
