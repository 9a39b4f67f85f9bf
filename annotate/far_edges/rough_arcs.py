"""Where arcs may lie inside a near rim: circles of its frame with much edge on their part inside.

The inside of the near rim is laid out flat, in the frame that makes the rim the unit circle.
"""

from functools import lru_cache
from typing import Final, NamedTuple

import numpy as np
import numpy.typing as npt
from msgspec import Struct

from annotate.near_edges.rings import FULL, evidence
from annotate.pixels.halvings import Pyramid
from annotate.pixels.polar import Array, Frame, Image, Mask, Picture, blurred_both, sample

Whole = npt.NDArray[np.intp]

DIRECTIONS: Final = 20  # of half a turn
INNER: Final = 0.965  # beyond this many near radii an edge is the near rim's own
_PATCH_PX: Final = 130.0  # pixels of the patch per near radius, at most
RADII: Final = tuple(float(r) for r in np.geomspace(0.33, 2.8, 28))
_TURNS: Final = 15  # directions of a quarter turn in which circles are tried
_QUARTER: Final = np.pi / 2 * np.arange(_TURNS) / _TURNS
_ROUGH_SAMPLES: Final = 48  # along a circle in the rough search
SHORTEST: Final = 0.3  # near radii of arc that can be told from a straight edge or a scratch
_FINE_PX: Final = 80.0  # pixels per near radius above which every second is enough
_APART: Final = 0.03  # near radii between rough circles worth telling apart, at the median
_HOPELESS: Final = 0.12  # worth of a rough circle below which it is not compared
_COMPARED: Final = 2500


class Patch(Struct, frozen=True):
    """The inside of a near rim laid out flat, ``half`` pixels to a near radius.

    ``through``: x, y, radius of a circle of the unit frame; beyond it nothing is looked at.
    """

    image: Image
    half: float
    through: tuple[float, float, float] | None = None

    def shows(self, unit: Array) -> Mask:
        """Return which points (..., 2) of the unit frame are looked at."""
        if self.through is None:
            return np.ones(unit.shape[:-1], dtype=bool)
        x, y, radius = self.through
        return np.asarray(np.hypot(unit[..., 0] - x, unit[..., 1] - y) < radius)

    def at(self, unit: Array) -> Image:
        """Return grey values at points (..., 2) of the unit frame."""
        return sample(self.image, self.to_px(unit))

    def to_px(self, unit: Array) -> Array:
        """Return where values of the unit frame lie in the patch, x as y."""
        return np.asarray(unit * self.half + (self.image.shape[0] - 1) / 2)


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


