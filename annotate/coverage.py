"""Layer -> Coverage: how much of a hole is covered because another does not line up with it.

Defined in projection along the holes' common axis, with L the area the two circles share and s
the distance of their centres: covered = 1 - L / (pi min(r_near, r_far)^2).

The uncertainty is a Monte Carlo over everything that is not known (``sighting`` states what that
is): prior knowledge and the marked points together give a distribution, sampled by ``infer``, and
each result is its weighted quantiles (in the spirit of JCGM 101:2008; the input distributions
are conditioned on the marks instead of being propagated through a fit, so that both tilts a rim
allows are weighed by how well they explain everything seen).
"""

from math import pi
from typing import NamedTuple

import numpy as np
from msgspec import structs

from annotate import holes, overlap
from annotate.beside import Repeats
from annotate.errors import CannotMeasure
from annotate.estimates import shares, unseen, weighted
from annotate.estimates.repeats import excesses, spread_by
from annotate.estimates.settled import unsteady
from annotate.fit import FitFailed, fit_ellipse
from annotate.givens import Givens
from annotate.holes import Array
from annotate.marks import Ellipse, Layer
from annotate.mathematics import infer
from annotate.optics.profile import LensProfile
from annotate.quantity import Quantity
from annotate.result import BudgetLine, Coverage, Known, Parallax, Result, Unknown
from annotate.sight import best_fits, doubts, leans, sighting
from annotate.sight.as_seen import AsSeen

__all__ = [
    "BudgetLine", "Coverage", "Givens", "Known", "Parallax", "Result", "Sampled", "Unknown",
    "covered_of", "levers", "measure", "outline", "results", "sampled", "spread", "told",
]  # fmt: skip

TRIALS = 5000
FEWEST_EFFECTIVE = 60


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
    """One photo's best fits and weighted samples: everything that a coverage is made of.

    ``before`` are the samples (N, P) before each of the causes that they were ``spread`` by.
    """

    ready: sighting.Sighting
    modes: infer.Modes
    samples: infer.Samples
    before: tuple[Array, ...] = ()

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

    left = sighting.residuals_of(ready)

    def draw(fits: infer.Modes) -> infer.Samples:
        return infer.draw(
            left,
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
    ready, modes, samples, _ = drawn
    sources = sighting.sources(ready)
    steps = (samples.q, *spread_by(repeats, samples.q, levers(drawn).carry, sources, seed))
    return Sampled(ready, modes, samples._replace(q=steps[-1]), steps[:-1])


def levers(drawn: Sampled) -> shares.Levers:
    """Return what each residual and prior of one photo does to covered, and marking it again."""
    ready, _, samples, before = drawn
    steps = [covered_of(ready.state(q)) for q in (*before, samples.q)]
    first = before[0] if before else samples.q
    return shares.levers(
        sighting.residuals_of(ready),
        shares.Told.of(first, ready.state(first), samples.weight, steps),
        ready.priors_on,
    )


def told(drawn: Sampled, repeats: Repeats | None = None, *, is_result: bool = True) -> Coverage:
    """Return the coverage that samples of one photo amount to; raises CannotMeasure.

    ``repeats`` are those the samples were spread by, for their lines of the budget. Of what is no
    result by itself (one of several photos) it is not said how settled it is.
    """
    ready, modes, samples, before = drawn
    state, weight = drawn.state, samples.weight
    said = sighting.unseen(ready.layer)
    if said is not None and not ready.far.points_px:
        return structs.replace(
            unseen.result(ready, state, weight, said.looks),
            near=outline(ready, modes, "near"),
            warnings=(unseen.CAVEAT, *doubts.assumed(ready), *doubts.leaning(state, weight)),
        )
    beside = [(each.source, each.dof) for each in excesses(repeats)]
    # Marking again widens the answer, and says nothing of what this photo leaves open.
    as_marked = ready.state(before[0]) if before else state
    return structs.replace(
        results(ready, state, weight),
        near=outline(ready, modes, "near"),
        far=outline(ready, modes, "far"),
        budget=shares.lines(levers(drawn), sighting.sources(ready), ready.priors, beside),
        warnings=(
            *doubts.warnings(ready, as_marked, weight),
            *(unsteady(covered_of(state), weight) if is_result else ()),
        ),
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
    fitted = fit_ellipse(ready.picture_px(rim), all_round=True)
    return None if isinstance(fitted, FitFailed) else fitted.shape


def covered_of(state: Array) -> Array:
    """Return how much of the smaller hole is covered (N,), of states (N, P)."""
    r_near, r_far = np.exp(holes.column(state, "ln_near")), np.exp(holes.column(state, "ln_far"))
    offset = np.hypot(holes.column(state, "far_x"), holes.column(state, "far_y"))
    small = np.minimum(r_near, r_far)
    return np.asarray(1 - overlap.lens_area(r_near, r_far, offset) / (pi * small**2))
