"""Several round edges in one flat face -> their diameters and the distances between centres.

One adjustment of everything seen: the scale's corners, the lens's barrel and a circle on the
plane for each rim. That every rim must be round on the plane tells much about lens and lean which
a small target off to one side cannot. Then each edge is carried from the print's plane down to
its own depth, along the lines of sight.
"""

from collections.abc import Sequence
from itertools import combinations
from math import sqrt
from statistics import NormalDist

import numpy as np
import numpy.typing as npt
from msgspec import Struct

from annotate.errors import CannotMeasure
from annotate.fit import FitFailed, Fitted, fit_circle, fit_ellipse
from annotate.homography import mapped, solved
from annotate.lean import Lean
from annotate.marks import Ellipse, Points, Rim
from annotate.quantity import Quantity
from annotate.scale import Scale

Array = npt.NDArray[np.float64]

TRIALS = 4000
PAPER_MM, PAPER_U_MM = 0.1, 0.05  # print above the face: office paper, lying flat
EDGE_DEPTH_MM = 0.08  # mean depth of a drilled edge under the face (exponential); no source
# What may shift a whole rim outwards or inwards alike: for one found, and refined in linear light,
# twice what rendered pictures show (rms 0.07); a hand may take the edge's dark side for the edge.
FOUND_BIAS_PX, HAND_BIAS_PX = 0.15, 0.3
_INDEPENDENT = 12  # errors along a rim go together; so many points at most count as separate
_COMMON = 9  # parameters before the circles: barrel, eight of the corners
_STEPS = 12
_STRAYS = 1.5  # scatter beyond what the rim claims: look for points off the edge


class Pair(Struct, frozen=True):
    """The distance between the centres of two holes, counted from 0 in the order given."""

    start: int
    end: int
    distance: Quantity


class Survey(Struct, frozen=True):
    """Diameters and outlines of the holes in the order given, and the distances of all pairs."""

    diameters: tuple[Quantity, ...]
    outlines: tuple[Ellipse, ...]
    pairs: tuple[Pair, ...]
    barrel: Quantity


def measure_holes(
    scale: Scale, rims: Sequence[Rim], *, seed: int = 0, trials: int = TRIALS
) -> Survey:
    """Return the diameters (mm) of round edges in the scale's plane and all centre distances (mm).

    Found rims come refined to the half-way level in linear light (``half_light.refine_rim``). The
    same marks, seed and trials give the same numbers. Raises CannotMeasure where a rim is no
    ellipse or there is none.
    """
    if scale.lean != Lean():
        raise CannotMeasure("this scale does not show the lean of the face", "lay a target on it")
    if not rims:
        raise CannotMeasure("no rim is marked", "click inside each hole to be measured")
    outlines = [_outline(rim, k) for k, rim in enumerate(rims)]
    edges = [_Edge.of(scale, rim, fit) for rim, fit in zip(rims, outlines, strict=True)]
    adjustment = _Adjustment(scale, _root(scale.covariance), tuple(edges))
    draws = _draws(adjustment, np.random.default_rng(seed), trials)
    return _surveyed(adjustment, draws, outlines, np.random.default_rng(seed + 1))


class _Edge(Struct, frozen=True, eq=False):
    """One rim's points (N, 2) in px, first guess (x, y, radius) in mm, and its weights."""

    points_px: Points
    guess: Array
    mm_per_px: float
    sigma_px: float
    bias_px: float
    share: float

    @classmethod
    def of(cls, scale: Scale, rim: Rim, outline: Fitted[Ellipse]) -> "_Edge":
        kept = rim.array_px()[outline.kept]
        circle = fit_circle(scale.to_mm(kept))
        if isinstance(circle, FitFailed):
            raise CannotMeasure(f"a rim is not round on the face: {circle.reason}")
        shape = circle.shape
        return cls(
            points_px=kept,
            guess=np.array([shape.cx, shape.cy, shape.radius]),
            mm_per_px=scale.mm_per_px(np.array([outline.shape.cx, outline.shape.cy])),
            sigma_px=max(rim.sigma_px, outline.rms),
            bias_px=FOUND_BIAS_PX if rim.placed == "found" else HAND_BIAS_PX,
            share=sqrt(min(1.0, _INDEPENDENT / len(kept))),
        )


