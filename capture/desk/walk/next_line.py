"""The line below the round: what comes next, and what was counted and does not close."""

from PySide6.QtCore import QRect, QSize, Qt
from PySide6.QtGui import QFontMetrics, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QPushButton, QVBoxLayout, QWidget

from capture.desk.desk import Desk
from capture.desk.look.controls import label
from capture.desk.look.type import font
from capture.desk.walk.rows import next_words
from capture.desk.where import Where
from capture.words.owed import next_check
from capture.words.quantities import count_text
from store.plan import Plan
from store.round import Round

_KEY = "F4"


class NextLine(QWidget):
    """Counts that do not close, one line each, and a button that goes to what comes next."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self.counts = label("", "caption", wrap=True)
        self.counts.setContentsMargins(16, 8, 12, 0)
        self.button = _NextButton()
        self.button.clicked.connect(self._go)
        down = QVBoxLayout(self)
        down.setContentsMargins(0, 0, 0, 4)
        down.setSpacing(0)
        down.addWidget(self.counts)
        down.addWidget(self.button)

    def say(self, known: Round | None) -> None:
        """Say what comes next in a job."""
        self.counts.setVisible(bool(known and known.counts_open))
        if known is None:
            self.button.say("", "", key="")
            return
        self.counts.setText("\n".join(known.counts_open))
        following = next_check(known)
        location = following.location.id if following else ""
        self.button.say(*next_words(known, self._desk.where, location), key=_KEY)

    def say_plan(self, plan: Plan) -> None:
        """Say how much there is in a plan."""
        self.counts.hide()
        locations = count_text(len(plan.locations), "location")
        self.button.say(
            f"{locations}, {count_text(len(plan.hold_points), 'hold point')}", "", key=""
        )

    def _go(self) -> None:
        known = self._desk.round
        if known is None:
            return
        waiting = next((h for h in known.holds if h.closed is None), None)
        if next_check(known) is None and waiting is not None:
            self._desk.go(Where("hold", waiting.hold_point.id))
        else:
            self._desk.go_to_next()


class _NextButton(QPushButton):
    """Words, the rest of them in bold, and the key that goes there."""

    def __init__(self) -> None:
        super().__init__()
        self._words, self._bold, self._key = "", "", ""
        self.setProperty("part", "bare")
        self.setMinimumHeight(48)
        self.setFont(font("caption"))

    def say(self, words: str, bold: str, *, key: str) -> None:
        """Show other words; a key only where it goes somewhere."""
        self._words, self._bold, self._key = words, bold, key
        self.setEnabled(bool(key))
        self.setAccessibleName(f"{words} {bold} ({key})" if key else words)
        self.update()

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return one line."""
        return QSize(200, 48)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Draw the words; what does not fit ends in an ellipsis, the key is always whole."""
        super().paintEvent(event)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        colour = self.palette().color(self.foregroundRole())
        painter.setPen(colour)
        cap = QFontMetrics(font("caption")).horizontalAdvance(self._key) + 14 if self._key else 0
        x, end = 16, self.width() - 16 - (cap + 12 if cap else 0)
        for text, bold in ((self._words, False), (self._bold, True)):
            face = font("caption", bold=bold)
            metrics = QFontMetrics(face)
            painter.setFont(face)
            shown = metrics.elidedText(text, Qt.TextElideMode.ElideRight, max(0, end - x))
            painter.drawText(
                QRect(x, 0, end - x + 2, self.height()), Qt.AlignmentFlag.AlignVCenter, shown
            )
            x += metrics.horizontalAdvance(shown) + 5
        if cap:
            box = QRect(x + 8, (self.height() - 22) // 2, cap, 22)
            painter.setPen(QPen(colour, 1.2))
            painter.setFont(font("caption"))
            painter.drawRoundedRect(box, 2, 2)
            painter.drawText(box, Qt.AlignmentFlag.AlignCenter, self._key)
        painter.end()
