"""Above the round: that two benches both did something, as long as the book tells of it."""

from PySide6.QtWidgets import QVBoxLayout, QWidget

from capture.desk.desk import Desk
from capture.desk.look.controls import Verb, rule
from capture.desk.look.type import font
from capture.desk.where import Where
from capture.words.merged import conflicts_text


class MergeLine(QWidget):
    """A verb that counts conflicts and forks and leads to them; not there where there is none."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self.verb = Verb(
            "", "Ctrl+M", bare=True, does=lambda: desk.go(Where("job", part="Evidence"))
        )
        self.verb.setFont(font("caption", bold=True))
        down = QVBoxLayout(self)
        down.setContentsMargins(0, 0, 0, 0)
        down.setSpacing(0)
        down.addWidget(self.verb)
        down.addWidget(rule())
        self.hide()

    def say(self, *, shown: bool) -> None:
        """Say how many there are, where the round of this book is shown."""
        words = conflicts_text(self._desk.merges) if shown else ""
        if words:
            self.verb.set_words(words)
        self.setVisible(bool(words))
