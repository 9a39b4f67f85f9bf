"""Where a dragged photo may be dropped: a dashed outline, and where it will be filed."""

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from capture.desk.look.palette import FAR_RIM, ON_PHOTO, PLATE
from capture.desk.look.type import font

_INSET, _LINE = 12.0, 3.0
_DASH = [6.0, 4.0]


class DropSign(QWidget):
    """Lies over the photo while something is dragged over it."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self._words = ""
        self.hide()

    def show_over(self, room: QWidget, words: str) -> None:
        """Show it over all of a widget."""
        self._words = words
        self.setGeometry(room.rect())
        self.raise_()
        self.show()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 - Qt's name
        """Draw the outline and the words on what lies beneath, darkened."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        dark = QColor(PLATE)
        dark.setAlphaF(0.8)
        painter.fillRect(self.rect(), dark)
        pen = QPen(QColor(FAR_RIM), _LINE)
        pen.setDashPattern(_DASH)
        painter.setPen(pen)
        painter.drawRect(QRectF(self.rect()).adjusted(_INSET, _INSET, -_INSET, -_INSET))
        painter.setPen(QColor(ON_PHOTO))
        painter.setFont(font(bold=True))
        room = self.rect().adjusted(32, 32, -32, -32)
        painter.drawText(room, Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap, self._words)
        painter.end()
