"""Edges followed round: a rough ellipse pulled onto the one edge that a smooth path finds.

A path through the unrolled band round an ellipse may step a little from one angle to the next; what
it gains is edge strength. That carries an outline over places where the edge is weak and keeps it
from hopping onto a neighbour.
"""

from collections.abc import Sequence
from typing import Final

import numpy as np
import numpy.typing as npt

from annotate.near_edges.many import edge_strength, moved, robust_fit, unrolled
from annotate.near_edges.rings import CALM_PX, Ring
from annotate.pixels.halvings import Pyramid
from annotate.pixels.polar import Array, Frame, Image, harmonics, peak_offset

ORDERS: Final = 3  # what a tilted saddle-shaped rim needs beyond its ellipse: its third harmonic
ANGLES: Final = 180
_STIFF: Final = 0.15  # edge strength paid for a step of one sample between neighbouring angles
_TOLERANCE: Final = 0.007  # near radii within which an edge counts as being on a ring
_EDGE_PX: Final = 1.8  # half the width of an edge, pixels of a level


def follow(
    levels: Pyramid,
    frames: Sequence[Frame],
    bands: tuple[float, ...],
    wanted_px: float = 120,
    *,
    calm_inside: bool = False,
    angles: int = ANGLES,
) -> list[Ring]:
    """Return the rings pulled onto the one edge that a smooth path finds within each band in turn.

    ``calm_inside`` measures edges against the calm inside the ring only, for an edge in the
    dark beside a lively face.
    """
    rings = [Ring(frame, 0.0) for frame in frames]
    for band in bands:
        here = [r.frame for r in rings]
        reach = np.array([1.6 * band + max(0.04, CALM_PX / f.radius_px) for f in here])
        for part in unrolled(levels, here, reach, angles, wanted_px):
            # Beside the edge, not on it: of a small hole its own slope fills much of the band.
            size = np.array([min(here[i].radius_px, wanted_px) for i in part.which])
            off_edge = np.abs(part.radii - 1) * size[:, None] > _EDGE_PX
            calm = part.radii < 1 - band / 2 if calm_inside else off_edge
            strength = np.abs(edge_strength(part.grid, calm))
            found = _onto_path([rings[i] for i in part.which], part.radii, strength, band)
            for i, ring in zip(part.which, found, strict=True):
                rings[i] = ring
    return rings


def _onto_path(rings: Sequence[Ring], radii: Array, strength: Image, band: float) -> list[Ring]:
    """Return rings moved onto the best closed path through their bands."""
    angles = strength.shape[1]
    design = harmonics(2 * np.pi * np.arange(angles) / angles, ORDERS)
    bend = np.array([r.bend for r in rings])
    step = radii[:, 1] - radii[:, 0]
    peak = peaks(strength)
    bent = (bend @ design[:, 5:].T).astype(np.float32)
    off = (radii - 1).astype(np.float32)[:, None, :] - bent[..., None]
    off *= np.float32(1 / (0.7 * band))
    window = np.exp(np.float32(-0.5) * off * off)
    path = closed_paths((np.float32(0.3) * strength + np.float32(0.7) * peak) * window)
    on_path = np.take_along_axis(peak, path[..., None], 2)[..., 0]
    shift = peak_offsets_at(strength, path)
    value = np.take_along_axis(radii, path, 1) + shift * step[:, None] - 1
    weight = on_path.astype(np.float64) ** 2
    fitted = robust_fit(design, value, np.maximum(band, 2 * step), weight)
    left = np.abs(value - fitted @ design.T)
    near_it = np.exp(-0.5 * (left / np.maximum(_TOLERANCE, step)[:, None]) ** 2)
    support = (on_path * near_it).mean(axis=1).tolist()
    frames = moved([r.frame for r in rings], np.clip(fitted, -0.1, 0.1))
    bends = fitted[:, 5:].tolist()
    return [Ring(f, s, (b[0], b[1])) for f, s, b in zip(frames, support, bends, strict=True)]


def peaks(strength: Image) -> Image:
    """Return the strength (..., K) at its maxima along its last axis, else 0."""
    top = np.ones(strength.shape, dtype=bool)
    top[..., 1:] = strength[..., 1:] >= strength[..., :-1]
    top[..., :-1] &= strength[..., :-1] > strength[..., 1:]
    top[..., -1] = False
    # Faster by far than a choice, where the mask is as good as random.
    return strength * top


def peak_offsets(strength: Image) -> Image:
    """Return how far off, in samples, the maxima of ``peaks`` lie; elsewhere it says nothing."""
    left, right = _beside(strength)
    return peak_offset(left, strength, right)


def peak_offsets_at(strength: Image, pick: "npt.NDArray[np.intp]") -> Image:
    """Return the same at one place (...) of the last axis each."""
    width = strength.shape[-1]
    flat, first = strength.ravel(), np.arange(pick.size).reshape(pick.shape) * width
    around = np.maximum(pick - 1, 0), pick, np.minimum(pick + 1, width - 1)
    left, middle, right = (np.take(flat, first + column) for column in around)
    return peak_offset(left, middle, right)


def _beside(strength: Image) -> tuple[Image, Image]:
    """Return what stands to the left and to the right of each place along the last axis."""
    wide = np.concatenate([strength[..., :1], strength, strength[..., -1:]], axis=-1)
    return wide[..., :-2], wide[..., 2:]


def closed_paths(gain: Image) -> "np.ndarray[tuple[int, int], np.dtype[np.int64]]":
    """Return the columns (N, angles) of the best closed path through each gain (angles, radii)."""
    count, angles, width = gain.shape
    # Two turns: the first only finds out where a closed path would come in. Beyond either end of
    # the radii, two columns that no path takes.
    total = np.full((2 * angles, width + 4, count), -1e9, np.float32)
    by_angle = np.ascontiguousarray(gain.transpose(1, 2, 0))
    total[0, 2:-2] = by_angle[0]
    one, two = np.float32(_STIFF), np.float32(2 * _STIFF)
    beside = np.empty((width, count), np.float32)
    for i in range(1, 2 * angles):
        last, best = total[i - 1], total[i, 2:-2]
        np.maximum(last[1:-3], last[3:-1], out=beside)
        beside -= one
        np.maximum(last[2:-2], beside, out=best)
        np.maximum(last[:-4], last[4:], out=beside)
        beside -= two
        np.maximum(best, beside, out=best)
        best += by_angle[i % angles]
    at = np.empty((2 * angles, count), np.int64)
    at[-1] = total[-1].argmax(axis=0) * count + np.arange(count)
    moves = np.array((0, -1, 1, -2, 2))
    cost, moves = (_STIFF * np.abs(moves)).astype(np.float32), moves * count
    middle = angles // 2
    for i in range(2 * angles - 1, middle, -1):
        came = np.take(total[i - 1], at[i, :, None] + moves) - cost
        at[i - 1] = at[i] + moves[came.argmax(axis=1)]
    path = np.concatenate([at[angles : angles + middle], at[middle:angles]]).T // count - 2
    return np.asarray(path, np.int64)


def curve_px(ring: Ring, phi: Array) -> tuple[Array, Array]:
    """Return points of a ring at frame angles ``phi`` and its outward unit normals, in pixels."""
    radius = 1 + harmonics(phi, ORDERS)[:, 5:] @ np.asarray(ring.bend)
    unit = np.stack([np.cos(phi), np.sin(phi)], axis=-1)
    normals = unit @ np.linalg.inv(ring.frame.matrix)
    normals /= np.hypot(normals[:, 0], normals[:, 1])[:, None]
    return ring.frame.to_px(unit * radius[:, None]), normals
