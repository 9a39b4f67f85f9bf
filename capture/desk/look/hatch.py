"""Hatch: solid material in the way. Drawn by hand, so that it is the same at every scale."""

from PySide6.QtCore import QLineF, QRectF
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPen


def paint_hatch(
    painter: QPainter,
    area: QRectF | QPainterPath,
    colour: str,
    *,
    gap: float = 9.0,
    width: float = 1.5,
    left: bool = False,
) -> None:
    """Fill an area with lines at 45 degrees; ``left`` leans them the other way."""
    path = QPainterPath()
    if isinstance(area, QRectF):
        path.addRect(area)
    else:
        path = area
    box = path.boundingRect()
    painter.save()
    painter.setClipPath(path)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(QColor(colour), width))
    step, high = gap * 2**0.5, box.height()
    # From a fixed origin, so that two areas side by side carry one hatch.
    x = (box.left() - high) // step * step
    while x < box.right():
        if left:
            painter.drawLine(QLineF(x, box.top(), x + high, box.bottom()))
        else:
            painter.drawLine(QLineF(x, box.bottom(), x + high, box.top()))
        x += step
    painter.restore()
