"""How the lengths on a face came about, as a drawing: target, edges, points, what is left over.

Above the face as a whole: the target's outline blue, each hole's drilled edge white with its
number, a chamfer's edge in the face thin and dashed, a click where nothing was measured a cross.
Below each by itself, enlarged: the edge as the whole face gives it, and from it to every point
found a whisker, many times enlarged, the factor written beside. Points that were left out have an
amber ring. Draws what ``flat_face.left_over`` found, measures nothing.
"""

from collections.abc import Callable, Iterator, Sequence
from html import escape
from typing import NamedTuple

import numpy as np

from annotate.drawings.pen import FAR, LABEL, LABEL_PLATE, NEAR, THIN, Box, Pen
from annotate.fit import FitFailed, fit_ellipse, outline_points
from annotate.flat_face.left_over import LeftOver, OnEdge
from annotate.marks import PixelPair, Points, to_corner_px

LEFT_OUT = "#f0b43c"
_WIDE, _HIGH = 1200.0, 900.0  # of the drawing and, at most, of the whole face: line widths' units
_ACROSS = 3  # details in a row
_GAP = 12.0
_TYPE = 15.0
_ROW = 1.4 * _TYPE
_ENLARGED = (1, 2, 5, 10, 20, 50, 100, 200, 500)
_WHISKER = 0.035  # of a detail's side: how long an ordinary whisker gets
_LEAST_PX = 0.03  # what is left over less than that is not drawn larger
_RING = 5.0


class Labelled(NamedTuple):
    """A hole that was asked for: its number, its click, and what is said of it.

    ``at``: which of the holes that were measured it is, None if none.
    """

    number: int
    click: PixelPair
    words: str
    at: int | None


class _Detail(NamedTuple):
    """One enlarged part: its box, what is drawn in it by a pen, and the lines below."""

    box: Box
    drawn: Callable[[Pen], Iterator[str]]
    words: tuple[str, ...]


def to_svg(
    left: LeftOver,
    holes: Sequence[Labelled],
    size_px: tuple[int, int],
    address: Callable[[Box], str],
) -> str:
    """Return the drawing of one face.

    ``size_px`` is the picture's width and height, ``address`` gives a part of it as the address of
    an image ("data:...", "" for none).
    """
    everything = [left.outline_px, left.print_px, *(edge.points_px for edge in left.edges)]
    everything += [np.array([hole.click]) for hole in holes]
    whole = _box_round(np.vstack(everything), size_px, margin=0.06, square=False)
    wide = min(_WIDE, _HIGH * whole.width / whole.height)
    high = wide * whole.height / whole.width
    parts = [_framed(whole, (0.0, 0.0), wide, _overview(left, holes), address)]
    parts += [_words(line, _GAP, high + _ROW * row) for row, line in enumerate(_LEGEND, start=1)]
    top = high + _ROW * (len(_LEGEND) + 1)
    side = (_WIDE - _GAP * (_ACROSS + 1)) / _ACROSS
    step = side + _ROW * 3
    details = list(_details(left, holes, size_px))
    for n, detail in enumerate(details):
        row, column = divmod(n, _ACROSS)
        x, y = _GAP + column * (side + _GAP), top + row * step
        parts.append(_framed(detail.box, (x, y), side, detail.drawn, address))
        for line, text in enumerate(detail.words, start=1):
            parts.append(_words(text, x, y + side + _ROW * line))
    tall = top + step * -(-len(details) // _ACROSS)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_WIDE:.0f}" height="{tall:.0f}" '
        f'viewBox="0 0 {_WIDE:.0f} {tall:.0f}" fill="none" stroke-linejoin="round">'
        f'<rect width="100%" height="100%" fill="{LABEL_PLATE}"/>{"".join(parts)}</svg>'
    )


_LEGEND = (
    "target blue, drilled edges white, a chamfer's edge in the face thin and dashed",
    "below: whiskers from the edge to each point found, enlarged as written; amber ring: left out",
)


def enlarged(off_px: Points, px: float, side: float = 1.0) -> int:
    """Return how many times what is left over (N, 2) is drawn enlarged: a round number.

    ``px`` picture pixels are one unit of the drawing, ``side`` the detail's own size.
    """
    ordinary = float(np.median(np.linalg.norm(off_px, axis=1))) if len(off_px) else 0.0
    wanted = _WHISKER * side * px / max(ordinary, _LEAST_PX)
    return max((each for each in _ENLARGED if each <= wanted), default=_ENLARGED[0])


def _details(
    left: LeftOver, holes: Sequence[Labelled], size_px: tuple[int, int]
) -> Iterator[_Detail]:
    box = _box_round(left.outline_px, size_px, margin=0.1, square=True)
    factor = enlarged(left.print_off_px, box.width / _side(), _side())
    used = f"{len(left.print_px)} places, how far off, {factor} times enlarged"
    yield _Detail(box, _print_drawn(left, factor), ("target", used))
    for hole in holes:
        if hole.at is None:
            continue
        edges = [edge for edge in left.edges if edge.hole == hole.at]
        around = np.vstack([part for e in edges for part in (e.points_px, e.left_out_px)])
        box = _box_round(around, size_px, margin=0.2, square=True)
        factor = enlarged(np.vstack([e.off_px for e in edges]), box.width / _side(), _side())
        count = sum(len(edge.points_px) for edge in edges)
        out = sum(len(edge.left_out_px) for edge in edges)
        rest = f", {out} left out" if out else ""
        used = f"{count} points{rest}; how far off, {factor} times enlarged"
        yield _Detail(box, _edges_drawn(edges, factor), (f"hole {hole.number}  {hole.words}", used))


