"""The line below the round: what comes next, and what was counted and does not close."""

from PySide6.QtCore import QRect, QSize, Qt
from PySide6.QtGui import QFontMetrics, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QPushButton, QVBoxLayout, QWidget

from capture.desk.desk import Desk
from capture.desk.look.controls import label
from capture.desk.look.type import font
from capture.desk.walk.following import Next, next_of
from capture.desk.where import Where
from capture.words.quantities import count_text
from store.plan import Plan
from store.round import Round

_NOTHING = Next("", "")


class NextLine(QWidget):
    """Counts that do not close, one line each, and a button that goes to what comes next."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self.next = _NOTHING
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
            self._say(_NOTHING)
            return
        self.counts.setText("\n".join(known.counts_open))
        following = self._desk.next_open
        location = following.location.id if following else ""
        self._say(next_of(known, self._desk.where, location))

    def say_plan(self, plan: Plan) -> None:
        """Say how much there is in a plan."""
        self.counts.hide()
        locations = count_text(len(plan.locations), "location")
        holds = count_text(len(plan.hold_points), "hold point")
        self._say(Next(f"{locations}, {holds}", ""))

    def _say(self, following: Next) -> None:
        self.next = following
        self.button.say(following)

    def _go(self) -> None:
        if self.next.hold:
            self._desk.go(Where("hold", self.next.hold))
        elif self.next.key:
            self._desk.go_to_next()


class _NextButton(QPushButton):
    """Words, the rest of them in bold, and the key that goes there."""

    def __init__(self) -> None:
        super().__init__()
        self._next = _NOTHING
        self.setProperty("part", "bare")
        self.setMinimumHeight(48)
        self.setAutoDefault(False)
        self.setFont(font("caption"))

    def say(self, following: Next) -> None:
        """Show other words; only what leads somewhere can be pressed."""
        self._next = following
        self.setEnabled(bool(following.key or following.hold))
        said = " ".join(filter(None, (following.words, following.bold)))
        self.setAccessibleName(f"{said} ({following.key})" if following.key else said)
        self.update()

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return one line."""
        return QSize(200, 48)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Draw the words; what does not fit ends in an ellipsis, the key is always whole."""
        super().paintEvent(event)
        painter = QPainter(self)
        painter.setPen(self.palette().color(self.foregroundRole()))
        key = self._next.key
        cap = QFontMetrics(font("caption")).horizontalAdvance(key) + 14 if key else 0
        x, end = 16, self.width() - 16 - (cap + 12 if cap else 0)
        for text, bold in ((self._next.words, False), (self._next.bold, True)):
            painter.setFont(font("caption", bold=bold))
            metrics = painter.fontMetrics()
            shown = metrics.elidedText(text, Qt.TextElideMode.ElideMiddle, max(0, end - x))
            line = QRect(x, 0, max(0, end - x) + 2, self.height())
            painter.drawText(line, Qt.AlignmentFlag.AlignVCenter, shown)
            x += metrics.horizontalAdvance(shown) + 5
        if cap:
            self._draw_cap(painter, QRect(x + 8, (self.height() - 22) // 2, cap, 22))
        painter.end()

    def _draw_cap(self, painter: QPainter, box: QRect) -> None:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(painter.pen().color(), 1.2))
        painter.setFont(font("caption"))
        painter.drawRoundedRect(box, 2, 2)
        painter.drawText(box, Qt.AlignmentFlag.AlignCenter, self._next.key)
