"""What was found of a hole that was not measured, and why it was not, as a drawing.

The near rim solid white, what was taken for the far rim and the near hole's own far edge as
crosses, blue and white; a ring with a plus is where it was clicked. Below stands the reason.
Draws marks, measures nothing.
"""

from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from annotate.drawings.overlay import crop_box, whole_box
from annotate.drawings.pen import FAR, NEAR, THIN, Box, Pen
from annotate.fit import FitFailed, fit_ellipse, outline_points
from annotate.marks import Ellipse, FarOutline, Layer, Point, Rim

_MARGIN = 0.5
_CROSSES = 30  # of a rim, at most: more run together
_RING = 10.0  # round a click, px as shown
_NAMES = {
    "near": "near rim (white)",
    "far": "points on the far rim (blue)",
    "back": "points on the near hole's back edge (white)",
}


def to_svg(
    layer: Layer,
    reason: str,
    *,
    click: Point | None = None,
    picture: str = "",
    width: float = 900.0,
) -> tuple[str, Box]:
    """Return the drawing, and the box of the photo it lies over; arguments as of ``workings``."""
    shapes: dict[str, Ellipse | None] = {rim.which: _shape(rim) for rim in _rims(layer)}
    box = crop_box(layer, margin=_MARGIN) if shapes else whole_box(layer)
    pen = Pen(box, box.width / width)
    rows = (_said(layer, click), f"not measured: {reason}")
    return pen.page(_lines(layer, shapes, click, pen), rows, picture), box


def _rims(layer: Layer) -> list[Rim]:
    return [mark for mark in layer.marks if isinstance(mark, Rim) and mark.points_px]


def _shape(rim: Rim) -> Ellipse | None:
    """Return the ellipse of a whole near rim; an arc of another is no rim yet."""
    if rim.which != "near":
        return None
    fitted = fit_ellipse(rim.array_px(), rim.sigma_px)
    return None if isinstance(fitted, FitFailed) else fitted.shape


def _lines(
    layer: Layer, shapes: Mapping[str, Ellipse | None], click: Point | None, pen: Pen
) -> Iterator[str]:
    for mark in layer.marks:
        if isinstance(mark, FarOutline):
            yield pen.line(np.asarray(mark.corners_px), FAR, closed=True)
    for rim in _rims(layer):
        shape, colour = shapes[rim.which], FAR if rim.which == "far" else NEAR
        if shape is not None:
            yield pen.line(outline_points(shape, 240), colour, closed=True)
        if shape is None or rim.placed == "hand":
            points = rim.array_px()
            yield from (
                pen.cross(point, colour) for point in points[:: -(-len(points) // _CROSSES)]
            )
    if click is not None:
        at = np.array([click.x_px, click.y_px])
        reach = _RING * pen.px
        ring = outline_points(Ellipse(click.x_px, click.y_px, reach, reach, 0.0), 36)
        yield pen.line(ring, NEAR, width=THIN, closed=True)
        yield pen.plus(at, NEAR)


def _said(layer: Layer, click: Point | None) -> str:
    there: Sequence[str] = list(dict.fromkeys(_NAMES[rim.which] for rim in _rims(layer)))
    found = f"found or placed: {', '.join(there)}" if there else "nothing was found"
    return found if click is None else f"{found}; the ring is where it was clicked"
