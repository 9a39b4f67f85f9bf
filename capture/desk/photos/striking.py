"""Striking a photo: the reason is asked for under it, and the photo stays, struck."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QLineEdit, QVBoxLayout, QWidget

from capture.desk.desk import Desk
from capture.desk.look.controls import Verb, label, part, row
from capture.desk.look.type import font
from store.attempt import Photo


class Striking(QWidget):
    """Hidden until it is asked for."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        part(self, "work")
        self._desk = desk
        self._photo: Photo | None = None
        self._asked = label("", wrap=True)
        self.reason = QLineEdit()
        self.reason.setFont(font())
        self.reason.setAccessibleName("why the photo is struck")
        self.reason.setPlaceholderText("why: wrong hole, not sharp")
        self.reason.textChanged.connect(self._typed)
        self.strike = Verb("Strike it", "Ctrl+Return", primary=True, does=self._strike)
        leave = Verb("Leave it", "Esc", does=self.hide)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 8, 0, 8)
        whole.setSpacing(8)
        whole.addWidget(self._asked)
        whole.addWidget(self.reason)
        whole.addLayout(row(self.strike, leave, 1, gap=8))
        self.hide()

    def about(self, photo: Photo | None) -> None:
        """Say which photo is meant; another one puts the question away."""
        before, self._photo = self._photo, photo
        if photo is None or before is None or before.stamp.entry != photo.stamp.entry:
            self.hide()

    def ask(self) -> None:
        """Ask for the reason."""
        if self._photo is None or self._photo.struck is not None:
            return
        self._asked.setText(
            f"Strike {self._photo.taken.file_name}? It stays in the book, struck, with the reason; "
            "what was measured on it no longer counts."
        )
        self.reason.clear()
        self._typed("")
        self.show()
        self.reason.setFocus(Qt.FocusReason.OtherFocusReason)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Put the question away with Esc."""
        if event.key() == Qt.Key.Key_Escape:
            self.hide()
        else:
            super().keyPressEvent(event)

    def _typed(self, text: str) -> None:
        self.strike.setEnabled(bool(text.strip()))

    def _strike(self) -> None:
        photo, reason = self._photo, self.reason.text().strip()
        if photo is None or not reason:
            return
        self._desk.act(
            lambda journey: journey.strike(photo.stamp.entry, reason),
            then=lambda _: self._desk.told.emit(f"{photo.taken.file_name} is struck: {reason}"),
        )
        self.hide()
