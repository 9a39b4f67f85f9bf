"""Points of a face's rims that lie on another edge: told by the circle the whole face gives them.

An ellipse of its own goes a long way to meet a stretch of points on a shadow, on the lit wall or on
the other edge of a chamfer: it has five unknowns. A circle on a plane that target and all rims
share has three, and from it such a stretch stands off. Whoever stands off by several times what the
rim's own points scatter is left out, and the face is adjusted again (a redescending M-estimate by
hard rejection: Huber, Robust Statistics, 1981). Points set by hand stay: they are the hand's.
"""

from collections.abc import Sequence
from typing import Final

import numpy as np

from annotate.face_fit import Array, Fit, Mask, Ring

# Errors along a rim go together: more than its points' scatter shows. No rim is better than that.
ALIKE: Final = 2.5
LEAST_SIGMA_PX: Final = 0.12
_FAR: Final = (6.0, 3.0, 3.0, 3.0)  # scatters, round after round: at first rims lie a little off
_LEAST_SCATTER_PX: Final = 0.07  # of a sharp edge's points
_FEWEST: Final = 10  # points of a rim


def found_sigma_px(scatter_px: float) -> float:
    """Return the standard uncertainty of points found on a rim, across it, from their scatter."""
    return max(LEAST_SIGMA_PX, ALIKE * scatter_px)


def settled(fit: Fit) -> tuple[Fit, Array]:
    """Return the fit without points that lie on other edges, and its best parameters."""
    every, p = fit, fit.best()
    if not any(ring.found for ring in fit.rings):
        return fit, p
    for round_, far in enumerate(_FAR):
        off = every.off_px(p)
        # At first a rim as a whole may lie off its circle, by what strays have drawn that away.
        kept = [_near(one, far, centred=round_ == 0) for one in off]
        kept = [keep | (not ring.found) for keep, ring in zip(kept, every.rings, strict=True)]
        fit = every.with_rings(_thinned(every.rings, off, kept), kept)
        p = fit.best(p)
    return fit, p


def _near(off: Array, far: float, *, centred: bool) -> Mask:
    middle = float(np.median(off))
    scatter = max(_LEAST_SCATTER_PX, 1.4826 * float(np.median(np.abs(off - middle))))
    near = np.abs(off - (middle if centred else 0.0)) < far * scatter
    return near if near.sum() >= _FEWEST else np.ones(len(off), dtype=bool)


def _thinned(rings: Sequence[Ring], off: Sequence[Array], kept: Sequence[Mask]) -> list[Ring]:
    """Return rings with the points kept, and the uncertainty that these show."""
    return [
        ring._replace(
            points_px=ring.points_px[keep], sigma_px=found_sigma_px(float(np.std(o[keep])))
        )
        if ring.found
        else ring
        for ring, o, keep in zip(rings, off, kept, strict=True)
    ]
