"""How the lengths on a face came about, as a drawing: target, edges, points, what is left over.

Above the face as a whole: a blue frame round the target's places, each hole's drilled edge white
with its number, a chamfer's edge in the face thin and dashed, a click where nothing was measured a
cross.
Below each by itself, enlarged: the edge as the whole face gives it, and from it to every point
found a whisker, many times enlarged, the factor written beside. Points that were left out have an
amber ring. Draws what ``flat_face.left_over`` found, measures nothing.
"""

from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple

import numpy as np

from annotate.drawings.details import SIDE, Detail, Drawn, box_round, enlarged, sheet, whiskers
from annotate.drawings.pen import FAR, NEAR, THIN, Box, Pen
from annotate.fit import FitFailed, fit_ellipse, outline_points
from annotate.flat_face.left_over import LeftOver, OnEdge
from annotate.marks import PixelPair, Points

LEFT_OUT = "#f0b43c"
_RING = 5.0
_LEGEND = (
    "blue frame: round all places of the target that were used to tell how the face lies",
    "drilled edges white, a chamfer's edge in the face thin and dashed",
    "below: whiskers from the edge to each point found, enlarged as written; amber ring: left out",
)


class Labelled(NamedTuple):
    """A hole that was asked for: its number, its click, and what is said of it.

    ``at``: which of the holes that were measured it is, None if none.
    """

    number: int
    click: PixelPair
    words: str
    at: int | None


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
    box = box_round(np.vstack(everything), size_px, margin=0.06)
    whole = Detail(box, _overview(left, holes), _LEGEND, address(box))
    return sheet(whole, [*_details(left, holes, size_px, address)])


def _details(
    left: LeftOver,
    holes: Sequence[Labelled],
    size_px: tuple[int, int],
    address: Callable[[Box], str],
) -> Iterator[Detail]:
    box = box_round(left.outline_px, size_px, margin=0.1, square=True)
    factor = enlarged(left.print_off_px, box.width / SIDE)
    used = f"target: {len(left.print_px)} places where its black meets its white"
    off = f"how far each is off where it should be, {factor} times enlarged"
    yield Detail(box, _print_drawn(left, factor), (used, off), address(box))
    for hole in holes:
        if hole.at is None:
            continue
        edges = [edge for edge in left.edges if edge.hole == hole.at]
        around = np.vstack([part for e in edges for part in (e.points_px, e.left_out_px)])
        box = box_round(around, size_px, margin=0.2, square=True)
        factor = enlarged(np.vstack([e.off_px for e in edges]), box.width / SIDE)
        count = sum(len(edge.points_px) for edge in edges)
        out = sum(len(edge.left_out_px) for edge in edges)
        rest = f", {out} left out" if out else ""
        used = f"{count} points{rest}; how far off, {factor} times enlarged"
        words = (f"hole {hole.number}  {hole.words}", used)
        yield Detail(box, _edges_drawn(edges, factor), words, address(box))


def _overview(left: LeftOver, holes: Sequence[Labelled]) -> Drawn:
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


def _print_drawn(left: LeftOver, factor: int) -> Drawn:
    def drawn(pen: Pen) -> Iterator[str]:
        yield pen.line(left.outline_px, FAR, width=THIN, closed=True)
        yield from whiskers(left.print_px - left.print_off_px, left.print_off_px, factor, pen, FAR)

    return drawn


def _edges_drawn(edges: Sequence[OnEdge], factor: int) -> Drawn:
    def drawn(pen: Pen) -> Iterator[str]:
        for edge in edges:
            yield _edge_line(edge, pen)
        for edge in edges:
            yield from whiskers(edge.edge_px(), edge.off_px, factor, pen, FAR)
            for point in edge.left_out_px:
                yield _ring(point, pen)

    return drawn


def _ring(point: Points, pen: Pen) -> str:
    turns = np.linspace(0, 2 * np.pi, 24, endpoint=False)
    around = point + _RING * pen.px * np.column_stack([np.cos(turns), np.sin(turns)])
    return pen.line(around, LEFT_OUT, width=THIN, closed=True)


def _edge_line(edge: OnEdge, pen: Pen) -> str:
    """Return an edge as the whole face gives it; its points alone where they are no ellipse."""
    width, dashed = (2.0, False) if edge.drilled else (THIN, True)
    fitted = fit_ellipse(edge.edge_px())
    around = edge.edge_px() if isinstance(fitted, FitFailed) else outline_points(fitted.shape)
    return pen.line(around, NEAR, width=width, closed=True, dashed=dashed)
