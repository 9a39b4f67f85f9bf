"""Where a photo would be: a dashed outline, and how one gets here."""

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from capture.desk.look.palette import ON_PHOTO, PLATE
from capture.desk.look.type import font

_INSET = 16.0
_DASHED = "#7F8485"


class Empty(QWidget):
    """Black as the photo's own ground, so that the eye finds the same block in the same place."""

    def __init__(self) -> None:
        super().__init__()
        self._words = ""

    @property
    def words(self) -> str:
        """What is said."""
        return self._words

    def say(self, words: str) -> None:
        """Say why nothing is shown, and what to do."""
        self._words = words
        self.setAccessibleName(words)
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 - Qt's name
        """Draw the dashed outline and the words in it."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(self.rect(), QColor(PLATE))
        pen = QPen(QColor(_DASHED), 2)
        pen.setDashPattern([5.0, 4.0])
        painter.setPen(pen)
        painter.drawRect(QRectF(self.rect()).adjusted(_INSET, _INSET, -_INSET, -_INSET))
        painter.setPen(QColor(ON_PHOTO))
        painter.setFont(font())
        room = self.rect().adjusted(48, 32, -48, -32)
        painter.drawText(room, Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap, self._words)
        painter.end()
