"""Going on although something is unproven: one thing at a time, in writing, never erased."""

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QGridLayout, QVBoxLayout, QWidget

from capture.desk.desk import Desk
from capture.desk.hold.chips import Chips
from capture.desk.hold.lines import Line
from capture.desk.look.controls import Verb, label, row
from capture.desk.look.field import LineField

_FIELD = 220  # the least width of a field
_NOTE = "It is printed in the report and never erased. What is waived stays unproven."
_NOT_CLOSED = "Alt W waives. To close the hold point, leave the box first."


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
        self.said = label("", bold=True, wrap=True)
        self._wide: bool | None = None
        self._lay_out()
        self._see_if_complete()

    def offer(self, lines: list[Line]) -> None:
        """Offer what may be waived."""
        self.chips.offer([line for line in lines if line.may_be_waived])
        self.setVisible(bool(self.chips.items))
        self._see_if_complete()

    @property
    def is_typed_in(self) -> bool:
        """Whether one of its boxes has the keyboard."""
        return any(field.box.hasFocus() for field in self.fields)

    def say_how(self) -> None:
        """Say which key waives: the one that closes is not meant while a box has the keyboard."""
        self.said.setText(_NOT_CLOSED)

    def clear_given(self) -> None:
        """Empty what belongs to one waiver only; who decides is mostly the same person."""
        self.reason.set_text("")
        self.owner_agreed.set_text("")
        self._see_if_complete()

    def _see_if_complete(self) -> None:
        self.said.setText("")
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
        self.chips.setMinimumWidth(_FIELD)
        for field in self.fields:
            field.setMinimumWidth(_FIELD)
        down = QVBoxLayout(self)
        down.setContentsMargins(0, 0, 0, 0)
        down.setSpacing(8)
        down.addLayout(head)
        down.addWidget(self.chips)
        down.addLayout(self._grid)
        last = row(self.said, self.verb)
        last.setStretch(0, 1)
        down.addLayout(last)
        self._place(wide=True)

    def _place(self, *, wide: bool) -> None:
        """Put the fields side by side, or one below the other."""
        if wide == self._wide:
            return
        self._wide = wide
        for field in self.fields:
            self._grid.removeWidget(field)
        for n, field in enumerate(self.fields):
            at = (0, n) if wide else (n, 0)
            self._grid.addWidget(field, *at, Qt.AlignmentFlag.AlignBottom)
            self._grid.setColumnStretch(
                n, (2 if field is self.reason else 1) if wide or not n else 0
            )

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Use one line or several, as there is room."""
        super().resizeEvent(event)
        self._place(wide=self.width() >= 3 * _FIELD + 24)

    def minimumSizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return the width of one field: they go below each other where that is all there is."""
        return QSize(_FIELD, super().minimumSizeHint().height())
