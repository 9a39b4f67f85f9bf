"""Arcs seen through a near rim: circles of its own frame, of which only a piece shows.

In the frame that makes the near rim the unit circle, every other edge of the two drillings is a
circle too (parallel planes), whatever the tilt; its radius and place are unknown. A circle is
judged by the best unbroken piece of it inside the near rim: edge strength on the circle, less what
chance would give, summed along the piece.
"""

from typing import Final

import numpy as np
from msgspec import Struct

from annotate.polar import Array, Frame, Image, blurred, sample
from annotate.rings import Pyramid, evidence
from annotate.track import peaks

DIRECTIONS: Final = 20  # of half a turn
INNER: Final = 0.965  # beyond this many near radii an edge is the near rim's own
CHANCE: Final = 0.45  # edge strength that a place without an edge may show by chance
_PATCH_PX: Final = 130.0  # pixels of the patch per near radius, at most
_RADII: Final = tuple(float(r) for r in np.geomspace(0.33, 2.8, 28))
_LARGEST: Final = 4.0  # near radii: beyond, an arc is a straight line to us
_SAMPLES: Final = 64  # along a circle in the rough search
_SHORTEST: Final = 0.3  # near radii of arc that can be told from a straight edge or a scratch
_APART: Final = 0.05  # near radii between rough circles worth telling apart
_SURE: Final = 0.2  # worth of an arc that needs no better fit
_SAME: Final = 0.02  # near radii between arcs that are one edge
_BESIDE: Final = 0.03  # near radii off an edge where its two tones are read
_SPACING_PX: Final = 0.7  # of the patch, between samples across an edge
_FEWEST: Final = 5  # samples that make a piece


class Arc(Struct, frozen=True):
    """A circle in the near rim's unit frame and the piece of it that shows an edge.

    ``x``, ``y``, ``radius`` in near radii; ``start`` and ``sweep`` in radians from +x towards +y.
    ``worth``: excess edge strength summed along the piece (near radii). ``contrast``: grey outside
    the circle minus inside, median along the piece; ``steady``: share of the piece with that sign;
    ``inside`` and ``outside``: those grey values.
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


class Patch(Struct, frozen=True):
    """The inside of a near rim laid out flat, ``half`` pixels to a near radius."""

    image: Image
    half: float

    def at(self, unit: Array) -> Image:
        """Return grey values at points (..., 2) of the unit frame."""
        return sample(self.image, unit * self.half + (self.image.shape[0] - 1) / 2)


def patch(levels: Pyramid, frame: Frame, reach: float = 1.3) -> Patch:
    """Return the picture inside and just around a near rim, in the rim's unit frame."""
    half = min(_PATCH_PX, max(frame.radius_px, 24.0))
    level = levels.for_radius(frame.radius_px, half)
    at = frame.scaled(0.5**level)
    span = int(half * reach)
    axis = np.arange(-span, span + 1) / half
    points = at.to_px(np.stack(np.meshgrid(axis, axis), axis=-1))
    image = np.nan_to_num(sample(levels.levels[level], points))
    return Patch(np.asarray(image, np.float32), half)


def arcs(flat: Patch, keep: int = 24) -> list[Arc]:
    """Return the best circles inside the near rim, most worth first."""
    found: list[Arc] = []
    for x, y, radius in _rough(flat, 4 * keep):
        # A rough circle through an arc already fitted would only find it again.
        if not any(_through(a, x, y, radius, 1.5 * _SAME) for a in found if a.worth > _SURE):
            arc = fit(flat, x, y, radius)
            found += [arc] if arc is not None else []
    kept: list[Arc] = []
    for arc in sorted(found, key=lambda a: -a.worth):
        if not any(_through(arc, k.x, k.y, k.radius, _SAME) for k in kept):
            kept.append(arc)
    return kept[:keep]


