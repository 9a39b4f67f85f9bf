"""The line under the box: what was understood, the other unit, and where Return files it."""

from PySide6.QtWidgets import QHBoxLayout, QStackedLayout, QWidget

from capture.desk.location.echo import Echo
from capture.desk.look.controls import KeyCap, label
from capture.desk.look.type import font


class EchoLine(QWidget):
    """One line while typing goes well, two calm ones while it does not yet, bold when refused."""

    def __init__(self) -> None:
        super().__init__()
        self._value = label("", "body", bold=True)
        self._other = label("", "caption")
        self._files = label("", "caption")
        self._key = KeyCap("Return")
        self._sentence = label("", "caption", wrap=True)
        good = QWidget()
        line = QHBoxLayout(good)
        line.setContentsMargins(8, 0, 8, 0)
        line.setSpacing(8)
        line.addWidget(self._value)
        line.addWidget(self._other)
        line.addStretch(1)
        line.addWidget(self._files)
        line.addWidget(self._key)
        words = QWidget()
        wrapped = QHBoxLayout(words)
        wrapped.setContentsMargins(8, 0, 8, 0)
        wrapped.addWidget(self._sentence)
        self._pages = QStackedLayout(self)
        self._pages.addWidget(good)
        self._pages.addWidget(words)
        self.setMinimumHeight(44)

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
        self._sentence.setFont(font("body" if loud else "caption", bold=loud))
        self._sentence.setProperty("part", "loud" if loud else "caption")
        self._sentence.style().unpolish(self._sentence)
        self._sentence.style().polish(self._sentence)
        self._sentence.setText(sentence)
        self._pages.setCurrentIndex(1)
