"""The ring around the reading that lies furthest off."""

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPen

from capture.desk.look.palette import Palette


def paint_ring(painter: QPainter, at: QPointF, rx: float, ry: float, palette: Palette) -> None:
    """Draw a ring as by hand: it does not meet its own beginning."""
    path = QPainterPath(at + QPointF(-rx * 0.6, -ry * 0.8))
    path.cubicTo(
        at + QPointF(rx * 0.5, -ry * 1.35), at + QPointF(rx * 1.25, -ry * 0.6),
        at + QPointF(rx, ry * 0.2),
    )  # fmt: skip
    path.cubicTo(
        at + QPointF(rx * 0.8, ry * 1.2), at + QPointF(-rx * 0.7, ry * 1.2),
        at + QPointF(-rx * 0.97, ry * 0.3),
    )  # fmt: skip
    path.cubicTo(
        at + QPointF(-rx * 1.1, -ry * 0.5), at + QPointF(-rx * 0.5, -ry * 1.1),
        at + QPointF(rx * 0.1, -ry * 1.1),
    )  # fmt: skip
    painter.setPen(QPen(QColor(palette.ink), 2))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawPath(path)