class _Adjustment(Struct, frozen=True, eq=False):
    """Everything observed, as residuals in standard deviations of a parameter vector.

    Parameters: barrel over its prior's spread; corners in standard deviations (8); for each edge
    x, y and radius beyond its guess, in px.
    """

    scale: Scale
    root: Array  # of the corners' covariance
    edges: tuple[_Edge, ...]

    def residuals(self, parameters: Array) -> Array:
        barrel = parameters[0] * self.scale.view.barrel_sigma
        to_plane = solved(self.corners(parameters[None]), self.scale.corners_mm)[0]
        parts = [parameters[:_COMMON]]
        for edge, circle in zip(self.edges, self.circles(parameters), strict=True):
            places = mapped(to_plane, self.scale.view.straight(edge.points_px, barrel))
            off = np.linalg.norm(places - circle[:2], axis=1) - circle[2]
            parts.append(off / edge.mm_per_px / edge.sigma_px * edge.share)
        return np.concatenate(parts)

    def corners(self, parameters: Array) -> Array:
        """Return the scale's corners (M, 4, 2) for parameters (M, P)."""
        view = self.scale.view
        beyond = parameters[:, 0] * view.barrel_sigma - view.barrel_median
        moved = (parameters[:, 1:_COMMON] @ self.root.T).reshape(-1, 4, 2)
        result: Array = self.scale.corners_px + beyond[:, None, None] * self.scale.by_barrel + moved
        return result

    def circles(self, parameters: Array) -> Array:
        """Return the circles (..., E, 3) in mm for parameters (..., P)."""
        beyond = parameters[..., _COMMON:].reshape(*parameters.shape[:-1], -1, 3)
        sizes = np.array([edge.mm_per_px for edge in self.edges])
        result: Array = np.array([edge.guess for edge in self.edges]) + beyond * sizes[:, None]
        return result


def _outline(rim: Rim, index: int) -> Fitted[Ellipse]:
    fitted = fit_ellipse(rim.array_px(), rim.sigma_px)
    if isinstance(fitted, FitFailed) or fitted.rms > _STRAYS * rim.sigma_px:
        fitted = fit_ellipse(rim.array_px(), rim.sigma_px, robust=True)
    if isinstance(fitted, FitFailed):
        raise CannotMeasure(
            f"the rim of hole {index} is not an ellipse: {fitted.reason}",
            "mark points all round its edge",
        )
    return fitted


def _root(covariance: Array) -> Array:
    values, axes = np.linalg.eigh(covariance)
    # A known distance gives four numbers for eight coordinates: rounding may go below 0.
    result: Array = axes * np.sqrt(np.maximum(values, 0.0))
    return result


def _draws(adjustment: _Adjustment, rng: np.random.Generator, trials: int) -> Array:
    """Return parameters (M, P) drawn from the adjustment's posterior.

    Normal about the best fit, cut off where the barrel would be a pincushion: its prior is
    half-normal. What a profile leaves of the distortion may be either.
    """
    best = np.zeros(_COMMON + 3 * len(adjustment.edges))
    view = adjustment.scale.view
    best[0] = view.barrel_median / view.barrel_sigma
    for _ in range(_STEPS):
        slope = _slopes(adjustment, best)
        step = np.linalg.lstsq(slope, adjustment.residuals(best), rcond=None)[0]
        best = best - step
        if float(np.abs(step).max()) < 1e-6:  # noqa: PLR2004 - of a standard deviation
            break
    slope = _slopes(adjustment, best)
    covariance = np.linalg.inv(slope.T @ slope)
    draws: Array = rng.multivariate_normal(best, covariance, trials, method="eigh")
    if view.profile is not None:
        return draws
    shift = _not_below_zero(draws[:, 0], float(best[0]), sqrt(float(covariance[0, 0])), rng)
    # The other parameters follow the barrel as their covariance says.
    result: Array = draws + shift[:, None] * covariance[0] / covariance[0, 0]
    return result


