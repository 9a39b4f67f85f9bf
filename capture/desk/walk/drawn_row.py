"""One row of the round, drawn: the gallery's two walls, the sign between them, a cover across."""

from typing import NamedTuple

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPen

from capture.desk.look.hatch import paint_hatch
from capture.desk.look.palette import Palette
from capture.desk.look.signs import paint_sign, paint_slip
from capture.desk.look.type import font
from capture.desk.walk.cover_words import lines_on
from capture.desk.walk.drawn_lying import draw_lying, draw_small_cover
from capture.desk.walk.lying import Lying
from capture.desk.walk.row import FoldedRow, HoldRow, LocationRow, Prop, Row

ROW, COVER, GAP, CROWDED = 48, 56, 34, 24
_WALLS = (12.0, 42.0)  # the gallery's two walls, from the left
_MIDDLE, _SIGN, _TEXT = 27.0, 20.0, 52.0
_RIGHT = 14.0  # the scroll bar stands there
_COVER_LEFT, _PROP_STEP = 9.0, 40.0
_BITE = 6  # the accent edge of where one is
_WALL_PEN = 2.0
_SECOND = 18  # a second line of words on a cover


class Drawing(NamedTuple):
    """What a row is drawn with: its painter, its rectangle, the colours, and how far it is lifted.

    ``lift`` is the height of the gap under a face that a cover is held off by.
    """

    painter: QPainter
    box: QRectF
    palette: Palette
    lift: float = 0.0


def height_of(row: Row, lift: float = 0.0, width: float = 304.0) -> int:
    """Return how high a row is, in pixels; ``lift`` is the gap that a cover is held off by.

    In a narrow round a cover says what it has to say in two lines.
    """
    if isinstance(row, HoldRow):
        return _cover_height(row, width) + round(lift)
    return ROW


def draw_row(drawing: Drawing, row: Row) -> None:
    """Draw a row."""
    if isinstance(row, HoldRow):
        _draw_cover(drawing, row)
    elif isinstance(row, FoldedRow):
        _draw_folded(drawing, row)
    else:
        _draw_location(drawing, row)


def draw_walls(drawing: Drawing, *, dashed: bool = False) -> None:
    """Draw the two walls of the gallery from top to bottom."""
    painter, box, colours = drawing.painter, drawing.box, drawing.palette
    pen = QPen(QColor(colours.ink), _WALL_PEN)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    if dashed:
        pen.setDashPattern([3, 2])
    painter.setPen(pen)
    for x in _WALLS:
        painter.drawLine(QLineF(x, box.top(), x, box.bottom()))


def _draw_location(drawing: Drawing, row: LocationRow) -> None:
    painter, box, colours = drawing.painter, drawing.box, drawing.palette
    if row.here:
        _draw_here(drawing)
    draw_walls(drawing, dashed=row.hidden)
    lies = row.lying
    square = _square(box.left() + _MIDDLE, box.center().y(), _SIGN)
    draw_lying(painter, square, lies, colours)
    _write_name(drawing, f"{row.number}  {row.name}", bold=row.here, faint=row.hidden)
    _write_words(drawing, lies)


def _write_words(drawing: Drawing, lies: Lying) -> None:
    """Write the word and what stands beside it; of the figures the longest that has room."""
    box, colours = drawing.box, drawing.palette
    x = _write(drawing, box.left() + _TEXT, lies.word, bold=True)
    if lies.struck:
        x = _write(drawing, x, lies.struck, struck=True)
        x = _write(drawing, x, "struck")
    if lies.suspect:
        x = _write(drawing, x, "gauge suspect")
    if lies.waived:
        paint_slip(drawing.painter, _square(x + 7, box.top() + 34, 16), colours)
        x = _write(drawing, x + 18, "waived")
    room = box.right() - _RIGHT - x
    metrics = QFontMetricsF(font("caption"))
    fits = [value for value in lies.values if metrics.horizontalAdvance(value) <= room]
    if lies.values:
        _write(drawing, x, (fits or lies.values[-1:])[0])


def _draw_here(drawing: Drawing) -> None:
    painter, box, colours = drawing.painter, drawing.box, drawing.palette
    painter.fillRect(box, QColor(colours.sheet))
    for y in (box.top(), box.bottom() - 1):
        painter.fillRect(QRectF(box.left(), y, box.width(), 1), QColor(colours.rule))
    painter.fillRect(QRectF(box.left(), box.top(), _BITE, box.height()), QColor(colours.accent))


def _draw_folded(drawing: Drawing, row: FoldedRow) -> None:
    box = drawing.box
    draw_walls(drawing, dashed=True)
    for step in (-14, 0, 14):
        paint_sign(
            drawing.painter, _square(_MIDDLE, box.center().y() + step, 12), row.state,
            drawing.palette, ink=drawing.palette.ink2,
        )  # fmt: skip
    _write_name(drawing, row.text, faint=True)
    _write(drawing, box.left() + _TEXT, row.detail)


