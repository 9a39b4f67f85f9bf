"""Which of the closed edges round a click is the near hole's, from rough ellipses on.

Of the rings that are bordered all round, the outermost is the hole's edge in the face; a full ring
just inside it may be the lower edge of a chamfer, the drilled edge. In a plate no more is asked;
of a hole through a wall the far edge below is asked as well.
"""

from collections.abc import Sequence
from functools import lru_cache
from typing import Final

import numpy as np

from annotate.near_edges.chamfer import drilled_edge
from annotate.near_edges.follow import follow
from annotate.near_edges.many import Frames, edge_strength, laid, unlike
from annotate.near_edges.rings import Ring, closed_rings
from annotate.near_edges.stack import drilled_of
from annotate.pixels.halvings import Pyramid
from annotate.pixels.polar import Array, Frame, circle
from annotate.wall_hint import WallHint

_FEW_ANGLES: Final = 90  # while there are many candidates
_SEEN: Final = 0.4  # support below this is what texture gives by chance
_PLAIN: Final = 0.45  # edge strength along a drilled edge that is one
_RIVAL: Final = 0.8  # share of the best ring's support that makes another one a true ring too
_WELL_BORDERED: Final = 0.6  # support that texture and mixtures of edges do not reach
_FAIR: Final = 0.5  # ... and that a rough ellipse on a pale rim still has
_LARGER: Final = 1.1
_SAME: Final = 0.002  # radii between guesses that lead to the same rings
_SCAN_PX: Final = 64.0  # radius at which circles of a frame are scanned
_SCAN_ANGLES: Final = 80
_FARTHEST: Final = 0.16  # near radii that a scanned circle is moved


def near_ring(levels: Pyramid, click: Array) -> Ring | None:
    """Return the drilled edge round a click as a ring, or None if none stands out."""
    outer = _outermost(levels, click)
    if outer is None:
        return None
    ring, doubt_px = drilled_edge(levels, outer)
    wanted = min(ring.frame.radius_px, 200.0)
    last = follow(levels, [ring.frame], (0.008,), wanted, calm_inside=ring is not outer)[0]
    return Ring(last.frame, ring.support, last.bend, doubt_px)


def stacked_ring(levels: Pyramid, click: Array, hint: WallHint | None) -> Ring | None:
    """Return the drilled edge of a hole through a wall round a click, or None if none stands out.

    What lies below it is asked too: ``hint`` tells where the hole's own far edge must be.
    """
    rings = _bordered(levels, click)
    if not rings:
        return None
    stack = drilled_of(levels, rings, _outer_of(rings), hint)
    return stack.ring if stack is not None and stack.strength > _PLAIN else None


def _outermost(levels: Pyramid, click: Array) -> Ring | None:
    """Return the outermost of the rings round a click that an edge borders all round."""
    rings = _bordered(levels, click)
    if not rings:
        return None
    outer = _outer_of(rings)
    return outer if outer.support > _SEEN else None


def _bordered(levels: Pyramid, click: Array) -> list[Ring]:
    """Return rings round a click that an edge borders, those about the outermost true one too."""
    found = closed_rings(levels, click)
    starts = _starts(found)
    rings = _pulled(levels, click, [f for s in starts for f in scan(levels, s, 8)])
    if not rings:
        return []
    # Twice more round the best guess: with its own tilt, with less (the lens that the two ends of
    # the hole leave open is flatter than either rim), and from a little farther out.
    tried: list[Frame] = []
    for _ in range(2):
        seeds: list[Frame] = []
        every = tried + _promising(rings)
        # Round one that was tried the same rings would be found once more.
        fresh = [every[i] for i in unlike(Frames.of(every), _SAME, len(every)) if i >= len(tried)]
        tried += fresh
        for frame in fresh:
            seeds += [*scan(levels, frame, 6), *scan(levels, frame.rounder(0.25), 4)]
            seeds += [frame.grown(1.02), frame.grown(1.04)]
        rings += _pulled(levels, click, seeds)
    return rings


