"""A limit line's drawing -> paint. Every place was settled before; nothing is worked out here."""

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF

from capture.desk.limit.page import Box, Text
from capture.desk.limit.places import AXIS_Y, BAND_TOP, CAP, FACE, MIDDLE_Y, STEM
from capture.desk.limit.scale import Blade, Drawn, Face
from capture.desk.look.hatch import paint_hatch
from capture.desk.look.palette import Palette
from capture.desk.look.type import font
from store.attempt import Standing

_OUT = 6.0  # a stem and a face reach beyond the band
_HEAD = 6.0
_TINT = 0.35
_POINT = 10.0


def paint_line(painter: QPainter, line: Drawn, state: Standing, palette: Palette) -> None:
    """Draw a limit line."""
    for hatch in line.hatches:
        painter.fillRect(_rect(hatch), QColor(palette.slab))
        paint_hatch(painter, _rect(hatch), palette.hatch)
    _paint_plates(painter, line, palette)
    _paint_scale(painter, line, palette)
    for face in line.faces:
        _paint_face(painter, face, palette)
    for blade in line.blades:
        _paint_blade(painter, blade, palette.of_state(state), palette)
    _paint_thin(painter, line, palette)
    if line.stem is not None:
        stem = QRectF(line.stem - STEM / 2, BAND_TOP - _OUT, STEM, AXIS_Y - BAND_TOP + _OUT)
        painter.fillRect(stem, QColor(palette.of_state(state)))
    for text in line.texts:
        _paint_text(painter, text, palette)


def _paint_plates(painter: QPainter, line: Drawn, palette: Palette) -> None:
    for text in line.texts:
        if text.plate:
            painter.fillRect(_rect(text.box), QColor(palette.sheet))


def _paint_scale(painter: QPainter, line: Drawn, palette: Palette) -> None:
    painter.setPen(QPen(QColor(palette.ink), 2))
    painter.drawLine(QPointF(line.axis.left, AXIS_Y), QPointF(line.axis.right, AXIS_Y))
    painter.setPen(QPen(QColor(palette.ink), 1.5))
    for x, long in line.ticks:
        painter.drawLine(QPointF(x, AXIS_Y), QPointF(x, AXIS_Y + (8 if long else 5)))


def _paint_face(painter: QPainter, face: Face, palette: Palette) -> None:
    pen = QPen(QColor(palette.ink), 3 if face.dashed else FACE)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    if face.dashed:
        pen.setDashPattern([2.4, 1.6])
    painter.setPen(pen)
    painter.drawLine(QPointF(face.x, BAND_TOP - _OUT), QPointF(face.x, AXIS_Y + _OUT + 2))


def _paint_blade(painter: QPainter, blade: Blade, colour: str, palette: Palette) -> None:
    box = _rect(blade.box)
    if not blade.inside:
        painter.fillRect(box, QColor(colour))
        return
    shape = _pointed(blade) if blade.pointed else QPolygonF(box)
    painter.save()
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(QColor(palette.sheet))
    painter.drawPolygon(shape)
    tint = QColor(colour)
    tint.setAlphaF(_TINT)
    painter.setBrush(tint)
    painter.drawPolygon(shape)
    painter.setClipRect(box)  # the outline's outer half must not lengthen the blade
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(QColor(colour), 6, j=Qt.PenJoinStyle.MiterJoin))
    painter.drawPolygon(shape)
    painter.restore()


def _pointed(blade: Blade) -> QPolygonF:
    box = _rect(blade.box)
    deep = min(_POINT, box.width())
    middle = box.center().y()
    if blade.tip == "right":
        points = [box.topLeft(), QPointF(box.right() - deep, box.top()),
                  QPointF(box.right(), middle), QPointF(box.right() - deep, box.bottom()),
                  box.bottomLeft()]  # fmt: skip
    else:
        points = [box.topRight(), QPointF(box.left() + deep, box.top()),
                  QPointF(box.left(), middle), QPointF(box.left() + deep, box.bottom()),
                  box.bottomRight()]  # fmt: skip
    return QPolygonF(points)


def _paint_thin(painter: QPainter, line: Drawn, palette: Palette) -> None:
    """Draw whisker, leaders and dimension arrows."""
    painter.setPen(QPen(QColor(palette.ink), 2))
    if line.whisker is not None:
        low, high = line.whisker
        painter.drawLine(QPointF(low, MIDDLE_Y), QPointF(high, MIDDLE_Y))
        for x in line.whisker:
            painter.drawLine(QPointF(x, MIDDLE_Y - CAP), QPointF(x, MIDDLE_Y + CAP))
    painter.setPen(QPen(QColor(palette.ink), 1.5))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for leader in line.leaders:
        painter.drawPolyline(QPolygonF([QPointF(x, y) for x, y in leader]))
    for start, end in line.arrows:
        back = _HEAD if end > start else -_HEAD
        painter.drawLine(QPointF(start, MIDDLE_Y), QPointF(end, MIDDLE_Y))
        for side in (-1, 1):
            painter.drawLine(
                QPointF(end, MIDDLE_Y), QPointF(end - back, MIDDLE_Y + side * _HEAD * 0.7)
            )


def _paint_text(painter: QPainter, text: Text, palette: Palette) -> None:
    painter.setFont(font(text.size, bold=text.bold))
    painter.setPen(QColor(palette.ink2 if text.soft else palette.ink))
    # Wider than measured: a text must not break for half a pixel.
    box = _rect(text.box).adjusted(-2, -4, 2, 4)
    painter.drawText(box, Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextSingleLine, text.text)


def _rect(box: Box) -> QRectF:
    return QRectF(box.x, box.y, box.width, box.height)
