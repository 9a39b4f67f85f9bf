"""Steps in tone along a row of blocks: what a JPEG shows whose bytes were damaged on their way.

Tones are coded as differences from block to block (ITU-T T.81, F.1.2.1), and no decoder tells that
a byte is wrong as long as it can be read as some code. From there on, to the end of the picture,
everything is lighter or darker: a step from one pixel to the next along the border of a row of
blocks, over much of the picture. No lens draws an edge so sharp, and hardly any lies just there.

Chosen on 610 of our own pictures, none of which shows such a step; of 181 that 40 overwritten bytes
had changed visibly 165 do. What libjpeg itself warns of, as other decoders tell it, was 140 of
those.
"""

from typing import Final

import numpy as np
import numpy.typing as npt

Picture = npt.NDArray[np.uint8]

_BLOCK: Final = 8
_STEP: Final = 5  # grey values
_WIDE: Final = 0.4  # of the picture's width, along one border
_MORE: Final = 0.25  # of it, than along a usual border: a grainy picture steps everywhere
_SHARP: Final = 0.3  # at most this part of the places steps beside the border as well


def block_step(picture: Picture) -> tuple[str, int] | None:
    """Return ("y", 928) for such a step along a row, ("x", 240) along a column; None for none.

    ``picture`` is upright, (H, W, 3) RGB; of a turned one the rows of blocks are columns, and may
    be counted from its other end.
    """
    import cv2  # noqa: PLC0415 - heavy, only when a picture is looked at

    grey = np.asarray(cv2.cvtColor(picture, cv2.COLOR_RGB2GRAY), dtype=np.uint8)
    for axis, rows in (("y", grey), ("x", grey.T)):
        for first in sorted({_BLOCK, len(rows) % _BLOCK or _BLOCK}):
            at = _step_in(rows, first)
            if at is not None:
                return axis, at
    return None


def _step_in(rows: Picture, first: int) -> int | None:
    """Return the first row that steps off the one before it, of every eighth from ``first``."""
    below = np.arange(first, len(rows) - 1, _BLOCK)
    below = below[below >= 2]  # noqa: PLR2004 - with two rows above it
    if not len(below):
        return None
    step = rows[below].astype(np.int16) - rows[below - 1]
    up, down = (step > _STEP).mean(axis=1), (step < -_STEP).mean(axis=1)
    wide = np.maximum(up, down)
    for n in np.flatnonzero((wide > _WIDE) & (wide - np.median(wide) > _MORE)):
        at, sign = int(below[n]), 1 if up[n] > down[n] else -1
        there = sign * step[n] > _STEP
        near = rows[at - 2 : at + 2].astype(np.int16)
        beside = [(sign * (near[k + 1] - near[k]))[there] > _STEP for k in (0, 2)]
        if max(part.mean() for part in beside) < _SHARP:
            return at
    return None
