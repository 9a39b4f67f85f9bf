"""The round before there is one: what a location is, and what a cover does."""

from PySide6.QtCore import QRect, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from capture.desk.look.controls import part
from capture.desk.look.hatch import paint_hatch
from capture.desk.look.palette import LIGHT, Palette
from capture.desk.look.signs import paint_sign
from capture.desk.look.type import font

_WALLS = (36.0, 66.0)  # the gallery's two walls, from the left edge
_SIGNS_Y = (112, 176, 240, 384, 448, 592, 656)
_COVERS_Y = (296, 504)
_COVER_HIGH = 40
_WORDS = (
    (112, "locations, in order"),
    (372, "once it is on, they cannot be"),
    (392, "looked at again"),
)


class Legend(QWidget):
    """A drilled gallery in section, dashed because nothing is there yet."""

    def __init__(self) -> None:
        super().__init__()
        self.colours: Palette = LIGHT
        self.setFixedWidth(304)
        self.setAccessibleName("the round to come: locations in order, and covers that hide them")
        part(self, "round")

    def wear(self, palette: Palette) -> None:
        """Draw in these colours from now on."""
        self.colours = palette
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 - Qt's name
        """Draw walls, empty bores, covers and the words beside them."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        colours = self.colours
        painter.fillRect(self.rect(), QColor(colours.ground))
        painter.fillRect(0, 0, 1, self.height(), QColor(colours.rule))
        pen = QPen(QColor(colours.ink2), 2)
        pen.setDashPattern([3, 2.5])
        painter.setPen(pen)
        for x in _WALLS:
            painter.drawLine(int(x), 0, int(x), self.height())
        for y in _SIGNS_Y:
            square = QRectF(_WALLS[0] + 4, y - 12, 22, 22)
            paint_sign(painter, square, "not measured", colours)
        for y in _COVERS_Y:
            self._cover(painter, y)
        painter.setFont(font("caption"))
        painter.setPen(QColor(colours.ink2))
        for y, words in _WORDS:
            box = QRect(84, y - 12, self.width() - 88, 24)
            painter.drawText(box, Qt.AlignmentFlag.AlignVCenter, words)
        painter.end()

    def _cover(self, painter: QPainter, y: int) -> None:
        colours = self.colours
        bar = QRectF(20, y, self.width() - 19, _COVER_HIGH)
        painter.fillRect(bar, QColor(colours.ground))
        paint_hatch(painter, bar, colours.rule, gap=8)
        pen = QPen(QColor(colours.ink2), 2)
        pen.setDashPattern([3, 2.5])
        painter.setPen(pen)
        painter.drawRect(bar)
        if y == _COVERS_Y[0]:
            plate = QRect(84, y + 8, self.width() - 100, 24)
            painter.fillRect(plate, QColor(colours.ground))
            painter.setFont(font("caption"))
            painter.setPen(QColor(colours.ink2))
            painter.drawText(
                plate.adjusted(8, 0, 0, 0), Qt.AlignmentFlag.AlignVCenter, "a cover that hides them"
            )
