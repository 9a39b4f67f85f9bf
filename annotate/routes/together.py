"""Several photos of one hole -> one Coverage, with what they have in common counted once.

The photos are fitted as one: one pair of holes (both diameters, wall, bore, offset), seen from a
place of its own in each, so that nothing the photos share can be averaged away. Shared are

- the typed lengths and what is assumed in their stead, a printed marker's scale included;
- the lens, where the pictures are of one size and the files say one focal length (or none);
- the habit of whoever or whatever marked: a whole rim off to one side by blur, tone curve, chamfer
  or hand (``rim_noise.bias_px``) is taken as the same error in every photo whose rims were placed
  in the same way.

Their own are the camera's place, the points' scatter, and how far the camera was turned about the
hole's axis: the far hole's direction counts only against the bore's. A lean that one photo leaves
open is settled by the other where they allow only one pair of holes.

Photos that contradict each other are not averaged, PhotosDisagree says so. They do if the answers
that each gives alone differ by more than their expanded uncertainty without what they share (En of
ISO 13528, the covariance of JCGM 102:2011 taken out) AND the best common fit is worse than the
photos' own by more than chance. En alone would not do: where a photo allows two leans its answer
is no normal distribution, and two that look apart may have one good explanation.
"""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np
from msgspec import structs

from annotate import coverage
from annotate.beside import Repeats, Sight
from annotate.errors import CannotMeasure, PhotosDisagree
from annotate.estimates import shares
from annotate.estimates.repeats import excesses, spread_by
from annotate.estimates.settled import TOLERANCE, Settled, scatter, settle, unsteady
from annotate.givens import Givens
from annotate.holes import Array
from annotate.mathematics import infer
from annotate.result import Coverage
from annotate.routes.joint import Joint, P
from annotate.routes.photos_agree import agreement, apart, worse
from annotate.sight import sighting

TRIALS = 8000
_MOST = 32_000
_RESTARTS = 24
_ONE_PAIR = 3.84  # 95 % point of chi square with one degree of freedom


class Together(NamedTuple):
    """The coverage that several photos give as one, what each gives alone, and how they agree.

    ``en`` is the largest En number of two of the photos; ``shared`` the standard uncertainty of
    covered, in points, that those two have in common and no further photo can take away;
    ``trials`` and ``reached`` are as in ``settled``.
    """

    coverage: Coverage
    alone: tuple[Coverage, ...]
    en: float
    shared: float
    trials: int
    reached: float


def measure_together(
    sights: Sequence[Sight],
    givens: Givens,
    *,
    seed: int = 0,
    trials: int | None = None,
    repeats: Repeats | None = None,
    tolerance: float = TOLERANCE,
) -> Together:
    """Return the coverage that several photos of one hole show; outlines are the first photo's.

    ``repeats`` are what marking photos again showed. Without ``trials`` as many are made as the
    interval needs to stand still to ``tolerance``; the same sights, givens, seed, trials and
    repeats give the same numbers. Raises CannotMeasure, and PhotosDisagree where two photos
    contradict each other.
    """
    if len(sights) < 2:  # noqa: PLR2004 - one photo has nothing to be put together with
        raise CannotMeasure("one photo alone", "give two or more photos of the hole")
    drawn = [_alone(number, sight, givens, seed) for number, sight in enumerate(sights, start=1)]
    if repeats is not None:
        drawn = [coverage.spread(each, repeats, seed) for each in drawn]
    alone = tuple(coverage.told(each, repeats, is_result=False) for each in drawn)
    joint = Joint([each.ready for each in drawn])
    modes = infer.find_modes(
        joint.residuals, joint.starts([each.modes for each in drawn]), joint.priors_on, joint.loose
    )
    if len(modes.q) == 0:
        raise PhotosDisagree("no one pair of holes fits all the photos", _LOOK)
    agreed = agreement(drawn, alone)
    if agreed.en > 1 and worse(drawn, modes) > _ONE_PAIR:
        raise PhotosDisagree(apart(agreed, alone), _LOOK)
    run = _Run(joint, modes, seed)
    settled = settle(run, TRIALS, tolerance=tolerance, most=_MOST) if trials is None else None
    samples = run.samples(settled.trials if settled else trials or TRIALS)
    if samples.effective < coverage.FEWEST_EFFECTIVE:
        raise CannotMeasure(
            "the photos together give no number that can be trusted",
            "measure them one by one, or mark more of the far rims",
        )
    result = _told(joint, modes, samples, alone, repeats, seed)
    made = settled or Settled(trials or TRIALS, scatter(*run(trials or TRIALS)))
    return Together(result, alone, agreed.en, agreed.shared, *made)


