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

from annotate.near_edges.many import Frames, edge_strength, robust_fit, unlike, unrolled
from annotate.pixels.halvings import Pyramid
from annotate.pixels.polar import (
    Array,
    Frame,
    Image,
    Mask,
    Picture,
    circle,
    frame_of,
    harmonics,
    medians,
)

DIRECTIONS: Final = 24  # of half a turn
FULL: Final = 255  # what the surest edge counts in a map of evidence
_RADII: Final = tuple(float(r) for r in np.geomspace(12, 24, 9)[:-1])  # pixels of a level
_SHAPES: Final = ((1.0, 1), (0.92, 4), (0.84, 6), (0.74, 8))  # axis ratio, directions tried
_REACH: Final = int(2 * _RADII[-1] * 1.2) + 3  # pixels of a level looked at round the click
_MOVE: Final = 26  # pixels of a level a centre may lie from the click
_STRIDE: Final = 2  # pixels between centres: the evidence is spread by one pixel either way
_SIDE: Final = _REACH + 1  # of what is looked at, in strides
_KEEP: Final = 6  # candidates kept per level
_TRIED: Final = 40  # best ellipses of a level that are compared
_ANGLES: Final = 120
_FLATTEST: Final = 0.6  # axis ratio: what is flatter is no hole before any camera
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
    usual = 2 * float(medians(np.asarray(size, np.float32)[None])[0]) + 1.0
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
    return [found[i] for i in unlike(Frames.of([r.frame for r in found]), 0.02, len(found))]


def _rough(image: Image | Picture, at: Array) -> list[Frame]:
    """Return the best ellipses of radius 12 to 24 pixels round a place in one level."""
    corner = np.array([int(v) - _REACH for v in at])
    maps = evidence(_window(image, corner, 2 * _REACH + 1), DIRECTIONS, signed=False)
    tried, total = _templates(), _met(maps)
    total *= ~tried.outside
    found: list[tuple[float, float, float, int]] = []
    axis, which = np.arange(total.shape[1]), np.arange(len(total))
    # The two best places of each.
    for _ in range(2):
        y, x = np.divmod(total.reshape(len(total), -1).argmax(axis=1), len(axis))
        moves = (v * _STRIDE - float(_MOVE) for v in (x, y))
        parts = (total[which, y, x].astype(float), *moves, which)
        found += zip(*(v.tolist() for v in parts), strict=True)
        beside = [np.abs(axis - v[:, None]) <= 2 for v in (y, x)]  # noqa: PLR2004 - strides
        total *= ~(beside[0][:, :, None] & beside[1][:, None])
    found.sort(key=lambda r: -r[0])
    cx, cy = (corner + _REACH).tolist()
    frames = [Frame(cx + dx, cy + dy, tried.matrices[i]) for _, dx, dy, i in found[:_TRIED]]
    return [frames[i] for i in unlike(Frames.of(frames), 0.15, _KEEP)]


class _Templates(NamedTuple):
    """Ellipses to be tried: their matrices, and at which of the centres the click is outside.

    ``places`` (T, points): where each point lies for the first centre among the planes of ``_met``,
    by the direction across the ellipse there.
    """

    matrices: list[tuple[float, float, float, float]]
    places: "np.ndarray[tuple[int, int], np.dtype[np.int64]]"
    outside: Mask


@lru_cache(maxsize=1)
def _templates() -> _Templates:
    """Return the ellipses that are tried on every level."""
    steps = np.arange(-_MOVE, _MOVE + 1, _STRIDE)
    grid = np.stack(np.meshgrid(steps, steps), axis=-1).astype(np.float64)
    unit = circle(2 * DIRECTIONS)
    matrices, places, outside = [], [], []
    for ratio, turns in _SHAPES:
        for turn, radius in product(range(turns), _RADII):
            axes = (radius * np.sqrt(ratio), radius / np.sqrt(ratio))
            frame = frame_of(0, 0, axes, np.pi * turn / turns)
            normal = unit @ np.linalg.inv(frame.matrix)
            bins = np.rint(np.arctan2(normal[:, 1], normal[:, 0]) * DIRECTIONS / np.pi)
            rim = np.rint(unit @ frame.matrix).astype(int) + _REACH - _MOVE
            (x, y), (column, row) = rim.T // _STRIDE, rim.T % _STRIDE
            reach = frame.to_unit(grid)
            matrices.append(frame.a)
            plane = (bins.astype(int) % DIRECTIONS * _STRIDE + row) * _STRIDE + column
            places.append((plane * _SIDE + y) * _SIDE + x)
            outside.append(np.einsum("...i,...i", reach, reach) >= 1)
    return _Templates(matrices, np.array(places), np.array(outside))


