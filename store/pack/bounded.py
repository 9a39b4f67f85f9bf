"""Measuring a stranger's marks again, within bounds: a line may ask for more than a machine has."""

from annotate.beside import Beside
from annotate.errors import CannotMeasure
from annotate.givens import Givens
from annotate.marks import Layer, Rim
from annotate.optics.profile import LensProfile
from annotate.result import Coverage
from store.proving.recomputed import Measure

MOST_TRIALS = 100_000
MOST_POINTS = 10_000
MOST_BOTH = 40_000_000  # trials times points: 320 MB for each array of them


class Bounded:
    """Measures as ``measure`` does, and refuses what would take too long or too much memory."""

    def __init__(self, measure: Measure) -> None:
        self._measure = measure

    def __call__(
        self,
        layer: Layer,
        givens: Givens,
        *,
        seed: int,
        trials: int,
        lens: LensProfile | None = None,
        beside: Beside | None = None,
    ) -> Coverage:
        """Return the coverage that marks show; raises CannotMeasure, for too much as well."""
        layers = [layer, *(other.layer for other in (beside.others if beside else ()))]
        points = sum(
            len(mark.points_px) for each in layers for mark in each.marks if isinstance(mark, Rim)
        )
        if not (
            0 < trials <= MOST_TRIALS and points <= MOST_POINTS and trials * points <= MOST_BOTH
        ):
            raise CannotMeasure(
                f"{trials} trials over {points} points are asked for, which is more than is done "
                "for a stranger"
            )
        return self._measure(layer, givens, seed=seed, trials=trials, lens=lens, beside=beside)
