"""Layer -> Coverage: how much of a hole is covered because another does not line up with it.

Defined in projection along the holes' common axis, with L the area the two circles share and s
the distance of their centres: covered = 1 - L / (pi min(r_near, r_far)^2).

The uncertainty is a Monte Carlo over everything that is not known (``sighting`` states what that
is): prior knowledge and the marked points together give a distribution, sampled by ``infer``, and
each result is its weighted quantiles (in the spirit of JCGM 101:2008; the input distributions
are conditioned on the marks instead of being propagated through a fit, so that both tilts a rim
allows are weighed by how well they explain everything seen).
"""

from collections.abc import Iterator
from math import log, pi
from typing import NamedTuple

import numpy as np
from msgspec import structs

from annotate import best_fits, holes, infer, leans, overlap, shares, sighting, unseen, weighted
from annotate.as_seen import AsSeen
from annotate.beside import Repeats
from annotate.errors import CannotMeasure
from annotate.fit import FitFailed, fit_ellipse
from annotate.givens import Givens
from annotate.holes import INDEX, Array
from annotate.marks import Ellipse, Layer
from annotate.profile import LensProfile
from annotate.quantity import Quantity
from annotate.repeats import line, spread_by
from annotate.result import BudgetLine, Coverage, Known, Parallax, Result, Unknown

__all__ = [
    "BudgetLine", "Coverage", "Givens", "Known", "Parallax", "Result", "Sampled", "Unknown",
    "assumed", "covered_of", "levers", "measure", "outline", "results", "sampled", "spread", "told",
    "warnings",
]  # fmt: skip

TRIALS = 6000
FEWEST_EFFECTIVE = 60
_UNSETTLED = 0.7  # mean lean over mean size of the lean: 1 if all samples lean one way
_STEEP_DEG = 25.0  # the hole's own wall then hides a fifth of an ordinary hole
_SHORT_ARC_DEG = 60.0  # below it a circle's size and place are hardly told apart
_TWO_SCALES = 0.09  # a card beside the hole is a little nearer or farther, and leans a little
_DEEP = 2.0  # standard deviations of how deep the near edge may lie
_CONTRADICTED, _ANOTHER_HOLE = 5.0, 0.15  # sigma, and part of the length itself
_STRAINED = 1.8  # a rim this much worse than stated is no chance
_SQUARE_ON_DEG = 3.0  # under it a wall of 2 mm shifts the far hole by a tenth of a millimetre


def measure(
    layer: Layer,
    givens: Givens,
    *,
    seed: int = 0,
    trials: int = TRIALS,
    lens: LensProfile | None = None,
    repeats: Repeats | None = None,
) -> Coverage:
    """Return the coverage that the rims on a layer show.

    ``lens`` is the camera's profile as it is used on this very photo (``used_on``), ``repeats``
    what marking photos again showed. The same layer, givens, seed, trials, lens and repeats give
    the same numbers. Raises CannotMeasure with the reason and what to do about it.
    """
    drawn = sampled(layer, givens, seed=seed, trials=trials, lens=lens)
    return told(drawn if repeats is None else spread(drawn, repeats, seed), repeats)


class Sampled(NamedTuple):
    """One photo's best fits and weighted samples: everything that a coverage is made of."""

    ready: sighting.Sighting
    modes: infer.Modes
    samples: infer.Samples

    @property
    def state(self) -> Array:
        """Return the samples' unknowns (N, P) in the units of holes.NAMES."""
        return self.ready.state(self.samples.q)


