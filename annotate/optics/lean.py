"""What a scale mark leaves open of its plane's lean, drawn from a prior."""

from math import pi, radians

import numpy as np
import numpy.typing as npt
from msgspec import Struct

Array = npt.NDArray[np.float64]

SQUARE_ON_SIGMA_DEG = 8.0  # how far from square-on a photo meant to be is; no source


class Lean(Struct, frozen=True):
    """A lean that the mark's corners do not show.

    ``sigma_deg`` is the spread of a lean to any side, as if the plane had been taken for
    square-on; ``known_deg`` a lean already taken out of the corners but for its side, along
    ``axis_deg`` (from +x towards +y on the plane).
    """

    sigma_deg: float = 0.0
    known_deg: float = 0.0
    axis_deg: float = 0.0

    def draw(self, rng: np.random.Generator, focal_mm: Array, corners_mm: Array) -> Array:
        """Return homographies (M, 3, 3) that put the lean into the plane taken for square-on.

        ``focal_mm`` (M,) is the distance at which the camera sees the plane. With a lean t along
        x about the middle, a point at x is seen at x cos t / (1 + x sin t / focal), one at y at
        y / (1 + x sin t / focal); this is the inverse, and the mark's first side keeps its length.
        """
        count = len(focal_mm)
        lean: Array = radians(self.known_deg) * np.ones(count)
        shown: Array = np.ones(count)
        if self.sigma_deg:
            lean = radians(self.sigma_deg) * np.abs(rng.standard_normal(count))
            axis = rng.uniform(0.0, 2 * np.pi, count)
            shown = np.cos(lean)
        else:
            side = rng.integers(0, 2, count).astype(np.float64)
            axis = radians(self.axis_deg) + pi * side
        matrix = np.zeros((count, 3, 3))
        matrix[:, 0, 0], matrix[:, 1, 1], matrix[:, 2, 2] = 1.0, shown, shown
        matrix[:, 2, 0] = -np.sin(lean) / focal_mm
        middle = corners_mm.mean(axis=0)
        into = _moves(-axis, np.zeros(2)) @ _moves(np.zeros(count), -middle)
        back = _moves(axis, np.zeros(2))
        leaning = back @ matrix @ into
        return _kept_length(leaning, corners_mm) @ leaning if self.sigma_deg else leaning


def _moves(turn: Array, shift: Array) -> Array:
    """Return rigid motions (M, 3, 3): turn by an angle each, then shift."""
    matrix = np.zeros((len(turn), 3, 3))
    matrix[:, 0, 0], matrix[:, 0, 1] = np.cos(turn), -np.sin(turn)
    matrix[:, 1, 0], matrix[:, 1, 1] = np.sin(turn), np.cos(turn)
    matrix[:, :2, 2], matrix[:, 2, 2] = shift, 1.0
    return matrix


def _kept_length(leaning: Array, corners_mm: Array) -> Array:
    """Return the enlargements (M, 3, 3) that give the corners' first side its length back."""
    ends = np.concatenate([corners_mm[:2], np.ones((2, 1))], axis=1) @ np.swapaxes(leaning, -1, -2)
    places = ends[..., :2] / ends[..., 2:]
    now = np.linalg.norm(places[:, 1] - places[:, 0], axis=1)
    true = np.linalg.norm(corners_mm[1] - corners_mm[0])
    matrix = np.zeros_like(leaning)
    matrix[:, 0, 0] = matrix[:, 1, 1] = true / now
    matrix[:, 2, 2] = 1.0
    return matrix
