"""Which source makes ``covered`` how uncertain: levers of residuals and priors at the best fit.

With covariance C, slopes J of the residuals and gradient g of covered, an error of one standard
deviation in residual k moves the answer by (g C J_k), and one in the prior of unknown j by
(g C)_j: to first order the estimate is linear in them. Their squares add up to the variance g C g,
since C (J'J + priors) C = C. The signs matter where two answers have a cause in common.
"""

from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from annotate.mathematics.descent import Residuals, slopes
from annotate.mathematics.infer import Modes
from annotate.result import BudgetLine
from annotate.sight.priors import Prior

Array = npt.NDArray[np.float64]
NOT_LINEAR = "the other tilt, and what is not linear"


class Levers(NamedTuple):
    """What one standard deviation of each residual (M,) and of each prior (P,) does to covered.

    ``slope`` (M, P) and ``lever`` (P,) are J and g C, for causes that are made of several
    residuals.
    """

    residuals: Array
    priors: Array
    slope: Array
    lever: Array


def levers(
    residuals: Residuals,
    covered: Callable[[Array], Array],
    modes: Modes,
    priors_on: Array,
) -> Levers:
    """Return the levers at the best fit; ``covered`` takes q (K, P) and gives (K,)."""
    q = modes.q[:1]
    slope = slopes(residuals, q)[1][0]
    gradient = slopes(lambda x: covered(x)[:, None], q)[1][0, 0]
    lever = np.asarray(modes.covariance[0] @ gradient)
    return Levers(np.asarray(slope @ lever), priors_on * lever, slope, lever)


def lines(
    found: Levers,
    sources: Sequence[str],
    priors: Sequence[Prior],
    covered: Array,
    weight: Array,
    beside: Sequence[BudgetLine] = (),
) -> tuple[BudgetLine, ...]:
    """Return what each source adds to the standard uncertainty of covered, in points.

    ``covered`` (N,) are the samples' answers: what they spread beyond the linear part and the
    lines ``beside`` (the other tilt, and curvature of the model) is a line of its own. The largest
    line comes first.
    """
    shares: dict[str, float] = {}
    for source, share in zip(sources, found.residuals**2, strict=True):
        shares[source] = shares.get(source, 0.0) + float(share)
    for prior, share in zip(priors, found.priors**2, strict=True):
        if share > 0:
            shares[prior.source] = shares.get(prior.source, 0.0) + float(share)
    mean = np.sum(weight * covered)
    rest = float(np.sum(weight * (covered - mean) ** 2)) - sum(shares.values())
    rest -= sum((line.points / 100) ** 2 for line in beside)
    if rest > 0:
        shares[NOT_LINEAR] = rest
    told = [BudgetLine(name, 100 * share**0.5) for name, share in shares.items()] + [*beside]
    return tuple(sorted(told, key=lambda line: -line.points))
