"""The program's own icon: a plug that sits flush in its bore, on a slab of hatched metal."""

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QIcon, QPainter, QPixmap

from capture.desk.look.hatch import paint_hatch
from capture.desk.look.palette import LIGHT

_SIZES = (16, 24, 32, 48, 64, 128, 256)


def app_icon() -> QIcon:
    """Return the icon in every size that a desktop asks for."""
    made = QIcon()
    for size in _SIZES:
        made.addPixmap(_drawn(size))
    return made


def _drawn(size: int) -> QPixmap:
    picture = QPixmap(size, size)
    picture.fill(Qt.GlobalColor.transparent)
    painter = QPainter(picture)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.scale(size / 32, size / 32)
    painter.fillRect(QRectF(2, 10, 28, 20), QColor(LIGHT.slab))
    paint_hatch(painter, QRectF(2, 10, 28, 20), LIGHT.hatch, gap=3.2, width=0.9)
    painter.fillRect(QRectF(8, 9, 16, 16), QColor(LIGHT.sheet))
    painter.fillRect(QRectF(10.5, 10, 11, 11), QColor(LIGHT.within))
    for x, y, w, h in ((0, 8, 9, 2.5), (23, 8, 9, 2.5), (7, 8, 2.5, 18), (22.5, 8, 2.5, 18),
                       (7, 23.5, 18, 2.5)):  # fmt: skip
        painter.fillRect(QRectF(x, y, w, h), QColor(LIGHT.ink))
    painter.end()
    return picture
