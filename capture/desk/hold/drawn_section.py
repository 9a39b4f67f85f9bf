"""The pieces of the section, drawn: ground with bores in it, plugs and props, the cover."""

from typing import NamedTuple

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPainterPath, QPen

from capture.desk.hold.columns import Column
from capture.desk.look.hatch import paint_hatch
from capture.desk.look.palette import Palette
from capture.desk.look.signs import paint_sign, paint_slip
from capture.desk.look.type import font
from capture.desk.walk.drawn_lying import draw_small_cover

HIGH = 232
SAT = 97  # less than that where nothing holds the cover off: it sits down on the face
_COVER = 52
_FACE = 152.0  # the face that everything is flush with
_DEPTH, _BORE = 40.0, 44.0  # of a bore
_FLOOR = 212.0  # where the drawn material ends; the numbers stand below
_PROP = 32.0
_WIDTH, _WORDS = 84, 156  # a column, and one that has its words beside it
_MIDDLE = 42.0
_PEN, _COVER_PEN = 2.0, 3.0
_PLUG_CLEAR, _PLUG = 4.0, 26.0  # between plug and wall; how deep a plug is


class Drawing(NamedTuple):
    """What a piece is drawn with, and whether the cover is held off or closed.

    ``ends`` is where the material ends on the right; a cover that is held off goes on.
    """

    painter: QPainter
    box: QRectF
    palette: Palette
    lifted: bool
    closed: bool
    ends: float = 0.0


def width_of(column: Column, *, roomy: bool) -> int:
    """Return the width of a column; ``roomy``: its words may reach over the next one."""
    return _WIDTH if roomy or not column.prop else _WORDS


def draw_ground(drawing: Drawing) -> None:
    """Draw the material and its face, from edge to edge."""
    painter, box, colours = drawing.painter, drawing.box, drawing.palette
    ends = drawing.ends or box.right()
    solid = QRectF(box.left(), _FACE, ends - box.left(), _FLOOR - _FACE)
    painter.fillRect(solid, QColor(colours.slab))
    paint_hatch(painter, solid, colours.hatch, left=True)
    painter.setPen(QPen(QColor(colours.ink), _COVER_PEN))
    painter.drawLine(QLineF(box.left(), _FACE, ends, _FACE))


def draw_column(drawing: Drawing, column: Column) -> None:
    """Draw the bore of a location with what is in it, and its number below."""
    middle = drawing.box.left() + _MIDDLE
    if column.fitted:
        _draw_bore(drawing, middle)
    if column.prop and not drawing.closed:
        _draw_prop(drawing, column, middle)
    elif column.fitted:
        _draw_flush(drawing, column, middle)
    words = str(column.number) if column.number else "first"
    words += " waived" if column.waived else "" if column.fitted else " not fitted"
    face = font("caption", bold=column.prop)
    drawing.painter.setFont(face)
    drawing.painter.setPen(QColor(drawing.palette.ink if column.prop else drawing.palette.ink2))
    below = QRectF(middle - _MIDDLE, _FLOOR, 2 * _MIDDLE, HIGH - _FLOOR)
    drawing.painter.drawText(below, Qt.AlignmentFlag.AlignCenter, words)


def draw_label(drawing: Drawing, column: Column) -> None:
    """Draw number and word beside a prop; they may reach over the next column."""
    if not column.prop or drawing.closed:
        return
    painter, colours = drawing.painter, drawing.palette
    x = drawing.box.left() + _MIDDLE + _PROP / 2 + 8
    room = _WORDS - _MIDDLE - _PROP / 2 - 12
    painter.setPen(QColor(colours.ink))
    if column.number:
        painter.setFont(font("head", bold=True))
        painter.drawText(QPointF(x, 96), str(column.number))
    else:
        face = font("caption", bold=True)
        painter.setFont(face)
        name = QFontMetricsF(face).elidedText(column.name, Qt.TextElideMode.ElideMiddle, room)
        painter.drawText(QPointF(x, 94), name)
    painter.setFont(font("caption"))
    painter.drawText(QPointF(x, 118), column.word)
    if column.suspect:
        painter.drawText(QPointF(x, 136), "gauge suspect")


