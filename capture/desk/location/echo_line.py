"""The line under the box: what was understood, the other unit, and where Return files it."""

from PySide6.QtWidgets import QHBoxLayout, QStackedLayout, QVBoxLayout, QWidget

from capture.desk.location.echo import Echo
from capture.desk.look.controls import KeyCap, label
from capture.desk.look.type import font


class EchoLine(QWidget):
    """What was understood and where it goes; calm words while it is nothing, bold if refused."""

    def __init__(self) -> None:
        super().__init__()
        self._value = label("", "body", bold=True)
        self._other = label("", "caption")
        self._files = label("", "body")
        self._key = KeyCap("Return")
        self._sentence = label("", "body", wrap=True)
        good = QWidget()
        lines = QVBoxLayout(good)
        lines.setContentsMargins(8, 0, 8, 0)
        lines.setSpacing(0)
        for first, second in ((self._value, self._other), (self._files, self._key)):
            line = QHBoxLayout()
            line.setSpacing(12)
            line.addWidget(first)
            line.addWidget(second)
            line.addStretch(1)
            lines.addLayout(line)
        words = QWidget()
        wrapped = QHBoxLayout(words)
        wrapped.setContentsMargins(8, 0, 8, 0)
        wrapped.addWidget(self._sentence)
        self._pages = QStackedLayout(self)
        self._pages.addWidget(good)
        self._pages.addWidget(words)
        self.setMinimumHeight(50)

    @property
    def text(self) -> str:
        """What is said."""
        if self._pages.currentIndex() == 1:
            return self._sentence.text()
        said = (self._value.text(), self._other.text(), self._files.text())
        return "  ".join(each for each in said if each)

    def show_echo(self, echo: Echo, files_as: str) -> None:
        """Show what was understood, or calmly why nothing is yet."""
        if echo.refusal:
            self._say(echo.refusal, loud=False)
            return
        self._value.setText(echo.understood)
        self._other.setText(echo.other)
        self._files.setText(files_as if echo.understood else "")
        self._key.setVisible(bool(echo.understood))
        self._pages.setCurrentIndex(0)

    def say(self, sentence: str) -> None:
        """Say one quiet sentence: what was kept, what comes next."""
        self._say(sentence, loud=False)

    def refuse(self, sentence: str) -> None:
        """Say loudly that Return filed nothing, and why."""
        self._say(f"Not filed: {sentence}", loud=True)

    def _say(self, sentence: str, *, loud: bool) -> None:
        self._sentence.setFont(font("body", bold=loud))
        self._sentence.setProperty("part", "loud" if loud else "caption")
        self._sentence.style().unpolish(self._sentence)
        self._sentence.style().polish(self._sentence)
        self._sentence.setText(sentence)
        self._pages.setCurrentIndex(1)
