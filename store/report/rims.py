"""The rims over a printed photo: which part of the picture is printed, and the rims as SVG.

Near rim solid white; far rim blue, solid where seen through the near hole, dashed where hidden;
a black casing under both, so that line style and not colour tells them apart.
"""

from collections.abc import Iterable
from math import ceil, cos, floor, hypot, pi, radians, sin

from msgspec import Struct

from annotate.marks import Ellipse, Layer, PixelPair, Rim, to_corner_px

_ELLIPSE_STEPS = 180
_NEAR, _FAR, _CASING = "#ffffff", "#6cc0f0", "#000000"
_ROOM = 1.35  # of the rims' own extent
_ASPECT = 4 / 3


class Box(Struct, frozen=True):
    """A part of the upright picture in corner-based pixels (SVG's): left, top, width, height."""

    left: int
    top: int
    width: int
    height: int


def whole(layer: Layer) -> Box:
    """Return the whole picture."""
    return Box(0, 0, layer.width_px, layer.height_px)


def extent_px(near: Ellipse | None, far: Ellipse | None) -> tuple[float, float]:
    """Return the width and height in pixels of the least box that holds both rims."""
    left, top, right, bottom = _bounds([*_points(near), *_points(far)])
    return right - left, bottom - top


def crop(layer: Layer, near: Ellipse | None, far: Ellipse | None, width_px: float = 0) -> Box:
    """Return the part to print: both rims whole, with room round them, 4 : 3 where it fits.

    ``width_px`` asks for a wider part than the rims need, so that two photos can be printed at
    one scale. Without rims it is the whole picture.
    """
    if near is None and far is None:
        return whole(layer)
    left, top, right, bottom = _bounds([*_points(near), *_points(far)])
    wide = max(_ROOM * (right - left), _ROOM * (bottom - top) * _ASPECT, width_px)
    width = min(layer.width_px, ceil(wide))
    height = min(layer.height_px, ceil(wide / _ASPECT))
    return Box(
        _slid((left + right) / 2 - width / 2, width, layer.width_px),
        _slid((top + bottom) / 2 - height / 2, height, layer.height_px),
        width,
        height,
    )


def needed_width_px(near: Ellipse | None, far: Ellipse | None) -> float:
    """Return how many pixels wide a crop round these rims wants to be."""
    wide, high = extent_px(near, far)
    return _ROOM * max(wide, high * _ASPECT)


def _slid(start: float, size: int, limit: int) -> int:
    return max(0, min(floor(start), limit - size))


def _points(ellipse: Ellipse | None) -> list[PixelPair]:
    around = _around(ellipse) if ellipse is not None else []
    return [(to_corner_px(x), to_corner_px(y)) for x, y in around]


def _bounds(points: list[PixelPair]) -> tuple[float, float, float, float]:
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return min(xs), min(ys), max(xs), max(ys)


def overlay_svg(
    layer: Layer, near: Ellipse | None, far: Ellipse | None, box: Box, width_pt: float
) -> str:
    """Return the rims as SVG for a crop of the picture that is printed ``width_pt`` wide.

    Near rim solid white; far rim blue, solid where seen, dashed where hidden; black under both.
    Where no ellipse was found, the points that were placed are drawn as crosses.
    """
    px = box.width / width_pt  # picture pixels per printed point
    shapes: list[str] = []
    if far is not None:
        for points, seen in _runs(far, near):
            dash = "" if seen else f' stroke-dasharray="{3.2 * px:.3f} {2.2 * px:.3f}"'
            shapes.append(_line(points, box, _CASING, 2.6 * px, ""))
            shapes.append(_line(points, box, _FAR, 1.3 * px, dash))
    if near is not None:
        rim = _around(near)
        shapes.append(_line(rim, box, _CASING, 2.6 * px, ""))
        shapes.append(_line(rim, box, _NEAR, 1.3 * px, ""))
    for which, colour, found in (("near", _NEAR, near), ("far", _FAR, far)):
        placed = layer.rim(which) if found is None else None  # type: ignore[arg-type] # literals
        shapes += _crosses(placed, box, colour, px)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{box.width}" height="{box.height}" '
        f'viewBox="0 0 {box.width} {box.height}" fill="none" stroke-linejoin="round">'
        + "".join(shapes)
        + "</svg>"
    )


def _around(ellipse: Ellipse) -> list[PixelPair]:
    tilt = radians(ellipse.angle_deg)
    points = []
    for k in range(_ELLIPSE_STEPS + 1):
        t = 2 * pi * k / _ELLIPSE_STEPS
        a, b = ellipse.semi_major * cos(t), ellipse.semi_minor * sin(t)
        points.append(
            (
                ellipse.cx + a * cos(tilt) - b * sin(tilt),
                ellipse.cy + a * sin(tilt) + b * cos(tilt),
            )
        )
    return points


def _inside(point: PixelPair, ellipse: Ellipse) -> bool:
    tilt = radians(ellipse.angle_deg)
    dx, dy = point[0] - ellipse.cx, point[1] - ellipse.cy
    a = (dx * cos(tilt) + dy * sin(tilt)) / ellipse.semi_major
    b = (-dx * sin(tilt) + dy * cos(tilt)) / ellipse.semi_minor
    return hypot(a, b) <= 1


def _runs(far: Ellipse, near: Ellipse | None) -> Iterable[tuple[list[PixelPair], bool]]:
    """Return the far rim cut into runs that are seen through the near hole and runs that are not.

    One run ends where the next begins, so that no gap shows.
    """
    points = _around(far)
    run, seen = [points[0]], near is None or _inside(points[0], near)
    for point in points[1:]:
        run.append(point)
        now = near is None or _inside(point, near)
        if now != seen:
            yield run, seen
            run, seen = [point], now
    yield run, seen


def _line(points: list[PixelPair], box: Box, colour: str, width: float, extra: str) -> str:
    path = " ".join(
        f"{to_corner_px(x) - box.left:.2f},{to_corner_px(y) - box.top:.2f}" for x, y in points
    )
    return f'<polyline points="{path}" stroke="{colour}" stroke-width="{width:.3f}"{extra}/>'


def _crosses(rim: Rim | None, box: Box, colour: str, px: float) -> list[str]:
    reach = 2.2 * px
    shapes = []
    for x, y in rim.points_px if rim else ():
        for dx, dy in ((reach, reach), (reach, -reach)):
            ends = [(x - dx, y - dy), (x + dx, y + dy)]
            shapes.append(_line(ends, box, _CASING, 2.0 * px, ""))
            shapes.append(_line(ends, box, colour, 0.9 * px, ""))
    return shapes
