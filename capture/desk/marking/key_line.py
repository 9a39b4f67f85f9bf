"""The line below the photo: what is held, and the keys that act on it, each a button too."""

from PySide6.QtCore import QRect, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QLabel, QSizePolicy, QWidget

from annotate.pane.canvas import PhotoCanvas
from annotate.pane.editing import Active
from capture.desk.look.controls import Verb, row
from capture.desk.look.type import font

_TIGHT = 20  # less air than other verbs have: six stand side by side


class KeyVerb(Verb):
    """A verb in small type without an outline, for a row of several."""

    def __init__(self, text: str, shortcut: str = "", **more: object) -> None:
        super().__init__(text, shortcut, bare=True, **more)  # type: ignore[arg-type] # Verb's own
        self.setFont(font("caption"))
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return room for the words and the key, and little more."""
        hint = super().sizeHint()
        return QSize(hint.width() - _TIGHT, hint.height())


class Giving(QLabel):
    """One line that gives way where there is no room; whole for a screen reader."""

    def __init__(self) -> None:
        super().__init__()
        self.setFont(font("caption"))
        self.setProperty("part", "caption")
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)

    def say(self, text: str) -> None:
        """Say something else."""
        self.setText(text)
        self.setAccessibleName(text)
        self.setToolTip(text)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 - Qt's name
        """Draw as much as there is room for."""
        painter = QPainter(self)
        metrics = self.fontMetrics()
        fitting = metrics.elidedText(self.text(), Qt.TextElideMode.ElideRight, self.width())
        painter.setPen(self.palette().color(self.foregroundRole()))
        painter.drawText(
            QRect(0, 0, self.width(), self.height()), Qt.AlignmentFlag.AlignVCenter, fitting
        )
        painter.end()


class KeyLine(QWidget):
    """Next handle, other rim, look again, undo, redo, leave it."""

    def __init__(self, canvas: PhotoCanvas, *, again: object, leave: object) -> None:
        super().__init__()
        self._canvas = canvas
        self._held = Giving()
        verbs = (
            KeyVerb("next handle", key="Tab", does=self._next),
            KeyVerb("other rim", "X", does=self._other),
            KeyVerb("look again", "R", does=again),
            KeyVerb("undo", "Ctrl+Z", does=canvas.undo),
            KeyVerb("redo", "Ctrl+Shift+Z", key="Ctrl Y", does=canvas.redo),
            KeyVerb("leave it", "Esc", does=leave),
        )
        self.verbs = {verb.words(): verb for verb in verbs}
        line = row(self._held, *verbs, gap=0)
        line.setStretch(0, 1)
        self.setLayout(line)
        canvas.active_changed.connect(self._tell)

    def _tell(self, active: Active | None) -> None:
        self._held.say("" if active is None else (
            f"Handle {active.handle + 1} of {active.count} on the {active.name}"
        ))  # fmt: skip

    def _next(self) -> None:
        self._canvas.setFocus()
        self._canvas.next_handle()

    def _other(self) -> None:
        self._canvas.setFocus()
        self._canvas.next_mark()
