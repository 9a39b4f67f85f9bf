"""A question that is asked in place: a sentence, one or two fields, and a verb."""

from collections.abc import Callable, Mapping
from typing import NamedTuple

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLineEdit, QVBoxLayout, QWidget

from capture.desk.look.controls import Verb, label
from capture.desk.look.field import LineField


class Asks(NamedTuple):
    """One field of a question: its name, the words above it, what it holds, an example in it."""

    name: str
    words: str
    text: str = ""
    such_as: str = ""


class AskPage(QWidget):
    """Answered with Ctrl Return, left with Esc; Return alone does nothing here."""

    def __init__(self, leave: Callable[[], object]) -> None:
        super().__init__()
        self._leave = leave
        self._does: Callable[[Mapping[str, str]], object] = lambda _: None
        self._title = label("", "body", bold=True, wrap=True)
        self._words = label("", "body", wrap=True)
        self._fields: dict[str, LineField] = {}
        self._room = QVBoxLayout()
        self._room.setSpacing(8)
        self.verb = Verb("Say so", "Ctrl+Return", primary=True, does=self._answer)
        self.left = Verb("Leave", "Esc", does=leave)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 8, 0, 8)
        column.setSpacing(8)
        column.addWidget(self._title)
        column.addWidget(self._words)
        column.addLayout(self._room)
        column.addWidget(self.verb)
        column.addWidget(self.left)
        column.addStretch(1)

    @property
    def title(self) -> str:
        """What is asked."""
        return self._title.text()

    def field(self, name: str) -> LineField:
        """Return one of its fields."""
        return self._fields[name]

    def ask(
        self,
        title: str,
        words: str,
        fields: tuple[Asks, ...],
        *,
        verb: str,
        does: Callable[[Mapping[str, str]], object],
    ) -> None:
        """Ask another question; ``does`` gets the texts by name once every field is filled."""
        self._title.setText(title)
        self._words.setText(words)
        self._words.setVisible(bool(words))
        for old in self._fields.values():
            self._room.removeWidget(old)
            old.hide()
            old.deleteLater()
        self._fields = {}
        for each in fields:
            field = LineField(each.words, text=each.text)
            assert isinstance(field.box, QLineEdit)  # noqa: S101 - a LineField has one
            field.box.setPlaceholderText(each.such_as)
            self._fields[each.name] = field
            self._room.addWidget(field)
        self.verb.set_words(verb)
        self._does = does
        first = next(iter(self._fields.values()), None)
        if first is not None:
            first.setFocus(Qt.FocusReason.OtherFocusReason)
            assert isinstance(first.box, QLineEdit)  # noqa: S101 - a LineField has one
            first.box.selectAll()

    def _answer(self) -> None:
        texts = {name: field.text() for name, field in self._fields.items()}
        empty = [name for name, text in texts.items() if not text]
        for name in empty:
            self._fields[name].set_error("say it in words first")
        if not empty:
            self._does(texts)
