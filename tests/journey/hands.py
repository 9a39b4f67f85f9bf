"""Hands at the real window: keys where the focus is, clicks, drops, the wheel; and eyes."""

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent, QGuiApplication, QImage, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget

from annotate.pane.canvas import PhotoCanvas
from capture.desk.desk import Desk
from capture.desk.window import Window

KEY = Qt.Key
NONE = Qt.KeyboardModifier.NoModifier
CTRL, ALT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.AltModifier
_NOTCH = 120  # what Qt counts for one notch of a wheel

Until = Callable[[Callable[[], object]], None]


class Hands:
    """``until`` waits for something to be so, ``kept`` is told what the window said it kept."""

    def __init__(self, window: Window, until: Until, kept: Callable[[str], None]) -> None:
        self.window, self.until, self.kept = window, until, kept
        self.told: list[str] = []
        self.refused: list[str] = []
        self.desk.told.connect(self.told.append)
        self.desk.refused.connect(self.refused.append)

    # --- what is seen ---------------------------------------------------------------------

    @property
    def desk(self) -> Desk:
        """The desk of the window."""
        return self.window.desk

    @property
    def focus(self) -> QWidget:
        """What has the keyboard."""
        return QApplication.focusWidget() or self.window

    def screen(self, room: str) -> object:
        """Wait for a room and return its screen."""
        self.until(lambda: self.desk.where.room == room)
        return self.window.screen_shown

    def hears(self, *words: str) -> str:
        """Wait until one sentence said below the work area has all these words; return it."""

        def said() -> str:
            return next((s for s in self.told if all(word in s for word in words)), "")

        self.until(said)
        return said()

    # --- keys -----------------------------------------------------------------------------

    def key(self, key: Qt.Key, modifier: Qt.KeyboardModifier = NONE) -> None:
        """Press one key where the focus is."""
        QTest.keyClick(self.focus, key, modifier)

    def type(self, text: str) -> None:
        """Type a text where the focus is."""
        QTest.keyClicks(self.focus, text)

    def type_into(self, box: QWidget, text: str) -> None:
        """Go to a box with the pointer and type over what it holds."""
        QTest.mouseClick(box, Qt.MouseButton.LeftButton)
        box.setFocus()
        self.key(KEY.Key_A, CTRL)
        self.type(text)

    def burst(self, text: str) -> None:
        """Type as a calliper does: without a pause, Return behind it."""
        self.type(text)
        self.key(KEY.Key_Return)

    def find(self, words: str) -> None:
        """Go to what the round calls so and is not shown, by its find box."""
        before = self.desk.where
        self.key(KEY.Key_F, CTRL)
        self.until(self.window.round_pane.box.hasFocus)
        self.type(words)
        self.key(KEY.Key_Down)
        self.key(KEY.Key_Space)
        self.until(lambda: self.desk.where != before)

    # --- the pointer ----------------------------------------------------------------------

    def drop(self, target: QWidget, path: Path) -> None:
        """Drag a file on to something and let go."""
        mime = QMimeData()
        mime.setUrls([QUrl.fromLocalFile(str(path))])
        buttons, at = Qt.MouseButton.LeftButton, QPoint(90, 90)
        action = Qt.DropAction.CopyAction
        enter = QDragEnterEvent(at, action, mime, buttons, NONE)
        QApplication.sendEvent(target, enter)
        if enter.isAccepted():
            QApplication.sendEvent(target, QDropEvent(QPointF(at), action, mime, buttons, NONE))

    def paste(self, path: Path) -> None:
        """Copy a picture's pixels elsewhere and paste them here."""
        QGuiApplication.clipboard().setImage(QImage(str(path)))
        self.key(KEY.Key_V, CTRL)

    def click(self, canvas: PhotoCanvas, at: QPointF) -> None:
        """Press and let go on the photo, at a place of the canvas."""
        QTest.mouseClick(canvas.viewport(), Qt.MouseButton.LeftButton, NONE, at.toPoint())

    def wheel(self, canvas: PhotoCanvas, at: QPointF, notches: int) -> None:
        """Turn the wheel with the pointer at a place of the canvas."""
        view = canvas.viewport()
        event = QWheelEvent(
            at, QPointF(view.mapToGlobal(at.toPoint())), QPoint(), QPoint(0, _NOTCH * notches),
            Qt.MouseButton.NoButton, NONE, Qt.ScrollPhase.NoScrollPhase, False,
        )  # fmt: skip
        QApplication.sendEvent(view, event)