def sampled(
    layer: Layer,
    givens: Givens,
    *,
    seed: int = 0,
    trials: int = TRIALS,
    lens: LensProfile | None = None,
) -> Sampled:
    """Return the samples that ``measure`` makes its answer of; raises CannotMeasure."""
    ready, modes = best_fits.settle(sighting.prepare(layer, givens, lens))

    def draw(fits: infer.Modes) -> infer.Samples:
        return infer.draw(
            lambda q: sighting.residuals(ready, q),
            fits,
            ready.priors_on,
            ready.period,
            np.random.default_rng(seed),
            trials,
            coordinates=AsSeen.of(ready, fits.q),
        )

    samples = leans.drawn(ready, modes, draw)
    if samples.effective < FEWEST_EFFECTIVE:
        raise CannotMeasure(
            "these marks and lengths contradict each other, or fix too little to trust a number",
            "check the typed lengths, mark more of the far rim, or take a squarer photo",
        )
    return Sampled(ready, modes, samples)


def spread(drawn: Sampled, repeats: Repeats, seed: int) -> Sampled:
    """Return one photo's samples, spread by what marking again showed beyond what was taken."""
    ready, modes, samples = drawn
    q = spread_by(repeats, samples.q, modes, levers(drawn), sighting.sources(ready), seed)
    return Sampled(ready, modes, samples._replace(q=q))


def levers(drawn: Sampled) -> shares.Levers:
    """Return what each residual and prior of one photo does to covered."""
    ready, modes, _ = drawn
    return shares.levers(
        lambda q: sighting.residuals(ready, q),
        lambda q: covered_of(ready.state(q)),
        modes,
        ready.priors_on,
    )


def told(drawn: Sampled, repeats: Repeats | None = None) -> Coverage:
    """Return the coverage that samples of one photo amount to; raises CannotMeasure.

    ``repeats`` are those the samples were spread by, for their line of the budget.
    """
    ready, modes, samples = drawn
    state, weight = drawn.state, samples.weight
    said = sighting.unseen(ready.layer)
    if said is not None and not ready.far.points_px:
        return structs.replace(
            unseen.result(ready, state, weight, said.looks),
            near=outline(ready, modes, "near"),
            warnings=(unseen.CAVEAT, *assumed(ready)),
        )
    sources = sighting.sources(ready)
    found = levers(drawn)
    beside = [line(repeats, found, sources)] if repeats and repeats.excess else []
    return structs.replace(
        results(ready, state, weight),
        near=outline(ready, modes, "near"),
        far=outline(ready, modes, "far"),
        budget=shares.lines(found, sources, ready.priors, covered_of(state), weight, beside),
        warnings=warnings(ready, state, weight),
    )


def results(ready: sighting.Sighting, state: Array, weight: Array) -> Coverage:
    """Return what weighted states of one photo (N, P) amount to, without outlines and budget."""
    r_near, r_far = np.exp(holes.column(state, "ln_near")), np.exp(holes.column(state, "ln_far"))
    far_x, far_y = holes.column(state, "far_x"), holes.column(state, "far_y")
    offset = np.hypot(far_x, far_y)
    area = overlap.lens_area(r_near, r_far, offset)
    small = np.minimum(r_near, r_far)
    where = holes.pose(state, ready.camera)
    shift_x, shift_y = holes.parallax_mm(state, where)
    seen = overlap.lens_area(r_near, r_far, np.hypot(far_x + shift_x, far_y + shift_y))

    def fraction(values: Array) -> Known:
        return Known(weighted.summary(values, weight, "1", 0.0, 1.0))

    def length(values: Array, unit: str = "mm", low: float = -np.inf) -> Result:
        if not ready.scaled():
            return Unknown(sighting.NO_SCALE)
        return Known(weighted.summary(values, weight, unit, low))

    return Coverage(
        covered=fraction(1 - area / (pi * small**2)),
        open=fraction(area / (pi * small**2)),
        covered_of_near=fraction(1 - area / (pi * r_near**2)),
        covered_of_far=fraction(1 - area / (pi * r_far**2)),
        open_area=length(area, "mm^2", 0.0),
        equivalent_diameter=length(overlap.equivalent_diameter(area), low=0.0),
        offset=length(offset, low=0.0),
        offset_clock=Known(_clock(ready, state, where, weight)),
        largest_pin=length(overlap.largest_pin(r_near, r_far, offset), low=0.0),
        line_of_sight=Known(weighted.summary(holes.sight_angle_deg(state), weight, "deg", 0.0)),
        parallax=Parallax(
            length(shift_x), length(-shift_y), Known(weighted.direction(shift_x, shift_y, weight))
        ),
        uncorrected=fraction(1 - seen / (pi * small**2)),
    )


