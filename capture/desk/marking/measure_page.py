"""The column while something is measured freely: tools, the scale, the sizes, what to do next."""

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QVBoxLayout, QWidget

from capture.desk.look.controls import Verb, label, row, rule
from capture.desk.look.field import LineField
from capture.desk.marking.file_part import FilePart
from capture.desk.marking.free_sizes import FreeSizes
from capture.desk.marking.key_line import KeyVerb
from store.round import Place

NOT_FILED = (
    "Shown, not filed: marks and sizes stay a draft on this photo, until a figure is filed as a "
    "reading of the check that asks for it."
)
_SCALES = (("two points", "S", "scale"), ("circle", "C", "circle"))
_SIZES = (
    ("distance", "D", "distance"), ("diameter", "I", "diameter"), ("angle", "L", "angle"),
    ("area", "E", "area"), ("note", "T", "note"),
)  # fmt: skip


class MeasurePage(QWidget):
    """``chosen`` carries a tool of the canvas; ``answered`` what was typed, None to drop it."""

    chosen = Signal(str)
    answered = Signal(object)

    def __init__(self) -> None:
        super().__init__()
        self._scale = label("", wrap=True)
        self._sizes = QVBoxLayout()
        self._none = label("Nothing is measured yet.", "caption")
        self._boxes = {
            "length": LineField("true length of the scale"),
            "words": LineField("words of the note"),
        }
        self.filing = FilePart()
        self._take = Verb("Take it", "Ctrl+Return", does=self._answer)
        self._drop = KeyVerb("drop it", key="Esc", does=lambda: self.answered.emit(None))
        self._ask = QWidget()
        self._lay_out()
        self.ask("")

    def _lay_out(self) -> None:
        ask = QVBoxLayout(self._ask)
        ask.setContentsMargins(0, 0, 0, 0)
        for widget in self._boxes.values():
            ask.addWidget(widget)
        ask.addLayout(row(self._take, self._drop, 1, gap=8))
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        column.addWidget(label("Scale", bold=True))
        column.addLayout(self._tools(_SCALES))
        column.addWidget(self._scale)
        column.addWidget(rule())
        column.addWidget(label("Measure", bold=True))
        column.addLayout(self._tools(_SIZES))
        column.addWidget(self._ask)
        column.addLayout(self._sizes)
        column.addWidget(self._none)
        column.addWidget(self.filing)
        column.addWidget(rule())
        column.addWidget(label(NOT_FILED, wrap=True))
        column.addStretch(1)

    def _tools(self, tools: tuple[tuple[str, str, str], ...]) -> QGridLayout:
        grid = QGridLayout()
        grid.setSpacing(0)
        for number, (words, key, tool) in enumerate(tools):
            verb = KeyVerb(words, key, does=lambda tool=tool: self.chosen.emit(tool))
            grid.addWidget(verb, number // 3, number % 3, Qt.AlignmentFlag.AlignLeft)
        grid.setColumnStretch(2, 1)
        return grid

    def show_sizes(self, found: FreeSizes, place: Place | None = None) -> None:
        """Show what the scale is, and every size; offer to file one at its location."""
        self._scale.setText(found.scale)
        while self._sizes.count():
            item = self._sizes.takeAt(0)
            if item is not None and (old := item.widget()) is not None:
                old.deleteLater()
        for size in found.sizes:
            self._sizes.addWidget(label(f"{size.name}: {size.words}", wrap=True))
        self._none.setVisible(not found.sizes)
        self.filing.show_sizes(found.sizes, place)

    def ask(self, what: str) -> None:
        """Ask for a "length" or for "words", "" to ask no more."""
        self._ask.setVisible(bool(what))
        for name, box in self._boxes.items():
            box.setVisible(name == what)
            box.set_error("")
            box.set_text("")
        if what:
            self._boxes[what].box.setFocus()

    def refuse(self, sentence: str) -> None:
        """Say what is wrong with what was typed; it stays in the box."""
        for box in self._boxes.values():
            box.set_error("" if box.isHidden() else sentence)

    @property
    def is_asking(self) -> bool:
        """Whether something is asked for."""
        return not self._ask.isHidden()

    def _answer(self) -> None:
        self.answered.emit(next(b.text() for b in self._boxes.values() if not b.isHidden()))
