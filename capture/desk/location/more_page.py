"""More about this reading: read earlier, doubts, temperatures, what the gauge was zeroed to."""

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QCheckBox, QVBoxLayout, QWidget

from capture.desk.look.controls import Verb, label
from capture.desk.look.field import LineField
from capture.desk.look.type import font

_FIELDS = (
    ("zero", "Gauge zeroed to", "a check that was read, such as M1.journal, or a size"),
    ("read_at", "Read earlier", "in words: on paper at 10:40"),
    ("doubt_width", "One thing more in doubt: by how much", "such as 0.002 mm"),
    ("doubt_what", "What is in doubt", "such as the parting line"),
    ("part_c", "Temperature of the part", "21.5 C or 70 F"),
    ("gauge_c", "Temperature of the gauge", "the part's, if it is left empty"),
)


class MorePage(QWidget):
    """Fields beside a reading; they hold for the readings that follow, and say so."""

    def __init__(self, use: Callable[[], object], leave: Callable[[], object]) -> None:
        super().__init__()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 8, 0, 8)
        column.setSpacing(8)
        column.addWidget(label("More about this reading", "body", bold=True))
        self.fields = {name: LineField(words, hint) for name, words, hint in _FIELDS}
        for field in self.fields.values():
            column.addWidget(field)
        self.with_photo = QCheckBox("The photo on the left shows it")
        self.with_photo.setFont(font())
        column.addWidget(self.with_photo)
        self.verb = Verb("Use these", "Ctrl+Return", primary=True, does=use)
        self.left = Verb("Leave", "Esc", does=leave)
        column.addWidget(self.verb)
        column.addWidget(self.left)
        column.addStretch(1)

    def open(self, texts: dict[str, str], *, zero: bool, photo: bool, with_photo: bool) -> None:
        """Show what holds now; ``zero`` says that the gauge reads a difference."""
        for name, field in self.fields.items():
            field.set_text(texts.get(name, ""))
            field.set_error("")
        self.fields["zero"].setVisible(zero)
        self.with_photo.setVisible(photo)
        self.with_photo.setChecked(with_photo and photo)
        self.fields["zero" if zero else "read_at"].setFocus(Qt.FocusReason.OtherFocusReason)

    def texts(self) -> dict[str, str]:
        """Return what is typed, by the field's name."""
        return {name: field.text() for name, field in self.fields.items()}