class _Run:
    """The samples of a joint fit by number of trials; the last ones are remembered."""

    def __init__(self, joint: Joint, modes: infer.Modes, seed: int) -> None:
        self._joint, self._modes, self._seed = joint, modes, seed
        self._known: tuple[int, infer.Samples] | None = None

    def samples(self, trials: int) -> infer.Samples:
        if self._known is None or self._known[0] != trials:
            drawn = self._drawn(self._modes, trials)
            if drawn.effective < coverage.FEWEST_EFFECTIVE:
                # A best fit was missed where these few samples are: look for it from there.
                joint, top = self._joint, np.argsort(-drawn.weight, kind="stable")[:_RESTARTS]
                starts = np.concatenate([self._modes.q, drawn.q[top]])
                modes = infer.find_modes(joint.residuals, starts, joint.priors_on, joint.loose)
                drawn = self._drawn(modes, trials)
            self._known = trials, drawn
        return self._known[1]

    def _drawn(self, modes: infer.Modes, trials: int) -> infer.Samples:
        joint, rng = self._joint, np.random.default_rng(self._seed)
        return infer.draw(
            joint.residuals, modes, joint.priors_on, joint.period, rng, trials, patient=True
        )

    def __call__(self, trials: int) -> tuple[Array, Array]:
        samples, ready = self.samples(trials), self._joint.readies[0]
        return coverage.covered_of(ready.state(samples.q[:, :P])), samples.weight


_LOOK = "check that all are of this hole, and look at the rims of each"


def _alone(number: int, sight: Sight, givens: Givens, seed: int) -> coverage.Sampled:
    if sighting.unseen(sight.layer) is not None and sight.layer.rim("far") is None:
        raise CannotMeasure(
            f"no far rim is seen in photo {number}, so it can't be put together with others",
            "leave it out",
        )
    try:
        return coverage.sampled(sight.layer, givens, seed=seed, lens=sight.lens)
    except CannotMeasure as refused:
        raise CannotMeasure(f"photo {number}: {refused.reason}", refused.advice) from refused


def _told(
    joint: Joint,
    modes: infer.Modes,
    samples: infer.Samples,
    alone: Sequence[Coverage],
    repeats: Repeats | None,
    seed: int,
) -> Coverage:
    ready, weight, q = joint.readies[0], samples.weight, samples.q

    def found(*steps: Array) -> shares.Levers:
        """Return the levers, after each cause that the samples were moved by."""
        covered = [coverage.covered_of(ready.state(step[:, :P])) for step in steps]
        told = shares.Told.of(q, ready.state(q[:, :P]), weight, covered)
        return shares.levers(joint.residuals, told, joint.priors_on)

    steps, beside = [q], list(excesses(repeats))
    if beside:
        steps += spread_by(repeats, q, found(q).carry, joint.sources, seed)
    state = ready.state(steps[-1][:, :P])
    best = modes._replace(q=modes.q[:, :P])
    return structs.replace(
        coverage.results(ready, state, weight),
        near=coverage.outline(ready, best, "near"),
        far=coverage.outline(ready, best, "far"),
        budget=shares.lines(
            found(*steps), joint.sources, joint.priors, [(each.source, each.dof) for each in beside]
        ),
        warnings=(*_warnings(alone), *unsteady(coverage.covered_of(state), weight)),
    )


def _warnings(alone: Sequence[Coverage]) -> Iterator[str]:
    """Yield the first photo's warnings, then what is to be said of another one only."""
    yield from alone[0].warnings
    for number, each in enumerate(alone[1:], start=2):
        new = (warning for warning in each.warnings if warning not in alone[0].warnings)
        yield from (f"photo {number}: {warning}" for warning in new)
