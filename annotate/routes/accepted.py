"""Accepted marks -> Coverage: one photo or several as one, with what marking again showed."""

from typing import NamedTuple

from annotate import coverage
from annotate.beside import Beside, Sight
from annotate.errors import CannotMeasure
from annotate.estimates.settled import TOLERANCE, settle
from annotate.givens import Givens
from annotate.holes import Array
from annotate.marks import Layer
from annotate.optics.profile import LensProfile
from annotate.result import Coverage
from annotate.routes import outlined, together


def measure(
    layer: Layer,
    givens: Givens,
    *,
    seed: int,
    trials: int,
    lens: LensProfile | None = None,
    beside: Beside | None = None,
) -> Coverage:
    """Return the coverage that marks show, with what counts ``beside`` them.

    The same of everything gives the same numbers. Raises CannotMeasure, and PhotosDisagree where
    other photos contradict this one.
    """
    beside = beside or Beside()
    if outlined.outline_of(layer) is not None:
        _refuse_beside(beside)
        return outlined.measure(layer, givens, seed=seed, trials=trials, lens=lens)
    if not beside.others:
        return coverage.measure(
            layer, givens, seed=seed, trials=trials, lens=lens, repeats=beside.repeats
        )
    sights = (Sight(layer, lens), *beside.others)
    return together.measure_together(
        sights, givens, seed=seed, trials=trials, repeats=beside.repeats
    ).coverage


def _refuse_beside(beside: Beside) -> None:
    if beside.others:
        raise CannotMeasure(
            "a far opening that was drawn can't be put together with other photos", "leave them out"
        )


class Accepted(NamedTuple):
    """A coverage, with how many trials it was made, and how still it stands by then.

    ``reached`` and ``tolerance`` are of covered, as fractions: two standard deviations of what
    another seed would change, of the estimate and of the interval's ends.
    """

    coverage: Coverage
    trials: int
    reached: float
    tolerance: float


def accept(
    layer: Layer,
    givens: Givens,
    *,
    seed: int = 0,
    lens: LensProfile | None = None,
    beside: Beside | None = None,
    tolerance: float = TOLERANCE,
) -> Accepted:
    """Return the coverage by as many trials as its interval needs to stand still; as ``measure``.

    ``measure`` with the trials that are told gives the same coverage.
    """
    beside = beside or Beside()
    if outlined.outline_of(layer) is not None:
        _refuse_beside(beside)
        outlined.refuse_flat(layer)

        def drawn_run(trials: int) -> tuple[Array, Array]:
            return outlined.trial(layer, givens, seed=seed, trials=trials, lens=lens)

        settled = settle(drawn_run, coverage.TRIALS, tolerance=tolerance)
        result = outlined.measure(layer, givens, seed=seed, trials=settled.trials, lens=lens)
        return Accepted(result, *settled, tolerance)
    if beside.others:
        sights = (Sight(layer, lens), *beside.others)
        found = together.measure_together(
            sights, givens, seed=seed, repeats=beside.repeats, tolerance=tolerance
        )
        return Accepted(found.coverage, found.trials, found.reached, tolerance)
    kept: dict[int, coverage.Sampled] = {}

    def run(trials: int) -> tuple[Array, Array]:
        kept.clear()
        drawn = coverage.sampled(layer, givens, seed=seed, trials=trials, lens=lens)
        if beside.repeats is not None:
            drawn = coverage.spread(drawn, beside.repeats, seed)
        kept[trials] = drawn
        return coverage.covered_of(drawn.state), drawn.samples.weight

    settled = settle(run, coverage.TRIALS, tolerance=tolerance)
    return Accepted(coverage.told(kept[settled.trials], beside.repeats), *settled, tolerance)
