"""Do two photos of one hole agree? Their difference, what they share left out, against its U."""

from collections.abc import Sequence
from itertools import combinations
from typing import NamedTuple

import numpy as np

from annotate import coverage
from annotate.holes import INDEX, NAMES
from annotate.mathematics import infer
from annotate.mathematics.student import quantile
from annotate.quantity import LEVEL
from annotate.result import Coverage, Known
from annotate.routes.joint import CAMERA, LENS, habit, own_lens
from annotate.sight import sighting
from annotate.sight.priors import ARC, BACK, FAR, NEAR_RIM, SCALE

# The hole itself, its offset aside: that is what the photos are asked for.
_OWN = {*CAMERA, *LENS, "bore_turn", "far_x", "far_y"}
_HOLE = tuple(name for name in NAMES if name not in _OWN)


class Agreed(NamedTuple):
    """The two photos that agree least: which, their En number, and what they share, in points."""

    pair: tuple[int, int] = (0, 1)
    en: float = 0.0
    shared: float = 0.0


def agreement(drawn: Sequence[coverage.Sampled], alone: Sequence[Coverage]) -> Agreed:
    """Return which two of some photos agree least; ``alone`` is what each gives by itself."""
    causes, owns = zip(*(_causes(each) for each in drawn), strict=True)
    worst = Agreed()
    for i, j in combinations(range(len(drawn)), 2):
        one, other = alone[i].covered, alone[j].covered
        if not (isinstance(one, Known) and isinstance(other, Known)):
            continue
        common = causes[i].keys() & causes[j].keys() & _common(drawn[i], drawn[j])
        # In one order, for a set has another in every run.
        covariance = sum(causes[i][name] * causes[j][name] for name in sorted(common))
        a, b = one.quantity, other.quantity
        # Levers are of the best fit and u of the samples: never surer than what is each one's own.
        left = max(a.u**2 + b.u**2 - 2 * covariance, owns[i] + owns[j], 1e-18)
        en = abs(a.value - b.value) / (quantile((1 + LEVEL) / 2, None) * left**0.5)
        if en >= worst.en:
            worst = Agreed((i, j), en, 100 * max(covariance, 0.0) ** 0.5)
    return worst


def worse(drawn: Sequence[coverage.Sampled], modes: infer.Modes) -> float:
    """Return by how much the best common fit is worse than the photos' own, as a chi square."""
    own = sum(float(each.modes.log_density[0]) for each in drawn)
    return 2 * (own - float(modes.log_density[0]))


def apart(agreed: Agreed, alone: Sequence[Coverage]) -> str:
    """Return in words what two photos say that do not agree."""
    said = []
    for number in agreed.pair:
        covered = alone[number].covered
        if isinstance(covered, Known):
            low, high = covered.quantity.interval()
            said.append(
                f"{100 * covered.quantity.value:.1f} % ({100 * low:.1f} to {100 * high:.1f})"
            )
    first, second = (number + 1 for number in agreed.pair)
    return (
        f"photos {first} and {second} do not agree: covered {' and '.join(said)}, En "
        f"{agreed.en:.2f}; they are not averaged"
    )


def _causes(drawn: coverage.Sampled) -> tuple[dict[str, float], float]:
    """Return what one deviation of each cause that photos may share does to covered.

    And the variance that is the photo's own, to first order.
    """
    ready = drawn.ready
    found = coverage.levers(drawn)
    causes = {name: float(found.priors[INDEX[name]]) for name in (*_HOLE, *LENS)}
    sources = np.array(sighting.sources(ready))
    for source in (FAR, SCALE):
        causes[source] = float(np.sum(found.residuals[sources == source]))
    for which in (NEAR_RIM, ARC, BACK):
        placed, moved = habit(ready, which)
        if placed:
            causes[f"{which} {placed}"] = float(moved @ found.residuals[sources == which])
    everything = float(np.sum(found.residuals**2) + np.sum(found.priors**2))
    return causes, max(everything - sum(lever**2 for lever in causes.values()), 0.0)


def _common(one: coverage.Sampled, other: coverage.Sampled) -> set[str]:
    """Return the causes that two photos may share: all but a lens that is each one's own."""
    own = own_lens(one.ready, other.ready)
    rims = {f"{which} {placed}" for which in (NEAR_RIM, ARC, BACK) for placed in ("hand", "found")}
    return {*_HOLE, *(name for name in LENS if name not in own), FAR, SCALE, *rims}
