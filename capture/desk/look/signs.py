"""The signs of the five states: a plug in its bore, in section.

Flush: within. Proud, standing out of the face: outside. Cocked in the bore: too close to call. An
empty dashed bore: not measured. In outline on the floor of the bore: recorded, nothing to judge it
by. Waived and suspect never replace a sign: a written slip stands beside it, and a plug that rests
on a suspect gauge has its lower third cut away. Always with the word; read in grey and at 16 px.
"""

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF

from capture.desk.look.palette import Palette
from store.attempt import Standing

UNITS = 20.0  # the square that the sign is drawn on
_FACE, _LEFT, _RIGHT, _FLOOR = 8.5, 4.5, 15.5, 18.5
_STROKE, _CLEAR = 1.7, 1.1
_BOTTOM = 15.0  # where a plug that sits ends: the bore goes on below it
_COCKED_DEG = 24.0


def paint_sign(
    painter: QPainter,
    rect: QRectF,
    state: Standing,
    palette: Palette,
    *,
    suspect: bool = False,
    ink: str = "",
) -> None:
    """Draw the sign of a state into a square; ``ink`` is the bore's colour, the palette's if ""."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    side = min(rect.width(), rect.height())
    painter.translate(rect.center() - QPointF(side / 2, side / 2))
    painter.scale(side / UNITS, side / UNITS)
    _bore(painter, QColor(ink or palette.ink), dashed=state == "not measured")
    if state != "not measured":
        _plug(painter, QColor(palette.of_state(state)), state, suspect=suspect)
    painter.restore()


def paint_slip(painter: QPainter, rect: QRectF, palette: Palette) -> None:
    """Draw the written slip of a waiver into a square: it lies beside the sign."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    side = min(rect.width(), rect.height())
    painter.translate(rect.center() - QPointF(side / 2, side / 2))
    painter.scale(side / UNITS, side / UNITS)
    pen = QPen(QColor(palette.ink), _STROKE)
    painter.setPen(pen)
    painter.setBrush(QColor(palette.well))
    painter.drawRect(QRectF(4.5, 2.5, 11, 15))
    pen.setCapStyle(Qt.PenCapStyle.RoundCap)
    painter.setPen(pen)
    written = [(7, 8), (8.6, 6.4), (9.8, 8.6), (11.2, 6.2), (12.8, 8)]
    painter.drawPolyline(QPolygonF([QPointF(x, y) for x, y in written]))
    painter.drawLine(QPointF(7, 12.5), QPointF(12.8, 12.5))
    painter.restore()


def _bore(painter: QPainter, ink: QColor, *, dashed: bool) -> None:
    pen = QPen(ink, _STROKE)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    pen.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
    if dashed:
        pen.setDashPattern([1.3, 1.0])
    painter.setPen(pen)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    path = [(0.5, _FACE), (_LEFT, _FACE), (_LEFT, _FLOOR), (_RIGHT, _FLOOR), (_RIGHT, _FACE)]
    path.append((19.5, _FACE))
    painter.drawPolyline(QPolygonF([QPointF(x, y) for x, y in path]))


def _plug(painter: QPainter, colour: QColor, state: Standing, *, suspect: bool) -> None:
    left, right = _LEFT + _STROKE / 2 + _CLEAR / 2, _RIGHT - _STROKE / 2 - _CLEAR / 2
    top = {"outside": 1.0, "too close to call": 3.8}.get(state, _FACE - _STROKE / 2)
    bottom = top + (_BOTTOM - _FACE)
    if suspect:
        bottom -= (bottom - top) / 3
    painter.setPen(Qt.PenStyle.NoPen)
    if state == "no limit":
        # Recorded, not judged: it lies on the floor of the bore, which says nothing of the face.
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(colour, 1.4))
        painter.drawRect(QRectF(left + 0.7, 12.4, right - left - 1.4, 4.2))
        return
    painter.setBrush(colour)
    if state == "too close to call":
        painter.translate(10, (top + bottom) / 2)
        painter.rotate(_COCKED_DEG)
        painter.translate(-10, -(top + bottom) / 2)
        left, right = left + 0.6, right - 0.6
    painter.drawRect(QRectF(left, top, right - left, bottom - top))