def _met(maps: Picture) -> "np.ndarray[tuple[int, int, int], np.dtype[np.uint16]]":
    """Return how much edge every ellipse meets round every centre, (ellipses, rows, columns)."""
    centres = 2 * _MOVE // _STRIDE + 1
    length = (centres - 1) * _SIDE + centres
    # Pixels a stride apart side by side: what a point meets for all centres is then one long run.
    even = np.pad(maps, ((0, 0), (0, 1), (0, 1)))
    apart = even.reshape(len(maps), _SIDE, _STRIDE, _SIDE, _STRIDE).transpose(0, 2, 4, 1, 3)
    # In the numbers that are added up: to change them on the way takes half as long again.
    planes = apart.astype(np.uint16, order="C").ravel()
    runs = np.lib.stride_tricks.sliding_window_view(planes, length)
    places = _templates().places
    total = np.zeros((len(places), centres * _SIDE), np.uint16)
    for one, first in zip(total, places, strict=True):
        np.add.reduce(runs[first], axis=0, out=one[:length])
    return total.reshape(-1, centres, _SIDE)[:, :, :centres]


def _window(image: Image | Picture, corner: Array, size: int) -> Image | Picture:
    """Return a square window, its part outside the picture filled with the nearest pixels."""
    columns, rows = (np.arange(int(c), int(c) + size) for c in corner)
    rows = np.clip(rows, 0, image.shape[0] - 1)
    columns = np.clip(columns, 0, image.shape[1] - 1)
    return cast("Image | Picture", np.ascontiguousarray(image[np.ix_(rows, columns)]))


def _refined(levels: Pyramid, rough: Sequence[Frame], click: Array) -> list[Ring]:
    """Return ellipses pulled onto the edges beside them, without those that slip off the click."""
    design = harmonics(2 * np.pi * np.arange(_ANGLES) / _ANGLES, 2)
    frames = Frames.of(rough)
    for band in (0.2, 0.14, 0.1, 0.07, 0.05):
        reach = np.maximum(1.5 * band, CALM_PX / frames.radius_px)
        off, weight = np.empty((2, frames.count, _ANGLES))
        for part in unrolled(levels, frames, reach, _ANGLES, _WANTED_PX):
            size = np.abs(edge_strength(part.grid))
            near_by = np.exp(-0.5 * ((part.radii - 1) / (0.6 * band)) ** 2).astype(np.float32)
            best = np.argmax(size * near_by[:, None], axis=2)
            on_it = np.take_along_axis(size, best[..., None], 2)[..., 0]
            off[part.which] = np.take_along_axis(part.radii, best, 1) - 1
            weight[part.which] = on_it.astype(np.float64) ** 2
        shift = robust_fit(design, off, np.full(len(off), band), weight)
        better = frames.moved(np.clip(shift, -0.2, 0.2))
        frames = better.pick(_sound(better, levels, click))
        if not frames.count:
            return []
    return _supported(levels, frames.pick(unlike(frames, 0.01, frames.count)))


def _supported(levels: Pyramid, frames: Frames) -> list[Ring]:
    """Return ellipses with the share of each that an edge borders."""
    reach = np.clip(2 * CALM_PX / frames.radius_px, 0.15, 0.6)
    each = frames.each()
    found: list[Ring] = []
    for part in unrolled(levels, frames, reach, _ANGLES, _WANTED_PX):
        size = np.abs(edge_strength(part.grid))
        step = part.radii[:, 1] - part.radii[:, 0]  # a pixel or two at this size
        close = np.abs(part.radii - 1) < np.maximum(0.03, step)[:, None]
        hit = (size * close[:, None]).max(axis=2).mean(axis=1)
        found += [Ring(each[i], float(h)) for i, h in zip(part.which.tolist(), hit, strict=True)]
    return found


def _sound(frames: Frames, levels: Pyramid, click: Array) -> Mask:
    """Return which ellipses a tilted round hole could show, with the click inside."""
    # A is symmetric: its half axes are the sizes of its eigenvalues.
    (a, b), (_, d) = frames.matrix.transpose(1, 2, 0)
    middle, spread = (a + d) / 2, np.hypot((a - d) / 2, b)
    small, large = np.abs(np.abs(middle) - spread), np.abs(middle) + spread
    height, width = levels.levels[0].shape
    cx, cy = frames.centre.T
    x, y = ((click - frames.centre)[:, None] @ np.linalg.inv(frames.matrix))[:, 0].T
    inside = (cx >= 0) & (cx < width) & (cy >= 0) & (cy < height) & (np.hypot(x, y) < 1)
    return np.asarray((small > _FLATTEST * large) & (small > _SMALLEST) & inside)
