"""The sizes that are known of the two holes: the plan's, and what is typed to outrank them."""

from collections.abc import Mapping

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QCheckBox, QLineEdit, QVBoxLayout, QWidget

from annotate.marks import Marker
from annotate.own_targets import stated_side_mm
from capture.desk.look.controls import label
from capture.desk.look.field import LineField
from capture.desk.look.type import font
from capture.desk.marking.known_sizes import NAMES, TARGET, plan_words
from store.plan import Characteristic


class SizesPage(QWidget):
    """A box a size; an empty one leaves the plan's. ``edited`` is told after each change."""

    edited = Signal()

    def __init__(self) -> None:
        super().__init__()
        self._fields = {name: LineField(words) for name, words in NAMES.items()}
        self._flat = QCheckBox("the face is flat, no bore")
        self._flat.setFont(font())
        self._lens = QCheckBox("use the book's lens profile")
        self._lens.setFont(font())
        self._target = LineField("printed target: side of its black square")
        self._target_hint = label("", "caption", wrap=True)
        self._lay_out()
        for field in (*self._fields.values(), self._target):
            field.edited.connect(self.edited)
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
            if isinstance(field.box, QLineEdit):
                field.box.setPlaceholderText(plan_words(check, name))
            field.set_text(typed.get(name, ""))
        self._target.set_text(typed.get(TARGET, ""))
        self._flat.setChecked(flat)
        self._lens.setChecked(True)

    def show_targets(self, targets: tuple[Marker, ...]) -> None:
        """Say which printed target is seen, and what its side should be."""
        self._target.setVisible(len(targets) == 1)
        self._target_hint.setVisible(bool(targets))
        self._target_hint.setText(targets_words(targets))

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

    def focus_target(self) -> None:
        """Let the side of the printed target be typed."""
        self._target.box.setFocus()


def targets_words(targets: tuple[Marker, ...]) -> str:
    """Return which printed targets are seen and what is to be done about their size."""
    if not targets:
        return ""
    if len(targets) > 1:
        return f"{len(targets)} printed targets are seen: leave only one in, to use it as a scale"
    (target,) = targets
    stated = stated_side_mm(target)
    ours = f"; on our own card that one is {stated:g} mm at 100 %" if stated is not None else ""
    return f"card marker {target.identifier} is seen{ours}. Measure the print: type what it has"
