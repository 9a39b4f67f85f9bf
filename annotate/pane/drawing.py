"""Marks -> lines on the screen. Measures nothing."""

from collections.abc import Iterator, Mapping

import numpy as np
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainterPath, QPolygonF

from annotate.fit import outline_points, shape_matrix
from annotate.marks import (
    Angle,
    Area,
    Chessboard,
    Diameter,
    Distance,
    Ellipse,
    KnownCircle,
    KnownDistance,
    Mark,
    Marker,
    Note,
    PixelPair,
    Point,
    Rim,
)
from annotate.pane.editing import Editing
from annotate.pane.handles import handle_points, ring_of
from annotate.pane.ink import FAR, LINE, NEAR, THIN, Ink
from annotate.pane.outlines import Outlines, RimLines, ellipse_path, scene_points, through
from annotate.pane.plates import Rect, beside
from annotate.pane.shown import Shown
from annotate.pane.tools import Draft
from annotate.pane.view import scene_of

_WORDS = {"near": "near rim", "far": "far rim, dashed where hidden"}
_WORDS_ALL_SEEN = {"near": "near rim", "far": "far rim"}
_HOURS = {
    "near": (1.5, 4.5, 10.5, 7.5, 3, 9, 0, 6),
    "far": (7.5, 10.5, 4.5, 1.5, 9, 3, 6, 0),
}
_ROUND = 72  # places round a rim, for its words


def draw_rims(ink: Ink, outlines: Outlines) -> None:
    """Draw the rims of a layer that is in work: outlines and points left out."""
    order = {"back": 0, "far": 1, "near": 2}
    for lines in sorted(outlines.rims.values(), key=lambda r: order[r.which]):
        colour = FAR if lines.which == "far" else NEAR
        if lines.which != "back":
            ink.outline(lines.hidden, colour, dashed=True)
        ink.outline(lines.seen, colour, width=THIN if lines.which == "back" else LINE)
        ink.cross(lines.left_out, colour)


def draw_shown(ink: Ink, shown: Shown) -> None:
    """Draw accepted outlines; the far rim counts as seen inside the near one."""
    for other in (shown.other_far, shown.other_near):
        if other is not None:
            colour = FAR if other is shown.other_far else NEAR
            ink.outline(ellipse_path(other), colour, width=THIN, dashed=True)
    if shown.hatched and shown.near is not None and shown.far is not None:
        ink.hatch(ellipse_path(shown.far).subtracted(ellipse_path(shown.near)))
    if shown.far is not None:
        seen, hidden = through(shown.far, shown.near)
        ink.outline(hidden, FAR, dashed=True)
        ink.outline(seen, FAR)
    if shown.near is not None:
        ink.outline(ellipse_path(shown.near), NEAR)
    ink.cross(scene_points(np.array(shown.left_out_px).reshape(-1, 2)), FAR)


def draw_others(ink: Ink, marks: tuple[Mark, ...], outlines: Outlines) -> None:
    """Draw all marks that are no rims: scales thin blue, sizes thin white."""
    for k, mark in enumerate(marks):
        if isinstance(mark, Rim):
            continue
        is_scale = isinstance(mark, KnownDistance | KnownCircle | Marker | Chessboard)
        colour = FAR if is_scale else NEAR
        places = scene_points(np.array(_places(mark)).reshape(-1, 2))
        match mark:
            case KnownDistance() | Distance() | Angle():
                ink.outline(_line(places, closed=False), colour, width=THIN)
                ink.plus(places, colour)
            case Marker() | Area():
                ink.outline(_line(places, closed=True), colour, width=THIN)
            case KnownCircle() | Diameter():
                ink.outline(outlines.rounds[k].seen, colour, width=THIN)
                ink.cross(places, colour)
            case _:
                ink.plus(places, colour)


def draw_draft(ink: Ink, draft: Draft, preview: RimLines | None) -> None:
    """Draw a mark that is being made: its points, and its outline once there is one."""
    places = scene_points(np.array(draft.points_px).reshape(-1, 2))
    colour = FAR if draft.tool in {"scale", "circle", "far rim"} else NEAR
    if preview is not None:
        ink.outline(preview.hidden, colour, width=THIN, dashed=True)
        ink.outline(preview.seen, colour, width=THIN)
    elif len(places) > 1 and draft.tool in {"scale", "distance", "angle", "area"}:
        ink.outline(_line(places, closed=False), colour, width=THIN)
    ink.cross(places, colour)


