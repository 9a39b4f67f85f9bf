"""The history of a check as a list: one line through what was struck, which stays legible."""

from collections.abc import Callable

from PySide6.QtCore import QLineF, Qt, Signal
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QHBoxLayout, QLabel, QVBoxLayout, QWidget

from capture.desk.location.history import Line
from capture.desk.look.controls import Verb, label, rule
from capture.desk.look.type import font


class HistoryList(QWidget):
    """Lines, the newest first. ``strikes`` says whether each has its verb."""

    strike_wanted = Signal(object)  # Line

    def __init__(self, *, strikes: bool, most: int = 0) -> None:
        super().__init__()
        self._strikes, self._most = strikes, most
        self._lines: tuple[Line, ...] = ()
        self._room = QVBoxLayout(self)
        self._room.setContentsMargins(0, 0, 0, 0)
        self._room.setSpacing(4)

    @property
    def lines(self) -> tuple[Line, ...]:
        """What is shown."""
        return self._lines

    def show_lines(self, lines: tuple[Line, ...]) -> None:
        """Show another history."""
        shown = lines[: self._most] if self._most else lines
        if shown == self._lines:
            return
        self._lines = shown
        while (item := self._room.takeAt(0)) is not None:
            if (old := item.widget()) is not None:
                old.hide()
                old.deleteLater()
        for line in shown:
            self._room.addWidget(self._row(line))
            if self._strikes:
                self._room.addWidget(rule())

    def _row(self, line: Line) -> QWidget:
        made = QWidget()
        words = QVBoxLayout()
        words.setSpacing(0)
        head = label(_capital(line.head), "caption", bold=True)
        said = _Crossed(line.said) if line.crossed else label(line.said, "body", wrap=True)
        words.addWidget(head)
        words.addWidget(said)
        words.addWidget(label(line.note, "caption", wrap=True))
        across = QHBoxLayout(made)
        across.setContentsMargins(0, 0, 0, 0)
        across.addLayout(words, 1)
        if self._strikes and line.entry:
            verb = Verb("Strike", does=lambda: self.strike_wanted.emit(line))
            verb.setAccessibleName(f"Strike {line.head}: {line.said}")
            verb.setFocusPolicy(Qt.FocusPolicy.TabFocus)
            across.addWidget(verb, 0, Qt.AlignmentFlag.AlignTop)
        struck = "struck, " if line.crossed else ""
        made.setAccessibleName(f"{line.head}: {struck}{line.said}; {line.note}")
        return made


class _Crossed(QLabel):
    """Words with one line through them, in ink: struck, and legible."""

    def __init__(self, text: str) -> None:
        super().__init__(text)
        self.setFont(font())
        self.setWordWrap(True)
        self.setTextFormat(Qt.TextFormat.PlainText)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Draw the words, then the line."""
        super().paintEvent(event)
        painter = QPainter(self)
        painter.setPen(QPen(QColor(self.palette().color(self.foregroundRole())), 1.4))
        metrics = QFontMetricsF(self.font())
        rows = max(1, round(self.height() / metrics.lineSpacing()))
        wide = min(metrics.horizontalAdvance(self.text()), float(self.width()))
        for row in range(rows):
            y = metrics.lineSpacing() * row + metrics.ascent() * 0.68
            y += (self.height() - rows * metrics.lineSpacing()) / 2
            painter.drawLine(QLineF(0, y, wide, y))
        painter.end()


class HistoryPage(QWidget):
    """The whole history, with a verb that leads back."""

    def __init__(self, worked_on: Callable[[], object], leave: Callable[[], object]) -> None:
        super().__init__()
        self.list = HistoryList(strikes=True)
        self._none = label("Nothing was read here yet.", "body", wrap=True)
        self.worked_on = Verb("Worked on", "Ctrl+R", does=worked_on)
        self._leave = Verb("Leave", "Esc", does=leave)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 8, 0, 8)
        column.setSpacing(8)
        column.addWidget(label("History", "body", bold=True))
        head = QHBoxLayout()
        head.setSpacing(8)
        head.addWidget(self.worked_on)
        head.addWidget(self._leave)
        head.addStretch(1)
        column.addLayout(head)
        column.addWidget(self._none)
        column.addWidget(self.list)
        column.addStretch(1)

    def show_lines(self, lines: tuple[Line, ...]) -> None:
        """Show another history."""
        self._none.setVisible(not lines)
        self.list.show_lines(lines)


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
