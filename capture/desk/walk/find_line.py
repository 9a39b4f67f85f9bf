"""The line under the round's heading where words are typed, and how one goes to what is found."""

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication, QLineEdit, QVBoxLayout, QWidget
from shiboken6 import isValid

from capture.desk.look.controls import label
from capture.desk.look.type import font

_HOW = "Down, then Space goes there. Esc leaves."


class FindLine(QWidget):
    """The box, and which keys lead on. ``down`` leads into the list, ``done`` out of finding."""

    down = Signal()
    done = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.box = _FindBox(self)
        self.how = label(_HOW, "caption")
        self.how.setContentsMargins(16, 2, 12, 2)
        self._before: QWidget | None = None
        line = QVBoxLayout(self)
        line.setContentsMargins(0, 0, 0, 0)
        line.setSpacing(0)
        line.addWidget(self.box)
        line.addWidget(self.how)

    @property
    def is_wanted(self) -> bool:
        """Whether somebody is finding something."""
        return bool(self.box.text()) or self.box.hasFocus()

    def begin(self, *, not_in: QWidget) -> None:
        """Put the keyboard into the box; ``not_in``: where it is never given back to."""
        focus = QApplication.focusWidget()
        if focus is not None and not not_in.isAncestorOf(focus):
            self._before = focus
        self.show()
        self.box.setFocus(Qt.FocusReason.ShortcutFocusReason)
        self.box.selectAll()

    def end(self) -> None:
        """Empty the box and put it away."""
        self.box.clear()
        self.hide()

    def give_back(self) -> bool:
        """Give the keyboard back to what had it before; False if that is gone."""
        before, self._before = self._before, None
        if before is None or not isValid(before) or not before.isVisible():
            return False
        before.setFocus(Qt.FocusReason.OtherFocusReason)
        return True

    def say_found(self, *, found: bool) -> None:
        """Say how to go on only where there is something to go to."""
        self.how.setText(_HOW if found else "Esc leaves.")


class _FindBox(QLineEdit):
    """Where words are typed. Down goes into the list, Escape empties it; Return does nothing."""

    def __init__(self, line: FindLine) -> None:
        super().__init__(line)
        self._line = line
        self.setPlaceholderText("number or words")
        self.setAccessibleName("find a location: its number, or words of its name")
        self.setAccessibleDescription(_HOW)
        self.setFont(font())
        self.setMinimumHeight(48)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Take the keys that lead out of the box."""
        if event.key() == Qt.Key.Key_Down:
            self._line.down.emit()
        elif event.key() == Qt.Key.Key_Escape:
            self._line.done.emit()
        elif event.key() not in {Qt.Key.Key_Return, Qt.Key.Key_Enter}:
            super().keyPressEvent(event)