def draw_handles(ink: Ink, editing: Editing, outlines: Outlines) -> None:
    """Draw ticks across the rims that can be taken hold of, and the ring on the active one."""
    for k, mark in enumerate(editing.draft_layer.marks):
        if isinstance(mark, Rim) and editing.shows_handles(k):
            places = np.array(editing.handles(k)).reshape(-1, 2)
            across = _across(places, outlines.rims.get(k), mark)
            ink.ticks(scene_points(places), across, FAR if mark.which == "far" else NEAR)
    at = editing.active_px
    if at is not None:
        ink.ring(scene_of(Point(*at)))


def draw_rim_words(
    ink: Ink, ellipses: Mapping[str, tuple[Ellipse, bool]], room: Rect, taken: list[Rect]
) -> None:
    """Name the rims beside them; ``ellipses`` also tells of each whether some of it is hidden."""
    rounds = {which: _round(ink, ellipse) for which, (ellipse, _) in ellipses.items()}
    lines = [at for places in rounds.values() for at in places]
    for which, (_, hidden) in ellipses.items():
        text = (_WORDS if hidden else _WORDS_ALL_SEEN)[which]
        plate = beside(
            rounds[which],
            ink.plate_size(text),
            room,
            hours=_HOURS[which],
            taken=taken,
            lines=lines,
        )
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
            rightmost = max(places)
            at = ink.to_screen.map(scene_of(Point(*rightmost)))
            width, height = ink.plate_size(text)
            ink.plate(QRectF(at.x() + 12, at.y() - 8 - height, width, height), text)


def named_ellipses(
    shown: Shown | None, outlines: Outlines
) -> Iterator[tuple[str, tuple[Ellipse, bool]]]:
    """Yield near and far with their ellipse and whether part of it is hidden."""
    if shown is not None:
        if shown.near is not None:
            yield "near", (shown.near, False)
        if shown.far is not None:
            yield "far", (shown.far, not through(shown.far, shown.near)[1].isEmpty())
        return
    for lines in outlines.rims.values():
        if lines.which != "back" and lines.ellipse is not None:
            yield lines.which, (lines.ellipse, not lines.hidden.isEmpty())


def _places(mark: Mark) -> tuple[PixelPair, ...]:
    if isinstance(mark, Marker | Chessboard):
        return mark.corners_px
    return () if isinstance(mark, Rim) else handle_points(mark)


def _line(places: list[QPointF], *, closed: bool) -> QPainterPath:
    path = QPainterPath()
    path.addPolygon(QPolygonF([*places, places[0]] if closed else places))
    return path


def _round(ink: Ink, ellipse: Ellipse) -> list[PixelPair]:
    """Return places on the screen evenly round an ellipse, clockwise from 12."""
    around = outline_points(ellipse, 4 * _ROUND)
    hour = np.arctan2(around[:, 0] - ellipse.cx, ellipse.cy - around[:, 1]) % (2 * np.pi)
    wanted = 2 * np.pi * np.arange(_ROUND) / _ROUND
    nearest = np.argmin(np.abs((hour - wanted[:, None] + np.pi) % (2 * np.pi) - np.pi), axis=1)
    mapped = (ink.to_screen.map(p) for p in scene_points(around[nearest]))
    return [(p.x(), p.y()) for p in mapped]


def _across(places: np.ndarray, lines: RimLines | None, rim: Rim) -> list[QPointF]:
    """Return the direction across the rim at each handle."""
    if lines is not None and lines.ellipse is not None:
        e = lines.ellipse
        inverse = np.linalg.inv(shape_matrix(e))
        out = (places - np.array([e.cx, e.cy])) @ inverse @ inverse
    else:
        points = rim.array_px()
        out = places - points[ring_of(points).order].mean(axis=0)
    size = np.maximum(np.linalg.norm(out, axis=1, keepdims=True), 1e-9)
    return [QPointF(x, y) for x, y in (out / size).tolist()]
