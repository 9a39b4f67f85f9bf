"""Closed edges followed round: from a rough ellipse to the drilled edge of the near hole.

A path through the unrolled band round an ellipse may step a little from one angle to the next; what
it gains is edge strength. That carries an outline over places where the edge is weak and keeps it
from hopping onto a neighbour. Of the rings that are bordered all round, the outermost is the hole's
edge in the face; a full ring just inside it is the lower edge of a chamfer, the drilled edge.
"""

from typing import Final

import numpy as np

from annotate.polar import (
    Array,
    Frame,
    Image,
    blurred,
    circle,
    harmonics,
    peak_offset,
    robust_fit,
    sample,
)
from annotate.rings import (
    CALM_PX,
    DIRECTIONS,
    Pyramid,
    Ring,
    alike,
    closed_rings,
    edge_strength,
    evidence,
    unrolled,
)

_ORDERS: Final = 3  # what a tilted saddle-shaped rim needs beyond its ellipse: its third harmonic
_STIFF: Final = 0.15  # edge strength paid for a step of one sample between neighbouring angles
_ANGLES: Final = 180
_TOLERANCE: Final = 0.007  # near radii within which an edge counts as being on a ring
_EDGE_PX: Final = 1.8  # half the width of an edge, pixels of a level
_SEEN: Final = 0.4  # support below this is what texture gives by chance
_RIVAL: Final = 0.8  # share of the best ring's support that makes another one a true ring too
_WELL_BORDERED: Final = 0.6  # support that texture and mixtures of edges do not reach
_LARGER: Final = 1.1
_CHAMFER_SUPPORT: Final = 0.45
_CHAMFER_SHARE: Final = 0.55  # of the outer ring's support
_CHAMFER_DOUBT: Final = 0.2  # of a chamfer's width: how well its lower edge is told from it
_CHAMFER_COVER: Final = 0.65  # share of the circle on which a chamfer's lower edge must show


def near_ring(levels: Pyramid, click: Array) -> Ring | None:
    """Return the drilled edge round a click as a ring, or None if none stands out."""
    outer = _outermost(levels, click)
    if outer is None:
        return None
    inner = _ring_inside(levels, outer)
    chamfered = (
        inner.support > max(_CHAMFER_SUPPORT, _CHAMFER_SHARE * outer.support)
        and _cover(levels, inner) > _CHAMFER_COVER
    )
    ring = inner if chamfered else outer
    wanted = min(ring.frame.radius_px, 200.0)
    last = follow(levels, ring.frame, (0.008,), wanted, calm_inside=chamfered)
    width_px = outer.frame.radius_px - ring.frame.radius_px
    return Ring(last.frame, ring.support, last.bend, _CHAMFER_DOUBT * width_px)


def _outermost(levels: Pyramid, click: Array) -> Ring | None:
    """Return the outermost of the rings round a click that an edge borders all round."""
    found = closed_rings(levels, click)
    starts: list[Ring] = []
    for ring in found:
        worth_it = ring.support > 0.6 * found[0].support
        if worth_it and not any(alike(ring.frame, k.frame, 0.15) for k in starts):
            starts.append(ring)
    rings = _pulled(levels, click, [f for s in starts[:4] for f in scan(levels, s.frame, 8)])
    if not rings:
        return None
    # Twice more round the best guess: with its own tilt, with less (the lens that the two ends of
    # the hole leave open is flatter than either rim), and from a little farther out.
    for _ in range(2):
        for frame in _promising(rings):
            seeds = [*scan(levels, frame, 6), *scan(levels, frame.rounder(0.25), 4)]
            rings += _pulled(levels, click, [*seeds, frame.grown(1.02), frame.grown(1.04)])
    outer = _outer_of(rings)
    return outer if outer.support > _SEEN else None


def _promising(rings: list[Ring]) -> list[Frame]:
    """Return the outermost true ring so far and the best of the plainly larger ones, if any."""
    outer = _outer_of(rings)
    wide = _LARGER * outer.frame.radius_px
    larger = [r for r in rings if r.frame.radius_px > wide and r.support > _SEEN]
    best = sorted(larger, key=lambda r: -r.support)[:1]
    return [outer.frame, *(r.frame for r in best)]


def _outer_of(rings: list[Ring]) -> Ring:
    """Return the largest of the rings that are true ones.

    True is what comes near the best bordered one. A plainly larger ring need only be well bordered:
    the best may be a small far hole, and glare may hide part of the near rim.
    """
    best = max(rings, key=lambda r: r.support)
    wide = _LARGER * best.frame.radius_px
    true = [
        r
        for r in rings
        if r.support > _RIVAL * best.support
        or (r.support > _WELL_BORDERED and r.frame.radius_px > wide)
    ]
    return max(true, key=lambda r: r.frame.radius_px)


