"""Going on although something is unproven: one thing at a time, in writing, never erased."""

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QGridLayout, QVBoxLayout, QWidget

from capture.desk.desk import Desk
from capture.desk.hold.chips import Chips
from capture.desk.hold.lines import Line
from capture.desk.look.controls import Verb, label, row
from capture.desk.look.field import LineField

_WIDE_FROM = 860
_NOTE = "It is printed in the report and never erased. What is waived stays unproven."


class WaiverForm(QWidget):
    """Which one, who decided, why, how the owner agreed. The verb is shut until all are there."""

    waived = Signal(str, str, str, str)  # key, who decided, reason, how the owner agreed

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self.chips = Chips(desk)
        self.decided_by = LineField("who decided")
        self.reason = LineField("reason")
        self.owner_agreed = LineField("how the owner agreed")
        self.verb = Verb("Waive", "Alt+W", does=self._waive)
        self.fields = (self.decided_by, self.reason, self.owner_agreed)
        for field in self.fields:
            field.edited.connect(self._see_if_complete)
        self.chips.chosen.connect(self._see_if_complete)
        self._wide: bool | None = None
        self._lay_out()
        self._see_if_complete()

    def offer(self, lines: list[Line]) -> None:
        """Offer what may be waived."""
        self.chips.offer([line for line in lines if line.may_be_waived])
        self.setVisible(bool(self.chips.items))
        self.chips.setFixedWidth(
            min(self.chips.sizeHint().width(), 240) if self._wide else 16777215
        )

    def clear_given(self) -> None:
        """Empty what belongs to one waiver only; who decides is mostly the same person."""
        self.reason.set_text("")
        self.owner_agreed.set_text("")
        self._see_if_complete()

    def _see_if_complete(self) -> None:
        line = self.chips.line
        self.verb.set_words(f"Waive {line.short}" if line else "Waive")
        missing = [field.words for field in self.fields if not field.text()]
        self.verb.setEnabled(line is not None and not missing)
        self.verb.setAccessibleDescription(f"still needs: {', '.join(missing)}" if missing else "")

    def _waive(self) -> None:
        line = self.chips.line
        if line is not None and self.verb.isEnabled():
            said = (field.text() for field in self.fields)
            self.waived.emit(line.key, *said)

    def _lay_out(self) -> None:
        note = label(_NOTE, "caption", wrap=True)
        head = row(label("Or waive one in writing", bold=True), gap=16)
        head.addWidget(note, 1)
        self._grid = QGridLayout()
        self._grid.setSpacing(12)
        self._grid.setVerticalSpacing(8)
        down = QVBoxLayout(self)
        down.setContentsMargins(0, 0, 0, 0)
        down.setSpacing(4)
        down.addLayout(head)
        down.addLayout(self._grid)
        self._place(wide=True)

    def _place(self, *, wide: bool) -> None:
        """Put everything on one line, or the chips on a line of their own."""
        if wide == self._wide:
            return
        self._wide = wide
        below = Qt.AlignmentFlag.AlignBottom
        grid, at = self._grid, 0 if wide else 1
        for widget in (self.chips, *self.fields, self.verb):
            grid.removeWidget(widget)
        if wide:
            grid.addWidget(self.chips, 0, 0, below)
        else:
            grid.addWidget(self.chips, 0, 0, 1, 5)
        for column, field in enumerate(self.fields, 1 if wide else 0):
            grid.addWidget(field, at, column, below)
            grid.setColumnStretch(column, 3 if field is self.reason else 2)
        grid.addWidget(self.verb, at, 4, below)
        self.offer(self.chips.items)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Use one line or two, as there is room."""
        super().resizeEvent(event)
        self._place(wide=self.width() >= _WIDE_FROM)
