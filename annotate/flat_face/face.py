"""Several round edges in one flat face -> their diameters and the distances between centres.

One adjustment of everything seen (``face_fit``): the target's corners, the camera, and a circle on
the face for each edge, both edges of a chamfer about one axis. That every rim must be round on the
plane tells much about lens and lean which a small target off to one side cannot. Then each plain
edge is carried down to its own depth, along the lines of sight.
"""

from collections.abc import Sequence
from itertools import combinations
from math import hypot
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
from msgspec import Struct

from annotate.errors import CannotMeasure, TwoEdges
from annotate.fit import FitFailed, Fitted, fit_circle, fit_ellipse
from annotate.flat_face.behind import Lying, lying, positive_mm
from annotate.flat_face.face_eye import Guess, Ring
from annotate.flat_face.face_fit import PAPER_MM, Fit
from annotate.flat_face.face_strays import ALIKE, found_sigma_px, settled
from annotate.flat_face.two_edges import Edges
from annotate.marks import Ellipse, Rim
from annotate.optics.lean import Lean
from annotate.quantity import Quantity
from annotate.scale import Scale

__all__ = ["EDGE_DEPTH_MM", "PAPER_MM", "TRIALS", "Pair", "Survey", "measure_holes"]

Array = npt.NDArray[np.float64]

TRIALS = 4000
# Mean depth of a plain drilled edge under the face (exponential): as deep as its break is wide, and
# as uncertain. No source but the break's.
EDGE_DEPTH_MM = 0.02
# What may shift a whole rim outwards or inwards alike. A found one, refined in linear light, lies
# within 0.2 px of its edge on rendered pictures; a hand may take the edge's dark side for the edge.
FOUND_BIAS_PX, HAND_BIAS_PX = 0.12, 0.3
# How far outside the drilled radius a plain edge is seen: no edge is without a break (ISO 13715).
# Below a chamfer, which is that break, the drilled edge is blunt and seen where it is.
EDGE_BREAK_MM, EDGE_BREAK_U_MM = 0.01, 0.01
# A rim's points lie about their ellipse by 0.1 px; what more they scatter is a second edge close
# by, or shadow, and may have moved the whole rim by several times that.
_CLEAN_PX, _MOVED_BY = 0.12, 4.0
# What scatters more, in px and parts of the radius, is two edges close together, or none.
_TORN_PX, _TORN = 0.2, 0.0015
_STRAYS = 1.5  # scatter beyond what the rim claims: look for points off the edge


class Pair(Struct, frozen=True):
    """The distance between the centres of two holes, counted from 0 in the order given.

    ``seen_mm``: the half width of its interval were the target's size known exactly: what is left
    is the photo's own part.
    """

    start: int
    end: int
    distance: Quantity
    seen_mm: float


class Survey(Struct, frozen=True):
    """Diameters and outlines of the holes in the order given, and the distances of all pairs.

    ``height``: of the camera over the target's plane, in mm.
    """

    diameters: tuple[Quantity, ...]
    outlines: tuple[Ellipse, ...]
    pairs: tuple[Pair, ...]
    barrel: Quantity
    height: Quantity


def measure_holes(
    scale: Scale,
    edges: Sequence[Rim | Edges],
    *,
    seed: int = 0,
    trials: int = TRIALS,
    behind: Quantity | None = None,
) -> Survey:
    """Return the diameters (mm) of drilled edges in the scale's plane and all centre distances.

    An edge is a rim, or both edges of a chamfer; found ones come refined to the half-way level in
    linear light (``two_edges``). ``behind``: how far behind the target's plane the face lies, where
    the target does not lie on it. The same marks, seed and trials give the same numbers. Raises
    CannotMeasure where a rim is no ellipse or there is none, TwoEdges where points found for one
    edge lie on two.
    """
    both, outlines, fit, best = adjusted(scale, edges)
    rng = np.random.default_rng(seed)
    draws = rng.multivariate_normal(best, fit.covariance(best), trials, method="eigh")
    biases = [_bias_px(_drilled(fit, k)) for k in range(len(both))]
    # A hand is taken to see the drilled edge itself.
    broken = np.array([float(one.drilled.placed == "found" and one.outer is None) for one in both])
    rng = np.random.default_rng(seed + 1)
    return _surveyed(
        fit, draws, outlines, biases, EDGE_BREAK_MM * broken, scale.length, behind, rng
    )


class Adjusted(NamedTuple):
    """A face's edges and the ellipses through its drilled ones, and the best fit to all of them."""

    edges: list[Edges]
    outlines: list[Fitted[Ellipse]]
    fit: Fit
    best: Array


def adjusted(scale: Scale, edges: Sequence[Rim | Edges]) -> Adjusted:
    """Return the adjustment of everything seen of a face; raises as ``measure_holes``."""
    if scale.lean != Lean() or scale.seen is None:
        raise CannotMeasure("this scale does not show the lean of the face", "lay a target on it")
    if not edges:
        raise CannotMeasure("no rim is marked", "click inside each hole to be measured")
    both = [one if isinstance(one, Edges) else Edges(one) for one in edges]
    outlines = [_outline(one.drilled) for one in both]
    outer = [None if one.outer is None else _outline(one.outer) for one in both]
    rings, guesses = [], []
    for k, one in enumerate(both):
        rings.append(_ring(one.drilled, outlines[k], k, deep=one.outer is not None))
        beside = outer[k]
        if one.outer is not None and beside is not None:
            rings.append(_ring(one.outer, beside, k, deep=False))
        guesses.append(_guess(scale, outlines[k], one))
    fit, best = settled(Fit.of(scale, rings, guesses))
    _refuse_torn(fit, both, outlines)
    return Adjusted(both, outlines, fit, best)