def _pulled(levels: Pyramid, click: Array, frames: list[Frame]) -> list[Ring]:
    """Return the edges that rough circles mean, if they hold the click."""
    rings = [follow(levels, frame, (0.02, 0.012)) for frame in frames]
    return [r for r in rings if float(np.linalg.norm(r.frame.to_unit(click))) < 1]


def follow(
    levels: Pyramid,
    frame: Frame,
    bands: tuple[float, ...],
    wanted_px: float = 120,
    calm_inside: bool = False,
) -> Ring:
    """Return the ring pulled onto the one edge that a smooth path finds within each band in turn.

    ``calm_inside`` measures edges against the calm inside the ring only, for an edge in the
    dark beside a lively face.
    """
    design = harmonics(2 * np.pi * np.arange(_ANGLES) / _ANGLES, _ORDERS)
    at = np.arange(_ANGLES)
    bend = np.zeros(design.shape[1])
    support = 0.0
    for band in bands:
        reach = 1.6 * band + max(0.04, CALM_PX / frame.radius_px)
        radii, grid = unrolled(levels, frame, (1 - reach, 1 + reach), _ANGLES, wanted_px)
        # Beside the edge, not on it: of a small hole the edge's own slope fills much of the band.
        off_edge = np.abs(radii - 1) * min(frame.radius_px, wanted_px) > _EDGE_PX
        calm = radii < 1 - band / 2 if calm_inside else off_edge
        strength = np.abs(edge_strength(grid, calm))
        step = radii[1] - radii[0]
        peak, shift = peaks(strength)
        off = radii[None, :] - 1 - (design[:, 5:] @ bend[5:])[:, None]
        window = np.exp(-0.5 * (off / (0.7 * band)) ** 2)
        path = _closed_path(np.asarray((0.3 * strength + 0.7 * peak) * window, np.float32))
        weight = peak[at, path].astype(np.float64) ** 2
        value = radii[path] + shift[at, path] * step
        bend = robust_fit(design, value - 1, max(band, 2 * step), weight)
        left = np.abs(value - 1 - design @ bend)
        on_it = np.exp(-0.5 * (left / max(_TOLERANCE, step)) ** 2)
        support = float(np.mean(peak[at, path] * on_it))
        frame = frame.moved(np.clip(bend, -0.1, 0.1))
    return Ring(frame, support, tuple(bend[5:].tolist()))


def peaks(strength: Image) -> tuple[Image, Image]:
    """Return the strength at its maxima along each row (else 0) and their offsets in samples."""
    left = np.pad(strength, ((0, 0), (1, 0)), mode="edge")[:, :-1]
    right = np.pad(strength, ((0, 0), (0, 1)), mode="edge")[:, 1:]
    top = (strength >= left) & (strength > right)
    return np.where(top, strength, np.float32(0)), peak_offset(left, strength, right)


def _closed_path(gain: Image) -> "np.ndarray[tuple[int], np.dtype[np.int64]]":
    """Return the column of the best closed path through gain (angles, radii), one per angle."""
    angles, width = gain.shape
    # Two turns: the first only finds out where a closed path would come in.
    twice = np.concatenate([gain, gain])
    moves = np.array([0, -1, 1, -2, 2])
    cost = (_STIFF * np.abs(moves)).astype(np.float32)[:, None]
    columns = np.arange(width)
    wide = np.full(width + 4, -1e9, np.float32)
    shifted = (columns[None, :] + moves[:, None]) + 2
    came = np.zeros(twice.shape, np.int64)
    total = twice[0]
    for i in range(1, len(twice)):
        wide[2:-2] = total
        choices = wide[shifted] - cost
        pick = np.argmax(choices, axis=0)
        came[i] = columns + moves[pick]
        total = choices[pick, columns] + twice[i]
    at = int(np.argmax(total))
    path = np.empty(len(twice), np.int64)
    for i in range(len(twice) - 1, -1, -1):
        path[i] = at
        at = int(came[i, at])
    middle = angles // 2
    return np.concatenate([path[angles : angles + middle], path[middle:angles]])


