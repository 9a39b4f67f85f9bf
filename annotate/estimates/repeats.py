"""What marking a photo again showed: points scatter more than was taken, and how sure that is.

How well rims are placed is first taken from what is ordinary (``rim_noise``). Where the same photo
was marked several times the spread of the answers tells it, as a ratio to what was taken (Birge's
ratio: Physical Review 40 (1932) 207-227, from memory). A ratio above 1 widens every answer; one
below 1 narrows none, for repeats say nothing of what is off alike each time.
"""

import numpy as np
import numpy.typing as npt

from annotate.beside import Repeats
from annotate.estimates.shares import Levers
from annotate.mathematics.infer import Modes
from annotate.result import BudgetLine
from annotate.sight.priors import ARC, NEAR_RIM

Array = npt.NDArray[np.float64]
MARKING = "marking, by the repeats of this book"
PLACED = (NEAR_RIM, ARC)  # the rims a hand places


def spread_by(
    repeats: Repeats, q: Array, modes: Modes, found: Levers, sources: list[str], seed: int
) -> Array:
    """Return samples q (N, P) moved by as much as repeated marks would move the best fit.

    An error of the placed points moves the fit by C J' times it; drawn from Student's t with the
    repeats' degrees of freedom (JCGM 101:2008, 6.4.9), the excess over what was taken alone.
    """
    if not repeats.excess:
        return q
    placed = np.flatnonzero(np.isin(sources, PLACED))
    carry = modes.covariance[0] @ found.slope[placed].T
    # Another stream than the samples' own, or the two would be drawn alike.
    rng = np.random.default_rng([seed, 1])
    size = repeats.excess * np.sqrt(repeats.dof / rng.chisquare(repeats.dof, len(q)))
    error = rng.standard_normal((len(q), len(placed)))
    return np.asarray(q + size[:, None] * (error @ carry.T))


def line(repeats: Repeats, found: Levers, sources: list[str]) -> BudgetLine:
    """Return the line of the budget that repeats add, in points."""
    placed = np.isin(sources, PLACED)
    taken = float(np.sum(found.residuals[placed] ** 2)) ** 0.5
    of_t = (repeats.dof / (repeats.dof - 2)) ** 0.5
    return BudgetLine(MARKING, 100 * repeats.excess * taken * of_t, repeats.dof)
