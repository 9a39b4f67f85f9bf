"""A calliper that types like a keyboard: a fast burst of characters, ending in Return.

Wherever the focus is, a burst goes to the reading box if one is showing; where none is, it is
shown and not filed. A person types slower than this, and what a person types is left alone. The
first character of a burst can't be told from a person's: it is held back for as long as the next
one may take, then let go.
"""

from time import monotonic
from typing import Protocol, runtime_checkable

from PySide6.QtCore import QCoreApplication, QEvent, QObject, Qt, QTimer
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication, QLineEdit, QMainWindow, QPlainTextEdit, QTextEdit

GAP_MS = 40  # between two characters of one burst; a fast typist needs about 80 (from memory)
_ENDS = (Qt.Key.Key_Return, Qt.Key.Key_Enter)
_FIGURES = frozenset("0123456789.,+-/ ")


@runtime_checkable
class TakesReadings(Protocol):
    """A screen that has a reading box."""

    def take_burst(self, text: str) -> bool:
        """Take a whole reading as if typed into the box and filed; False if no box is showing."""
        ...


class TypingBurst(QObject):
    """Watches the keys of one window."""

    def __init__(self, window: QMainWindow) -> None:
        super().__init__(window)
        self._window = window
        self._text, self._last = "", 0.0
        self._held: list[tuple[QObject, QKeyEvent]] = []
        self._letting_go = False
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(GAP_MS)
        self._timer.timeout.connect(self._let_go)

    def install(self) -> None:
        """Begin to watch."""
        if (app := QCoreApplication.instance()) is not None:
            app.installEventFilter(self)

    def remove(self) -> None:
        """Watch no more."""
        self._timer.stop()
        if (app := QCoreApplication.instance()) is not None:
            app.removeEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's name
        """Hold back figures that may begin a burst, and deliver the burst when it ends."""
        if self._letting_go or event.type() not in {
            QEvent.Type.KeyPress, QEvent.Type.ShortcutOverride,
        }:  # fmt: skip
            return False
        if not isinstance(event, QKeyEvent) or not self._concerns(watched):
            return False
        if event.type() == QEvent.Type.ShortcutOverride:
            # A held figure must not fire a shortcut meanwhile.
            if event.text() in _FIGURES and event.text() and not _is_text_box():
                event.accept()
                return True
            return False
        return self._pressed(watched, event)

    def _concerns(self, watched: QObject) -> bool:
        if QApplication.activeModalWidget() is not None:
            return False
        focus = QApplication.focusWidget()
        return watched is focus or (focus is None and watched is self._window)

    def _pressed(self, watched: QObject, event: QKeyEvent) -> bool:
        now = monotonic()
        fast = (now - self._last) * 1000 <= GAP_MS
        self._last = now
        text = event.text()
        plain = not event.modifiers() & ~(
            Qt.KeyboardModifier.KeypadModifier | Qt.KeyboardModifier.ShiftModifier
        )
        if event.key() in _ENDS and self._text and fast and len(self._text) > 1:
            return self._deliver()
        if text and text in _FIGURES and plain and not _is_text_box():
            if not fast:
                self._let_go()
            self._text += text
            self._held.append((watched, QKeyEvent(
                event.type(), event.key(), event.modifiers(), text, event.isAutoRepeat()
            )))  # fmt: skip
            self._timer.start()
            return True
        self._let_go()
        return False

    def _deliver(self) -> bool:
        text, self._text = self._text, ""
        self._held.clear()
        self._timer.stop()
        shown = getattr(self._window, "screen_shown", None)
        if isinstance(shown, TakesReadings) and shown.take_burst(text):
            return True
        desk = getattr(self._window, "desk", None)
        if desk is not None:
            desk.told.emit(
                f"{text} was typed and not filed: no reading box is showing. Go to its check first"
            )
        return True

    def _let_go(self) -> None:
        """Give the keys that were held to where they were meant for: a person typed them."""
        held, self._held, self._text = self._held, [], ""
        self._timer.stop()
        self._letting_go = True
        try:
            for watched, event in held:
                QCoreApplication.sendEvent(watched, event)
        finally:
            self._letting_go = False


def _is_text_box() -> bool:
    return isinstance(QApplication.focusWidget(), QLineEdit | QPlainTextEdit | QTextEdit)