def scan(levels: Pyramid, frame: Frame, keep: int) -> list[Frame]:
    """Return circles of a frame, 0.8 to 1.3 radii and little moved, best bordered first."""
    half, reach = 80, 1.55
    level = levels.for_radius(frame.radius_px, half)
    span = int(half * reach)
    axis = np.arange(-span, span + 1) / half
    points = frame.scaled(0.5**level).to_px(np.stack(np.meshgrid(axis, axis), axis=-1))
    flat = np.nan_to_num(sample(levels.levels[level], points))
    maps = evidence(blurred(blurred(flat, 0.8, 0), 0.8, 1), DIRECTIONS, 1)
    free = np.sqrt(np.maximum(maps[:DIRECTIONS], maps[DIRECTIONS:]))
    move = int(0.16 * half)
    unit = circle(4 * DIRECTIONS)
    found: list[Ring] = []
    for radius in np.arange(0.8 * half, 1.3 * half):
        total = np.zeros((2 * move + 1, 2 * move + 1), np.float32)
        corner = np.rint(radius * unit).astype(int) + span - move
        for k, (x, y) in enumerate(corner.tolist()):
            total += free[(k // 2) % DIRECTIONS, y : y + 2 * move + 1, x : x + 2 * move + 1]
        y, x = divmod(int(np.argmax(total)), 2 * move + 1)
        moved = frame.shifted(np.array([x - move, y - move]) / half)
        found.append(Ring(moved.grown(float(radius) / half), float(total[y, x])))
    kept: list[Frame] = []
    for ring in sorted(found, key=lambda r: -r.support):
        if not any(alike(ring.frame, k, 0.016) for k in kept):
            kept.append(ring.frame)
    return kept[:keep]


def _ring_inside(levels: Pyramid, outer: Ring) -> Ring:
    """Return the best ring just inside another, however weak.

    A chamfer c deep at 45 degrees is seen moved by c tan(theta), much less than its width c; the
    hole's own far edge is moved by more than its circle is smaller, so moves are bounded.
    """
    wanted = min(outer.frame.radius_px, 150.0)
    gap = max(0.012, 2.5 / outer.frame.radius_px)
    radii, grid = unrolled(levels, outer.frame, (0.8, 1.04), _ANGLES, wanted)
    peak, _ = peaks(np.abs(edge_strength(grid, radii < 1 - gap / 2)))
    hits = np.minimum(blurred(peak, 1.0, 1) / 0.4, 1)
    unit = circle(_ANGLES)
    at = np.arange(_ANGLES)[None, :]
    best, start = -1.0, outer.frame
    for radius in np.arange(0.86, 1 - gap, 0.005):
        most = 0.45 * (1 - radius) + 0.004
        axis = np.arange(-most, most + 1e-9, 0.006)
        moves = np.stack(np.meshgrid(axis, axis), axis=-1).reshape(-1, 2)
        moves = moves[np.hypot(moves[:, 0], moves[:, 1]) <= most]
        columns = np.rint((radius + moves @ unit.T - radii[0]) / (radii[1] - radii[0])).astype(int)
        score = hits[at, np.clip(columns, 0, len(radii) - 1)].mean(axis=1)
        i = int(np.argmax(score))
        if score[i] > best:
            best = float(score[i])
            start = outer.frame.shifted(moves[i]).grown(float(radius))
    return follow(levels, start, (0.012, 0.008), wanted, calm_inside=True)


def _cover(levels: Pyramid, ring: Ring) -> float:
    """Return the share of the circle, in steps of 18 degrees, on which a ring's edge shows."""
    wanted = min(ring.frame.radius_px, 150.0)
    radii, grid = unrolled(levels, ring.frame, (0.9, 1.04), _ANGLES, wanted)
    peak, _ = peaks(np.abs(edge_strength(grid, radii < 0.995)))  # noqa: PLR2004 - just inside it
    design = harmonics(2 * np.pi * np.arange(_ANGLES) / _ANGLES, _ORDERS)
    off = radii[None, :] - 1 - (design[:, 5:] @ np.array(ring.bend))[:, None]
    close = np.abs(off) < max(0.01, 1.2 * (radii[1] - radii[0]))
    hit = np.max(np.where(close, peak, 0), axis=1).reshape(20, -1).mean(axis=1)
    return float(np.mean(hit > 0.35))  # noqa: PLR2004 - edge strength plainly above chance


def curve_px(ring: Ring, phi: Array) -> tuple[Array, Array]:
    """Return points of a ring at frame angles ``phi`` and its outward unit normals, in pixels."""
    radius = 1 + harmonics(phi, _ORDERS)[:, 5:] @ np.asarray(ring.bend)
    unit = np.stack([np.cos(phi), np.sin(phi)], axis=-1)
    normals = unit @ np.linalg.inv(ring.frame.matrix)
    normals /= np.hypot(normals[:, 0], normals[:, 1])[:, None]
    return ring.frame.to_px(unit * radius[:, None]), normals