def rough(flat: Patch, count: int) -> Array:
    """Return x, y, radius (N, 3) of the circles with most edge along their part inside."""
    import cv2  # noqa: PLC0415 - heavy, only when a picture is looked at

    image = blurred_both(flat.image, 1.0, 1.0)
    every = 2 if flat.half > _FINE_PX else 1
    first = (image.shape[0] // 2) % every  # the middle pixel is among those kept
    few = np.ascontiguousarray(image[first::every, first::every])
    maps = evidence(few, DIRECTIONS, signed=True)
    root = np.sqrt(np.arange(FULL + 1) * float(FULL)).astype(np.uint8)
    maps = np.asarray(cv2.LUT(maps.reshape(len(maps), -1), root), np.uint8).reshape(maps.shape)
    if flat.through is not None:
        side = (np.arange(few.shape[0]) - (few.shape[0] - 1) / 2) * every / flat.half
        maps = maps * flat.shows(np.stack(np.meshgrid(side, side), axis=-1))
    turned = _turned(maps)
    found = np.concatenate([_rough_of(turned, flat.half / every, radius) for radius in RADII])
    found = found[found[:, 0] > _HOPELESS]
    return _apart(found[np.argsort(-found[:, 0], kind="stable")][:_COMPARED, 1:], count)


def _turned(maps: Picture) -> list[Picture]:
    """Return maps (2 DIRECTIONS, H, H) as they look after none to three quarter turns."""
    return [
        np.ascontiguousarray(np.rot90(np.roll(maps, -k * DIRECTIONS // 2, axis=0), k, (1, 2)))
        for k in range(4)
    ]


def _apart(circles: Array, count: int) -> Array:
    """Return the first of circles (N, 3), best first, that do not run along one kept before.

    Many circles run along one strong edge: one of them is enough, or short arcs get no turn.
    """
    start, sweep = inside_range(circles)
    t = start[:, None] + sweep[:, None] * (np.arange(12) + 0.5) / 12
    x = (circles[:, 0, None] + circles[:, 2, None] * np.cos(t)).astype(np.float32)
    y = (circles[:, 1, None] + circles[:, 2, None] * np.sin(t)).astype(np.float32)
    kept: list[int] = []
    left = np.arange(len(circles))
    while len(kept) < count and len(left):
        x0, y0, radius = circles[left[0]].tolist()
        kept.append(int(left[0]))
        left, x, y = left[1:], x[1:], y[1:]
        square = (x - x0) ** 2 + (y - y0) ** 2
        near = (square > max(radius - _APART, 0) ** 2) & (square < (radius + _APART) ** 2)
        other = np.count_nonzero(near, axis=1) < 6  # noqa: PLR2004 - half of the twelve
        left, x, y = left[other], x[other], y[other]
    return np.asarray(circles[kept])


class _Circles(NamedTuple):
    """Circles of one radius centred on the +x axis at ``q`` (C,), and where they are looked up.

    ``share`` (C,): how many of their samples lie inside the near rim. ``places`` (2, turns, all of
    these): where outwards and inwards are in flattened maps, turned by a part of a quarter turn,
    one circle's after the other's from ``first`` (C,) on.
    """

    q: Array
    length: float
    share: Whole
    first: Whole
    places: Whole


# Most holes are large enough to be laid out in one size: the next click finds these as they were.
@lru_cache(maxsize=len(RADII))
def _circles(size: int, half: float, radius: float) -> _Circles:
    """Return the circles of one radius that are tried in maps of ``size``, ``half`` to a radius."""
    length = min(np.pi * radius, 2.4)
    psi = np.linspace(-length / radius, length / radius, _ROUGH_SAMPLES)
    # Circles centred on the +x axis at q, beginning where they cross it nearest to the middle.
    q = np.arange(max(-0.93, -radius - 0.02), 0.93, 0.03) + radius
    x = q[:, None] - radius * np.cos(psi)
    y = np.broadcast_to(-radius * np.sin(psi), x.shape)
    inside = np.hypot(x, y) < INNER
    share = inside.sum(axis=1)
    # What is not inside is not looked up; each circle keeps one sample for the sums' sake.
    inside[share == 0, 0] = True
    first = np.concatenate([[0], np.cumsum(inside.sum(axis=1))[:-1]])
    c, s = (
        v.astype(np.float32)[:, None] * np.float32(half)
        for v in (np.cos(_QUARTER), np.sin(_QUARTER))
    )
    px, py = x[inside].astype(np.float32), y[inside].astype(np.float32)
    middle = np.float32((size - 1) / 2 + 0.5)
    column = np.clip((c * px - s * py + middle).astype(np.intp), 0, size - 1)
    row = np.clip((s * px + c * py + middle).astype(np.intp), 0, size - 1)
    turn = np.broadcast_to(psi, x.shape)[inside]
    towards = np.rint((turn + np.pi + _QUARTER[:, None]) * DIRECTIONS / np.pi).astype(np.intp)
    place = row * size + column
    plane = np.arange(4 * DIRECTIONS) % (2 * DIRECTIONS) * size**2
    places = np.stack([plane[t] + place for t in (towards, towards + DIRECTIONS)])
    return _Circles(q, length, share, first, places)


def _rough_of(turned: list[Picture], half: float, radius: float) -> Array:
    """Return worth, x, y, radius (N, 4) of the best circles of one radius, three per direction.

    Worth is edge beyond chance along the part inside, by how sure it is rather than by how much.
    """
    q, length, share, first, places = _circles(turned[0].shape[1], half, radius)
    # Where a quarter turn leads, the same places are looked up in what is turned the other way.
    sums = np.concatenate([_sums(np.take(maps, places), first) for maps in turned], axis=1)
    alpha = (_QUARTER + np.pi / 2 * np.arange(4)[:, None]).reshape(-1, 1)
    score = 0.5 * (sums[2] + np.maximum(sums[0], sums[1])) / FULL / np.maximum(share, 1)
    shown = np.minimum(share * (2 * length / _ROUGH_SAMPLES), 2.5)
    # What chance adds up to grows with the root of the length: so short arcs get their turn.
    worth = np.where(shown > SHORTEST, (score - 0.35) * np.sqrt(shown), -1)
    best = np.argsort(-worth, axis=1)[:, :3]
    at = q[best]
    found = [
        np.take_along_axis(worth, best, 1),
        at * np.cos(alpha),
        at * np.sin(alpha),
        np.full_like(at, radius),
    ]
    return np.stack(found, axis=-1).reshape(-1, 4)


def _sums(met: Picture, first: Whole) -> Array:
    """Return what circles meet, in all (3, turns, circles): outwards, inwards, and either way.

    ``met`` (2, turns, places) outwards and inwards, one circle's after the other's from ``first``.
    """
    both = np.concatenate([met, met.max(axis=0, keepdims=True)])
    return np.asarray(np.add.reduceat(both, first, axis=2, dtype=np.int32))


def inside_range(at: Array) -> tuple[Array, Array]:
    """Return where circles (N, 3) come inside the near rim (rad), and for how far (rad)."""
    away, radius = np.hypot(at[:, 0], at[:, 1]), at[:, 2]
    # At angle t off the direction of its centre a circle's point is d^2 + r^2 + 2 d r cos t away.
    level = (INNER**2 - away**2 - radius**2) / np.maximum(2 * away * radius, 1e-9)
    half = np.arccos(np.clip(level, -1, 1))
    return np.arctan2(at[:, 1], at[:, 0]) + half, 2 * (np.pi - half)
