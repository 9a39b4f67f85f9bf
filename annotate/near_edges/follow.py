"""Edges followed round: a rough ellipse pulled onto the one edge that a smooth path finds.

A path through the unrolled band round an ellipse may step a little from one angle to the next; what
it gains is edge strength. That carries an outline over places where the edge is weak and keeps it
from hopping onto a neighbour.
"""

from collections.abc import Sequence
from typing import Final, NamedTuple

import numpy as np
import numpy.typing as npt

from annotate.near_edges.many import Frames, edge_strength, robust_fit, unrolled
from annotate.near_edges.rings import CALM_PX, Ring
from annotate.pixels.halvings import Pyramid
from annotate.pixels.polar import Array, Frame, Image, harmonics, peak_offset

Whole = npt.NDArray[np.int64]

ORDERS: Final = 3  # what a tilted saddle-shaped rim needs beyond its ellipse: its third harmonic
ANGLES: Final = 180
_STIFF: Final = 0.15  # edge strength paid for a step of one sample between neighbouring angles
_TOLERANCE: Final = 0.007  # near radii within which an edge counts as being on a ring
_LEAD: Final = 4  # of a turn is followed before and after each half of it
_NOWHERE: Final = -1e9  # gain where no path goes
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
    if not frames:
        return []
    here, bend, support = Frames.of(frames), np.zeros((len(frames), 2)), np.zeros(len(frames))
    for band in bands:
        reach = 1.6 * band + np.maximum(0.04, CALM_PX / here.radius_px)
        # Beside the edge, not on it: of a small hole its own slope fills much of the band.
        beside = _EDGE_PX / np.minimum(here.radius_px, wanted_px)
        laid_out: list[_Band] = []
        for part in unrolled(levels, here, reach, angles, wanted_px):
            off_edge = np.abs(part.radii - 1) > beside[part.which, None]
            calm = part.radii < 1 - band / 2 if calm_inside else off_edge
            strength = np.abs(edge_strength(part.grid, calm))
            laid_out.append(_Band(part.which, part.radii, strength, peaks(strength)))
        fitted, support = _along_paths(bend, laid_out, angles, band)
        here, bend = here.moved(np.clip(fitted, -0.1, 0.1)), fitted[:, 5:]
    parts = zip(here.each(), support.tolist(), bend.tolist(), strict=True)
    return [Ring(frame, share, (b[0], b[1])) for frame, share, b in parts]


class _Band(NamedTuple):
    """Bands round some of many rings: which (N,), radii (N, K), strength and peaks (N, A, K)."""

    which: Whole
    radii: Array
    strength: Image
    peak: Image


def _along_paths(
    bend: Array, bands: Sequence[_Band], angles: int, band: float
) -> tuple[Array, Array]:
    """Return radial harmonics (N, 7) of the best closed paths through bands, and their support.

    ``bend`` (N, 2): the rings' third harmonics so far; support (N,) is the share of edge.
    """
    design = harmonics(2 * np.pi * np.arange(angles) / angles, ORDERS)
    bent = (bend @ design[:, 5:].T).astype(np.float32)
    gains: list[Image] = []
    for one in bands:
        off = (one.radii - 1).astype(np.float32)[:, None, :] - bent[one.which, :, None]
        off *= np.float32(1 / (0.7 * band))
        window = np.exp(np.float32(-0.5) * off * off)
        gains.append((np.float32(0.3) * one.strength + np.float32(0.7) * one.peak) * window)
    value, on_path = np.empty((2, len(bend), angles))
    step = np.empty(len(bend))
    for one, path in zip(bands, closed_paths(gains), strict=True):
        step[one.which] = one.radii[:, 1] - one.radii[:, 0]
        on_path[one.which] = np.take_along_axis(one.peak, path[..., None], 2)[..., 0]
        shift = peak_offsets_at(one.strength, path) * step[one.which, None]
        value[one.which] = np.take_along_axis(one.radii, path, 1) + shift - 1
    fitted = robust_fit(design, value, np.maximum(band, 2 * step), on_path**2)
    left = np.abs(value - fitted @ design.T)
    near_it = np.exp(-0.5 * (left / np.maximum(_TOLERANCE, step)[:, None]) ** 2)
    return fitted, np.asarray((on_path * near_it).mean(axis=1))


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


