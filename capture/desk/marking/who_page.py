"""The column before blind second marks: who places them."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from capture.desk.look.controls import Verb, label
from capture.desk.look.field import LineField


class WhoPage(QWidget):
    """Asks for the second person's name; ``named`` carries it."""

    named = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self._first = ""
        self._why = label("", wrap=True)
        self._name = LineField("Who places the second marks?")
        start = Verb("Place them blind", "Ctrl+Return", primary=True, does=self._start)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(16)
        for widget in (self._why, self._name, start):
            column.addWidget(widget)
        column.addStretch(1)

    def ask(self, first: str) -> None:
        """Ask for another name than that of whoever placed the first marks."""
        self._first = first
        self._why.setText(
            f"Second marks are another person's: {first} placed the first ones. Neither those nor "
            "what they gave is shown. How far the two agree is told afterwards."
        )
        self._name.set_text("")
        self._name.set_error("")
        self._name.box.setFocus()

    def _start(self) -> None:
        name = " ".join(self._name.text().split())
        if not name:
            self._name.set_error("a name is needed: type who places these marks")
        elif name.casefold() == " ".join(self._first.split()).casefold():
            self._name.set_error(f"{name} placed the first marks: let another person place these")
        else:
            self.named.emit(name)
