"""How a printed plane lies before a camera: its pose, and what is known of the lens.

Derivation: written out here; no outside source but for Rodrigues' rotation formula.
"""

from math import log, sqrt
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
from msgspec import structs

from annotate.optics.lens import USUAL_FOCAL, View
from annotate.scale import Scale, pose_of

Array = npt.NDArray[np.float64]

FOCAL_U = 0.04  # relative: EXIF rounds, and a lens breathes when it is close
# Of the picture's diagonal, that the optical axis is off its middle; more where a picture may have
# been cut: it has no EXIF, and most of all if not a sensor's shape. Common practice, no source.
AXIS_U, BARE_AXIS_U, CUT_AXIS_U = 0.01, 0.02, 0.03
SENSORS = 4 / 3, 3 / 2, 16 / 9, 1.0  # long side to short
_SAME_SHAPE = 0.005
_SMALL = 1e-12


class Pose(NamedTuple):
    """K poses: axes x, y and away (K, 3) of the print in the camera, its origin (K, 3) in mm."""

    x: Array
    y: Array
    away: Array
    origin: Array


def lens_of(view: View) -> tuple[float, float, float]:
    """Return focal length in px, its relative uncertainty, and that of the optical axis in px."""
    diagonal = 2 * view.half_diagonal_px()
    if view.profile is not None:
        focal = view.profile.focal_px
        return focal, max(view.profile.u_focal_px / focal, 1e-4), max(view.profile.u_centre_px, 0.1)
    if view.focal_px is not None:
        return view.focal_px, FOCAL_U, AXIS_U * diagonal
    low, high = (log(part * diagonal) for part in USUAL_FOCAL)
    axis_u = CUT_AXIS_U if maybe_cut(view) else BARE_AXIS_U
    return float(np.exp((low + high) / 2)), (high - low) / sqrt(12), axis_u * diagonal


def maybe_cut(view: View) -> bool:
    """Return whether a picture has no sensor's shape: then its middle need not be the lens's."""
    long, short = max(view.width_px, view.height_px), min(view.width_px, view.height_px)
    return all(abs(long / short / shape - 1) > _SAME_SHAPE for shape in SENSORS)


def laid(scale: Scale, focal_px: float) -> tuple[Array, Array, Array]:
    """Return axes x and y and origin (mm) of a print as a camera of this focal length sees it."""
    view = structs.replace(scale.view, focal_px=focal_px)
    x, y, origin = pose_of(np.linalg.inv(scale.matrix()).astype(np.float64), view).T
    left, _, right = np.linalg.svd(np.stack([x, y], axis=1), full_matrices=False)
    x, y = (left @ right).T
    return x, y, origin


def vector(turn: Array) -> Array:
    """Return the rotation vector (3,) of a rotation (3, 3) by less than half a turn."""
    twice = np.array([turn[2, 1] - turn[1, 2], turn[0, 2] - turn[2, 0], turn[1, 0] - turn[0, 1]])
    sine, cosine = float(np.linalg.norm(twice)) / 2, (float(np.trace(turn)) - 1) / 2
    angle = float(np.arctan2(sine, cosine))
    return np.asarray(twice / 2 * (angle / sine if sine > _SMALL else 1.0))


def turned(turn: Array) -> Array:
    """Return rotations (K, 3, 3) by rotation vectors (K, 3): Rodrigues' formula."""
    angle = np.linalg.norm(turn, axis=1)[:, None, None]
    x, y, z = turn.T
    zero = np.zeros(len(turn))
    cross = np.stack([zero, -z, y, z, zero, -x, -y, x, zero], axis=1).reshape(-1, 3, 3)
    half = 0.5 * np.sinc(angle / 2 / np.pi) ** 2
    return np.asarray(np.eye(3) + np.sinc(angle / np.pi) * cross + half * (cross @ cross))
