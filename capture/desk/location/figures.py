"""The figures of a reading as they are typed: Return files, a stray one only blinks."""

from collections.abc import Callable

from PySide6.QtCore import QEvent, QRectF, Qt, QTimer, Signal
from PySide6.QtGui import (
    QColor,
    QFocusEvent,
    QFontMetricsF,
    QGuiApplication,
    QKeyEvent,
    QPainter,
    QPaintEvent,
    QResizeEvent,
)
from PySide6.QtWidgets import QLineEdit, QSizePolicy

from capture.desk.look.palette import LIGHT
from capture.desk.look.type import font
from capture.desk.typing_burst import GAP_MS, TAKES_READINGS

_SIZES_PX = (56, 44, 34, 26, 20)  # the largest that the text fits in
_FLASH_MS = 160
_RETURNS = {Qt.Key.Key_Return, Qt.Key.Key_Enter}
_ARROWS = {
    Qt.Key.Key_Left: (-1, 0), Qt.Key.Key_Right: (1, 0),
    Qt.Key.Key_Up: (0, -1), Qt.Key.Key_Down: (0, 1),
}  # fmt: skip


class Figures(QLineEdit):
    """The text itself. Return files; an empty Return only flashes the caret."""

    filed = Signal(str)
    stray = Signal()
    moved = Signal(int, int)
    escaped = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.setFrame(False)
        self.setProperty(TAKES_READINGS, True)
        self.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        self.setStyleSheet(
            "QLineEdit, QLineEdit:focus { border: none; background: transparent; padding: 0; }"
        )
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setFont(font("reading", bold=True))
        self.textChanged.connect(self._fit)
        self.letters: dict[str, Callable[[], object]] = {}
        self.choose: Callable[[int], object] | None = None
        self.caret = QColor(LIGHT.accent)
        self.flashing = False
        self._digit = ""
        self._choosing = QTimer(self, singleShot=True, interval=2 * GAP_MS)
        self._choosing.timeout.connect(self._chosen)

    def event(self, event: QEvent) -> bool:
        """Leave keys with Ctrl to the window, but for those that edit the text."""
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent):
            ctrl = event.modifiers() & Qt.KeyboardModifier.ControlModifier
            edits = {Qt.Key.Key_A, Qt.Key.Key_C, Qt.Key.Key_X}
            if QGuiApplication.clipboard().text():
                edits.add(Qt.Key.Key_V)  # a picture is pasted as a photo
            if ctrl and event.key() not in edits and event.key() not in _ARROWS:
                event.ignore()
                return False
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Take the keys of a question first, then those of a reading."""
        self._say_digit()
        key, letter = event.key(), event.text().casefold()
        ctrl = event.modifiers() & Qt.KeyboardModifier.ControlModifier
        if key in _RETURNS:
            if not ctrl:
                self._return()
            else:
                event.ignore()
        elif ctrl and key in _ARROWS:
            self.moved.emit(*_ARROWS[Qt.Key(key)])
        elif key == Qt.Key.Key_Escape:
            self.escaped.emit()
        elif letter and letter in self.letters:
            self.letters[letter]()
        elif self.choose is not None and not self.text() and letter in set("123456789"):
            # One figure alone chooses; a calliper that begins to type is not taken for that.
            self._digit = letter
            self._choosing.start()
        else:
            super().keyPressEvent(event)

    def _say_digit(self) -> None:
        """Put the figure that was held back where it belongs: something follows it."""
        if self._digit:
            self._choosing.stop()
            digit, self._digit = self._digit, ""
            self.insert(digit)

    def _chosen(self) -> None:
        digit, self._digit = self._digit, ""
        if self.choose is not None:
            self.choose(int(digit))

    def _return(self) -> None:
        if self.text().strip():
            self.filed.emit(self.text())
        else:
            self.flash()
            self.stray.emit()

    def flash(self) -> None:
        """Let the caret go once and come again."""
        self.flashing = True
        self.update()
        QTimer.singleShot(_FLASH_MS, self, self._steady)

    def _steady(self) -> None:
        self.flashing = False
        self.update()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Fit the figures again."""
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        """Take the largest figures that the whole text fits in."""
        for pixels in _SIZES_PX:
            made = font("reading", bold=True)
            made.setPixelSize(pixels)
            if QFontMetricsF(made).horizontalAdvance(self.text()) < self.width() - 12:
                break
        if made.pixelSize() != self.font().pixelSize():
            self.setFont(made)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Draw the text, then a caret that stands still."""
        super().paintEvent(event)
        if self.flashing or not self.hasFocus():
            return
        there = self.cursorRect()
        painter = QPainter(self)
        x = min(there.center().x() - 1, self.width() - 3)
        painter.fillRect(QRectF(x, there.top(), 3, there.height()), self.caret)
        painter.end()

    def focusInEvent(self, event: QFocusEvent) -> None:  # noqa: N802 - Qt's name
        """Draw the ring."""
        super().focusInEvent(event)
        self._tell()

    def focusOutEvent(self, event: QFocusEvent) -> None:  # noqa: N802 - Qt's name
        """Draw without the ring."""
        super().focusOutEvent(event)
        self._tell()

    def _tell(self) -> None:
        if (around := self.parentWidget()) is not None:
            around.update()