def peak_offsets_at(strength: Image, pick: Whole) -> Image:
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


def closed_paths(gains: Sequence[Image]) -> list[Whole]:
    """Return the columns (N, angles) of the best closed path through each gain (angles, radii).

    Gains (N, angles, radii) may differ in how many there are and in their radii, not in angles.
    """
    some = _in_halves(gains)
    length, width, count = some.shape
    # Beyond either end of the radii, two columns that no path takes.
    total = np.full((length, width + 4, count), _NOWHERE, np.float32)
    total[0, 2:-2] = some[0]
    one, two = np.float32(_STIFF), np.float32(2 * _STIFF)
    beside = np.empty((width, count), np.float32)
    for i in range(1, length):
        last, best = total[i - 1], total[i, 2:-2]
        np.maximum(last[1:-3], last[3:-1], out=beside)
        beside -= one
        np.maximum(last[2:-2], beside, out=best)
        np.maximum(last[:-4], last[4:], out=beside)
        beside -= two
        np.maximum(best, beside, out=best)
        best += some[i]
    at = np.empty((length, count), np.int64)
    at[-1] = total[-1].argmax(axis=0) * count + np.arange(count)
    moves = np.array((0, -1, 1, -2, 2))
    cost, moves = (_STIFF * np.abs(moves)).astype(np.float32), moves * count
    angles = gains[0].shape[1]
    lead = angles // _LEAD
    for i in range(length - 1, lead, -1):
        came = np.take(total[i - 1], at[i, :, None] + moves) - cost
        at[i - 1] = at[i] + moves[came.argmax(axis=1)]
    halves = at[lead : length - lead].reshape(-1, 2, count // 2)
    # The second half ends where the first began: of an odd number of angles one is in both.
    whole = np.concatenate([halves[:, 0], halves[: angles // 2, 1]]).T // count - 2
    ends = np.cumsum([len(gain) for gain in gains])[:-1]
    return np.split(np.asarray(whole, np.int64), ends)


def _in_halves(gains: Sequence[Image]) -> Image:
    """Return gains side by side (steps, radii, 2 N): either half of the turn, with its leads.

    The halves are followed together, each from a quarter turn before it to a quarter turn after:
    there it is found out where a closed path comes in and goes out.
    """
    angles = gains[0].shape[1]
    half, lead = -(-angles // 2), angles // _LEAD
    count = sum(len(gain) for gain in gains)
    widest = max(gain.shape[2] for gain in gains)
    some = np.full((half + 2 * lead, widest, 2, count), _NOWHERE, np.float32)
    turns = [(np.arange(len(some)) + first - lead) % angles for first in (0, half)]
    first = 0
    for gain in gains:
        by_angle = gain.transpose(1, 2, 0)
        for side, turn in enumerate(turns):
            some[:, : gain.shape[2], side, first : first + len(gain)] = by_angle[turn]
        first += len(gain)
    return some.reshape(len(some), widest, -1)


def curve_px(ring: Ring, phi: Array) -> tuple[Array, Array]:
    """Return points of a ring at frame angles ``phi`` and its outward unit normals, in pixels."""
    radius = 1 + harmonics(phi, ORDERS)[:, 5:] @ np.asarray(ring.bend)
    unit = np.stack([np.cos(phi), np.sin(phi)], axis=-1)
    normals = unit @ np.linalg.inv(ring.frame.matrix)
    normals /= np.hypot(normals[:, 0], normals[:, 1])[:, None]
    return ring.frame.to_px(unit * radius[:, None]), normals
