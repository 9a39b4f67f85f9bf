"""The line below the work area: what was kept, what was refused and what to do, what takes long."""

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QWidget

from capture.desk.desk import Desk
from capture.desk.look.controls import Verb, label

_LONG_MS = 400  # before that nobody needs to be told that something is under way
_KEPT_MS = 6000


class Said(QWidget):
    """One sentence. A refusal stays until it was read: closed by its button, or by the next act."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._words = label("", wrap=True)
        self._words.setAccessibleName("message")
        self._close: QPushButton = Verb("Close", "Ctrl+W", does=self._hide)
        line = QHBoxLayout(self)
        line.setContentsMargins(24, 4, 24, 8)
        line.addWidget(self._words, 1)
        line.addWidget(self._close)
        self._going = QTimer(self)
        self._going.setSingleShot(True)
        self._going.setInterval(_KEPT_MS)
        self._going.timeout.connect(self._hide)
        self._long = QTimer(self)
        self._long.setSingleShot(True)
        self._long.setInterval(_LONG_MS)
        self._long.timeout.connect(self._show_busy)
        self._busy, self._is_refusal = "", False
        desk.told.connect(self._tell)
        desk.refused.connect(self._refuse)
        desk.busy.connect(self._be_busy)
        self.hide()

    @property
    def text(self) -> str:
        """What is said now, empty if nothing is."""
        return "" if self.isHidden() else self._words.text()

    def _tell(self, sentence: str) -> None:
        self._say(_capital(sentence), refusal=False)
        self._going.start()

    def _refuse(self, sentence: str) -> None:
        self._going.stop()
        self._say(f"Not done: {sentence}", refusal=True)

    def _be_busy(self, words: str) -> None:
        self._busy = words
        if words:
            self._long.start()
        else:
            self._long.stop()
            if self._words.text().endswith(" …") and not self._is_refusal:
                self._hide()

    def _show_busy(self) -> None:
        if self._busy and not self._is_refusal:
            self._say(f"{_capital(self._busy)} …", refusal=False)

    def _say(self, sentence: str, *, refusal: bool) -> None:
        self._is_refusal = refusal
        self._words.setText(sentence)
        self._close.setVisible(refusal)
        self.show()

    def _hide(self) -> None:
        self._is_refusal = False
        self.hide()


def _capital(sentence: str) -> str:
    return sentence[:1].upper() + sentence[1:]
