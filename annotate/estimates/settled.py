"""How many trials a coverage needs: until its interval stands still to a stated tolerance.

JCGM 101:2008, 7.9: trials are added until two standard deviations of the averages of blocks of
them, for the estimate, its standard uncertainty and both ends of its interval, are within the
numerical tolerance. Blocks here are every tenth sample of one run, which is the same run for the
same seed and number of trials: the number is kept, and a check needs no search for it.
"""

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from annotate.estimates.weighted import midmean
from annotate.quantity import LEVEL

Array = npt.NDArray[np.float64]
Run = Callable[[int], tuple[Array, Array]]  # trials -> covered (N,) and weight (N,)

TOLERANCE = 0.005  # of covered: half a point
MOST = 48_000
_BLOCKS = 10
_MUCH = 0.25  # of the interval's half width
_MOST_AT_ONCE = 4  # times as many trials: a first guess of the scatter is rough


class Settled(NamedTuple):
    """How many trials were made, and how still the numbers stand by then (two deviations)."""

    trials: int
    reached: float


def settle(run: Run, trials: int, *, tolerance: float = TOLERANCE, most: int = MOST) -> Settled:
    """Return the trials after which ``run`` stands still to ``tolerance``, at least ``trials``.

    At most ``most``: what was reached then may be more than the tolerance, and is told.
    """
    while True:
        reached = scatter(*run(trials))
        if reached <= tolerance or trials >= most:
            return Settled(trials, reached)
        wanted = min((reached / tolerance) ** 2 * 1.2, _MOST_AT_ONCE)
        trials = min(most, int(np.ceil(trials * max(wanted, 1.2) / 1000)) * 1000)


def scatter(covered: Array, weight: Array) -> float:
    """Return two standard deviations of what samples (N,) of these weights tell, the largest.

    Of the estimate, the standard deviation and both ends of the interval.
    """
    told = np.array([_told(covered[i::_BLOCKS], weight[i::_BLOCKS]) for i in range(_BLOCKS)])
    return float(2 * np.max(told.std(axis=0, ddof=1)) / np.sqrt(_BLOCKS))


def unsteady(covered: Array, weight: Array) -> tuple[str, ...]:
    """Return a warning if another seed would move the interval by much of its own width.

    ``covered`` and ``weight`` are all samples (N,) of it. It goes with the result, so it asks for
    no tolerance but the usual one, under which nobody minds.
    """
    reached = scatter(covered, weight)
    _, _, low, high = _told(covered, weight)
    if reached <= max(TOLERANCE, _MUCH * (high - low) / 2):
        return ()
    told = (
        "the interval is hardly settled: other trials would move its ends by up to "
        f"{100 * reached:.1f} points; mark more of the far rim, or give its diameter or the wall"
    )
    return (told,)


def _told(covered: Array, weight: Array) -> tuple[float, float, float, float]:
    weight = weight / weight.sum()
    mean = float(np.sum(weight * covered))
    order = np.argsort(covered, kind="stable")
    reached = np.cumsum(weight[order]) - weight[order] / 2
    tails = ((1 - LEVEL) / 2, (1 + LEVEL) / 2)
    low, high = (float(end) for end in np.interp(tails, reached, covered[order]))
    estimate = midmean(covered[order], weight[order])
    return estimate, float(np.sqrt(np.sum(weight * (covered - mean) ** 2))), low, high
