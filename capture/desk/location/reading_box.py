"""The box that readings are typed into: big enough for arm's length, and it has the focus."""

from collections.abc import Callable

from PySide6.QtCore import QRectF, Qt, Signal
from PySide6.QtGui import (
    QAccessible,
    QAccessibleAnnouncementEvent,
    QColor,
    QPainter,
    QPaintEvent,
    QPen,
)
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from capture.desk.location.figures import Figures
from capture.desk.look.controls import label
from capture.desk.look.palette import LIGHT, Palette

_OUTSIDE = 8  # the ring and its gap


class ReadingBox(QWidget):
    """The figures, the unit beside them, and the ring that says where typing goes."""

    typed = Signal(str)
    filed = Signal(str)
    stray = Signal()
    moved = Signal(int, int)
    escaped = Signal()

    def __init__(self) -> None:
        super().__init__()
        self._palette = LIGHT
        self.setFixedHeight(100)
        self.figures = Figures()
        self._unit = label("", "head")
        self._unit.setProperty("part", "caption")
        self._side = label("", "body", bold=True)
        line = QHBoxLayout(self)
        line.setContentsMargins(_OUTSIDE + 12, _OUTSIDE, _OUTSIDE + 16, _OUTSIDE)
        line.setSpacing(10)
        line.addWidget(self.figures, 1)
        beside = QVBoxLayout()
        beside.setSpacing(0)
        beside.addStretch(1)
        beside.addWidget(self._unit)
        beside.addWidget(self._side)
        beside.addStretch(1)
        line.addLayout(beside)
        self.setFocusProxy(self.figures)
        self.figures.textEdited.connect(self.typed)
        self.figures.filed.connect(self.filed)
        self.figures.stray.connect(self.stray)
        self.figures.moved.connect(self.moved)
        self.figures.escaped.connect(self.escaped)

    @property
    def text(self) -> str:
        """What stands in the box."""
        return self.figures.text()

    def put(self, text: str) -> None:
        """Put a text into the box, as if it had been typed."""
        self.figures.setText(text)
        self.typed.emit(text)

    def select(self) -> None:
        """Mark the whole text, so that the next figure takes its place."""
        self.figures.selectAll()

    def clear(self) -> None:
        """Empty the box."""
        self.put("")

    def ask_for(self, words: str, unit: str, side: str = "") -> None:
        """Say what is asked for, in which unit, and to which side a bare number counts."""
        for shown, text in ((self._unit, unit), (self._side, side)):
            shown.setText(text)
            shown.setVisible(bool(text))
        unit = f"{unit} {side}".strip()
        self.figures.setAccessibleName(f"{words}, in {unit}" if unit else words)

    def say(self, words: str) -> None:
        """Say to a screen reader what was understood."""
        self.figures.setAccessibleDescription(words)

    def answer_with(self, letters: dict[str, Callable[[], object]]) -> None:
        """Let these letters answer a question while it hangs below; {} when it is answered."""
        self.figures.letters = letters

    def choose_with(self, choose: Callable[[int], object] | None) -> None:
        """Let one figure choose from a list while it is open."""
        self.figures.choose = choose

    def wear(self, palette: Palette) -> None:
        """Draw in other colours."""
        self._palette = palette
        self.figures.caret = QColor(palette.accent)
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 - Qt's name
        """Draw the well, its outline and the ring of the focus."""
        painter = QPainter(self)
        box = QRectF(self.rect()).adjusted(6, 6, -6, -6)
        painter.fillRect(box, QColor(self._palette.well))
        pen = QPen(QColor(self._palette.ink), 2)
        pen.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
        painter.setPen(pen)
        painter.drawRect(box.adjusted(1, 1, -1, -1))
        if self.figures.hasFocus():
            pen.setColor(QColor(self._palette.accent))
            pen.setWidth(4)
            painter.setPen(pen)
            painter.drawRect(QRectF(self.rect()).adjusted(2, 2, -2, -2))
        painter.end()


def announce(box: ReadingBox, words: str) -> None:
    """Have a screen reader say something at once."""
    QAccessible.updateAccessibility(QAccessibleAnnouncementEvent(box.figures, words))
