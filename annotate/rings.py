"""Closed rims round a click: which ellipses of a picture are bordered by an edge all round.

The evidence for an edge is the gradient's size against what is usual near by, saturated, and
counted only where the gradient stands across the ellipse. Its sign is free: round one rim the
face may be lighter than the wall here and darker there. Ellipses of 12 to 24 pixels radius are
tried on each halving of the picture, so the hole may have any size.
"""

from collections.abc import Sequence
from functools import lru_cache
from itertools import product
from typing import Final, NamedTuple, cast

import numpy as np
from msgspec import Struct

from annotate.halvings import Pyramid
from annotate.many import edge_strength, moved, robust_fit, unlike, unrolled
from annotate.polar import Array, Frame, Image, Mask, Picture, circle, frame_of, harmonics

DIRECTIONS: Final = 24  # of half a turn
FULL: Final = 255  # what the surest edge counts in a map of evidence
_RADII: Final = tuple(float(r) for r in np.geomspace(12, 24, 9)[:-1])  # pixels of a level
_SHAPES: Final = ((1.0, 1), (0.92, 4), (0.84, 6), (0.74, 8))  # axis ratio, directions tried
_REACH: Final = int(2 * _RADII[-1] * 1.2) + 3  # pixels of a level looked at round the click
_MOVE: Final = 26  # pixels of a level a centre may lie from the click
_STRIDE: Final = 2  # pixels between centres: the evidence is spread by one pixel either way
_KEEP: Final = 6  # candidates kept per level
_TRIED: Final = 40  # best ellipses of a level that are compared
_ANGLES: Final = 120
_FLATTEST: Final = 0.7  # axis ratio: a hole seen at over 45 degrees is not measured
_SMALLEST: Final = 5.0  # pixels: below 10 px across there is no rim to speak of
# Either side of the edge of a small hole a band must still be wide enough to hold calm.
CALM_PX: Final = 3.0
_WANTED_PX: Final = 48.0


class Ring(Struct, frozen=True):
    """An ellipse, the share of it bordered by an edge (0 to 1), and its third radial harmonics.

    ``doubt_px``: standard uncertainty of which edge it is, beyond that of placing its points;
    ``chamfer``: width of a chamfer that plainly shows above it, in its radii, 0 where none does;
    ``borne_out``: another edge of the same hole shows where this one foretells it.
    """

    frame: Frame
    support: float
    bend: tuple[float, ...] = (0.0, 0.0)
    doubt_px: float = 0.0
    chamfer: float = 0.0
    borne_out: bool = False


def evidence(image: Image | Picture, directions: int, *, signed: bool) -> Picture:
    """Return maps (directions, H, W) of edges across each direction of half a turn, 0 to 255.

    ``signed``: edges rising towards each of twice as many directions of the whole turn.
    """
    import cv2  # noqa: PLC0415 - heavy, only when a picture is looked at

    gx = cv2.Scharr(image, cv2.CV_32F, 1, 0) / 32
    gy = cv2.Scharr(image, cv2.CV_32F, 0, 1) / 32
    size = cv2.magnitude(gx, gy)
    usual = 2 * float(np.median(size)) + 1.0
    # (FULL s / (s + usual)) cos^6 = (gx cos + gy sin)^6 FULL / (s + usual) / s^5
    root = np.cbrt(np.sqrt(FULL / (size + usual))) / np.maximum(size, 1e-6) ** np.float32(5 / 6)
    unit_x, unit_y = gx * root, gy * root
    kernel = np.ones((3, 3), np.uint8)
    count = 2 * directions if signed else directions
    maps = np.empty((count, *image.shape), np.uint8)
    for k in range(count):
        angle = np.pi * k / directions
        across = unit_x * np.float32(np.cos(angle)) + unit_y * np.float32(np.sin(angle))
        if signed:
            np.maximum(across, 0, out=across)
        across *= across
        maps[k] = cv2.dilate((across * across * across).astype(np.uint8), kernel)
    return maps


def closed_rings(levels: Pyramid, click: Array) -> list[Ring]:
    """Return candidate ellipses round the click, best bordered first, in full-size pixels."""
    rough = [
        frame.scaled(2.0**number)
        for number, image in enumerate(levels.levels)
        for frame in _rough(image, (click + 0.5) * 0.5**number - 0.5)
    ]
    found = sorted(_refined(levels, rough, click), key=lambda r: -r.support)
    return [found[i] for i in unlike([r.frame for r in found], 0.02, len(found))]


def _rough(image: Image | Picture, at: Array) -> list[Frame]:
    """Return the best ellipses of radius 12 to 24 pixels round a place in one level."""
    corner = np.array([int(v) - _REACH for v in at])
    maps = evidence(_window(image, corner, 2 * _REACH + 1), DIRECTIONS, signed=False)
    size, low = 2 * _MOVE + 1, _REACH - _MOVE
    # windows[k, y, x] is what one point of an ellipse meets for all centres.
    windows = np.lib.stride_tricks.sliding_window_view(maps, (size, size), axis=(1, 2))
    windows = windows[..., ::_STRIDE, ::_STRIDE]
    found = [hit for shape in _templates() for hit in _best_centres(windows, low, shape)]
    found.sort(key=lambda r: -r[0])
    x, y = (corner + _REACH).tolist()
    frames = [Frame(x + dx, y + dy, a) for _, dx, dy, a in found[:_TRIED]]
    return [frames[i] for i in unlike(frames, 0.15, _KEEP)]