def _refuse_torn(fit: Fit, holes: Sequence[Edges], outlines: Sequence[Fitted[Ellipse]]) -> None:
    """Raise TwoEdges where points found for one edge lie on two, partly on each.

    An ellipse goes a long way to meet both: it is the circle on the face all share that tells. The
    worst is named, for it may have turned the face for the others.
    """

    def torn(ring: Ring) -> float:
        most = hypot(_TORN_PX, _TORN * outlines[ring.hole].shape.semi_major)
        return ring.sigma_px / ALIKE / most

    lone = [ring for ring in fit.rings if ring.found and holes[ring.hole].outer is None]
    worst = max(lone, key=torn, default=None)
    if worst is not None and torn(worst) > 1:
        raise TwoEdges(worst.hole)


def _ring(rim: Rim, outline: Fitted[Ellipse], hole: int, *, deep: bool) -> Ring:
    points = rim.array_px()[outline.kept]
    if rim.placed == "hand":
        return Ring(points, max(rim.sigma_px, outline.rms), hole, deep, found=False)
    return Ring(points, found_sigma_px(outline.rms), hole, deep, found=True)


def _guess(scale: Scale, outline: Fitted[Ellipse], edges: Edges) -> Guess:
    circle = fit_circle(scale.to_mm(edges.drilled.array_px()[outline.kept]))
    if isinstance(circle, FitFailed):
        raise CannotMeasure(f"a rim is not round on the face: {circle.reason}")
    shape = circle.shape
    chamfer = 0.0
    if edges.outer is not None:
        around = fit_circle(scale.to_mm(edges.outer.array_px()))
        if isinstance(around, FitFailed):
            raise CannotMeasure(f"a rim is not round on the face: {around.reason}")
        chamfer = around.shape.radius - shape.radius
        shape = type(shape)(around.shape.cx, around.shape.cy, shape.radius)
    middle = np.array([outline.shape.cx, outline.shape.cy])
    return Guess(shape.cx, shape.cy, shape.radius, chamfer, scale.mm_per_px(middle))


def _drilled(fit: Fit, hole: int) -> Ring:
    """Return the ring of a hole's drilled edge: the first of its rings."""
    return next(ring for ring in fit.rings if ring.hole == hole)


def _bias_px(drilled: Ring) -> float:
    if not drilled.found:
        return HAND_BIAS_PX
    return hypot(FOUND_BIAS_PX, _MOVED_BY * max(0.0, drilled.sigma_px / ALIKE - _CLEAN_PX))


def _outline(rim: Rim) -> Fitted[Ellipse]:
    fitted = fit_ellipse(rim.array_px(), rim.sigma_px)
    if isinstance(fitted, FitFailed) or fitted.rms > _STRAYS * rim.sigma_px:
        fitted = fit_ellipse(rim.array_px(), rim.sigma_px, robust=True)
    if isinstance(fitted, FitFailed):
        raise CannotMeasure(
            f"no ellipse can be told from the hole's rim: {fitted.reason}",
            "light it so that its edge shows all round",
        )
    return fitted


def _surveyed(
    fit: Fit,
    draws: Array,
    outlines: Sequence[Fitted[Ellipse]],
    biases_px: Sequence[float],
    broken_mm: Array,
    typed: Quantity,
    behind: Quantity | None,
    rng: np.random.Generator,
) -> Survey:
    count, circles, pose = len(draws), fit.circles(draws), fit.pose(draws)
    foot = -np.stack([np.sum(axis * pose.origin, axis=1) for axis in (pose.x, pose.y)], axis=1)
    over, paper = np.sum(pose.away * pose.origin, axis=1), fit.paper_mm(draws)
    # A plain edge lies somewhat below the face: central projection from plane to plane.
    plain = np.array([not any(r.deep and r.hole == k for r in fit.rings)
                      for k in range(len(outlines))])  # fmt: skip
    deeper = rng.exponential(EDGE_DEPTH_MM, circles.shape[:2]) * plain
    length = typed.draw(rng, count) / typed.value
    # Draws of its own: all others stay what they are without it.
    lie = lying(over, paper, behind, length, rng.spawn(1)[0])
    enlarged = 1 + deeper / lie.face_mm[:, None]
    centres = foot[:, None] + (circles[..., :2] - foot[:, None]) * enlarged[..., None]
    farther = float(np.median(lie.times))
    shifts = [hypot(EDGE_BREAK_U_MM, bias * guess.mm_per_px * farther)
              for bias, guess in zip(biases_px, fit.guesses, strict=True)]  # fmt: skip
    moved = np.array(shifts) * rng.standard_normal((count, len(shifts))) - broken_mm
    radii = (circles[..., 2] * enlarged * lie.times[:, None] + moved) * length[:, None]
    pairs = []
    for start, end in combinations(range(len(shifts)), 2):
        apart = np.linalg.norm(centres[:, end] - centres[:, start], axis=1)
        low, high = _told(apart * lie.times_if_exact, lie).interval()
        pairs.append(Pair(start, end, _told(apart * lie.times * length, lie), (high - low) / 2))
    return Survey(
        diameters=tuple(_told(2 * each, lie) for each in radii.T),
        outlines=tuple(fitted.shape for fitted in outlines),
        pairs=tuple(pairs),
        barrel=Quantity.from_samples(fit.barrel(draws), "1"),
        height=Quantity.from_samples(positive_mm(over) * length, "mm"),
    )


def _told(lengths: Array, lie: Lying) -> Quantity:
    """Return a length in mm from its draws (M,), but for those whose face is not possible."""
    return Quantity.from_samples(lengths[lie.possible], "mm")
