"""What a lens does to straight lines: a measured profile, or a prior where there is none.

Without a profile (``profile``) the picture is taken to be a little barrel-shaped: ``barrel`` is how
far the picture's corner has moved towards the centre, as a part of its distance from it, and a
point at a part q of that distance has moved by barrel * q^2 of its own (one radial term, k1).
"""

from math import hypot

import numpy as np
import numpy.typing as npt
from msgspec import Struct

from annotate.errors import BadMark
from annotate.marks import Chessboard, Layer, Points
from annotate.optics.profile import LensProfile

Array = npt.NDArray[np.float64]

# Half-normal prior of the barrel: photos corrected in the camera show none, plain close-up lenses
# 1 to 3 % at the corner. Common practice, no source.
BARREL_SIGMA = 0.012
BARREL_MEDIAN = 0.674 * BARREL_SIGMA

# Focal length over picture diagonal: 26 to 120 mm equivalent.
USUAL_FOCAL = 0.6, 2.8
FULL_FRAME_DIAGONAL_MM = hypot(36.0, 24.0)
_STRAIGHTENINGS = 6


class View(Struct, frozen=True):
    """How the picture was taken, as far as known: its size, focal length and lens."""

    width_px: int
    height_px: int
    focal_px: float | None = None
    profile: LensProfile | None = None

    def centre(self) -> Array:
        """Return where the optical axis is taken to meet the picture, in pixels."""
        if self.profile is not None:
            return self.profile.centre()
        return np.array([(self.width_px - 1) / 2, (self.height_px - 1) / 2])

    def straight(self, points_px: Array, barrel: float | Array) -> Array:
        """Return the points (..., N, 2) freed of the lens's distortion.

        ``barrel`` is one number or an array (M,), which gives (M, N, 2); with a profile it is
        what the profile has left of the distortion.
        """
        if self.profile is not None:
            points_px = self.profile.straighten(points_px.reshape(-1, 2)).reshape(points_px.shape)
        return unbarrelled(points_px, barrel, self.centre(), self.half_diagonal_px())

    def half_diagonal_px(self) -> float:
        """Return the distance from the picture's middle to its corner, in pixels."""
        return hypot(self.width_px, self.height_px) / 2

    def draw_focals_px(self, rng: np.random.Generator, count: int) -> Array:
        """Return ``count`` focal lengths in pixels; over the usual range where not known."""
        if self.profile is not None:
            drawn = self.profile.u_focal_px * rng.standard_normal(count)
            return np.maximum(self.profile.focal_px + drawn, self.profile.focal_px / 2)
        if self.focal_px is not None:
            return np.full(count, self.focal_px)
        low, high = (np.log(part * 2 * self.half_diagonal_px()) for part in USUAL_FOCAL)
        draws: Array = np.exp(rng.uniform(low, high, count))
        return draws

    @property
    def barrel_sigma(self) -> float:
        """Return the spread of the barrel's prior, or of what a profile leaves of it."""
        # Never 0: residuals are counted in it.
        return BARREL_SIGMA if self.profile is None else max(self.profile.u_barrel, 1e-9)

    @property
    def barrel_median(self) -> float:
        """Return the barrel in the middle of its prior; nothing with a profile."""
        return BARREL_MEDIAN if self.profile is None else 0.0

    def draw_barrels(self, rng: np.random.Generator, count: int) -> Array:
        """Return ``count`` draws of the barrel from its prior, half-normal without a profile."""
        if self.profile is not None:
            return self.profile.u_barrel * rng.standard_normal(count)
        return np.abs(rng.normal(0.0, BARREL_SIGMA, count))


def view_of(layer: Layer, profile: LensProfile | None = None) -> View:
    """Return how a layer's photo was taken; a profile, where there is one, knows best.

    Raises BadMark if the profile is of pictures of another size.
    """
    size = (layer.width_px, layer.height_px)
    if profile is not None:
        if (profile.width_px, profile.height_px) != size:
            raise BadMark("the lens profile is of pictures of another size")
        return View(*size, profile.focal_px, profile)
    return View(*size, focal_px(layer))


def focal_px(layer: Layer) -> float | None:
    """Return the focal length in pixels, from the 35 mm equivalent by the diagonal."""
    if layer.focal_35mm is None:
        return None
    return layer.focal_35mm / FULL_FRAME_DIAGONAL_MM * hypot(layer.width_px, layer.height_px)


def unbarrelled(
    points_px: Array, barrel: float | Array, centre_px: Array, half_diagonal_px: float
) -> Array:
    """Return points (..., N, 2) freed of a barrel; an array of M barrels gives (M, N, 2)."""
    seen = (points_px - centre_px) / half_diagonal_px
    amount = np.asarray(barrel, dtype=np.float64)[..., None, None]
    straight = np.broadcast_to(seen, (*np.shape(barrel), *seen.shape[-2:]))
    for _ in range(_STRAIGHTENINGS):  # solves seen = straight (1 - barrel |straight|^2)
        straight = seen / (1 - amount * np.sum(straight**2, axis=-1, keepdims=True))
    result: Array = straight * half_diagonal_px + centre_px
    return result


def board_points(board: Chessboard) -> Points:
    """Return where the board's corners lie on its plane, in mm, in their order."""
    square = board.square.to("mm").value
    columns, rows = np.meshgrid(np.arange(board.inner_columns), np.arange(board.inner_rows))
    return square * np.column_stack([columns.ravel(), rows.ravel()]).astype(np.float64)