def _starts(found: list[Ring]) -> list[Frame]:
    """Return the best of rings, best first, and after them the best of the plainly larger ones.

    Far hole and opening may each give several better rings than a rim that is wide and pale.
    """
    worth_it = [r.frame for r in found if r.support > 0.6 * found[0].support]
    starts = [worth_it[i] for i in unlike(Frames.of(worth_it), 0.15, 4)]
    wide = _LARGER * max((f.radius_px for f in starts), default=0.0)
    larger = [r.frame for r in found if r.support > _FAIR and r.frame.radius_px > wide]
    return starts + [larger[i] for i in unlike(Frames.of(larger), 0.15, 2)]


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


def _pulled(levels: Pyramid, click: Array, frames: Sequence[Frame]) -> list[Ring]:
    """Return the edges that rough circles mean, if they hold the click."""
    rings = follow(levels, frames, (0.02, 0.012), angles=_FEW_ANGLES)
    return [r for r in rings if float(np.linalg.norm(r.frame.to_unit(click))) < 1]


def scan(levels: Pyramid, frame: Frame, keep: int) -> list[Frame]:
    """Return circles of a frame, 0.8 to 1.3 radii and little moved, best bordered first."""
    radii = np.arange(0.6, 1.5, 1 / (1.5 * min(_SCAN_PX, frame.radius_px)))
    step = radii[1] - radii[0]
    grid = laid(levels, Frames.of([frame]), radii[None], _SCAN_ANGLES, _SCAN_PX)
    strength = np.abs(edge_strength(grid))[0]
    spread = strength.copy()
    np.maximum(spread[:, 1:], strength[:, :-1], out=spread[:, 1:])
    np.maximum(spread[:, :-1], strength[:, 1:], out=spread[:, :-1])
    moves, farther = _moves()
    off = np.rint(farther / step).astype(int)
    first = int(np.ceil((0.8 - radii[0]) / step))
    sizes = int(0.5 / step)
    runs = np.lib.stride_tricks.sliding_window_view(spread, sizes, axis=1)
    start = np.clip(first + off, 0, runs.shape[1] - 1)
    total, here = np.zeros((2, len(moves), sizes), np.float32)
    for along_one, first_of in zip(runs, np.ascontiguousarray(start.T), strict=True):
        # Clipped, though nothing lies outside: anything else is taken by way of a copy.
        total += np.take(along_one, first_of, axis=0, out=here, mode="clip")
    best = total.argmax(axis=0)
    worth = total[best, np.arange(sizes)]
    kept: list[tuple[Array, float]] = []
    for i in np.argsort(-worth, kind="stable").tolist():
        move, radius = moves[best[i]], float(radii[first + i])
        # How far two circles of a frame lie apart, in radii of the one kept.
        gaps = (np.linalg.norm(move - m) + abs(radius - r) for m, r in kept)
        if all(gap > 0.016 * r for gap, (_, r) in zip(gaps, kept, strict=True)):
            kept.append((move, radius))
        if len(kept) == keep:
            break
    return [frame.shifted(move).grown(radius) for move, radius in kept]


@lru_cache(maxsize=1)
def _moves() -> tuple[Array, Array]:
    """Return moves (M, 2) of circles that are scanned, and by how much each lies farther out.

    The latter (M, angles) in radii, seen from the middle.
    """
    axis = np.arange(-_FARTHEST, _FARTHEST + 1e-9, 0.02)
    moves = np.stack(np.meshgrid(axis, axis), axis=-1).reshape(-1, 2)
    unit = circle(_SCAN_ANGLES)
    # A moved circle, seen from the middle: its radius plus m.u - (m x u)^2 / 2, nearly.
    sideways = moves[:, :1] * unit[:, 1] - moves[:, 1:] * unit[:, 0]
    return moves, moves @ unit.T - sideways**2 / 2