def _clock(ready: sighting.Sighting, state: Array, where: holes.Pose, weight: Array) -> Quantity:
    """Return the direction near centre to far centre as it would look in the picture."""
    zero = np.zeros((len(state), 1))
    x, y = (holes.column(state, name)[:, None] for name in ("far_x", "far_y"))
    # A short way along the offset: a long one would add the perspective of the far end.
    near = ready.picture_px(holes.project_px(state, where, ready.camera, zero, zero, zero)[:, 0])
    far = holes.project_px(state, where, ready.camera, x * 0.01, y * 0.01, zero)[:, 0]
    far = ready.picture_px(far)
    return weighted.direction(far[:, 0] - near[:, 0], near[:, 1] - far[:, 1], weight)


def outline(ready: sighting.Sighting, modes: infer.Modes, which: str) -> Ellipse | None:
    """Return a rim as the best fit shows it in the photo, in pixels; None if it is no ellipse."""
    rim = holes.rim_px(ready.state(modes.q[:1]), ready.camera, which)[0]
    fitted = fit_ellipse(ready.picture_px(rim))
    return None if isinstance(fitted, FitFailed) else fitted.shape


def covered_of(state: Array) -> Array:
    """Return how much of the smaller hole is covered (N,), of states (N, P)."""
    r_near, r_far = np.exp(holes.column(state, "ln_near")), np.exp(holes.column(state, "ln_far"))
    offset = np.hypot(holes.column(state, "far_x"), holes.column(state, "far_y"))
    small = np.minimum(r_near, r_far)
    return np.asarray(1 - overlap.lens_area(r_near, r_far, offset) / (pi * small**2))


def warnings(ready: sighting.Sighting, state: Array, weight: Array) -> tuple[str, ...]:
    """Return what a person should know of the marks and lengths; raises CannotMeasure."""
    told = list(assumed(ready))
    angle = float(np.sum(weight * holes.sight_angle_deg(state)))
    if angle > _STEEP_DEG:
        told.append(f"the camera looks {angle:.0f} degrees off the hole's axis: go squarer")
    tilt_x, tilt_y = holes.column(state, "tilt_x"), holes.column(state, "tilt_y")
    mean_tilt = np.hypot(np.sum(weight * tilt_x), np.sum(weight * tilt_y))
    both_ways = mean_tilt < _UNSETTLED * np.sum(weight * np.hypot(tilt_x, tilt_y))
    if both_ways and angle > _SQUARE_ON_DEG:
        told.append("the picture does not settle which way the camera leans; both ways are counted")
    arc = _arc_deg(ready, state[:1])
    if arc < _SHORT_ARC_DEG:
        told.append(f"only {arc:.0f} degrees of the far rim are marked: give its diameter")
    if ready.strain > _STRAINED:
        told.append("the points lie badly on round holes of these sizes: check rims and diameters")
    if ready.back is None and ready.layer.rim("back") is not None:
        told.append("the near hole's back edge, as marked, does not fit and was left out")
    told.extend(_conflicts(ready, state, weight))
    told.extend(_two_scales(ready))
    return tuple(told)


def assumed(ready: sighting.Sighting) -> list[str]:
    """Return a warning for each thing that nobody gave."""
    g = ready.givens
    told = []
    if g.wall is None:
        told.append("wall thickness not given: taken as 2 mm, 0.9 to 4.4 mm at 95 %")
    if g.bore_diameter is None and not g.flat:
        told.append("bore not given: taken as anything from flat to 28 mm in diameter")
    if ready.lens is None and ready.layer.focal_35mm is None:
        told.append(
            "focal length not known: taken as 45 mm (35 mm equivalent), 14 to 146 at 95 %, "
            "with the camera 4 to 42 cm away"
        )
    return [*told, *_of_profile(ready)]


