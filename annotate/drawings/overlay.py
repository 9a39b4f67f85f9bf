"""Layer -> SVG: the marks as lines to lay over the photo or a part of it. Draws, measures nothing.

The drawing language: near rim solid white; far rim blue, solid where it can be seen, dashed where
it is hidden; every line on a black casing, so that it shows on any photo and the line style, not
the colour, tells the rims apart. Coordinates in the document are the picture's corner-based
pixels, minus the box's corner.
"""

from collections.abc import Iterable, Sequence
from itertools import pairwise
from math import ceil, floor

import numpy as np
import numpy.typing as npt

from annotate.drawings.pen import CASING, FAR, NEAR, THIN, Box, Pen
from annotate.fit import outline_points, shape_matrix
from annotate.marks import (
    Angle,
    Area,
    Chessboard,
    Diameter,
    Distance,
    Ellipse,
    FarOutline,
    FarUnseen,
    KnownCircle,
    KnownDistance,
    Layer,
    Mark,
    Marker,
    Note,
    Point,
    Points,
    Rim,
    to_corner_px,
)

__all__ = ["CASING", "FAR", "NEAR", "Box", "crop_box", "rim_lines", "to_svg", "whole_box"]

ASPECT = 4 / 3
_STEPS = 240

_Mask = npt.NDArray[np.bool_]


def whole_box(layer: Layer) -> Box:
    """Return the box of the whole picture."""
    return Box(0, 0, layer.width_px, layer.height_px)


def crop_box(
    layer: Layer, rims: Sequence[Ellipse] = (), *, margin: float = 0.35, width_px: float = 0.0
) -> Box:
    """Return the part of the picture round the rims, 4 : 3 where the picture has room for it.

    ``margin`` is added as a part of the rims' own extent; without ellipses the layer's rim points
    count, without those it is the whole picture. ``width_px`` asks for a box at least so wide, so
    that two photos can be shown at one scale.
    """
    around = [outline_points(rim, _STEPS) for rim in rims]
    around = around or [m.array_px() for m in layer.marks if isinstance(m, Rim) and m.points_px]
    if not around:
        return whole_box(layer)
    points = to_corner_px(0.0) + np.concatenate(around)
    (left, top), (right, bottom) = points.min(axis=0), points.max(axis=0)
    wide = (1 + margin) * max(float(right - left), float(bottom - top) * ASPECT)
    wide = max(wide, width_px, 1.0)
    width, height = min(layer.width_px, ceil(wide)), min(layer.height_px, ceil(wide / ASPECT))
    return Box(
        _slid(float(left + right) / 2, width, layer.width_px),
        _slid(float(top + bottom) / 2, height, layer.height_px),
        width,
        height,
    )


def to_svg(
    layer: Layer,
    *,
    near: Ellipse | None = None,
    far: Ellipse | None = None,
    box: Box | None = None,
    shown_width: float | None = None,
    numbered: bool = True,
) -> str:
    """Return the layer as an SVG document for a box of its picture (default: all of it).

    ``near`` and ``far`` are the rims that were measured; without them the placed points alone are
    drawn, as crosses. The far rim counts as seen inside the near one. ``shown_width`` is how wide
    the box will be shown, in the unit of line widths (CSS px or points; default: the box's pixels,
    one for one). ``numbered`` gives every other mark its number on the layer.
    """
    box = box or whole_box(layer)
    pen = Pen(box, box.width / shown_width if shown_width else 1.0)
    parts = list(_rims(layer, near, far, pen))
    for number, mark in enumerate(layer.marks, start=1):
        if not isinstance(mark, Rim):
            parts += _drawn(mark, pen)
            if numbered and len(_places(mark)):
                parts.append(pen.label(_anchor(mark), _caption(mark, number)))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{box.width}" height="{box.height}" '
        f'viewBox="0 0 {box.width} {box.height}" fill="none" stroke-linejoin="round" '
        f'stroke-linecap="butt">{"".join(parts)}</svg>'
    )


def _slid(middle: float, size: int, limit: int) -> int:
    return max(0, min(floor(middle - size / 2), limit - size))


