"""A form in place: its fields, one verb, and what was refused beside the field it is about."""

from collections.abc import Callable, Mapping
from typing import Any

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QGridLayout, QVBoxLayout, QWidget

from capture.desk.bench import Refused, Work
from capture.desk.desk import Desk
from capture.desk.look.controls import Verb, label, row
from capture.desk.look.field import ChoiceField, Field
from capture.desk.look.scrolled import reveal, scrolled
from capture.errors import Unfit
from capture.words.refusals import TOLD, sentence_of

Asks = Callable[[dict[str, str]], Work]
_COLUMNS, _NARROW = 2, 600  # one column where the form is narrower


class Form(QWidget):
    """Typed texts become an act of the journey; nothing is lost when it is refused.

    ``asks`` makes the act of the texts, or raises what is wrong with them. ``blame`` says which
    field a refusal with certain words in it is about.
    """

    done = Signal()
    dropped = Signal()

    def __init__(
        self,
        desk: Desk,
        title: str,
        fields: Mapping[str, Field],
        verb: str,
        asks: Asks,
        *,
        blame: Mapping[str, str] | None = None,
        words: str = "",
    ) -> None:
        super().__init__()
        self._desk, self._asks, self._blame = desk, asks, dict(blame or {})
        self.fields = dict(fields)
        self.title = label(title, bold=True, wrap=True)
        self.fault = label("", bold=True, wrap=True)
        self.fault.setAccessibleName("refused")
        self.fault.hide()
        self.file = Verb(verb, "Ctrl+Return", primary=True, does=self.send)
        self.drop = Verb("Leave it", "Esc", does=self.dropped.emit)
        self._grid = QGridLayout()
        self._grid.setHorizontalSpacing(16)
        self._grid.setVerticalSpacing(12)
        self._columns, self._names = _COLUMNS, set(fields)
        self._place()
        inside = QWidget()
        within = QVBoxLayout(inside)
        within.setContentsMargins(0, 0, 12, 0)
        within.setSpacing(12)
        within.addLayout(self._grid)
        if words:
            within.addWidget(label(words, "caption", wrap=True))
        within.addStretch(1)
        down = QVBoxLayout(self)
        down.setContentsMargins(0, 12, 0, 0)
        down.setSpacing(12)
        down.addWidget(self.title)
        down.addWidget(scrolled(inside), 1)
        down.addWidget(self.fault)
        down.addLayout(row(self.file, self.drop, 1))
        for field in self.fields.values():
            field.edited.connect(self._clear_fault)

    def open(self, title: str = "", texts: Mapping[str, str] | None = None) -> None:
        """Show it, filled with texts; without any it is as it was left."""
        if title:
            self.title.setText(title)
        for name, text in (texts or {}).items():
            self.fields[name].set_text(text)
            self.fields[name].set_error("")
        self._clear_fault()
        first = next(field for field in self.fields.values() if not field.isHidden())
        first.setFocus(Qt.FocusReason.TabFocusReason)

    def texts(self) -> dict[str, str]:
        """Return what each field holds, by name."""
        return {name: field.text() for name, field in self.fields.items()}

    def empty(self) -> None:
        """Hold nothing: what it held was kept."""
        for field in self.fields.values():
            if not isinstance(field, ChoiceField):
                field.set_text("")

    def send(self) -> None:
        """Have it done, or say what is wrong."""
        self._clear_fault()
        for field in self.fields.values():
            field.set_error("")
        try:
            work = self._asks(self.texts())
        except Unfit as unfit:
            self._show(unfit.fields)
        except TOLD as refused:
            self._refuse(sentence_of(refused))
        else:
            self.file.setEnabled(False)
            self._desk.act(work, then=self._did, refused=self._refused, words=self.file.words())

    def show_only(self, names: set[str]) -> None:
        """Ask for these fields only, in their order."""
        for name, field in self.fields.items():
            field.setVisible(name in names)
        self._names = names
        self._place()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Ask in one column where there is no room for two."""
        super().resizeEvent(event)
        columns = 1 if event.size().width() < _NARROW else _COLUMNS
        if columns != self._columns:
            self._columns = columns
            self._place()

    # --- private --------------------------------------------------------------------------

    def _place(self) -> None:
        line = column = 0
        for name, field in self.fields.items():
            self._grid.removeWidget(field)
            if name not in self._names:
                continue
            wide = field.is_wide
            if wide and column:
                line, column = line + 1, 0
            span = self._columns if wide else 1
            self._grid.addWidget(field, line, column, 1, span, Qt.AlignmentFlag.AlignTop)
            column += span
            if column >= self._columns:
                line, column = line + 1, 0
        for each in range(_COLUMNS):
            self._grid.setColumnStretch(each, 1 if each < self._columns else 0)

    def _did(self, said: Any) -> None:  # noqa: ANN401 - whatever the act returned
        self.file.setEnabled(True)
        self.empty()
        if isinstance(said, str) and said:
            self._desk.told.emit(said)
        self.done.emit()

    def _refused(self, refused: Refused) -> None:
        self.file.setEnabled(True)
        if isinstance(refused.error, Unfit):
            self._show(refused.error.fields)
        else:
            self._refuse(refused.sentence)

    def _refuse(self, sentence: str) -> None:
        field = next((name for words, name in self._blame.items() if words in sentence), "")
        self._show({field: sentence})

    def _show(self, wrong: Mapping[str, str]) -> None:
        """Say each sentence at its field, and the rest above the verb."""
        at_fields = {n: s for n, s in wrong.items() if n in self.fields and self._asked(n)}
        for name, sentence in at_fields.items():
            self.fields[name].set_error(sentence)
        rest = [sentence for name, sentence in wrong.items() if name not in at_fields]
        self.fault.setText("Not done: " + "; ".join(rest))
        self.fault.setVisible(bool(rest))
        first = next((self.fields[name] for name in self.fields if name in at_fields), None)
        if first is not None:
            first.setFocus(Qt.FocusReason.OtherFocusReason)
            QTimer.singleShot(0, first, lambda: reveal(first))  # once its sentence has its room

    def _asked(self, name: str) -> bool:
        return not self.fields[name].isHidden()

    def _clear_fault(self) -> None:
        self.fault.hide()