class _Template(NamedTuple):
    """An ellipse to be tried: its points, the directions across it, where the click is outside."""

    matrix: tuple[float, float, float, float]
    rim: "np.ndarray[tuple[int, int], np.dtype[np.int64]]"
    bins: "np.ndarray[tuple[int], np.dtype[np.int64]]"
    outside: Mask


@lru_cache(maxsize=1)
def _templates() -> tuple[_Template, ...]:
    """Return the ellipses that are tried on every level."""
    steps = np.arange(-_MOVE, _MOVE + 1, _STRIDE)
    grid = np.stack(np.meshgrid(steps, steps), axis=-1)
    unit = circle(2 * DIRECTIONS)
    found: list[_Template] = []
    for ratio, turns in _SHAPES:
        for turn, radius in product(range(turns), _RADII):
            axes = (radius * np.sqrt(ratio), radius / np.sqrt(ratio))
            frame = frame_of(0, 0, axes, np.pi * turn / turns)
            normal = unit @ np.linalg.inv(frame.matrix)
            bins = np.rint(np.arctan2(normal[:, 1], normal[:, 0]) * DIRECTIONS / np.pi)
            reach = frame.to_unit(grid.astype(np.float64))
            found.append(
                _Template(
                    frame.a,
                    np.rint(unit @ frame.matrix).astype(int),
                    bins.astype(int) % DIRECTIONS,
                    np.einsum("...i,...i", reach, reach) >= 1,
                )
            )
    return tuple(found)


def _best_centres(
    windows: Picture, low: int, shape: _Template
) -> list[tuple[float, float, float, tuple[float, float, float, float]]]:
    """Return edge found, place (from the click) and matrix of the two best places of an ellipse."""
    met = windows[shape.bins, shape.rim[:, 1] + low, shape.rim[:, 0] + low]
    total = met.sum(axis=0, dtype=np.uint16)
    total[shape.outside] = 0
    best = []
    for _ in range(2):
        y, x = divmod(int(total.argmax()), total.shape[1])
        place = (float(x * _STRIDE - _MOVE), float(y * _STRIDE - _MOVE))
        best.append((float(total[y, x]), *place, shape.matrix))
        total[max(0, y - 2) : y + 3, max(0, x - 2) : x + 3] = 0
    return best


def _window(image: Image | Picture, corner: Array, size: int) -> Image | Picture:
    """Return a square window, its part outside the picture filled with the nearest pixels."""
    columns, rows = (np.arange(int(c), int(c) + size) for c in corner)
    rows = np.clip(rows, 0, image.shape[0] - 1)
    columns = np.clip(columns, 0, image.shape[1] - 1)
    return cast("Image | Picture", np.ascontiguousarray(image[np.ix_(rows, columns)]))


def _refined(levels: Pyramid, frames: Sequence[Frame], click: Array) -> list[Ring]:
    """Return ellipses pulled onto the edges beside them, without those that slip off the click."""
    design = harmonics(2 * np.pi * np.arange(_ANGLES) / _ANGLES, 2)
    for band in (0.2, 0.14, 0.1, 0.07, 0.05):
        reach = np.array([max(1.5 * band, CALM_PX / f.radius_px) for f in frames])
        better: list[Frame] = []
        for part in unrolled(levels, frames, reach, _ANGLES, _WANTED_PX):
            size = np.abs(edge_strength(part.grid))
            near_by = np.exp(-0.5 * ((part.radii - 1) / (0.6 * band)) ** 2).astype(np.float32)
            best = np.argmax(size * near_by[:, None], axis=2)
            weight = np.take_along_axis(size, best[..., None], 2)[..., 0].astype(np.float64) ** 2
            off = np.take_along_axis(part.radii, best, 1) - 1
            shift = robust_fit(design, off, np.full(len(off), band), weight)
            better += moved([frames[i] for i in part.which.tolist()], np.clip(shift, -0.2, 0.2))
        frames = [f for f in better if _sound(f, levels, click)]
        if not frames:
            return []
    return _supported(levels, [frames[i] for i in unlike(frames, 0.01, len(frames))])


def _supported(levels: Pyramid, frames: Sequence[Frame]) -> list[Ring]:
    """Return ellipses with the share of each that an edge borders."""
    reach = np.array([min(max(0.15, 2 * CALM_PX / f.radius_px), 0.6) for f in frames])
    found: list[Ring] = []
    for part in unrolled(levels, frames, reach, _ANGLES, _WANTED_PX):
        size = np.abs(edge_strength(part.grid))
        step = part.radii[:, 1] - part.radii[:, 0]  # a pixel or two at this size
        close = np.abs(part.radii - 1) < np.maximum(0.03, step)[:, None]
        hit = np.where(close[:, None], size, 0).max(axis=2).mean(axis=1)
        found += [Ring(frames[i], float(h)) for i, h in zip(part.which.tolist(), hit, strict=True)]
    return found


def _sound(frame: Frame, levels: Pyramid, click: Array) -> bool:
    """Return whether an ellipse is one a tilted round hole could show, with the click inside."""
    # A is symmetric: its half axes are the sizes of its eigenvalues.
    a, b, _, d = frame.a
    middle, spread = (a + d) / 2, float(np.hypot((a - d) / 2, b))
    small, large = abs(abs(middle) - spread), abs(middle) + spread
    height, width = levels.levels[0].shape
    x, y = frame.to_unit(click)
    return bool(
        small / large > _FLATTEST
        and small > _SMALLEST
        and np.hypot(x, y) < 1
        and 0 <= frame.cx < width
        and 0 <= frame.cy < height
    )
