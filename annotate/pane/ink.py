"""Lines on a photo: every one on a black casing, so that it shows on any ground."""

from collections.abc import Sequence
from typing import Final

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import (
    QColor,
    QFont,
    QFontMetricsF,
    QPainter,
    QPainterPath,
    QPen,
    QPolygonF,
    QTransform,
)

from annotate.marks import Points, to_corner_px
from annotate.pane.trace import Trace

NEAR: Final = "#ffffff"
FAR: Final = "#6cc0f0"
LABEL: Final = "#f4f2ec"
PLATE: Final = "#0b0c0d"
ACCENT: Final = FAR
LINE: Final = 2.5  # screen px
THIN: Final = 1.5
_CASING: Final = 3.5  # more than the line
_CASING_ALPHA: Final = 166  # 65 % of 255
_DASH: Final = (8.0, 6.0)  # screen px
_CROSS: Final = 4.0
_PLUS: Final = 6.0
_TICK: Final = 8.0  # half of a handle's length, across the rim
_RING: Final = 14.0
_FINE: Final = 0.6
_HATCH_PX: Final = 12.0
_HATCH_LINE: Final = 1.25
_ROUGH: Final = 4  # points of an outline that its hatch can do without, but one
_PAD: Final = 6.0  # round the words on a plate