def _side() -> float:
    return (_WIDE - _GAP * (_ACROSS + 1)) / _ACROSS


def _overview(left: LeftOver, holes: Sequence[Labelled]) -> Callable[[Pen], Iterator[str]]:
    def drawn(pen: Pen) -> Iterator[str]:
        yield pen.line(left.outline_px, FAR, width=THIN, closed=True)
        for edge in left.edges:
            yield _edge_line(edge, pen)
        for hole in holes:
            edges = [edge for edge in left.edges if edge.hole == hole.at]
            if not edges:
                yield pen.plus(np.array(hole.click), LEFT_OUT)
            around = edges[0].points_px if edges else np.array([hole.click])
            yield pen.label(around[np.argmax(around[:, 0])], str(hole.number))

    return drawn


def _print_drawn(left: LeftOver, factor: int) -> Callable[[Pen], Iterator[str]]:
    def drawn(pen: Pen) -> Iterator[str]:
        yield pen.line(left.outline_px, FAR, width=THIN, closed=True)
        yield from _whiskers(left.print_px - left.print_off_px, left.print_off_px, factor, pen, FAR)

    return drawn


def _edges_drawn(edges: Sequence[OnEdge], factor: int) -> Callable[[Pen], Iterator[str]]:
    def drawn(pen: Pen) -> Iterator[str]:
        for edge in edges:
            yield _edge_line(edge, pen)
        for edge in edges:
            yield from _whiskers(edge.edge_px(), edge.off_px, factor, pen, FAR)
            for point in edge.left_out_px:
                yield _ring(point, pen)

    return drawn


def _whiskers(feet: Points, off: Points, factor: int, pen: Pen, colour: str) -> Iterator[str]:
    for foot, away in zip(feet, off, strict=True):
        yield pen.line(np.stack([foot, foot + factor * away]), colour, width=THIN)


def _ring(point: Points, pen: Pen) -> str:
    turns = np.linspace(0, 2 * np.pi, 24, endpoint=False)
    around = point + _RING * pen.px * np.column_stack([np.cos(turns), np.sin(turns)])
    return pen.line(around, LEFT_OUT, width=THIN, closed=True)


def _edge_line(edge: OnEdge, pen: Pen) -> str:
    """Return an edge as the whole face gives it; its points alone where they are no ellipse."""
    width, dashed = (2.0, False) if edge.drilled else (THIN, True)
    fitted = fit_ellipse(edge.edge_px(), all_round=False)
    around = edge.edge_px() if isinstance(fitted, FitFailed) else outline_points(fitted.shape)
    return pen.line(around, NEAR, width=width, closed=True, dashed=dashed)


def _box_round(points: Points, size_px: tuple[int, int], *, margin: float, square: bool) -> Box:
    corner = points + to_corner_px(0.0)
    (left, top), (right, bottom) = corner.min(axis=0), corner.max(axis=0)
    wide, high = (1 + 2 * margin) * (right - left), (1 + 2 * margin) * (bottom - top)
    if square:
        wide = high = max(wide, high, 8.0)
    sizes = [
        int(min(np.ceil(each), most)) for each, most in zip((wide, high), size_px, strict=True)
    ]
    if square:
        sizes = [min(sizes)] * 2
    middles = ((left + right) / 2, (top + bottom) / 2)
    starts = [
        int(max(0, min(np.floor(middle - size / 2), most - size)))
        for middle, size, most in zip(middles, sizes, size_px, strict=True)
    ]
    return Box(*starts, *(max(1, size) for size in sizes))


def _framed(
    box: Box,
    at: tuple[float, float],
    width: float,
    drawn: Callable[[Pen], Iterator[str]],
    address: Callable[[Box], str],
) -> str:
    """Return a part of the picture with what is drawn over it, as a document in the document."""
    pen, high = Pen(box, box.width / width), width * box.height / box.width
    image = address(box)
    behind = f'<image href="{image}" width="{box.width}" height="{box.height}"/>' if image else ""
    return (
        f'<svg x="{at[0]:.2f}" y="{at[1]:.2f}" width="{width:.2f}" height="{high:.2f}" '
        f'viewBox="0 0 {box.width} {box.height}">{behind}{"".join(drawn(pen))}</svg>'
    )


def _words(text: str, x: float, y: float) -> str:
    return (
        f'<text x="{x:.2f}" y="{y:.2f}" fill="{LABEL}" font-family="sans-serif" '
        f'font-size="{_TYPE:.2f}">{escape(text)}</text>'
    )
