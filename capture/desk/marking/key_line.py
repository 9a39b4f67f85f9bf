"""The line below the photo: what is held, and the keys that act on it, each a button too."""

from PySide6.QtCore import QRect, QSize, Qt
from PySide6.QtGui import QKeySequence, QPainter, QPaintEvent, QResizeEvent, QShortcut
from PySide6.QtWidgets import QLabel, QSizePolicy, QWidget

from annotate.pane.canvas import PhotoCanvas
from annotate.pane.editing import Active
from capture.desk.look.controls import Verb, row
from capture.desk.look.type import font
from capture.desk.marking.rim_names import RimNames

HINTS = {
    "near rim": "Near rim: press along its drilled edge, five times or more",
    "far rim": "Far rim: press along the arc that is seen, three times or more",
    "far outline": "Opening: its corners all round, hidden too",
    "scale": "Scale: press its two ends",
    "circle": "Scale: press along the circle, five times or more",
    "distance": "Distance: press its two ends",
    "diameter": "Diameter: press along the edge, three times or more",
    "angle": "Angle: press one arm, the corner, the other arm",
    "area": "Area: press its corners",
    "note": "Note: press where it belongs",
}
_ROOM_FOR_ALL = 760
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
        self.names = RimNames()
        self._held = Giving()
        self._finish = KeyVerb("finish", "Ctrl+Return", does=canvas.finish_tool)
        verbs = (
            self._finish,
            KeyVerb("next handle", key="Tab", does=self._next),
            KeyVerb("other rim", "X", does=self._other),
            KeyVerb("look again", "R", does=again),
            KeyVerb("undo", "Ctrl+Z", does=canvas.undo),
            KeyVerb("redo", key="Ctrl Y", does=canvas.redo),
            KeyVerb("leave it", "Esc", does=leave),
        )
        self.verbs = {verb.words(): verb for verb in verbs}
        line = row(self._held, *verbs, gap=0)
        line.setStretch(0, 1)
        self.setLayout(line)
        canvas.active_changed.connect(self._tell)
        canvas.tool_changed.connect(self._show_tool)
        for asks in (canvas.length_wanted, canvas.words_wanted):
            asks.connect(lambda _: self._finish.hide())
        # Not the button's: it is the first to go where there is no room.
        redo = QShortcut(QKeySequence("Ctrl+Y"), self)
        redo.activated.connect(canvas.redo)
        self._show_tool("")

    def minimumSizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return what is left without the verb that gives way."""
        hint = super().minimumSizeHint()
        return QSize(hint.width() - self.verbs["redo"].sizeHint().width(), hint.height())

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Let redo give way where there is no room for it."""
        super().resizeEvent(event)
        self.verbs["redo"].setVisible(self.width() >= _ROOM_FOR_ALL)

    def show_state(self, state: str) -> None:
        """Offer what can be done now."""
        placing = state in {"placing", "press"}
        for words in ("next handle", "other rim", "look again"):
            self.verbs[words].setEnabled(placing)

    def _show_tool(self, tool: str) -> None:
        self._finish.setVisible(bool(tool))
        self.verbs["next handle"].setVisible(not tool)
        self.verbs["other rim"].setVisible(not tool)
        self._held.say(self.names.put_in(HINTS.get(tool, "")))

    def _tell(self, active: Active | None) -> None:
        self._held.say("" if active is None else (
            f"Handle {active.handle + 1} of {active.count} on the "
            f"{self.names.put_in(active.name)}"
        ))  # fmt: skip

    def _next(self) -> None:
        self._canvas.setFocus()
        self._canvas.next_handle()

    def _other(self) -> None:
        self._canvas.setFocus()
        self._canvas.next_mark()