def _of_profile(ready: sighting.Sighting) -> Iterator[str]:
    if ready.lens is None:
        return
    known = 100 * ready.lens.u_focal_px / ready.lens.focal_px
    yield f"lens as measured: focal length taken as known to {known:.1f} %, for focus changes it"
    out = ready.lens.bend(ready.near.array_px()) - ready.lens.centre()
    if np.linalg.norm(out, axis=1).max() > ready.lens.reach * ready.camera.half_diagonal_px:
        yield "the hole lies farther out than the lens profile's photos showed: aim at its middle"


def _arc_deg(ready: sighting.Sighting, state: Array) -> float:
    where = holes.pose(state, ready.camera)
    depth = holes.depths(state)[1]
    x, y = holes.carry_back(state, where, ready.camera, ready.far.array_px(), depth)
    angle = np.arctan2(y[0] - state[0, INDEX["far_y"]], x[0] - state[0, INDEX["far_x"]])
    gaps = np.diff(np.sort(angle), append=np.min(angle) + 2 * pi)
    return float(360 - np.degrees(np.max(gaps)))


def _conflicts(ready: sighting.Sighting, state: Array, weight: Array) -> Iterator[str]:
    """Yield a warning for each typed length that what is seen pulls three sigma away from.

    Raises CannotMeasure where it is pulled so far that one of the two is about another hole.
    """
    names = {"ln_near": "near diameter", "ln_far": "far diameter", "ln_wall": "wall thickness"}
    given = {
        "ln_near": ready.givens.near_diameter,
        "ln_far": ready.givens.far_diameter,
        "ln_wall": ready.givens.wall,
    }
    for name, words in names.items():
        prior = ready.priors[INDEX[name]]
        pulled = abs(float(np.sum(weight * holes.column(state, name))) - prior.mean)
        if given[name] is None or pulled <= 3 * prior.deviation:
            continue
        if pulled > max(_CONTRADICTED * prior.deviation, _ANOTHER_HOLE):
            raise CannotMeasure(
                f"the {words} typed is not that of the holes in the picture", "check both"
            )
        yield f"the {words} typed does not agree with the picture: check both"
    yield from _deep_edge(ready, state, weight)


def _deep_edge(ready: sighting.Sighting, state: Array, weight: Array) -> Iterator[str]:
    """Yield a warning if a typed wall only agrees with a near edge lying unheard of deep."""
    prior = ready.priors[INDEX["ln_depth"]]
    deep = float(np.sum(weight * holes.column(state, "ln_depth")))
    if ready.givens.wall is not None and deep > prior.mean + _DEEP * prior.deviation:
        yield (
            "the wall thickness typed does not agree with the picture, unless the near edge lies "
            f"{np.exp(deep):.1f} mm below the face: check both"
        )


def _two_scales(ready: sighting.Sighting) -> Iterator[str]:
    """Yield a warning if a typed near diameter and a printed marker give two different scales.

    Both lie on one face at about one distance and are foreshortened alike, so the square roots of
    their areas in the picture must be as their sizes. Compared before any model: with the lens
    unknown, a fit explains even a gross conflict by a camera held absurdly close.
    """
    if ready.marker is None or ready.givens.near_diameter is None:
        return
    hole = ready.near_ellipse
    hole_mm = ready.givens.near_diameter.to("mm").value / 2
    (x, y), side_mm = np.asarray(ready.marker.corners_px).T, ready.marker.side.to("mm").value
    square_px2 = abs(float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1)))) / 2
    by_hole = (hole.semi_major * hole.semi_minor) ** 0.5 / hole_mm
    by_marker = square_px2**0.5 / side_mm
    if abs(log(by_hole / by_marker)) > _TWO_SCALES:
        yield (
            f"the near diameter typed and the printed marker give two scales, {by_hole:.3g} and "
            f"{by_marker:.3g} px per mm: check both lengths"
        )
