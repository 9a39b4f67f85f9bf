"""Closed rims round a click: which ellipses of a picture are bordered by an edge all round.

The evidence for an edge is the gradient's size against what is usual near by, saturated, and
counted only where the gradient stands across the ellipse. Its sign is free: round one rim the
face may be lighter than the wall here and darker there. Ellipses of 12 to 24 pixels radius are
tried on each halving of the picture, so the hole may have any size.
"""

from typing import Final

import numpy as np
import numpy.typing as npt
from msgspec import Struct

from annotate.polar import (
    Array,
    Frame,
    Image,
    blurred,
    circle,
    frame_of,
    harmonics,
    robust_fit,
    sample,
)

DIRECTIONS: Final = 24  # of half a turn
_RADII: Final = tuple(float(r) for r in np.geomspace(12, 24, 9)[:-1])  # pixels of a level
_SHAPES: Final = ((1.0, 1), (0.92, 4), (0.84, 6), (0.74, 8))  # axis ratio, directions tried
_REACH: Final = int(2 * _RADII[-1] * 1.2) + 3  # pixels of a level looked at round the click
_MOVE: Final = int(_RADII[-1] * 1.15)  # pixels of a level a centre may lie from the click
_KEEP: Final = 6  # candidates kept per level
_COARSEST: Final = 40  # pixels: a level whose shorter side is below this says nothing
_ANGLES: Final = 180
_FLATTEST: Final = 0.6  # axis ratio: a hole tilted by 53 degrees cannot be measured
_SMALLEST: Final = 5.0  # pixels: below 10 px across there is no rim to speak of
# Either side of the edge of a small hole a band must still be wide enough to hold calm.
CALM_PX: Final = 3.0
_NOISE: Final = 0.7  # grey values per sample that any picture's noise may show


class Ring(Struct, frozen=True):
    """An ellipse, the share of it bordered by an edge (0 to 1), and its third radial harmonics.

    ``doubt_px``: standard uncertainty of which edge it is, beyond that of placing its points.
    """

    frame: Frame
    support: float
    bend: tuple[float, ...] = (0.0, 0.0)
    doubt_px: float = 0.0


class Pyramid(Struct, frozen=True):
    """The grey picture and its halvings, each averaged over the pixels it stands for."""

    levels: tuple[npt.NDArray[np.float32], ...]

    def for_radius(self, radius_px: float, wanted_px: float) -> int:
        """Return the coarsest level at which ``radius_px`` is still ``wanted_px`` long, or 0."""
        level = int(np.floor(np.log2(max(radius_px / wanted_px, 1.0))))
        return min(level, len(self.levels) - 1)


