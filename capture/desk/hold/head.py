"""What stands over the drawing of a hold point: which it is, may it close, and what to mind."""

from PySide6.QtWidgets import QVBoxLayout, QWidget

from capture.desk.hold.words import above_of, reopened_of, title_of
from capture.desk.look.controls import label, row
from store.round import Hold, Round


class Head(QWidget):
    """The title, whether it was opened again and why, and the caution."""

    def __init__(self) -> None:
        super().__init__()
        self.above = label("", "caption")
        self.title = label("", "head", bold=True, wrap=True)
        self.reopened = label("", bold=True, wrap=True)
        self.caution = _Caution()
        down = QVBoxLayout(self)
        down.setContentsMargins(0, 0, 0, 0)
        down.setSpacing(0)
        for each in (self.above, self.title, self.reopened, self.caution):
            down.addWidget(each)

    def say(self, known: Round, hold: Hold) -> None:
        """Say it of this hold point."""
        self.above.setText(above_of(known, hold))
        self.title.setText(title_of(hold))
        self.reopened.setText(reopened_of(known, hold))
        self.reopened.setVisible(bool(self.reopened.text()))
        self.caution.say(hold.hold_point.caution)


class _Caution(QWidget):
    """What can go wrong when the part goes on."""

    def __init__(self) -> None:
        super().__init__()
        self.words = label("", wrap=True)
        line = row(label("Caution", bold=True), self.words, gap=8)
        line.setStretch(1, 1)
        self.setLayout(line)

    def say(self, words: str) -> None:
        """Show these words, nothing where there are none."""
        self.words.setText(words)
        self.setVisible(bool(words))
