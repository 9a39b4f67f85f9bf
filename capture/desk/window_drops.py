"""A photo dropped anywhere in the window is taken in: for the location shown, else it asks."""

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import QAbstractScrollArea, QLineEdit, QMainWindow, QWidget

from capture.desk.desk import Desk
from capture.desk.photos.arrivals import arrivals_of
from capture.desk.photos.drop_sign import DropSign
from capture.desk.photos.handed import files_in


class WindowDrops(QObject):
    """Watches what is dragged over a window and not taken by what lies beneath it."""

    def __init__(self, window: QMainWindow, desk: Desk) -> None:
        super().__init__(window)
        self._window, self._desk = window, desk
        self.sign = DropSign(window)
        window.setAcceptDrops(True)
        window.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's name
        """Show where it goes while it is dragged, and take it in when it is dropped."""
        if isinstance(event, QDropEvent) and event.type() == QEvent.Type.Drop:
            self.sign.hide()
            return self._take(event)
        if isinstance(event, QDragEnterEvent) and event.type() == QEvent.Type.DragEnter:
            return self._greet(event)
        if event.type() == QEvent.Type.DragLeave:
            self.sign.hide()
        return super().eventFilter(watched, event)

    def let_through(self, screen: QWidget) -> None:
        """Keep a screen's boxes and pictures from swallowing what is dropped on them.

        A text box would take a file's address as words, and a picture takes it and does nothing.
        """
        for each in (*screen.findChildren(QLineEdit), *screen.findChildren(QAbstractScrollArea)):
            each.setAcceptDrops(False)
            if isinstance(each, QAbstractScrollArea):
                each.viewport().setAcceptDrops(False)

    def words(self) -> str:
        """Return where a photo that is dropped now is filed."""
        at = arrivals_of(self._desk).here()
        if not at.location:
            return "Drop to file: the location is asked for"
        return f"Drop to file at {at.location} as {at.role}"

    def _greet(self, event: QDragEnterEvent) -> bool:
        if self._desk.root is None or not files_in(event.mimeData()):
            return False
        event.setDropAction(Qt.DropAction.CopyAction)
        event.accept()
        self.sign.show_over(self._window, self.words())
        return True

    def _take(self, event: QDropEvent) -> bool:
        paths = files_in(event.mimeData())
        if self._desk.root is None or not paths:
            return False
        event.setDropAction(Qt.DropAction.CopyAction)
        event.accept()
        arrivals_of(self._desk).take_paths(paths)
        return True
