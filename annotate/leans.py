"""Both leans of the camera, where nothing but a found rim's fine shape tells them apart.

A round rim looks the same from either side of its axis, but for a fraction of a pixel that
perspective and the bore's curve make. The near hole's back edge settles the lean; without it, or
with one of which only the side is told, that fraction decides, and a stretch of glare or a burr
along a found rim is as large. What the rims say of one lean against the other is therefore believed
a quarter: two to the fourth for one is two to one. (A power of the likelihood below 1 is the usual
guard against errors that a model does not have: Holmes and Walker, Biometrika 104 (2017) 497-503,
from memory. The quarter is our own.)
"""

from collections.abc import Callable
from typing import Final

import numpy as np

from annotate.holes import Array, column
from annotate.infer import Modes, Samples
from annotate.rim_noise import bears_out
from annotate.sighting import Sighting

_BELIEVED: Final = 0.25


def drawn(sighting: Sighting, modes: Modes, draw: Callable[[Modes], Samples]) -> Samples:
    """Return the samples that ``draw`` makes of best fits, of both leans where both are open."""
    sides = _sides(sighting, modes)
    told = bears_out(sighting.back, sighting.near_ellipse.semi_major)
    if len(sides) < 2 or told or sighting.near.placed != "found":  # noqa: PLR2004 - two leans
        return draw(modes)
    parts = [draw(side) for side in sides]
    evidence = _BELIEVED * np.array([_evidence(side) for side in sides])
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


def _evidence(side: Modes) -> float:
    """Return the log of the posterior's mass about the best fit, by its curvature there."""
    return float(side.log_density[0] + 0.5 * np.linalg.slogdet(side.covariance[0])[1])