def draw_cover(drawing: Drawing, name: str, rest: str) -> None:
    """Draw the cover: held off, sitting on the face, or closed."""
    painter, box, colours = drawing.painter, drawing.box, drawing.palette
    top = 2.0 if drawing.lifted else _FACE - _COVER - 1
    # Held off it comes from beyond the window; where it sits it ends with what it sits on.
    ends = box.right() + 9.5 if drawing.lifted else (drawing.ends or box.right()) - 1.5
    cover = QRectF(box.left() + 1.5, top, ends - box.left() - 1.5, _COVER)
    if drawing.closed:
        painter.fillRect(cover, QColor(colours.closed))
        ink = colours.on_closed
    else:
        painter.fillRect(cover, QColor(colours.slab))
        paint_hatch(painter, cover, colours.hatch)
        painter.setPen(QPen(QColor(colours.ink), _COVER_PEN))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(cover)
        ink = colours.ink
    _write_on_cover(drawing, cover, (name, rest), ink)


def draw_focus(drawing: Drawing) -> None:
    """Draw the ring of the column that the keyboard is at: all of it that the cover leaves free."""
    painter, box = drawing.painter, drawing.box
    painter.setPen(QPen(QColor(drawing.palette.accent), 3))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    top = _COVER + 6 if drawing.lifted else _FACE + 3
    painter.drawRect(QRectF(box.left() + 2, top, box.width() - 4, HIGH - 2 - top))


def _draw_bore(drawing: Drawing, middle: float) -> None:
    painter, colours = drawing.painter, drawing.palette
    bore = QRectF(middle - _BORE / 2, _FACE - 2, _BORE, _DEPTH + 2)
    painter.fillRect(bore, QColor(colours.sheet))
    path = QPainterPath(QPointF(bore.left(), _FACE - 1.5))
    path.lineTo(bore.left(), bore.bottom())
    path.lineTo(bore.right(), bore.bottom())
    path.lineTo(bore.right(), _FACE - 1.5)
    pen = QPen(QColor(colours.ink), _PEN)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    painter.setPen(pen)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawPath(path)


def _draw_flush(drawing: Drawing, column: Column, middle: float) -> None:
    """Draw what is proven as a plug flush with the face; a waiver never changes the sign.

    The slip lies beside the bore, on the material.
    """
    painter, colours = drawing.painter, drawing.palette
    if column.waived:
        paint_slip(painter, QRectF(middle + _BORE / 2 - 1, _FACE + 6, 22, 26), colours)
    if column.waived or column.prop:  # prop: closed over it, and unproven since
        square = QRectF(middle - 15, _FACE + 4, 30, 30)
        paint_sign(painter, square, column.state, colours, suspect=column.suspect)
        return
    half = _BORE / 2 - _PLUG_CLEAR
    plug = QRectF(middle - half, _FACE - 1.5, 2 * half, _PLUG)
    colour = QColor(colours.of_state(column.state))
    if column.state == "within":
        painter.fillRect(plug, colour)
    else:
        painter.setPen(QPen(colour, _PEN))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(plug.adjusted(1, 1, -1, -1))


def _draw_prop(drawing: Drawing, column: Column, middle: float) -> None:
    painter, colours = drawing.painter, drawing.palette
    prop = QRectF(middle - _PROP / 2, _COVER + 2, _PROP, _FACE + _DEPTH - 8 - _COVER)
    painter.fillRect(prop, QColor(colours.well))
    painter.setPen(QPen(QColor(colours.ink), _PEN))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRect(prop)
    square = QRectF(middle - 12, 88, 24, 24)
    if column.number:
        paint_sign(painter, square, column.state, colours, suspect=column.suspect)
    else:
        draw_small_cover(painter, QRectF(middle - 13, 92, 26, 14), colours)


def _write_on_cover(drawing: Drawing, cover: QRectF, words: tuple[str, str], ink: str) -> None:
    painter, colours = drawing.painter, drawing.palette
    bold, plain = font(bold=True), font()
    wide = QFontMetricsF(bold).horizontalAdvance(words[0])
    room = cover.width() - 72 - wide
    rest = QFontMetricsF(plain).elidedText(words[1], Qt.TextElideMode.ElideRight, max(0.0, room))
    plate = QRectF(cover.left() + 22, cover.top() + 8, 0, cover.height() - 16)
    plate.setWidth(wide + QFontMetricsF(plain).horizontalAdvance(rest) + 28)
    if not drawing.closed:
        painter.fillRect(plate, QColor(colours.sheet))
    painter.setPen(QColor(ink))
    painter.setFont(bold)
    line = plate.adjusted(14, 0, 0, 0)
    painter.drawText(line, Qt.AlignmentFlag.AlignVCenter, words[0])
    painter.setFont(plain)
    painter.drawText(line.adjusted(wide, 0, 4, 0), Qt.AlignmentFlag.AlignVCenter, rest)
