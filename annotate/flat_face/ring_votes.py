"""Edges along rays from the middle of a hole, on its face, and which circles they vote for.

Radii are those on the face, so a circle is a circle however the camera leans. Every ray has one
vote for a circle; votes within a pixel or so count.
"""

from typing import Final, NamedTuple

import numpy as np
import numpy.typing as npt
from msgspec import Struct

from annotate.marks import Points
from annotate.pixels.half_light import Picture, linear_light, sampled
from annotate.scale import Scale

Array = npt.NDArray[np.float64]
Mask = npt.NDArray[np.bool_]
Whole = npt.NDArray[np.intp]
Circle = tuple[float, float, float]  # x and y off the middle, radius, mm

ANGLES: Final = 180
_SPAN: Final = (0.5, 1.5)  # radii of the first guess that are looked at
_STEP_PX: Final = 0.4
_BLUR_PX: Final = 0.8
_PEAKS: Final = 6  # edges kept along each ray
_LEAST_SLOPE: Final = 1.5  # grey levels a pixel
_NOISE: Final = 4.0  # times the usual slope
_FAINTEST: Final = 0.25  # of the steepest edge: that much is always one
_ROUGH: Final = (0.012, 15)  # radii between middles tried, and how many to each side
_ROUGH_BIN: Final = 0.008  # radii
_FINE: Final = (0.003, 4)
_BIN_PX: Final = 0.4
_RADII: Final = 4  # bins that a circle's radius may change when it is looked at closely
_UNLIKE: Final = np.array([2, 2, 3])  # cells between two circles
_ON_PX: Final = 1.0  # of an edge on its circle


class Rays(Struct, frozen=True, eq=False):
    """Edges along rays: directions (A, 2) on the face, radii (A, P) in mm, NaN for none.

    ``rising`` (A, P): whether it is lighter outside the edge than inside.
    """

    towards: Array
    radii_mm: Array
    rising: Mask
    mm_per_px: float


class Voted(NamedTuple):
    """A circle and the share of the rays with an edge on it."""

    circle: Circle
    votes: float


def rays_from(picture: Picture, scale: Scale, middle: Array, radius: float) -> Rays:
    """Return the edges along rays from a place on the face (2,), out to 1.5 radii, all in mm."""
    mm_per_px = scale.mm_per_px(scale.to_px(middle[None])[0])
    angles = 2 * np.pi * np.arange(ANGLES) / ANGLES
    towards = np.stack([np.cos(angles), np.sin(angles)], axis=1)
    radii = np.arange(_SPAN[0] * radius, _SPAN[1] * radius, _STEP_PX * mm_per_px)
    places = middle + radii[:, None] * towards[:, None]
    grey = _grey(picture, scale.to_px(places.reshape(-1, 2))).reshape(ANGLES, len(radii))
    steps: Array = np.asarray(np.gradient(grey, axis=1), dtype=np.float64)
    signed = _smooth(steps / _STEP_PX)
    slope = np.abs(signed)
    usual = 1.4826 * np.median(slope, axis=1, keepdims=True)
    floor = np.maximum(_LEAST_SLOPE, np.minimum(_NOISE * usual, _FAINTEST * slope.max()))
    inner = slope[:, 1:-1]
    peak = (inner >= slope[:, :-2]) & (inner > slope[:, 2:]) & (inner > floor)
    best = np.argsort(np.where(peak, -inner, 0.0), axis=1)[:, :_PEAKS] + 1
    rows = np.arange(ANGLES)[:, None]
    before, here, after = (slope[rows, best + k] for k in (-1, 0, 1))
    curve = before - 2 * here + after
    part = np.where(curve < 0, 0.5 * (before - after) / np.where(curve < 0, curve, 1.0), 0.0)
    at = radii[best] + np.clip(part, -1, 1) * (radii[1] - radii[0])
    there = peak[rows, best - 1]
    return Rays(towards, np.where(there, at, np.nan), signed[rows, best] > 0, mm_per_px)


def meets(rays: Rays, x: Array, y: Array, radius: float) -> Array:
    """Return where each ray leaves circles of one radius, (C, A) in mm; NaN where it never does."""
    along = np.stack([x, y], axis=1) @ rays.towards.T
    square = along**2 - (x**2 + y**2)[:, None] + radius**2
    return np.asarray(along + np.sqrt(np.where(square > 0, square, np.nan)))


def share_on(rays: Rays, circle: Circle) -> float:
    """Return the share of the rays with an edge on a circle."""
    return float(np.mean(on_circle(rays, circle)))


def on_circle(rays: Rays, circle: Circle) -> Mask:
    """Return which rays (A,) have an edge on a circle."""
    at = meets(rays, np.array([circle[0]]), np.array([circle[1]]), circle[2])[0]
    off = np.abs(rays.radii_mm - at[:, None])
    return np.asarray(np.any(off < 2 * _BIN_PX * rays.mm_per_px, axis=1))


def longest_run(met: Mask) -> int:
    """Return how many neighbouring rays at most are met, in any of the rows (R, A) round a hole.

    One that misses between two that meet does not end a run.
    """
    bridged = met | (np.roll(met, 1, axis=1) & np.roll(met, -1, axis=1))
    twice = np.concatenate([bridged, bridged], axis=1)
    place = np.arange(1, twice.shape[1] + 1)
    ended = np.maximum.accumulate(np.where(twice, 0, place), axis=1)
    return int(min(np.max(place - ended), met.shape[1]))