class Ink:
    """Draws on a painter whose coordinates are the screen's; ``to_screen`` maps the scene there.

    ``fine`` is for the magnifier, where the edge must be seen beside the line that is laid on it.
    """

    def __init__(
        self, painter: QPainter, to_screen: QTransform, font: QFont, *, fine: bool = False
    ) -> None:
        self.painter = painter
        self._fine = _FINE if fine else 1.0
        self.to_screen, self.zoom = to_screen, to_screen.m11()
        view = to_screen.inverted()[0].mapRect(QRectF(painter.viewport()))
        self._view = view.left(), view.top(), view.right(), view.bottom()
        self.font = font
        self.metrics = QFontMetricsF(font)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)

    def trace(
        self,
        trace: Trace,
        colour: str,
        *,
        width: float = LINE,
        dashed: bool = False,
        hidden: bool = True,
    ) -> None:
        """Stroke an outline: solid where it is seen; what is ``hidden`` dashed, or not at all."""
        solid, broken = QPainterPath(), QPainterPath()
        for piece, is_seen in trace.pieces(self.zoom, self._view):
            (solid if is_seen and not dashed else broken).addPolygon(self._on_screen(piece))
        if hidden or dashed:
            self.stroke(broken, colour, width=width, dashed=True)
        self.stroke(solid, colour, width=width)

    def line(
        self, points_px: Points, colour: str, *, width: float = THIN, closed: bool = False
    ) -> None:
        """Stroke a line from point to point of the picture."""
        if len(points_px):
            path = QPainterPath()
            path.addPolygon(self._on_screen(points_px + to_corner_px(0.0)))
            if closed:
                path.closeSubpath()
            self.stroke(path, colour, width=width)

    def stroke(
        self, path: QPainterPath, colour: str, *, width: float = LINE, dashed: bool = False
    ) -> None:
        """Stroke a path of the screen on its casing."""
        if path.isEmpty():
            return
        width, casing = width * self._fine, width + _CASING * self._fine**2
        self.painter.setBrush(Qt.BrushStyle.NoBrush)
        self.painter.setPen(_pen(QColor(0, 0, 0, _CASING_ALPHA), casing))
        self.painter.drawPath(path)
        pen = _pen(QColor(colour), width)
        if dashed:
            pen.setDashPattern([d / width for d in _DASH])
        self.painter.setPen(pen)
        self.painter.drawPath(path)

    def plus(self, at: Points, colour: str) -> None:
        """Draw upright crosses: ends, centres, places."""
        self._arms(at, colour, ((_PLUS, 0.0), (0.0, _PLUS)))

    def cross(self, at: Points, colour: str) -> None:
        """Draw slanting crosses: points left out, points on an edge."""
        self._arms(at, colour, ((_CROSS, _CROSS), (_CROSS, -_CROSS)))

    def ticks(self, at: Points, across: Points, colour: str) -> None:
        """Draw handles: short scribed lines across a rim, along the unit vectors ``across``."""
        path = QPainterPath()
        for place, (x, y) in zip(self.on_screen(at), across.tolist(), strict=True):
            path.moveTo(place - QPointF(x, y) * _TICK)
            path.lineTo(place + QPointF(x, y) * _TICK)
        self.stroke(path, colour)

    def ring(self, at: Points) -> None:
        """Draw the ring round the active handle: it is the focus."""
        path = QPainterPath()
        for here in self.on_screen(at):
            path.addEllipse(here, _RING, _RING)
        self.stroke(path, ACCENT)

    def hatch(self, area: Trace, *, outside: Trace) -> None:
        """Hatch what of one outline lies outside another: solid material in the way."""
        shape, hole = QPainterPath(), QPainterPath()
        shape.addPolygon(self._on_screen(area.scene[::_ROUGH]))
        hole.addPolygon(self._on_screen(outside.scene[::_ROUGH]))
        shape = shape.subtracted(hole)
        box = shape.boundingRect().intersected(QRectF(self.painter.viewport()))
        lines = QPainterPath()
        start = box.left() - box.height()
        # Counted from the area and not from the view: the hatch must not swim when panning.
        start += (shape.boundingRect().left() - start) % _HATCH_PX
        while start < box.right():
            lines.moveTo(start, box.bottom())
            lines.lineTo(start + box.height(), box.top())
            start += _HATCH_PX
        self.painter.save()
        self.painter.setClipPath(shape, Qt.ClipOperation.IntersectClip)
        # A casing as wide as a rim's would close the hatch to a grey.
        for colour, width in (
            (QColor(0, 0, 0, _CASING_ALPHA), 2 * _HATCH_LINE),
            (QColor(NEAR), _HATCH_LINE),
        ):
            self.painter.setPen(_pen(colour, width))
            self.painter.drawPath(lines)
        self.painter.restore()

    def plate_size(self, text: str) -> tuple[float, float]:
        """Return width and height of a plate for these words."""
        wide = self.metrics.horizontalAdvance(text) + 2 * _PAD
        return max(wide, self.metrics.height() + _PAD), self.metrics.height() + _PAD

    def plate(self, box: QRectF, text: str) -> None:
        """Write words on a dark plate in a box of the screen."""
        self.painter.fillRect(box, QColor(PLATE))
        self.painter.setPen(QColor(LABEL))
        self.painter.setFont(self.font)
        self.painter.drawText(box, Qt.AlignmentFlag.AlignCenter, text)

    def leader(self, start: QPointF, end: QPointF) -> None:
        """Draw the thin line from a place to its words."""
        path = QPainterPath(start)
        path.lineTo(end)
        self.stroke(path, NEAR, width=THIN)

    def on_screen(self, points_px: Points) -> list[QPointF]:
        """Return points (N, 2) of the picture as places of the screen."""
        return self._on_screen(points_px + to_corner_px(0.0)).toList()

    def _on_screen(self, scene: Points) -> QPolygonF:
        shift = np.array([self.to_screen.dx(), self.to_screen.dy()])
        return QPolygonF([QPointF(x, y) for x, y in (scene * self.zoom + shift).tolist()])

    def _arms(self, at: Points, colour: str, arms: Sequence[tuple[float, float]]) -> None:
        # One path for all, so that one arm's casing does not cut another.
        path = QPainterPath()
        for here in self.on_screen(at):
            for x, y in arms:
                path.moveTo(here - QPointF(x, y))
                path.lineTo(here + QPointF(x, y))
        self.stroke(path, colour, width=THIN)


def _pen(colour: QColor, width: float) -> QPen:
    pen = QPen(colour, width)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    # The turns of an outline are a degree each: round joins cost twice the time and show nowhere.
    pen.setJoinStyle(Qt.PenJoinStyle.BevelJoin)
    return pen
