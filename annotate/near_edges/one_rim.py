"""Whether an outline round a click is one rim, or the opening that two rims leave between them.

Where only the opening's border shows, because the wall and the part behind look like the face, its
outline is the piece of each rim that lies inside the other: two arcs that meet in two corners. One
ellipse through it leaves the outline at both corners, or keeps to one arc and has no edge on the
rest.
"""

from typing import Final, Literal

import numpy as np

from annotate.near_edges.follow import closed_paths, peaks
from annotate.near_edges.many import Frames, edge_strength, unrolled
from annotate.pixels.halvings import Pyramid
from annotate.pixels.polar import Array, Frame, harmonics, robust_fit

Told = Literal["is", "may be", "is not"]

_ANGLES: Final = 180
_WANTED_PX: Final = 120.0
_REACH: Final = 0.3  # near radii either side that are looked at
_LIKELY: Final = 0.1  # near radii from the ellipse, the spread of where its outline may run
_EDGE: Final = 0.3  # edge strength plainly above chance
_BENT: Final = 3  # order of the radial harmonics by which a rim on a bore leaves an ellipse
_STRAY: Final = 0.02  # near radii off that shape of a point that belongs to something else
_ON_IT: Final = 0.02  # near radii from the rim within which an edge is its own
_OFF_IT: Final = 0.03
_LEFT: Final = 0.12  # of the ellipse: what glare or a chip takes is less
_NO_EDGE: Final = 0.4  # of the ellipse
_HARDLY: Final = 0.1  # of an ellipse that lacks points: what it may leave, or be without
_WHOLLY: Final = 0.05  # of a bent rim: what it may leave, or be without
_WELL_WITHIN: Final = 0.15  # near radii: half as much again as an opening's border leaves one
_GAP: Final = np.radians(90)  # of an ellipse without points on it
_TWO_GAPS: Final = np.radians(60)  # each of two


def told_by_outline(levels: Pyramid, frame: Frame, points_px: Array) -> Told:
    """Return whether an ellipse through points (N, 2) found on an outline is that of one rim.

    It may be if too much of the outline leaves it, but it has an edge of its own on most of it.
    """
    unit = frame.to_unit(points_px)
    left, bare = _left_and_bare(levels, frame, np.zeros(2))
    if not _lie_all_round(unit):
        # Points may be missing where the edge is not: it was too near another to be placed well.
        return "is" if max(left, bare) < _HARDLY else "is not"
    if left < _LEFT and bare < _NO_EDGE:
        return "is"
    around = np.arctan2(unit[:, 1], unit[:, 0])
    radial = np.hypot(unit[:, 0], unit[:, 1]) - 1
    shape = robust_fit(harmonics(around, _BENT), radial, _STRAY, np.ones(len(radial)))
    # Two arcs have no such shape, but bend an ellipse towards one: only the whole of it counts.
    if max(_left_and_bare(levels, frame, shape[-2:])) < _WHOLLY:
        return "is"
    return "may be" if bare < _NO_EDGE else "is not"


def lies_within(frame: Frame, points_px: Array) -> bool:
    """Return whether an edge behind lies so far inside a rim that this is no opening's border.

    Of an opening that two rims leave between them the border is all that shows, and it runs along
    the ellipse through it. Where an edge shows well inside, what lies round that is no opening.
    """
    unit = frame.to_unit(points_px)
    return bool(np.median(1 - np.hypot(unit[:, 0], unit[:, 1])) > _WELL_WITHIN)


def _lie_all_round(unit: Array) -> bool:
    """Return whether points (N, 2) of the unit frame leave no wide gap round it."""
    phi = np.sort(np.arctan2(unit[:, 1], unit[:, 0]))
    gaps = np.sort(np.diff(phi, append=phi[0] + 2 * np.pi))
    return bool(gaps[-1] <= _GAP and gaps[-2] <= _TWO_GAPS)


def _left_and_bare(levels: Pyramid, frame: Frame, bend: Array) -> tuple[float, float]:
    """Return the shares of a rim that its outline leaves for an edge off it, and without edge.

    ``bend``: the rim's third radial harmonics off the ellipse. The outline is the best closed path
    near the rim; where the rim has an edge of its own another beside it counts for nothing.
    """
    part = next(iter(unrolled(levels, Frames.of([frame]), np.array([_REACH]), _ANGLES, _WANTED_PX)))
    strength = np.abs(edge_strength(part.grid))[0]
    peak = peaks(strength)
    turn = harmonics(2 * np.pi * np.arange(_ANGLES) / _ANGLES, _BENT)
    off = part.radii[0] - 1 - (turn[:, -2:] @ bend)[:, None]
    sample = off[0, 1] - off[0, 0]  # of a small hole wider than what follows
    likely = np.exp(-0.5 * (off / _LIKELY) ** 2)
    gain = np.asarray((0.3 * strength + 0.7 * peak) * likely, np.float32)
    path = closed_paths([gain[None]])[0][0]
    on_it = np.abs(off) < max(_ON_IT, sample)
    bare = np.where(on_it, peak, 0).max(axis=1) < _EDGE
    which = np.arange(_ANGLES)
    followed = peak[which, path] > _EDGE
    left = bare & followed & (np.abs(off[which, path]) > max(_OFF_IT, 2 * sample))
    return float(left.mean()), float(bare.mean())