def edges_on(rays: Rays, circle: Circle) -> Points:
    """Return the edges (N, 2) that lie on a circle, in mm off the middle, one a ray."""
    rows, nearest = _nearest(rays, circle)
    return np.asarray(rays.radii_mm[rows, nearest, None] * rays.towards[rows])


def share_rising(rays: Rays, circle: Circle) -> float:
    """Return the share of the edges on a circle outside which it is lighter; 0 without any."""
    rising = rays.rising[_nearest(rays, circle)]
    return float(np.mean(rising)) if len(rising) else 0.0


def _nearest(rays: Rays, circle: Circle) -> tuple[Whole, Whole]:
    """Return the rays (N,) with an edge on a circle, and which of their edges it is (N,)."""
    places = rays.radii_mm[..., None] * rays.towards[:, None]
    off = np.abs(np.hypot(places[..., 0] - circle[0], places[..., 1] - circle[1]) - circle[2])
    off = np.where(np.isfinite(off), off, np.inf)
    nearest = off.argmin(axis=1)
    rows = np.flatnonzero(off[np.arange(len(off)), nearest] < _ON_PX * rays.mm_per_px)
    return rows, nearest[rows]


def circles(rays: Rays, radius: float, least: float, most: int) -> list[Voted]:
    """Return the circles with most votes, ``least`` at least, unlike each other."""
    bin_mm = max(_ROUGH_BIN * radius, _BIN_PX * rays.mm_per_px)
    rough = _table(rays, np.zeros(2), (_ROUGH[0] * radius, _ROUGH[1]), bin_mm)
    left, found = rough.votes.copy(), list[Voted]()
    while len(found) < most:
        at = np.array(np.unravel_index(int(left.argmax()), left.shape))
        if left[tuple(at)] < least:
            break
        low = np.maximum(at - _UNLIKE, 0)
        left[tuple(slice(a, b + u + 1) for a, b, u in zip(low, at, _UNLIKE, strict=True))] = 0
        found.append(_close(rays, rough.circle(at), radius))
    return found


class _Table(Struct, frozen=True, eq=False):
    """Shares of the rays that vote for circles: ``votes`` (G, G, B) by middle (x, y) and radius.

    Middles are ``step`` apart about ``about``, radii ``bin`` from ``first`` on; all in mm.
    """

    votes: Array
    about: Array
    step: float
    first: float
    bin: float

    def circle(self, at: npt.NDArray[np.intp]) -> Circle:
        """Return the circle of a cell."""
        half = (self.votes.shape[0] - 1) // 2
        x, y = self.about + (at[:2] - half) * self.step
        return float(x), float(y), self.first + float(at[2] + 0.5) * self.bin


def _table(rays: Rays, about: Array, grid: tuple[float, int], bin_mm: float) -> _Table:
    step, half = grid
    axis = np.arange(-half, half + 1) * step
    count = len(axis)
    known = np.isfinite(rays.radii_mm)
    towards = np.repeat(rays.towards, known.sum(axis=1), axis=0)
    places = rays.radii_mm[known][:, None] * towards
    if not len(places):
        return _Table(np.zeros((count, count, 1)), about, step, 0.0, bin_mm)
    first = float(np.nanmin(rays.radii_mm)) / 2
    bins = int((float(np.nanmax(rays.radii_mm)) * 1.5 - first) / bin_mm) + 4
    votes = np.zeros((count, count, bins))
    for i, x in enumerate(axis):
        away = np.hypot(
            places[None, :, 0] - about[0] - x, places[None, :, 1] - (about[1] + axis)[:, None]
        )
        into = np.clip(((away - first) / bin_mm).astype(int), 0, bins - 1)
        flat = into + bins * np.arange(count)[:, None]
        votes[i] = np.bincount(flat.ravel(), minlength=count * bins).reshape(count, bins)
    votes[..., 1:-1] = votes[..., :-2] + votes[..., 1:-1] + votes[..., 2:]
    return _Table(np.minimum(votes / ANGLES, 1.0), about, step, first, bin_mm)


def _close(rays: Rays, circle: Circle, radius: float) -> Voted:
    """Return the best circle near a rough one."""
    grid = (_FINE[0] * radius, _FINE[1])
    fine = _table(rays, np.array(circle[:2]), grid, _BIN_PX * rays.mm_per_px)
    middle = int((circle[2] - fine.first) / fine.bin)
    low = max(middle - _RADII, 0)
    votes = fine.votes[..., low : middle + _RADII + 1]
    at = np.array(np.unravel_index(int(votes.argmax()), votes.shape))
    at[2] += low
    return Voted(fine.circle(at), float(votes.max()))


def _grey(picture: Picture, px: Points) -> Array:
    """Return grey values (N,) as the eye takes them, 0 to 255; only the piece needed is read."""
    size = np.array(picture.shape[1::-1])
    low = np.clip(np.floor(px.min(axis=0)) - 1, 0, size - 2).astype(int)
    high = np.clip(np.ceil(px.max(axis=0)) + 2, low + 2, size).astype(int)
    light = linear_light(picture[low[1] : high[1], low[0] : high[0]])
    return np.asarray(255 * np.maximum(sampled(light, px - low), 0.0) ** (1 / 2.2))


def _smooth(slope: Array) -> Array:
    """Return slopes (A, R) smoothed by about a pixel."""
    reach = np.arange(-5, 6)
    bell = np.exp(-0.5 * (reach * _STEP_PX / _BLUR_PX) ** 2)
    bell /= bell.sum()
    padded = np.pad(slope, ((0, 0), (5, 5)), mode="edge")
    smooth = np.zeros_like(slope)
    for k, weight in enumerate(bell):
        smooth += weight * padded[:, k : k + slope.shape[1]]
    return smooth
