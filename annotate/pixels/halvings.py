"""A picture in halving sizes, grey, looked at only where it is asked for.

The whole picture is kept in bytes; a piece becomes floating point when it is sampled, so that a
large photo costs little memory.
"""

from typing import Final, cast

import numpy as np
import numpy.typing as npt
from msgspec import Struct

from annotate.pixels.polar import Array, Image, Picture

_COARSEST: Final = 40  # pixels: a level whose shorter side is below this says nothing


class Pyramid(Struct, frozen=True):
    """The grey picture and its halvings, each averaged over the pixels it stands for."""

    levels: tuple[Picture | Image, ...]

    def for_radius(self, radius_px: float, wanted_px: float) -> int:
        """Return the coarsest level at which ``radius_px`` is still ``wanted_px`` long, or 0."""
        level = int(np.floor(np.log2(max(radius_px / wanted_px, 1.0))))
        return min(level, len(self.levels) - 1)

    def for_radii(self, radii_px: Array, wanted_px: float) -> "npt.NDArray[np.intp]":
        """Return the same of many radii (N,)."""
        level = np.floor(np.log2(np.maximum(radii_px / wanted_px, 1.0)))
        return np.minimum(level.astype(np.intp), len(self.levels) - 1)


def pyramid(picture: Picture) -> Pyramid:
    """Return a picture, (H, W) grey or (H, W, 3) RGB, and its halvings, in grey."""
    import cv2  # noqa: PLC0415 - heavy, only when a picture is looked at

    colour = picture.ndim == 3  # noqa: PLR2004 - rows, columns, colours
    # Luma weights of ITU-R BT.601, as OpenCV's.
    grey = cv2.cvtColor(picture, cv2.COLOR_RGB2GRAY) if colour else picture
    levels = [cast("Picture | Image", grey)]
    while min(levels[-1].shape) >= 2 * _COARSEST:
        rows, columns = (n // 2 for n in levels[-1].shape)
        # Exact halves of an even part: pixel centres stay where Frame.scaled puts them.
        even = levels[-1][: 2 * rows, : 2 * columns]
        half = cv2.resize(even, (columns, rows), interpolation=cv2.INTER_AREA)
        levels.append(cast("Picture | Image", half))
    return Pyramid(tuple(levels))
