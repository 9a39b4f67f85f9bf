"""The sizes that are known of the two holes: the plan's, and what is typed to outrank them."""

from collections.abc import Mapping

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QCheckBox, QLineEdit, QVBoxLayout, QWidget

from annotate.marks import Marker
from capture.desk.look.controls import label, row
from capture.desk.look.type import font
from capture.desk.marking.known_sizes import NAMES, TARGET, plan_words
from capture.desk.marking.targets import seen_words
from store.characteristic import Characteristic


class SizesPage(QWidget):
    """A box a size; an empty one leaves the plan's. ``edited`` is told after each change."""

    edited = Signal()

    def __init__(self) -> None:
        super().__init__()
        self._fields = {name: _SizeBox(words) for name, words in NAMES.items()}
        self._flat = QCheckBox("the face is flat, no bore")
        self._flat.setFont(font())
        self._lens = QCheckBox()
        self._lens.setFont(font())
        self._target = _SizeBox("printed target, black square")
        self._target_hint = label("", "caption", wrap=True)
        self._lay_out()
        for field in (*self._fields.values(), self._target):
            field.box.textEdited.connect(lambda _: self.edited.emit())
        self._flat.clicked.connect(lambda _: self.edited.emit())
        self._lens.clicked.connect(lambda _: self.edited.emit())

    def _lay_out(self) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        column.addWidget(label("What is typed here outranks the plan, for this photo.", wrap=True))
        for field in self._fields.values():
            column.addWidget(field)
        column.addWidget(self._flat)
        column.addWidget(self._target)
        column.addWidget(self._target_hint)
        column.addWidget(self._lens)
        column.addStretch(1)

    def show_check(self, check: Characteristic, typed: Mapping[str, str], *, flat: bool) -> None:
        """Show what the plan says of a check, and what was typed before."""
        for name, field in self._fields.items():
            field.say(plan_words(check, name))
            field.set_text(typed.get(name, ""))
        self._target.set_text(typed.get(TARGET, ""))
        self._flat.setChecked(flat)
        self._lens.setChecked(True)
        self.show_lens("")

    def show_lens(self, name: str) -> None:
        """Offer the lens profile of that name, "" if the book keeps none for this photo."""
        self._lens.setVisible(bool(name))
        self._lens.setText(f"lens profile {name}")

    def show_targets(self, targets: tuple[Marker, ...]) -> None:
        """Say which printed target is seen, and what its side should be."""
        self._target.setVisible(len(targets) == 1)
        self._target_hint.setVisible(bool(targets))
        self._target_hint.setText(seen_words(targets))

    def typed(self) -> dict[str, str]:
        """Return what was typed, by field."""
        boxes = {**self._fields, TARGET: self._target}
        return {name: field.text() for name, field in boxes.items() if field.text()}

    @property
    def flat(self) -> bool:
        """Whether the face is said to be flat."""
        return self._flat.isChecked()

    @property
    def use_lens(self) -> bool:
        """Whether a lens profile that is kept with the book may be used."""
        return self._lens.isChecked()

    def show_errors(self, wrong: Mapping[str, str]) -> None:
        """Say beside each box what is wrong with it."""
        boxes = {**self._fields, TARGET: self._target}
        for name, field in boxes.items():
            field.set_error(wrong.get(name, ""))


class _SizeBox(QWidget):
    """One size: what it is, what the plan says of it, the box, and what is wrong with its text."""

    def __init__(self, words: str) -> None:
        super().__init__()
        self._words = words
        self._plan, self._error = label("", "caption"), label("", "caption", bold=True, wrap=True)
        self.box = QLineEdit()
        self.box.setFont(font())
        self.box.setAccessibleName(words)
        self._error.hide()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addLayout(row(label(words, "caption"), 1, self._plan))
        column.addWidget(self.box)
        column.addWidget(self._error)

    def say(self, plan: str) -> None:
        """Say what the plan has."""
        self._plan.setText(plan)
        self.box.setAccessibleName(f"{self._words}, {plan}")

    def set_error(self, sentence: str) -> None:
        """Say below the box what is wrong, "" for nothing."""
        self._error.setText(sentence)
        self._error.setVisible(bool(sentence))
        self.box.setAccessibleDescription(sentence)

    def text(self) -> str:
        """Return what was typed."""
        return self.box.text().strip()

    def set_text(self, text: str) -> None:
        """Hold another text."""
        self.box.setText(text)
