"""Many ellipses at once: unrolled, judged and moved together, as a picture has many candidates.

Arrays have the ellipse as their first axis. What one ellipse alone needs is in ``polar``.
"""

from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np
import numpy.typing as npt
from msgspec import Struct

from annotate.pixels.halvings import Pyramid
from annotate.pixels.polar import (
    Array,
    Frame,
    Image,
    blurred_both,
    circle,
    known,
    medians,
    sample_at,
    slopes,
)

Whole = npt.NDArray[np.intp]

_NOISE: Final = 0.7  # grey values per sample that any picture's noise may show
_FEWEST: Final = 12  # samples across a band
_PER_PX: Final = 1.5  # samples per pixel across a band


class Frames(Struct, frozen=True, eq=False):
    """Many ellipses, each as a ``Frame`` has it: centres (N, 2) and matrices (N, 2, 2)."""

    centre: Array
    matrix: Array

    @classmethod
    def of(cls, frames: Sequence[Frame]) -> "Frames":
        """Return ellipses together."""
        parts = np.array([(f.cx, f.cy, *f.a) for f in frames]).reshape(-1, 6)
        return cls(parts[:, :2], parts[:, 2:].reshape(-1, 2, 2))

    @property
    def count(self) -> int:
        """How many there are."""
        return len(self.centre)

    @property
    def radius_px(self) -> Array:
        """Return the radii (N,) of circles with the ellipses' areas, in pixels."""
        (a, b), (c, d) = self.matrix.transpose(1, 2, 0)
        return np.asarray(np.sqrt(np.abs(a * d - b * c)))

    def pick(self, which: "Whole | npt.NDArray[np.bool_] | list[int]") -> "Frames":
        """Return some of them."""
        return Frames(self.centre[which], self.matrix[which])

    def each(self) -> list[Frame]:
        """Return them one by one."""
        parts = np.concatenate([self.centre, self.matrix.reshape(-1, 4)], axis=1).tolist()
        return [Frame(x, y, (a, b, c, d)) for x, y, a, b, c, d in parts]

    def moved(self, radial: Array) -> "Frames":
        """Return them with radial harmonics (N, 5 or more) added, as ``Frame.moved`` does."""
        h0, c1, s1, c2, s2 = radial[:, :5].T
        bend = np.array([[1 + h0 + c2, s2], [s2, 1 + h0 - c2]]).transpose(2, 0, 1)
        bent = self.matrix @ bend
        # The symmetric root of M M', which for 2 x 2 needs no eigenvalues (Cayley and Hamilton):
        # (M M' + d) / root of (trace + 2 d), d the size of M's determinant.
        root = bent @ bent.transpose(0, 2, 1)
        size = np.abs(bent[:, 0, 0] * bent[:, 1, 1] - bent[:, 0, 1] * bent[:, 1, 0])
        span = np.sqrt(root[:, 0, 0] + root[:, 1, 1] + 2 * size)
        root[:, 0, 0] += size
        root[:, 1, 1] += size
        shift = (np.stack([c1, s1], axis=-1)[:, None] @ self.matrix)[:, 0]
        return Frames(self.centre + shift, root / span[:, None, None])


class Bands(Struct, frozen=True):
    """Bands round ellipses: which of them (N,), radii (N, K) and grey values (N, angles, K).

    Radii are of each ellipse, which is 1.
    """

    which: Whole
    radii: Array
    grid: Image


def unrolled(
    levels: Pyramid, frames: Frames, reach: Array, angles: int, wanted_px: float
) -> Iterator[Bands]:
    """Yield the bands 1 - reach .. 1 + reach of ellipses, those with as many samples together.

    Samples lie 1.5 to a pixel, or to a ``wanted_px``-th of the radius if that is longer.
    """
    size = np.minimum(frames.radius_px, wanted_px)
    counts = np.maximum(_FEWEST, (2 * reach * size * _PER_PX).astype(int))
    # Counts of one group differ by less than a tenth: they are laid out alike.
    counts = np.maximum(_FEWEST, np.rint(1.1 ** np.rint(np.log(counts) / np.log(1.1)))).astype(int)
    for count in np.unique(counts).tolist():
        which = np.flatnonzero(counts == count)
        radii = 1 + reach[which, None] * np.linspace(-1, 1, count)
        yield Bands(which, radii, laid(levels, frames.pick(which), radii, angles, wanted_px))


