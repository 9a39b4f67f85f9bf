"""How a lens profile came about, as a drawing: the board's corners in every view, and how far off.

Above the whole picture: a cross at every corner of every view that was used, which shows where the
profile is known and where it is a guess; and over a grid how far the lens moves a place from where
it would be in a picture without distortion, to scale. Below each view, the corners with whiskers
from where this lens shows them, many times enlarged. Draws, measures nothing.
"""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np

from annotate.drawings.details import SIDE, Detail, Drawn, enlarged, sheet, whiskers
from annotate.drawings.pen import FAR, NEAR, THIN, Box, Pen
from annotate.marks import Points, to_corner_px
from annotate.optics.profile import LensProfile

_LEGEND = (
    "blue: from where a place would be without distortion to where the lens puts it, to scale",
    "below: whiskers from where this lens shows a corner to where it was found, enlarged as said",
)
_STEPS = 9  # of the grid along the longer side


class View(NamedTuple):
    """One photo of the board: its name, why it was left out ("": used), its image's address.

    ``corners_px`` (N, 2) are where they were found, ``off_px`` (N, 2) how far from where this lens
    shows them; empty where no board was found. ``off_others_px`` is how far they lie from where the
    lens of the other photos alone shows them, rms; None where that was not asked.
    """

    name: str
    left_out: str
    corners_px: Points
    off_px: Points
    image: str = ""
    off_others_px: float | None = None


def to_svg(profile: LensProfile, views: Sequence[View]) -> str:
    """Return the drawing of a lens profile and the views it was made of."""
    box = Box(0, 0, profile.width_px, profile.height_px)
    used = [view for view in views if not view.left_out]
    legend = (f"white: all corners of the {len(used)} photos used", *_LEGEND)
    whole = Detail(box, _overview(profile, used), legend)
    return sheet(whole, [_detail(view, box) for view in views if len(view.corners_px)])


def _detail(view: View, box: Box) -> Detail:
    factor = enlarged(view.off_px, box.width / SIDE)
    rms = float(np.sqrt(np.mean(np.sum(view.off_px**2, axis=1))))
    first = f"{view.name}{'  LEFT OUT' if view.left_out else ''}"
    others = view.off_others_px
    beside = [f"{others:.2f} px off the lens of the other photos"] if others is not None else []
    said = (
        f"{len(view.corners_px)} corners, rms {rms:.2f} px off this lens; {factor} times enlarged"
    )

    def drawn(pen: Pen) -> Iterator[str]:
        yield from whiskers(view.corners_px - view.off_px, view.off_px, factor, pen, FAR)

    return Detail(box, drawn, (first, said, *beside), view.image)


def _overview(profile: LensProfile, used: Sequence[View]) -> Drawn:
    def drawn(pen: Pen) -> Iterator[str]:
        width, height = profile.width_px, profile.height_px
        frame = [[0, 0], [width, 0], [width, height], [0, height]]
        yield pen.line(np.array(frame) - to_corner_px(0.0), NEAR, width=THIN, closed=True)
        for view in used:
            for corner in view.corners_px:
                yield pen.cross(corner, NEAR)
        places = _grid(profile)
        for place, bent in zip(places, profile.bend(places), strict=True):
            yield pen.line(np.stack([place, bent]), FAR, width=THIN)
        yield pen.plus(profile.centre(), FAR)

    return drawn


def _grid(profile: LensProfile) -> Points:
    """Return places (N, 2) of the picture as it would be without distortion, all over it."""
    width, height = profile.width_px, profile.height_px
    step = max(width, height) / _STEPS
    x, y = np.meshgrid(np.arange(step / 2, width, step), np.arange(step / 2, height, step))
    # Where a place of the picture itself comes from: all of it is covered, and nothing beyond.
    return np.asarray(profile.straighten(np.column_stack([x.ravel(), y.ravel()])))
