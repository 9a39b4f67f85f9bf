"""Ctrl V with a picture in the clipboard pastes the picture, whichever box has the focus.

A text box claims the key for itself, and would put nothing into itself. So it is not asked while
the clipboard holds a photo; with words in the clipboard it is left alone.
"""

from PySide6.QtCore import QEvent, QObject
from PySide6.QtGui import QGuiApplication, QKeyEvent, QKeySequence
from PySide6.QtWidgets import QApplication, QLineEdit, QWidget

from capture.desk.photos.handed import brings_photos


class PasteKey(QObject):
    """Watches the text box that has the focus while a widget that takes photos is shown."""

    def __init__(self, taker: QWidget) -> None:
        super().__init__(taker)
        self._taker = taker
        self._box: QLineEdit | None = None
        app = QApplication.instance()
        if isinstance(app, QApplication):
            app.focusChanged.connect(self._focus_went)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's name
        """Keep a text box from claiming the key that pastes a photo."""
        if (
            event.type() == QEvent.Type.ShortcutOverride
            and isinstance(event, QKeyEvent)
            and event.matches(QKeySequence.StandardKey.Paste)
            and self._taker.isVisible()
            and brings_photos(QGuiApplication.clipboard().mimeData())
        ):
            event.ignore()
            return True
        return super().eventFilter(watched, event)

    def _focus_went(self, _: QWidget | None, now: QWidget | None) -> None:
        if self._box is not None:
            self._box.removeEventFilter(self)
        self._box = now if isinstance(now, QLineEdit) else None
        if self._box is not None:
            self._box.installEventFilter(self)