def _through(arc: Arc, x: float, y: float, radius: float, within: float) -> bool:
    """Return whether a circle runs through the piece of an arc that shows."""
    t = arc.start + arc.sweep * np.linspace(0, 1, 15)
    across = arc.x + arc.radius * np.cos(t) - x
    down = arc.y + arc.radius * np.sin(t) - y
    return bool(np.median(np.abs(np.hypot(across, down) - radius)) < within)


def _rough(flat: Patch, count: int) -> list[tuple[float, float, float]]:
    """Return centre and radius of the circles with most edge along their part inside."""
    image = blurred(blurred(flat.image, 0.8, 0), 0.8, 1)
    maps = np.sqrt(evidence(image, DIRECTIONS, 1))
    found = [hit for radius in _RADII for hit in _rough_of(maps, flat.half, radius)]
    kept: list[tuple[float, float, float]] = []
    for _, x, y, radius in sorted(found, key=lambda r: -r[0]):
        far_from = (abs(x - k[0]) + abs(y - k[1]) + abs(radius - k[2]) > _APART for k in kept)
        if len(kept) < count and all(far_from):
            kept.append((x, y, radius))
    return kept


def _rough_of(maps: Image, half: float, radius: float) -> list[tuple[float, float, float, float]]:
    """Return worth, centre and radius of the best circles of one radius, three per direction."""
    middle = (maps.shape[1] - 1) / 2
    length = min(np.pi * radius, 2.4)
    psi = np.linspace(-length / radius, length / radius, _SAMPLES)
    # Circles centred on the +x axis at q, beginning where they cross it nearest to the middle.
    q = np.arange(max(-0.93, -radius - 0.02), 0.93, 0.03) + radius
    x = q[:, None] - radius * np.cos(psi)
    y = np.broadcast_to(-radius * np.sin(psi), x.shape)
    inside = np.hypot(x, y) < INNER
    share = inside.sum(axis=1)
    shown = np.minimum(share * (2 * length / _SAMPLES), 2.5)
    found: list[tuple[float, float, float, float]] = []
    for alpha in 2 * np.pi * np.arange(60) / 60:
        c, s = float(np.cos(alpha)), float(np.sin(alpha))
        column = np.rint((c * x - s * y) * half + middle).astype(int)
        row = np.rint((s * x + c * y) * half + middle).astype(int)
        column, row = (np.clip(v, 0, maps.shape[1] - 1) for v in (column, row))
        towards = np.rint((psi + np.pi + alpha) * DIRECTIONS / np.pi).astype(int)
        out = maps[towards % (2 * DIRECTIONS), row, column] * inside
        into = maps[(towards + DIRECTIONS) % (2 * DIRECTIONS), row, column] * inside
        either = np.maximum(out, into).sum(axis=1)
        one_way = np.maximum(out.sum(axis=1), into.sum(axis=1))
        score = 0.5 * (either + one_way) / np.maximum(share, 1)
        worth = np.where(shown > _SHORTEST, (score - 0.35) * shown, -1)
        best = np.argsort(-worth)[:3]
        found += [(float(worth[i]), float(q[i]) * c, float(q[i]) * s, radius) for i in best]
    return found


def fit(flat: Patch, x: float, y: float, radius: float) -> Arc | None:
    """Return a circle pulled onto the edges beside it, with the piece of it that shows."""
    at = np.array([x, y, radius])
    for band in (0.05, 0.03, 0.02, 0.02):
        laid = _lay(flat, at, band + 0.04)
        if laid is None:
            return None
        t, offsets, grid = laid
        strength = np.abs(_edges(grid))
        peak, shift = peaks(strength)
        window = np.exp(-0.5 * (offsets / (0.7 * band)) ** 2)
        pick = np.argmax((peak + 0.1 * strength) * window, axis=1)
        rows = np.arange(len(t))
        weight = peak[rows, pick].astype(np.float64) ** 2
        value = offsets[pick] + shift[rows, pick] * (offsets[1] - offsets[0])
        at = at + _step(t, value, weight, band)
        if not _RADII[0] * 0.8 < at[2] < _LARGEST or np.hypot(at[0], at[1]) > _LARGEST:
            return None
    return _judged(flat, at)