def _slopes(adjustment: _Adjustment, at: Array) -> Array:
    steps = 1e-4 * np.eye(len(at))
    columns = [adjustment.residuals(at + s) - adjustment.residuals(at - s) for s in steps]
    return np.stack(columns, axis=1) / 2e-4


def _not_below_zero(draws: Array, mean: float, spread: float, rng: np.random.Generator) -> Array:
    """Return what to add to normal draws so that they follow the normal cut off below 0."""
    normal = NormalDist(mean, spread)
    below = min(normal.cdf(0.0), 1 - 1e-9)
    again = [
        normal.inv_cdf(below + (1 - below) * p) for p in rng.uniform(1e-12, 1 - 1e-12, len(draws))
    ]
    return np.maximum(again, 0.0) - draws


def _surveyed(
    adjustment: _Adjustment,
    draws: Array,
    outlines: Sequence[Fitted[Ellipse]],
    rng: np.random.Generator,
) -> Survey:
    scale, count = adjustment.scale, len(draws)
    circles = adjustment.circles(draws)
    foot, height = _camera_over_plane(adjustment, draws, rng)
    paper = PAPER_MM + PAPER_U_MM * rng.standard_normal(count)
    depth = paper[:, None] + rng.exponential(EDGE_DEPTH_MM, circles.shape[:2])
    # Central projection from the print's plane to a parallel one farther from the camera.
    enlarged = 1 + depth / height[:, None]
    centres = foot[:, None] + (circles[..., :2] - foot[:, None]) * enlarged[..., None]
    length = scale.length.draw(rng, count) / scale.length.value
    sizes = np.array([edge.mm_per_px for edge in adjustment.edges])
    shift_px = np.array([edge.bias_px for edge in adjustment.edges])
    bias = shift_px * sizes * rng.standard_normal((count, len(sizes)))
    radii = (circles[..., 2] + bias) * enlarged * length[:, None]
    pairs = []
    for start, end in combinations(range(len(sizes)), 2):
        apart = np.linalg.norm(centres[:, end] - centres[:, start], axis=1) * length
        pairs.append(Pair(start, end, Quantity.from_samples(apart, "mm")))
    return Survey(
        diameters=tuple(Quantity.from_samples(2 * radii[:, k], "mm") for k in range(len(sizes))),
        outlines=tuple(fitted.shape for fitted in outlines),
        pairs=tuple(pairs),
        barrel=Quantity.from_samples(draws[:, 0] * scale.view.barrel_sigma, "1"),
    )


def _camera_over_plane(
    adjustment: _Adjustment, draws: Array, rng: np.random.Generator
) -> tuple[Array, Array]:
    """Return the foot (M, 2) of the camera on the plane and its height (M,) above it, in mm."""
    scale = adjustment.scale
    to_px = np.linalg.inv(solved(adjustment.corners(draws), scale.corners_mm))
    rays = to_px.astype(np.float64)
    rays[:, :2] -= scale.view.centre()[:, None] * rays[:, 2:]
    rays[:, 2] *= scale.view.draw_focals_px(rng, len(draws))[:, None]
    first, second, origin = rays[..., 0], rays[..., 1], rays[..., 2]
    # Lengths of the axes: one unit on the plane. The square of it takes each product to mm.
    unit = np.linalg.norm(first, axis=1) * np.linalg.norm(second, axis=1)
    normal = np.cross(first, second)
    height = (
        np.abs(np.sum(normal * origin, axis=1)) / np.linalg.norm(normal, axis=1) / np.sqrt(unit)
    )
    foot = -np.stack([np.sum(a * origin, axis=1) for a in (first, second)], axis=1) / unit[:, None]
    return foot, height