def rim_lines(near: Ellipse | None, far: Ellipse | None, pen: Pen) -> Iterable[str]:
    """Yield the rims that were measured, with their centres; the far one dashed where hidden."""
    if far is not None:
        for points, seen in _runs(outline_points(far, _STEPS), near):
            yield pen.line(points, FAR, dashed=not seen)
    if near is not None:
        yield pen.line(outline_points(near, _STEPS), NEAR, closed=True)
    for ellipse, colour in ((far, FAR), (near, NEAR)):
        if ellipse is not None:
            yield pen.plus(np.array([ellipse.cx, ellipse.cy]), colour)


def _rims(layer: Layer, near: Ellipse | None, far: Ellipse | None, pen: Pen) -> Iterable[str]:
    yield from rim_lines(near, far, pen)
    for which, ellipse, colour in (("near", near, NEAR), ("far", far, FAR), ("back", None, NEAR)):
        for rim in layer.marks:
            if ellipse is None and isinstance(rim, Rim) and rim.which == which:
                yield from (pen.cross(point, colour) for point in rim.array_px())


def _runs(around: Points, near: Ellipse | None) -> list[tuple[Points, bool]]:
    """Return the closed far rim cut into runs seen through the near one and runs that are not.

    Neighbouring runs share their end, so that no gap shows; the first run is whole.
    """
    seen = np.ones(len(around), dtype=bool) if near is None else _inside(around, near)
    changes = np.flatnonzero(seen != np.roll(seen, 1))
    if not len(changes):
        return [(np.vstack([around, around[:1]]), bool(seen[0]))]
    turned, sight = np.roll(around, -changes[0], axis=0), np.roll(seen, -changes[0])
    ends = [*(changes - changes[0]), len(around)]
    closed = np.vstack([turned, turned[:1]])
    return [(closed[start : end + 1], bool(sight[start])) for start, end in pairwise(ends)]


def _inside(points: Points, ellipse: Ellipse) -> _Mask:
    local = (points - np.array([ellipse.cx, ellipse.cy])) @ np.linalg.inv(shape_matrix(ellipse))
    result: _Mask = np.sum(local**2, axis=1) <= 1
    return result


def _drawn(mark: Mark, pen: Pen) -> list[str]:
    """Return a mark's lines; scales are thin blue, sizes thin white."""
    is_scale = isinstance(mark, KnownDistance | KnownCircle | Marker | Chessboard)
    colour = FAR if is_scale else NEAR
    places = _places(mark)
    match mark:
        case KnownDistance() | Distance():
            ends = [pen.plus(end, colour) for end in places]
            return [pen.line(places, colour, width=THIN), *ends]
        case Angle():
            return [pen.line(places, colour, width=THIN)]
        case FarOutline():
            return [pen.line(places, FAR, closed=True)]
        case Marker() | Area():
            return [pen.line(places, colour, width=THIN, closed=True)]
        case KnownCircle() | Diameter():
            return [pen.cross(place, colour) for place in places]
        case _:
            return [pen.plus(place, colour) for place in places]


def _places(mark: Mark) -> Points:
    """Return a mark's points in the order in which they are joined."""
    match mark:
        case FarUnseen():
            return np.empty((0, 2))  # said, not placed: there is nothing to draw
        case KnownDistance() | Distance():
            points: Sequence[Point] = (mark.a, mark.b)
        case Angle():
            points = (mark.a, mark.vertex, mark.b)
        case Note():
            points = (mark.at,)
        case Rim() | KnownCircle() | Diameter():
            return np.asarray(mark.points_px, dtype=np.float64).reshape(-1, 2)
        case _:
            return np.asarray(mark.corners_px, dtype=np.float64).reshape(-1, 2)
    return np.array([[p.x_px, p.y_px] for p in points])


def _anchor(mark: Mark) -> Points:
    """Return where a mark's number stands: its rightmost point."""
    places = _places(mark)
    rightmost: Points = places[np.argmax(places[:, 0])]
    return rightmost


def _caption(mark: Mark, number: int) -> str:
    match mark:
        case Note():
            return f"{number} {_printable(mark.text)}"
        case KnownDistance():
            length = mark.length
        case KnownCircle():
            length = mark.diameter
        case Marker():
            length = mark.side
        case Chessboard():
            length = mark.square
        case _:
            return str(number)
    return f"{number} scale {length.value:g} {length.unit}"


def _printable(text: str) -> str:
    """Return the text on one line, without what XML cannot hold (XML 1.0, production 2)."""
    one_line = " ".join(text.split())
    return "".join(c for c in one_line if c.isprintable())