def pyramid(image: Image) -> Pyramid:
    """Return the picture and its halvings."""
    import cv2  # noqa: PLC0415 - heavy, only when a picture is looked at

    levels = [image]
    while min(levels[-1].shape) >= 2 * _COARSEST:
        rows, columns = (n // 2 for n in levels[-1].shape)
        # Exact halves of an even part: pixel centres stay where Frame.scaled puts them.
        even = levels[-1][: 2 * rows, : 2 * columns]
        half = cv2.resize(even, (columns, rows), interpolation=cv2.INTER_AREA)
        levels.append(np.asarray(half, np.float32))
    return Pyramid(tuple(levels))


def evidence(image: Image, directions: int, tolerance: int) -> Image:
    """Return maps (2 x directions, H, W) of edges rising towards each direction, 0 to 1."""
    import cv2  # noqa: PLC0415 - heavy, only when a picture is looked at

    gx = cv2.Scharr(image, cv2.CV_32F, 1, 0) / 32
    gy = cv2.Scharr(image, cv2.CV_32F, 0, 1) / 32
    size = np.hypot(gx, gy)
    usual = 2 * float(np.median(size)) + 1.0
    strength = size / (size + usual)
    unit_x, unit_y = gx / (size + 1e-6), gy / (size + 1e-6)
    kernel = np.ones((2 * tolerance + 1, 2 * tolerance + 1), np.uint8)
    maps = np.empty((2 * directions, *image.shape), np.float32)
    for k in range(2 * directions):
        angle = np.pi * k / directions
        across = np.clip(unit_x * np.cos(angle) + unit_y * np.sin(angle), 0, 1)
        squared = across * across
        maps[k] = cv2.dilate(strength * squared * squared * squared, kernel)
    return maps


def closed_rings(levels: Pyramid, click: Array) -> list[Ring]:
    """Return candidate ellipses round the click, best bordered first, in full-size pixels."""
    found: list[Ring] = []
    for number, image in enumerate(levels.levels):
        scale = 0.5**number
        for ring in _rough(image, (click + 0.5) * scale - 0.5):
            better = _refined(levels, ring.frame.scaled(1 / scale), click)
            if better is not None:
                found.append(better)
    kept: list[Ring] = []
    for ring in sorted(found, key=lambda r: -r.support):
        if not any(alike(ring.frame, k.frame, 0.02) for k in kept):
            kept.append(ring)
    return kept


def alike(one: Frame, other: Frame, within: float) -> bool:
    """Return whether two ellipses run within ``within`` of a radius of each other."""
    gap = other.to_unit(one.to_px(circle(36)))
    return bool(np.max(np.abs(np.hypot(gap[:, 0], gap[:, 1]) - 1)) < within)


def _rough(image: Image, at: Array) -> list[Ring]:
    """Return the best ellipses of radius 12 to 24 pixels round a place in one level."""
    corner = np.array([int(v) - _REACH for v in at])
    maps = evidence(_window(image, corner, 2 * _REACH + 1), DIRECTIONS, 1)
    free = np.maximum(maps[:DIRECTIONS], maps[DIRECTIONS:])
    found: list[Ring] = []
    for ratio, turns in _SHAPES:
        for turn in range(turns):
            for radius in _RADII:
                axes = (radius * np.sqrt(ratio), radius / np.sqrt(ratio))
                found += _best_centres(free, frame_of(0, 0, axes, np.pi * turn / turns))
    kept: list[Ring] = []
    for ring in sorted(found, key=lambda r: -r.support):
        if len(kept) < _KEEP and not any(alike(ring.frame, k.frame, 0.15) for k in kept):
            kept.append(ring)
    x, y = corner.tolist()
    return [Ring(Frame(k.frame.cx + x, k.frame.cy + y, k.frame.a), k.support) for k in kept]


def _best_centres(free: Image, frame: Frame) -> list[Ring]:
    """Return the two best places for one ellipse, with the share of its edge found."""
    rim = circle(2 * DIRECTIONS) @ frame.matrix
    normal = circle(2 * DIRECTIONS) @ np.linalg.inv(frame.matrix)
    bins = np.rint(np.arctan2(normal[:, 1], normal[:, 0]) * DIRECTIONS / np.pi).astype(int)
    size, low = 2 * _MOVE + 1, _REACH - _MOVE
    total = np.zeros((size, size), np.float32)
    for (dx, dy), k in zip(np.rint(rim).astype(int).tolist(), bins.tolist(), strict=True):
        total += free[k % DIRECTIONS, low + dy : low + dy + size, low + dx : low + dx + size]
    grid = np.stack(np.meshgrid(np.arange(size), np.arange(size)), axis=-1) - _MOVE
    reach = grid @ np.linalg.inv(frame.matrix)
    total = np.where(np.hypot(reach[..., 0], reach[..., 1]) < 1, total / len(rim), 0)
    best: list[Ring] = []
    for _ in range(2):
        y, x = divmod(int(np.argmax(total)), size)
        best.append(Ring(Frame(float(low + x), float(low + y), frame.a), float(total[y, x])))
        total[max(0, y - 4) : y + 5, max(0, x - 4) : x + 5] = 0
    return best


def _window(image: Image, corner: Array, size: int) -> Image:
    """Return a square window, its part outside the picture filled with the nearest pixels."""
    columns, rows = (np.arange(int(c), int(c) + size) for c in corner)
    rows = np.clip(rows, 0, image.shape[0] - 1)
    columns = np.clip(columns, 0, image.shape[1] - 1)
    return np.ascontiguousarray(image[np.ix_(rows, columns)])


def unrolled(
    levels: Pyramid, frame: Frame, span: tuple[float, float], angles: int, wanted_px: float
) -> tuple[Array, Image]:
    """Return radii (of the ellipse) and grey values (angles, radii) of a band round an ellipse."""
    level = levels.for_radius(frame.radius_px, wanted_px)
    at = frame.scaled(0.5**level)
    count = max(12, int((span[1] - span[0]) * at.radius_px * 1.5))
    radii = np.linspace(*span, count)
    points = at.to_px(circle(angles)[:, None, :] * radii[None, :, None])
    return radii, sample(levels.levels[level], points)


def edge_strength(grid: Image, calm: npt.NDArray[np.bool_] | None = None) -> Image:
    """Return signed edges 'outwards brighter' (angles, radii) of an unrolled band, -1 to 1.

    Against the median slope of the band, or of its ``calm`` columns.
    """
    steady = blurred(blurred(np.nan_to_num(grid), 1.2, 1), 1.0, 0, wrap=True)
    slope = np.gradient(steady, axis=1)
    usual = 2 * float(np.median(np.abs(slope if calm is None else slope[:, calm]))) + _NOISE
    strength = slope / (np.abs(slope) + usual)
    return np.asarray(np.where(np.isfinite(grid), strength, 0), np.float32)


def _refined(levels: Pyramid, frame: Frame, click: Array) -> Ring | None:
    """Return the ellipse pulled onto the edges beside it, or None if it slips off the click."""
    design = harmonics(2 * np.pi * np.arange(_ANGLES) / _ANGLES, 2)
    for band in (0.2, 0.14, 0.1, 0.07, 0.05, 0.05):
        reach = max(1.5 * band, CALM_PX / frame.radius_px)
        radii, grid = unrolled(levels, frame, (1 - reach, 1 + reach), _ANGLES, 48)
        edges = np.abs(edge_strength(grid))
        best = np.argmax(edges * np.exp(-0.5 * ((radii - 1) / (0.6 * band)) ** 2), axis=1)
        weight = edges[np.arange(_ANGLES), best].astype(np.float64) ** 2
        shift = robust_fit(design, radii[best] - 1, band, weight)
        frame = frame.moved(np.clip(shift, -0.2, 0.2))
        if not _sound(frame, levels, click):
            return None
    reach = min(max(0.15, 2 * CALM_PX / frame.radius_px), 0.6)
    radii, grid = unrolled(levels, frame, (1 - reach, 1 + reach), _ANGLES, 48)
    close = np.abs(radii - 1) < max(0.03, radii[1] - radii[0])  # a pixel or two at this size
    return Ring(frame, float(np.mean(np.max(np.abs(edge_strength(grid))[:, close], axis=1))))


def _sound(frame: Frame, levels: Pyramid, click: Array) -> bool:
    """Return whether an ellipse is one a tilted round hole could show, with the click inside."""
    size = np.linalg.svd(frame.matrix, compute_uv=False)
    height, width = levels.levels[0].shape
    x, y = frame.to_unit(click)
    return bool(
        size[1] / size[0] > _FLATTEST
        and size[1] > _SMALLEST
        and np.hypot(x, y) < 1
        and 0 <= frame.cx < width
        and 0 <= frame.cy < height
    )