def laid(levels: Pyramid, frames: Frames, radii: Array, angles: int, wanted_px: float) -> Image:
    """Return grey values (N, angles, K) at radii (N, K) of ellipses; NaN outside the picture."""
    unit = circle(angles)
    grid = np.empty((frames.count, angles, radii.shape[1]), np.float32)
    chosen = levels.for_radii(frames.radius_px, wanted_px)
    for level in np.unique(chosen).tolist():
        which = np.flatnonzero(chosen == level)
        here, factor = frames.pick(which), 0.5**level
        centre = ((here.centre + 0.5) * factor - 0.5).astype(np.float32)
        rim = unit.astype(np.float32) @ (here.matrix * factor).astype(np.float32)
        some = radii[which, None].astype(np.float32)
        x, y = (rim[:, :, None, i] * some + np.float32(centre[:, None, None, i]) for i in (0, 1))
        grid[which] = sample_at(levels.levels[level], x, y)
    return grid


def edge_strength(grid: Image, calm: "npt.NDArray[np.bool_] | None" = None) -> Image:
    """Return signed edges 'outwards brighter' (N, angles, K) of unrolled bands, -1 to 1.

    Against the median slope of each band, or of its ``calm`` columns (N, K).
    """
    slope = slopes(blurred_both(known(grid), 1.2, 1.0, wrap=True))
    size = np.abs(slope)
    few = size[:, ::2]  # every second angle tells what is usual
    usual = medians(few) if calm is None else _medians_of(few, calm)
    strength = slope / (size + (2 * usual + _NOISE).astype(np.float32)[:, None, None])
    strength[np.isnan(grid)] = 0
    return np.asarray(strength, np.float32)


def _medians_of(values: Image, counted: "npt.NDArray[np.bool_]") -> Array:
    """Return the medians (N,) of the columns of values (N, A, K) counted (N, K); NaN of none."""
    ranked = np.where(counted[:, None], values, np.float32(np.inf)).reshape(len(values), -1)
    ranked.sort(axis=1)
    count = counted.sum(axis=1) * values.shape[1]
    middle = np.maximum(np.stack([count - 1, count], axis=1) // 2, 0)
    both = np.take_along_axis(ranked, np.minimum(middle, ranked.shape[1] - 1), axis=1)
    return np.where(count > 0, both.mean(axis=1), np.nan)


def robust_fit(design: Array, values: Array, scale: Array, weights: Array) -> Array:
    """Return coefficients (N, P) of values (N, A) ~ design (A, P), as ``polar.robust_fit`` does.

    ``scale`` (N,) of Tukey's weights, ``weights`` (N, A) prior ones.
    """
    terms = design.shape[1]
    products = (design[:, :, None] * design[:, None, :]).reshape(len(design), -1)
    ridge = 1e-6 * np.eye(terms)
    use = weights
    found: Array = np.zeros((len(values), terms))
    for _ in range(8):
        normal = (use @ products).reshape(-1, terms, terms)
        normal = normal + ridge * np.maximum(use.sum(axis=1), 1e-9)[:, None, None]
        found = np.linalg.solve(normal, ((use * values) @ design)[..., None])[..., 0]
        left = np.clip(np.abs(values - found @ design.T) / scale[:, None], 0, 1)
        use = weights * (1 - left**2) ** 2
    return found


def outlines(frames: Frames, count: int) -> Array:
    """Return points (N, count, 2) round ellipses, in pixels."""
    return np.asarray(circle(count) @ frames.matrix + frames.centre[:, None])


def unlike(frames: Frames, within: float, most: int) -> list[int]:
    """Return the places of the first ellipses that do not run within ``within`` of a kept one."""
    kept: list[int] = []
    if not frames.count:
        return kept
    rims, inverse = outlines(frames, 36), np.linalg.inv(frames.matrix)
    left = np.arange(frames.count)
    while len(left) and len(kept) < most:
        i = int(left[0])
        kept.append(i)
        left = left[1:]
        x, y = ((rims[left] - frames.centre[i]) @ inverse[i]).transpose(2, 0, 1)
        off = np.abs(np.sqrt(x * x + y * y) - 1).max(axis=1, initial=0.0)
        left = left[off >= within]
    return kept
