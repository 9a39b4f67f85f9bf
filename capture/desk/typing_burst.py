"""A calliper that types like a keyboard: a fast burst of characters, ending in Return.

- A burst goes to the reading box wherever the focus is, and is filed there. Where no box is
  showing, it is said and not filed.
- In a text box that is no reading box the figures stay where they were typed, and the Return that
  ends them is kept from it: nothing is filed, nothing is lost, and it is said.
- A person types slower. The first figure of a burst can't be told from a person's: where no text
  box takes it, it is held back for as long as the next one may take, then let go, and fires the
  shortcut or reaches the control that it was meant for.
- A plain Return never presses a button: some desktops have it do so, and a calliper ends in one.
"""

from time import monotonic
from typing import NamedTuple, Protocol, runtime_checkable

from PySide6.QtCore import QCoreApplication, QEvent, QObject, Qt, QTimer
from PySide6.QtGui import QKeyEvent, QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractSpinBox,
    QApplication,
    QComboBox,
    QLineEdit,
    QMainWindow,
    QPlainTextEdit,
    QTextEdit,
    QWidget,
)
from shiboken6 import isValid

GAP_MS = 40  # between two characters of one burst; a fast typist needs about 80 (from memory)
_SHORTEST = 2  # characters before the Return: one alone is a person's
_ENDS = (Qt.Key.Key_Return, Qt.Key.Key_Enter)
_FIGURES = frozenset("0123456789.,+-/ ")
_WITH = Qt.KeyboardModifier.KeypadModifier | Qt.KeyboardModifier.ShiftModifier
_WATCHED = {QEvent.Type.KeyPress, QEvent.Type.KeyRelease, QEvent.Type.ShortcutOverride}
TAKES_READINGS = "takes readings"  # property of a text box that files what Return ends


@runtime_checkable
class TakesReadings(Protocol):
    """A screen that has a reading box."""

    def take_burst(self, text: str) -> bool:
        """Take a whole reading as if typed into the box and filed; False if no box is showing."""
        ...


class _Held(NamedTuple):
    """A key that is held back: who it was for, and its press or release."""

    watched: QObject
    event: QKeyEvent


