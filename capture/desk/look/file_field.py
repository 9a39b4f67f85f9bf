"""A field for a file or a folder: typed, or chosen with the system's dialog."""

from collections.abc import Callable
from pathlib import Path

from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QWidget

from capture.desk.look.controls import Verb
from capture.desk.look.field import Field
from capture.desk.look.type import font

Ask = Callable[..., Path | None]


class FileField(Field):
    """``ask`` is given the parent, the words, where to begin, and the kinds where there are any."""

    is_wide = True

    def __init__(self, words: str, parent: QWidget, kinds: str, ask: Ask, hint: str = "") -> None:
        self._line = QLineEdit()
        self._line.setFont(font())
        self.ask = ask
        self._parent, self._kinds = parent, kinds
        self.choose = Verb("Choose", does=self._choose)
        box = QWidget()
        across = QHBoxLayout(box)
        across.setContentsMargins(0, 0, 0, 0)
        across.setSpacing(8)
        across.addWidget(self._line, 1)
        across.addWidget(self.choose)
        super().__init__(words, box, hint)
        box.setFocusProxy(self._line)
        self._line.setAccessibleName(words)
        self._line.textEdited.connect(lambda _: self._changed())

    def text(self) -> str:
        """Return the path that it holds."""
        return self._line.text().strip()

    def set_text(self, text: str) -> None:
        """Hold another path."""
        self._line.setText(text)

    def _choose(self) -> None:
        start = Path(self.text()).parent if self.text() else Path.home()
        kinds = (self._kinds,) if self._kinds else ()
        path = self.ask(self._parent, self.words, start, *kinds)
        if path is not None:
            self.set_text(str(path))
            self._changed()
