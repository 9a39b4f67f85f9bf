"""Photos of more pixels than rims are looked for in: reduced, and what was found put back.

Beyond 50 megapixels a lens and a hand show nothing finer, and memory and time have an end.
"""

from math import ceil, sqrt
from typing import Final

import numpy as np
from msgspec.structs import replace

from annotate.marks import Point, Rim, rescaled_px
from annotate.pixels.polar import Picture
from annotate.wall_hint import WallHint

MOST_PIXELS: Final = 50_000_000


def reduction(picture: Picture) -> int:
    """Return the whole number by which a picture's sides are divided before rims are looked for."""
    return ceil(sqrt(max(1.0, picture.shape[0] * picture.shape[1] / MOST_PIXELS)))


def reduced(picture: Picture, factor: int) -> Picture:
    """Return a picture with its sides divided by ``factor``; pixels become means of those held."""
    if factor == 1:
        return picture
    import cv2  # noqa: PLC0415 - heavy, only when a picture is looked at

    rows, columns = (n // factor for n in picture.shape[:2])
    # Whole blocks only: pixel centres stay where the rescaling of marks puts them.
    whole = picture[: rows * factor, : columns * factor]
    small = cv2.resize(whole, (columns, rows), interpolation=cv2.INTER_AREA)
    return np.asarray(small, np.uint8)


def reduced_point(point: Point, factor: int) -> Point:
    """Return where a place of the picture lies in the reduced one."""
    if factor == 1:
        return point
    return Point(rescaled_px(point.x_px, 1 / factor), rescaled_px(point.y_px, 1 / factor))


def reduced_rim(rim: Rim, factor: int) -> Rim:
    """Return a rim of the picture as it lies in the reduced one."""
    return rim if factor == 1 else _scaled(rim, 1 / factor, rim.seed)


def reduced_hint(hint: WallHint | None, factor: int) -> WallHint | None:
    """Return what is known of the wall, as it is of use in the reduced picture."""
    if hint is None or hint.focal_px is None:
        return hint
    return replace(hint, focal_px=hint.focal_px / factor)


def restored_rim(rim: Rim, factor: int, seed: Point | None) -> Rim:
    """Return a rim found in the reduced picture as it lies in the picture itself, of that seed."""
    return rim if factor == 1 else _scaled(rim, float(factor), seed)


def said(factor: int) -> tuple[str, ...]:
    """Return the warning that the picture was reduced, if it was."""
    if factor == 1:
        return ()
    most = MOST_PIXELS // 1_000_000
    told = f"the photo has more than {most} megapixels: the rims were looked for at 1/{factor} of"
    return (f"{told} its width and height",)


def _scaled(rim: Rim, factor: float, seed: Point | None) -> Rim:
    points = tuple((rescaled_px(x, factor), rescaled_px(y, factor)) for x, y in rim.points_px)
    return Rim(rim.which, points, rim.sigma_px * factor, rim.placed, seed)