def _draw_cover(drawing: Drawing, row: HoldRow) -> None:
    painter, box, colours = drawing.painter, drawing.box, drawing.palette
    high = _cover_height(row, box.width())
    cover = QRectF(box.left() + _COVER_LEFT, box.bottom() - high + 1, box.width(), high - 2)
    if drawing.lift:
        _draw_props(drawing, row, cover.top())
    if row.closed:
        painter.fillRect(cover, QColor(colours.closed))
    else:
        _draw_open(drawing, cover)
    if row.here:
        painter.fillRect(
            QRectF(box.left(), box.bottom() - high, _BITE, high), QColor(colours.accent)
        )
    lower = drawing._replace(box=QRectF(box.left(), cover.top() + 4, box.width(), ROW))
    ink = colours.on_closed if row.closed else colours.ink
    _write_name(lower, row.name, bold=True, ink=ink)
    for words in lines_on(row, box.width() - _TEXT - _RIGHT):
        _write(lower, box.left() + _TEXT, words, ink=ink, bold=bool(row.warns))
        lower = lower._replace(box=lower.box.translated(0, _SECOND))


def _cover_height(row: HoldRow, width: float) -> int:
    return COVER + (_SECOND if len(lines_on(row, width - _TEXT - _RIGHT)) > 1 else 0)


def _draw_open(drawing: Drawing, cover: QRectF) -> None:
    painter, colours = drawing.painter, drawing.palette
    painter.fillRect(cover, QColor(colours.slab))
    plug = QRectF(cover.left(), cover.top(), _WALLS[1] + 3 - _COVER_LEFT, cover.height())
    paint_hatch(painter, plug, colours.hatch)
    pen = QPen(QColor(colours.ink), _WALL_PEN)
    pen.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
    painter.setPen(pen)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    # Past the right edge: the cover comes from beyond the window.
    painter.drawRect(cover.adjusted(1, 1, 4, -1))
    painter.drawLine(QLineF(plug.right(), cover.top(), plug.right(), cover.bottom()))


def _draw_props(drawing: Drawing, row: HoldRow, cover_top: float) -> None:
    painter, box, colours = drawing.painter, drawing.box, drawing.palette
    face = box.top() + 3
    props, words = props_and_words(row, box.width())
    ends = _end_of(len(props))
    painter.setPen(QPen(QColor(colours.ink), _WALL_PEN))
    painter.drawLine(QLineF(box.left() + _COVER_LEFT, face, box.left() + ends, face))
    middle = (face + cover_top) / 2
    for n, prop in enumerate(props):
        x = box.left() + _MIDDLE + n * _PROP_STEP
        pen = QPen(QColor(colours.ink), 3)
        pen.setCapStyle(Qt.PenCapStyle.FlatCap)
        painter.setPen(pen)
        painter.drawLine(QLineF(x, face, x, middle - 11))
        painter.drawLine(QLineF(x, middle + 10, x, cover_top))
        if prop.number:
            sign = _square(x, middle, _SIGN)
            paint_sign(painter, sign, prop.state, colours, suspect=prop.suspect)
        else:
            draw_small_cover(painter, QRectF(x - 13, middle - 7, 26, 14), colours)
    _write(drawing._replace(box=QRectF(box.left(), middle - 34, box.width(), ROW)), ends + 8, words)


def props_and_words(row: HoldRow, width: float) -> tuple[tuple[Prop, ...], str]:
    """Return the props that are drawn, as many as leave room for the words, and the words."""
    metrics = QFontMetricsF(font("caption"))
    held = len(row.props) + row.more
    for shown in range(len(row.props), 0, -1):
        words = f"+ {held - shown} hold it off" if held > shown else "hold it off"
        words = "holds it off" if held == 1 else words
        if _end_of(shown) + 8 + metrics.horizontalAdvance(words) <= width - _RIGHT:
            break
    return row.props[:shown], words


def _end_of(props: int) -> float:
    """Return where the face above so many props ends."""
    return _MIDDLE + _PROP_STEP * (props - 1) + 22


def _write_name(
    drawing: Drawing, text: str, *, bold: bool = False, faint: bool = False, ink: str = ""
) -> None:
    box, colours = drawing.box, drawing.palette
    face = font("body", bold=bold)
    room = box.width() - _TEXT - _RIGHT
    drawing.painter.setFont(face)
    drawing.painter.setPen(QColor(ink or (colours.ink2 if faint else colours.ink)))
    # In the middle: names that differ at their end ("front", "rear") must stay apart.
    shown = QFontMetricsF(face).elidedText(text, Qt.TextElideMode.ElideMiddle, room)
    line = QRectF(box.left() + _TEXT, box.top() + 2, room + 2, 24)
    drawing.painter.drawText(line, Qt.AlignmentFlag.AlignVCenter, shown)


def _write(
    drawing: Drawing,
    x: float,
    text: str,
    *,
    bold: bool = False,
    struck: bool = False,
    ink: str = "",
) -> float:
    """Write a caption on the second line from ``x``; return where the next may begin."""
    if not text:
        return x
    face = font("caption", bold=bold)
    face.setStrikeOut(struck)
    metrics = QFontMetricsF(face)
    room = drawing.box.right() - _RIGHT - x
    shown = metrics.elidedText(text, Qt.TextElideMode.ElideRight, max(0.0, room))
    plain = drawing.palette.ink if bold else drawing.palette.ink2
    drawing.painter.setFont(face)
    drawing.painter.setPen(QColor(ink or plain))
    line = QRectF(x, drawing.box.top() + 24, max(0.0, room) + 2, 20)
    drawing.painter.drawText(line, Qt.AlignmentFlag.AlignVCenter, shown)
    return x + metrics.horizontalAdvance(shown) + 8


def _square(x: float, y: float, side: float) -> QRectF:
    return QRectF(QPointF(x - side / 2, y - side / 2), QPointF(x + side / 2, y + side / 2))
