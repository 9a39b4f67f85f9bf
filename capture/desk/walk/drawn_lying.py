"""A location's sign, and what stands where there is none: solid material, another cover."""

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen

from capture.desk.look.hatch import paint_hatch
from capture.desk.look.palette import Palette
from capture.desk.look.signs import paint_sign
from capture.desk.walk.lying import Lying

_PEN = 2.0


def draw_lying(painter: QPainter, square: QRectF, lies: Lying, colours: Palette) -> None:
    """Draw the sign of a location, or solid material where it was never fitted."""
    if lies.fitted:
        paint_sign(painter, square, lies.state, colours, suspect=lies.suspect)
    else:
        draw_solid(painter, square, colours)


def draw_solid(painter: QPainter, square: QRectF, colours: Palette) -> None:
    """Draw solid material where a block never had a bore."""
    solid = square.adjusted(0, square.height() * 0.42, 0, 0)
    painter.fillRect(solid, QColor(colours.slab))
    paint_hatch(painter, solid, colours.hatch, gap=4, width=1.2)
    painter.setPen(QPen(QColor(colours.ink), _PEN))
    painter.drawLine(solid.topLeft(), solid.topRight())


def draw_small_cover(painter: QPainter, box: QRectF, colours: Palette) -> None:
    """Draw another cover that has to go on first."""
    painter.fillRect(box, QColor(colours.slab))
    paint_hatch(painter, box, colours.hatch, gap=5, width=1.2)
    painter.setPen(QPen(QColor(colours.ink), _PEN))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRect(box)
