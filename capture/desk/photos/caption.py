"""The strip over a photo: what it is for, how sharp it is, when it was shot and when it arrived."""

from PySide6.QtCore import QRect, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

from capture.desk.look.palette import ON_PHOTO, PLATE
from capture.desk.look.type import font

HEIGHT = 32
_MARGIN, _GAP = 12, 14


class Caption(QWidget):
    """32 pixels of light words on black. What does not fit on the left ends in an ellipsis."""

    def __init__(self) -> None:
        super().__init__()
        self.setFixedHeight(HEIGHT)
        self.setAccessibleName("about this photo")
        self._left: tuple[str, ...] = ()
        self._right = ""

    def say(self, left: tuple[str, ...], right: str = "") -> None:
        """Show words: on the left what it is, on the right its times."""
        self._left, self._right = tuple(word for word in left if word), right
        self.setAccessibleDescription(self.text)
        self.setToolTip(self.text)
        self.update()

    @property
    def text(self) -> str:
        """All of it, whether or not there is room."""
        return "  ·  ".join((*self._left, *((self._right,) if self._right else ())))

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 - Qt's name
        """Draw the words; the first of them is what the photo is for."""
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(PLATE))
        painter.setPen(QColor(ON_PHOTO))
        painter.setFont(font("caption"))
        metrics, room = painter.fontMetrics(), self.rect().adjusted(_MARGIN, 0, -_MARGIN, 0)
        # What the photo is for comes first; the times take what is left, as much as they need.
        first = metrics.horizontalAdvance(self._left[0]) + _GAP if self._left else 0
        times = metrics.elidedText(
            self._right, Qt.TextElideMode.ElideRight, max(0, room.width() - first)
        )
        painter.drawText(room, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignRight, times)
        x, end = room.left(), room.right() - metrics.horizontalAdvance(times) - _GAP + 1
        for word in self._left:
            if x >= end:
                break
            shown = metrics.elidedText(word, Qt.TextElideMode.ElideRight, end - x)
            box = QRect(x, 0, end - x, self.height())
            painter.drawText(box, Qt.AlignmentFlag.AlignVCenter, shown)
            x += metrics.horizontalAdvance(shown) + _GAP
        painter.end()
