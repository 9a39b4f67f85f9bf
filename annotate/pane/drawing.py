"""Marks -> lines on the screen. Measures nothing."""

from collections.abc import Iterator, Mapping

import numpy as np
from PySide6.QtCore import QPointF, QRectF

from annotate.fit import shape_matrix
from annotate.marks import (
    Angle,
    Area,
    Chessboard,
    Diameter,
    Distance,
    FarOutline,
    KnownCircle,
    KnownDistance,
    Mark,
    Marker,
    Note,
    PixelPair,
    Points,
    Rim,
)
from annotate.pane.editing import Editing
from annotate.pane.handles import handle_points
from annotate.pane.ink import FAR, LINE, NEAR, THIN, Ink
from annotate.pane.outlines import Outlines, RimLines, ShownLines
from annotate.pane.plates import Rect, beside
from annotate.pane.tools import Draft
from annotate.pane.trace import Trace

RIM_WORDS: Mapping[str, str] = {"near": "near rim", "far": "far rim"}
_HIDDEN = ", dashed where hidden"
_HOURS = {
    "near": (1.5, 4.5, 10.5, 7.5, 3, 9, 0, 6),
    "far": (7.5, 10.5, 4.5, 1.5, 9, 3, 6, 0),
}
_UNDER = {"back": 0, "far": 1, "near": 2}  # which lies under which
# Tools that draw from point to point.
_LINED = frozenset({"scale", "distance", "angle", "area", "far outline"})


def draw_rims(ink: Ink, outlines: Outlines) -> None:
    """Draw the rims of a layer that is in work: outlines and points left out."""
    for lines in sorted(outlines.rims.values(), key=lambda r: _UNDER[r.which]):
        colour = FAR if lines.which == "far" else NEAR
        _draw_lines(ink, lines, colour, width=THIN if lines.which == "back" else LINE)
        ink.cross(_array(lines.left_out_px), colour)


def draw_shown(ink: Ink, lines: ShownLines) -> None:
    """Draw accepted outlines, those of the second lean thin and dashed."""
    for other, colour in zip(lines.others, (NEAR, FAR), strict=True):
        if other is not None:
            ink.trace(other, colour, width=THIN, dashed=True)
    if lines.shown.hatched and lines.near is not None and lines.far is not None:
        ink.hatch(lines.far, outside=lines.near)
    if lines.far is not None:
        ink.trace(lines.far, FAR)
    if lines.near is not None:
        ink.trace(lines.near, NEAR)
    ink.cross(_array(lines.shown.left_out_px), FAR)


def draw_others(ink: Ink, marks: tuple[Mark, ...], outlines: Outlines) -> None:
    """Draw all marks that are no rims: scales thin blue, sizes thin white."""
    for k, mark in enumerate(marks):
        is_scale = isinstance(mark, KnownDistance | KnownCircle | Marker | Chessboard)
        colour = FAR if is_scale else NEAR
        places = _array(_places(mark))
        match mark:
            case Rim():
                continue
            case KnownDistance() | Distance() | Angle():
                ink.line(places, colour)
                ink.plus(places, colour)
            case FarOutline():
                ink.line(places, FAR, closed=True)
                ink.plus(places, FAR)
            case Marker() | Area():
                ink.line(places, colour, closed=True)
            case KnownCircle() | Diameter():
                _draw_lines(ink, outlines.rounds[k], colour, width=THIN)
                ink.cross(places, colour)
            case _:
                ink.plus(places, colour)


def draw_draft(ink: Ink, draft: Draft, preview: RimLines | None) -> None:
    """Draw a mark that is being made: its points, and its outline once there is one."""
    places = _array(draft.points_px)
    colour = FAR if draft.tool in {"scale", "circle", "far rim", "far outline"} else NEAR
    if preview is not None:
        _draw_lines(ink, preview, colour, width=THIN)
    elif draft.tool in _LINED:
        ink.line(places, colour)
    ink.cross(places, colour)


def draw_handles(ink: Ink, editing: Editing, outlines: Outlines) -> None:
    """Draw ticks across the rims that can be taken hold of, and the ring on the active one."""
    for k, mark in enumerate(editing.draft_layer.marks):
        if isinstance(mark, Rim) and editing.shows_handles(k):
            places = _array(editing.handles(k))
            across = _across(places, outlines.rims[k].trace)
            ink.ticks(places, across, FAR if mark.which == "far" else NEAR)
    at = editing.active_px
    if at is not None:
        ink.ring(_array((at,)))


def draw_rim_words(
    ink: Ink,
    rims: Mapping[str, Trace],
    room: Rect,
    taken: list[Rect],
    names: Mapping[str, str] = RIM_WORDS,
) -> None:
    """Name the rims beside them, where the words cover neither a rim nor what is ``taken``."""
    shift = np.array([ink.to_screen.dx(), ink.to_screen.dy()])
    rounds = {
        which: [(x, y) for x, y in (trace.round_the_clock() * ink.zoom + shift).tolist()]
        for which, trace in rims.items()
    }
    lines = [at for places in rounds.values() for at in places]
    for which, trace in rims.items():
        text = names[which] + ("" if trace.all_seen else _HIDDEN)
        hours, size = _HOURS[which], ink.plate_size(text)
        plate = beside(rounds[which], size, room, hours=hours, taken=taken, lines=lines)
        if plate is not None:
            box = plate.box
            ink.leader(QPointF(*plate.foot), QPointF(*plate.elbow))
            ink.plate(QRectF(box.left, box.top, box.width, box.height), text)
            taken.append(box)


def draw_labels(ink: Ink, marks: tuple[Mark, ...], labels: Mapping[int, str]) -> None:
    """Write what the owner says of marks, and notes, right of and over them."""
    for k, mark in enumerate(marks):
        text = labels.get(k, mark.text if isinstance(mark, Note) else "")
        places = handle_points(mark) or _places(mark)
        if text and places:
            at = ink.on_screen(_array((max(places),)))[0]
            width, height = ink.plate_size(text)
            ink.plate(QRectF(at.x() + 12, at.y() - 8 - height, width, height), text)


def named_rims(shown: ShownLines | None, outlines: Outlines) -> Iterator[tuple[str, Trace]]:
    """Yield near and far with the outline that stands for them."""
    if shown is not None:
        pairs = [("near", shown.near), ("far", shown.far)]
    else:
        pairs = [(r.which, r.trace) for r in outlines.rims.values() if r.which in RIM_WORDS]
    for which, trace in pairs:
        if trace is not None:
            yield which, trace


def _draw_lines(ink: Ink, lines: RimLines, colour: str, *, width: float) -> None:
    if lines.trace is None:
        ink.line(lines.points_px, colour, width=width)
    else:
        ink.trace(lines.trace, colour, width=width, hidden=lines.which != "back")


def _places(mark: Mark) -> tuple[PixelPair, ...]:
    if isinstance(mark, Marker | Chessboard):
        return mark.corners_px
    return () if isinstance(mark, Rim) else handle_points(mark)


def _array(points: tuple[PixelPair, ...]) -> Points:
    return np.asarray(points, dtype=np.float64).reshape(-1, 2)


def _across(places: Points, trace: Trace | None) -> Points:
    """Return the direction across the rim at each handle."""
    if trace is not None:
        e = trace.ellipse
        inverse = np.linalg.inv(shape_matrix(e))
        out = (places - np.array([e.cx, e.cy])) @ inverse @ inverse
    else:
        out = places - places.mean(axis=0)
    size = np.maximum(np.linalg.norm(out, axis=1, keepdims=True), 1e-9)
    across: Points = out / size
    return across
