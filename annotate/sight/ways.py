"""The two ways the camera may lean: which one each sample has, and the odds of either.

A round rim looks the same from either side of its axis. Whoever tells of both ways, in words, in
a drawing or in a budget, asks here, so that all of them say the same.
"""

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from annotate import holes
from annotate.holes import Array, column

# With smaller odds the other way can't hold an end of a 95 % interval.
_COUNTED = 0.025
# Under it both ways are one: a wall of 2 mm shifts the far hole by a tenth of a millimetre.
_SQUARE_ON_DEG = 3.0


class Ways(NamedTuple):
    """The ways to lean of weighted samples (N,): which of them lean the likelier way, its odds.

    ``both``: the other way counts too. ``along`` (2,) points the likelier way; ``square``: the hole
    is seen so squarely that it hardly matters which way.
    """

    likelier: npt.NDArray[np.bool_]
    odds: float
    both: bool
    along: Array
    square: bool

    def is_likelier(self, state: Array) -> npt.NDArray[np.bool_]:
        """Return which of other states (K, P) lean the likelier way."""
        return np.asarray(tilt_of(state) @ self.along >= 0)


def tilt_of(state: Array) -> Array:
    """Return how far the camera leans, right and down (N, 2), in radians."""
    return np.stack([column(state, "tilt_x"), column(state, "tilt_y")], axis=1)


def ways(state: Array, weight: Array) -> Ways:
    """Return the ways to lean of weighted states (N, P): either side of the axis they lie along."""
    tilt = tilt_of(state)
    along = np.linalg.eigh((tilt * weight[:, None]).T @ tilt)[1][:, -1]
    odds = float(np.sum(weight[tilt @ along >= 0])) / float(np.sum(weight))
    if odds < 0.5:  # noqa: PLR2004 - half
        along, odds = -along, 1 - odds
    square = float(np.sum(weight * holes.sight_angle_deg(state))) <= _SQUARE_ON_DEG
    return Ways(tilt @ along >= 0, odds, not square and 1 - odds >= _COUNTED, along, square)
