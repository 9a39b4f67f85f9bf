"""Trials of an error: the Monte Carlo draws of JCGM 101:2008, the same for one label every time.

An error is drawn from a generator seeded with its label, so that what stands beside it in an
expression changes nothing, and an error that two values share is the same in both.
"""

from hashlib import sha256
from math import sqrt
from typing import TYPE_CHECKING

from annotate.quantity import QUANTILE_STEPS
from store.budgets.budget import Source

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    Trials = npt.NDArray[np.float64]

TRIALS = 100_000


def standard_trials(source: Source) -> "Trials":
    """Return TRIALS draws of an error about 0, in units of its (signed) u."""
    import numpy as np  # noqa: PLC0415 - trials only

    rng = _generator(f"error {source.label}")
    if source.shape == "sampled":
        steps = np.linspace(0.0, 1.0, QUANTILE_STEPS + 1)
        upright = source.times(1 / source.u)
        return np.asarray(np.interp(rng.random(TRIALS), steps, upright.quantiles))
    if source.shape == "rectangular":
        return np.asarray(sqrt(3) * (2 * rng.random(TRIALS) - 1))
    if source.shape == "triangular":
        return np.asarray(sqrt(6) * (rng.random(TRIALS) + rng.random(TRIALS) - 1))
    normal = rng.standard_normal(TRIALS)
    if source.shape == "normal" or source.dof is None:
        return normal
    # One estimate of the spread serves a whole family: so do its trials (JCGM 101:2008 6.4.9).
    spread = _generator(f"family {source.family or source.label}").chisquare(source.dof, TRIALS)
    return np.asarray(normal / np.sqrt(spread / source.dof))


def _generator(words: str) -> "np.random.Generator":
    import numpy as np  # noqa: PLC0415 - trials only

    seed = int.from_bytes(sha256(words.encode()).digest()[:16], "big")
    return np.random.Generator(np.random.PCG64(seed))