def _step(t: Array, value: Array, weight: Array, band: float) -> Array:
    """Return the robust change of centre and radius towards edges ``value`` off a circle."""
    design = np.stack([np.cos(t), np.sin(t), np.ones_like(t)], axis=1)
    # A short arc leaves centre and radius free against each other: the ridge keeps the step short.
    ridge = 1e-3 * np.eye(3)
    use, step = weight, np.zeros(3)
    for _ in range(6):
        normal = design * use[:, None]
        step = np.linalg.solve(normal.T @ design + ridge, normal.T @ value)
        left = np.clip(np.abs(value - design @ step) / band, 0, 1)
        use = weight * (1 - left**2) ** 2
    return np.asarray(np.clip(step, -0.3, 0.3))


def _lay(flat: Patch, at: Array, band: float) -> tuple[Array, Array, Image] | None:
    """Return angles on a circle inside the near rim, offsets across it and the grey values."""
    x, y, radius = at.tolist()
    count = int(np.clip(2 * np.pi * radius * flat.half / 2.0, 90, 1400))
    t = 2 * np.pi * np.arange(count) / count
    inside = np.hypot(x + radius * np.cos(t), y + radius * np.sin(t)) < INNER
    if inside.sum() * 2 * np.pi * radius / count < 0.8 * _SHORTEST:
        return None
    if not inside.all():
        # Begin where the circle comes in, so that a piece is not cut in two.
        first = int(np.flatnonzero(inside & ~np.roll(inside, 1))[0])
        t, inside = np.roll(t, -first), np.roll(inside, -first)
        t = np.where(t < t[0], t + 2 * np.pi, t)
    t = t[inside]
    offsets = np.arange(-band, band + 1e-9, _SPACING_PX / flat.half)
    r = radius + offsets
    points = np.stack([x + np.cos(t)[:, None] * r, y + np.sin(t)[:, None] * r], axis=-1)
    return t, offsets, flat.at(points)


def _edges(grid: Image) -> Image:
    """Return signed edge strength 'outwards brighter' along each row of a laid-out band."""
    steady = blurred(blurred(np.nan_to_num(grid), 1.4, 1), 1.2, 0)
    slope = np.gradient(steady, axis=1)
    usual = 2 * float(np.median(np.abs(slope))) + 0.5
    return np.asarray(slope / (np.abs(slope) + usual), np.float32)


def _judged(flat: Patch, at: Array) -> Arc | None:
    """Return the circle with its best piece, worth and contrast; None if nothing shows."""
    laid = _lay(flat, at, 0.07)
    if laid is None:
        return None
    t, offsets, grid = laid
    radius = float(at[2])
    peak, shift = peaks(np.abs(_edges(grid)))
    away = offsets + shift * (offsets[1] - offsets[0])
    on_it = np.exp(-0.5 * (away / max(0.008, 0.8 / flat.half)) ** 2)
    score = np.max(peak * on_it, axis=1).astype(np.float64)
    ds = radius * float(np.median(np.diff(t)))
    closed = len(t) * ds > 0.995 * 2 * np.pi * radius
    first, last, worth = best_piece(score - CHANCE, closed)
    piece = np.arange(first, last) % len(t)
    if len(piece) < _FEWEST:
        return None
    outside = grid[piece][:, offsets > _BESIDE].mean(axis=1)
    inside = grid[piece][:, offsets < -_BESIDE].mean(axis=1)
    contrast = float(np.median(outside - inside))
    return Arc(
        float(at[0]),
        float(at[1]),
        radius,
        start=float(t[piece[0]]),
        sweep=len(piece) * ds / radius,
        worth=worth * ds,
        quality=float(score[piece].mean()),
        contrast=contrast,
        steady=float(np.mean(np.sign(outside - inside) == np.sign(contrast))),
        inside=float(np.median(inside)),
        outside=float(np.median(outside)),
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
