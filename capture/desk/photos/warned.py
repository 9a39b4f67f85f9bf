"""What is wrong with the photo that is shown: one sentence, and how many more there are."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence, QResizeEvent, QShortcut
from PySide6.QtWidgets import QHBoxLayout, QLabel, QWidget

from capture.desk.look.controls import KeyCap, label, part
from capture.desk.look.palette import ON_PHOTO
from capture.desk.look.type import font

KEY = "W"
_NARROW = 420


class Warned(QWidget):
    """Light on black, under the photo. Hidden while nothing is wrong."""

    def __init__(self) -> None:
        super().__init__()
        part(self, "plate")
        self._sentences: tuple[str, ...] = ()
        self._at = 0
        self._words = label("", wrap=True)
        self._words.setAccessibleName("warning about this photo")
        self._count = _light(label("", "caption"))
        self._cap = KeyCap(KEY)
        _light(self._cap)
        line = QHBoxLayout(self)
        line.setContentsMargins(12, 6, 12, 6)
        line.setSpacing(12)
        line.addWidget(self._words, 1)
        line.addWidget(self._count)
        line.addWidget(self._cap)
        shortcut = QShortcut(QKeySequence(KEY), self)
        shortcut.setContext(Qt.ShortcutContext.WindowShortcut)
        shortcut.activated.connect(self.step)
        self.hide()

    @property
    def sentences(self) -> tuple[str, ...]:
        """All of them, the worst first."""
        return self._sentences

    def say(self, sentences: tuple[str, ...]) -> None:
        """Show these, beginning with the first; none hides it."""
        if sentences != self._sentences:
            self._sentences, self._at = sentences, 0
        self._draw()

    def step(self) -> None:
        """Show the next one."""
        if self._sentences:
            self._at = (self._at + 1) % len(self._sentences)
            self._draw()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Write small where the photo itself has little room."""
        super().resizeEvent(event)
        self._words.setFont(font("body" if event.size().width() >= _NARROW else "caption"))

    def _draw(self) -> None:
        several = len(self._sentences) > 1
        if self._sentences:
            sentence = self._sentences[self._at]
            self._words.setText(sentence[:1].upper() + sentence[1:])
        self._count.setText(f"{self._at + 1} of {len(self._sentences)}")
        self._count.setVisible(several)
        self._cap.setVisible(several)
        self.setVisible(bool(self._sentences))


def _light(made: QLabel) -> QLabel:
    made.setStyleSheet(f"color: {ON_PHOTO};")
    return made
