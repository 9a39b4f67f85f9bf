"""Where a photo would be: a dashed outline, and how one gets here."""

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from capture.desk.look.palette import Palette
from capture.desk.look.type import font

_INSET = 16.0


class Empty(QWidget):
    """A box of the sheet, not a black one: nothing is there yet, and it says what to do."""

    def __init__(self, palette: Palette) -> None:
        super().__init__()
        self._words, self._palette = "", palette

    def wear(self, palette: Palette) -> None:
        """Draw in these colours from now on."""
        self._palette = palette
        self.update()

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
        painter.fillRect(self.rect(), QColor(self._palette.ground))
        pen = QPen(QColor(self._palette.edge), 2)
        pen.setDashPattern([5.0, 4.0])
        painter.setPen(pen)
        painter.drawRect(QRectF(self.rect()).adjusted(_INSET, _INSET, -_INSET, -_INSET))
        painter.setPen(QColor(self._palette.ink))
        painter.setFont(font())
        room = self.rect().adjusted(48, 32, -48, -32)
        painter.drawText(room, Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap, self._words)
        painter.end()
