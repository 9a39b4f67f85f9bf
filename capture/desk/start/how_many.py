"""How many there are of what the chosen plans multiply: a small field for each."""

from collections.abc import Mapping

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QGridLayout, QLineEdit, QVBoxLayout, QWidget

from capture.desk.look.controls import label
from capture.desk.look.field import LineField
from capture.desk.start.lists import list_text, lists_of
from capture.errors import Unfit

_COLUMNS = 4
_NAMES = {
    "cyl": "cylinders", "cam": "cam bearings", "main": "main bearings", "core": "core plugs",
    "gallery": "galleries", "threaded": "threaded plugs",
}  # fmt: skip


class HowMany(QWidget):
    """Hidden while no chosen plan multiplies anything."""

    edited = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.fields: dict[str, LineField] = {}
        self._planned: dict[str, tuple[str, ...]] = {}
        self._grid = QGridLayout()
        self._grid.setSpacing(8)
        down = QVBoxLayout(self)
        down.setContentsMargins(0, 0, 0, 0)
        down.setSpacing(4)
        hint = "How many this engine has: a number, or names as 4-6 or front, rear"
        down.addWidget(label(hint, "caption", wrap=True))
        down.addLayout(self._grid)
        self.hide()

    def offer(self, planned: Mapping[str, tuple[str, ...]]) -> None:
        """Ask for other lists; what was typed for one that stays is kept."""
        if dict(planned) == self._planned:
            return
        typed = {name: field.text() for name, field in self.fields.items()}
        for field in self.fields.values():
            self._grid.removeWidget(field)
            field.hide()
            field.deleteLater()
        self._planned = dict(planned)
        self.fields = {}
        for number, (name, words) in enumerate(planned.items()):
            field = LineField(_words(name), text=typed.get(name, list_text(words)))
            field.edited.connect(self.edited)
            if isinstance(field.box, QLineEdit):
                field.box.setCursorPosition(0)  # a long list is read from its beginning
            self.fields[name] = field
            self._grid.addWidget(field, number // _COLUMNS, number % _COLUMNS)
        self.setVisible(bool(planned))

    def lists(self) -> dict[str, tuple[str, ...]]:
        """Return the lists that are other than planned; raises Unfit, and says it at the field."""
        texts = {name: field.text() for name, field in self.fields.items()}
        try:
            return lists_of(texts, self._planned)
        except Unfit as unfit:
            for name, sentence in unfit.fields.items():
                self.fields[name].set_error(sentence)
            raise


def _words(name: str) -> str:
    return _NAMES.get(name, f"{name.replace('_', ' ')}s")