class TypingBurst(QObject):
    """Watches the keys of one window."""

    def __init__(self, window: QMainWindow) -> None:
        super().__init__(window)
        self._window = window
        self._text, self._last_ms = "", 0.0
        self._held: list[_Held] = []
        self._letting_go = self._is_on = False
        self._at: QWidget | None = None  # what has the keyboard, and is watched
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(GAP_MS)
        self._timer.timeout.connect(self._let_go)

    def install(self) -> None:
        """Begin to watch what has the keyboard, and the window itself.

        Not the application: a look at each of its events costs 40 ms a page while another thread
        computes.
        """
        self._window.installEventFilter(self)
        app = QCoreApplication.instance()
        if isinstance(app, QApplication) and not self._is_on:
            self._is_on = True
            app.focusChanged.connect(self._follow)
            self._follow(None, app.focusWidget())

    def remove(self) -> None:
        """Watch no more."""
        self._timer.stop()
        app = QCoreApplication.instance()
        if isinstance(app, QApplication) and self._is_on:
            self._is_on = False
            app.focusChanged.disconnect(self._follow)
        self._follow(None, None)
        self._window.removeEventFilter(self)

    def _follow(self, _: QWidget | None, focus: QWidget | None) -> None:
        """Watch what has the keyboard now."""
        if self._at is not None and isValid(self._at):
            self._at.removeEventFilter(self)
        here = focus is not None and focus is not self._window and focus.window() is self._window
        self._at = focus if here else None
        if self._at is not None:
            self._at.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's name
        """Hold back what may begin a burst, and deliver the burst when it ends."""
        if self._letting_go or event.type() not in _WATCHED or not isinstance(event, QKeyEvent):
            return False
        if not self._concerns(watched):
            return False
        if event.type() == QEvent.Type.ShortcutOverride:
            return self._overrides(event)
        if event.type() == QEvent.Type.KeyRelease:
            return self._released(watched, event)
        return self._pressed(watched, event)

    def _concerns(self, watched: QObject) -> bool:
        if QApplication.activeModalWidget() is not None:
            return False
        focus = QApplication.focusWidget()
        if focus is None:
            return watched is self._window
        return watched is focus and focus.window() is self._window

    def _overrides(self, event: QKeyEvent) -> bool:
        """Keep a figure that will be held from firing a shortcut; it does so when let go."""
        if _is_text_box() or event.isAutoRepeat() or not self._may_belong(event):
            return False
        event.accept()
        return True

    def _may_belong(self, event: QKeyEvent) -> bool:
        """Return whether a key is a figure, or anything else printable right behind one."""
        text = event.text()
        if not text or not text.isprintable() or event.modifiers() & ~_WITH:
            return False
        return text in _FIGURES or (bool(self._text) and self._is_fast(_now_ms(event)))

    def _is_fast(self, now_ms: float) -> bool:
        return 0 <= now_ms - self._last_ms <= GAP_MS

    def _pressed(self, watched: QObject, event: QKeyEvent) -> bool:
        now_ms = _now_ms(event)
        fast = self._is_fast(now_ms)
        if event.isAutoRepeat():
            return False
        if event.key() in _ENDS:
            return self._ended(event, fast=fast)
        belongs = self._may_belong(event)
        self._last_ms = now_ms
        if not fast or not belongs:
            self._let_go()
        if not belongs:
            return False
        self._text += event.text()
        if _is_text_box():
            return False
        self._hold(watched, event)
        self._timer.start()
        return True

    def _ended(self, event: QKeyEvent, *, fast: bool) -> bool:
        burst = fast and len(self._text) >= _SHORTEST and not event.modifiers() & ~_WITH
        if burst and not _is_text_box():
            return self._deliver()
        if burst and not _takes_readings():
            text, self._text = self._text, ""
            self._tell(
                f"{text} was typed into the box where the cursor is, and no reading was filed. "
                "Take it out there, and read again with the cursor in the reading box"
            )
            return True
        self._let_go()
        plain = not event.modifiers() & ~_WITH
        return plain and isinstance(QApplication.focusWidget(), QAbstractButton)

    def _released(self, watched: QObject, event: QKeyEvent) -> bool:
        """Hold back the release of a key whose press is held: it must not come first."""
        if not any(held.event.key() == event.key() for held in self._held):
            return False
        self._hold(watched, event)
        return True

    def _hold(self, watched: QObject, event: QKeyEvent) -> None:
        copy = QKeyEvent(event.type(), event.key(), event.modifiers(), event.text())
        self._held.append(_Held(watched, copy))

    def _deliver(self) -> bool:
        text, self._text = self._text, ""
        self._held.clear()
        self._timer.stop()
        shown = getattr(self._window, "screen_shown", None)
        if not (isinstance(shown, TakesReadings) and shown.take_burst(text)):
            self._tell(
                f"{text} was typed and not filed: no reading box is showing. Go to its check first"
            )
        return True

    def _tell(self, sentence: str) -> None:
        desk = getattr(self._window, "desk", None)
        if desk is not None:
            desk.told.emit(sentence)

    def _let_go(self) -> None:
        """Give the keys that were held to where they were meant for: a person typed them."""
        held, self._held, self._text = self._held, [], ""
        self._timer.stop()
        self._letting_go = True
        try:
            for watched, event in held:
                if event.type() == QEvent.Type.KeyPress and self._fires(event.text()):
                    continue
                QCoreApplication.sendEvent(watched, event)
        finally:
            self._letting_go = False

    def _fires(self, figure: str) -> bool:
        """Fire the shortcut of a figure that was held; False if none is in sight."""
        wanted = QKeySequence(figure)
        for shortcut in self._window.findChildren(QShortcut):
            owner = shortcut.parent()
            in_sight = isinstance(owner, QWidget) and owner.isVisible() and owner.isEnabled()
            if in_sight and shortcut.isEnabled() and shortcut.key() == wanted:
                shortcut.activated.emit()
                return True
        return False


def _now_ms(event: QKeyEvent) -> float:
    """Return when a key was pressed: the system's time of it, which a busy window can't blur."""
    return float(event.timestamp()) or monotonic() * 1000


def _is_text_box() -> bool:
    focus = QApplication.focusWidget()
    if isinstance(focus, QComboBox):
        return focus.isEditable()
    return isinstance(focus, QLineEdit | QPlainTextEdit | QTextEdit | QAbstractSpinBox)


def _takes_readings() -> bool:
    focus = QApplication.focusWidget()
    return focus is not None and bool(focus.property(TAKES_READINGS))
