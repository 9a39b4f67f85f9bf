"""Both leans of the camera, where nothing but a found rim's fine shape tells them apart.

A round rim looks the same from either side of its axis, but for a fraction of a pixel that
perspective and the bore's curve make. The near hole's back edge settles the lean; without it that
fraction decides, and a stretch of glare or a burr along a found rim is as large. What the rims say
of one lean against the other is therefore believed a quarter: two to the fourth for one is two to
one. (A power of the likelihood below 1 is the usual guard against errors that a model does not
have: Holmes and Walker, Biometrika 104 (2017) 497-503, from memory. The quarter is our own.)

A back edge of which no more is told than the side it is on counts fifty to one for the lean that
it lies nearer to. On 634 rendered pictures of our own such pieces lay on the wrong side five times
in 499, three times in 51 where no edge was plain, each time of a hole seen so squarely that the
leans hardly differ (no other source).
"""

from collections.abc import Callable
from typing import Final

import numpy as np

from annotate import holes
from annotate.holes import Array, column
from annotate.mathematics.infer import Modes, Samples
from annotate.sight.sighting import Sighting

_BELIEVED: Final = 0.25
_SIDE: Final = np.log(50.0)


def drawn(sighting: Sighting, modes: Modes, draw: Callable[[Modes], Samples]) -> Samples:
    """Return the samples that ``draw`` makes of best fits, of both leans where both are open."""
    sides = _sides(sighting, modes)
    by_hand = sighting.near.placed == "hand"
    settled = sighting.back is not None or (by_hand and not len(sighting.side))
    if settled or len(sides) < 2:  # noqa: PLR2004 - two leans
        return draw(modes)
    parts = [draw(side) for side in sides]
    believed = 1.0 if by_hand else _BELIEVED
    evidence = believed * np.array([_evidence(side) for side in sides]) + _told(sighting, sides)
    share = np.exp(evidence - evidence.max())
    share /= share.sum()
    weight = np.concatenate([p.weight * s for p, s in zip(parts, share, strict=True)])
    effective = 1 / sum(s**2 / p.effective for p, s in zip(parts, share, strict=True))
    return Samples(np.concatenate([p.q for p in parts]), weight, float(effective))


def _sides(sighting: Sighting, modes: Modes) -> list[Modes]:
    """Return the best fits of either lean, those of the best one first."""
    state = sighting.state(modes.q)
    tilt: Array = np.stack([column(state, "tilt_x"), column(state, "tilt_y")], axis=1)
    like = tilt @ tilt[0] >= 0
    return [Modes(*(v[side] for v in modes)) for side in (like, ~like) if side.any()]


def _told(sighting: Sighting, sides: list[Modes]) -> Array:
    """Return what the side that the back edge is on says of each lean, as log odds."""
    if not len(sighting.side):
        return np.zeros(len(sides))
    state = sighting.state(np.stack([side.q[0] for side in sides]))
    where = holes.pose(state, sighting.camera)
    off = np.abs(holes.back_misfit_mm(state, where, sighting.camera, sighting.side)).mean(axis=1)
    return np.where(off == off.min(), _SIDE, 0.0)


def _evidence(side: Modes) -> float:
    """Return the log of the posterior's mass about the best fit, by its curvature there."""
    return float(side.log_density[0] + 0.5 * np.linalg.slogdet(side.covariance[0])[1])
