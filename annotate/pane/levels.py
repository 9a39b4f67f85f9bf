"""One picture in halving sizes, so that any view of it touches few pixels. No Qt, any thread.

A view is painted from the level whose pixels are nearest to the screen's own, so however large
the picture is, a frame reads about as many of its pixels as the screen has.
"""

from math import log2
from typing import TypeAlias

import numpy as np
import numpy.typing as npt
from msgspec import Struct

Pixels: TypeAlias = npt.NDArray[np.uint8]  # (H, W, 3) RGB, upright, contiguous

COARSEST_PX = 256  # a level whose longer side is no more than this is small enough


class PictureLevels(Struct, frozen=True, eq=False):
    """A picture and its halvings, the full one first; each covers exactly the same area.

    Memory: the full level IS the caller's array if that is contiguous, and must not be written
    to; the others add a third of it (48 megapixels: 144 MB and 48 MB). Nothing is cached beyond.
    """

    levels: tuple[Pixels, ...]

    @property
    def width_px(self) -> int:
        """Width of the full picture in pixels."""
        return int(self.levels[0].shape[1])

    @property
    def height_px(self) -> int:
        """Height of the full picture in pixels."""
        return int(self.levels[0].shape[0])

    @property
    def held_bytes(self) -> int:
        """Bytes of all levels together."""
        return sum(level.nbytes for level in self.levels)

    def level_for(self, zoom: float) -> int:
        """Return the number of the level to paint from at ``zoom`` screen pixels per pixel.

        Its pixels are drawn between 0.71 and 1.41 screen pixels large where there is such a level.
        """
        wanted = round(-log2(zoom)) if zoom < 1 else 0
        return min(wanted, len(self.levels) - 1)


def levels_of(pixels: Pixels) -> PictureLevels:
    """Return the levels of an upright (H, W, 3) RGB picture; raises ValueError for another array.

    About 0.1 s for 48 megapixels: call it where the picture was decoded, not where it is shown.
    """
    import cv2  # noqa: PLC0415 - heavy, only when a picture is looked at

    if pixels.ndim != 3 or pixels.shape[2] != 3 or pixels.dtype != np.uint8 or not pixels.size:  # noqa: PLR2004 - rows, columns, colours
        raise ValueError("a picture is an (H, W, 3) array of uint8 with at least one pixel")
    levels = [np.ascontiguousarray(pixels)]
    while max(levels[-1].shape[:2]) > COARSEST_PX:
        height, width = levels[-1].shape[:2]
        # Rounded up, so that an odd row is shrunk with the others and not cut off.
        half = ((width + 1) // 2, (height + 1) // 2)
        smaller = cv2.resize(levels[-1], half, interpolation=cv2.INTER_AREA)
        levels.append(np.asarray(smaller, np.uint8))
    return PictureLevels(tuple(levels))
