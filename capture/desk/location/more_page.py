"""Zero, doubt, when: read earlier, doubts, temperatures, what the gauge was zeroed to."""

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QCheckBox, QVBoxLayout, QWidget

from capture.desk.location.zeros import Size
from capture.desk.look.choice import Choice
from capture.desk.look.controls import Verb, label
from capture.desk.look.field import LineField
from capture.desk.look.palette import LIGHT, Palette
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
        self._palette = LIGHT
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 8, 0, 8)
        column.setSpacing(8)
        column.addWidget(label("Zero, doubt, when", "body", bold=True))
        # A size that was read is one press away; another one is typed.
        self.sizes = QVBoxLayout()
        self.sizes.setSpacing(0)
        column.addLayout(self.sizes)
        self._rows: list[Choice] = []
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

    def offer(self, sizes: tuple[Size, ...], take: Callable[[str], object]) -> None:
        """Offer sizes that were read, each with its key; ``take`` gets the check's."""
        for row in self._rows:
            self.sizes.removeWidget(row)
            row.hide()
            row.deleteLater()
        self._rows = [
            Choice(size.words, size.about, f"Ctrl+{number}", high=56, does=partial(take, size.key))
            for number, size in enumerate(sizes, start=1)
        ]
        for row in self._rows:
            row.wear(self._palette)
            row.setFocusPolicy(Qt.FocusPolicy.TabFocus)
            self.sizes.addWidget(row)
            row.show()

    @property
    def offered(self) -> list[str]:
        """What the sizes that are offered say."""
        return [row.accessibleName() for row in self._rows]

    def wear(self, palette: Palette) -> None:
        """Draw in other colours."""
        self._palette = palette
        for row in self._rows:
            row.wear(palette)

    def texts(self) -> dict[str, str]:
        """Return what is typed, by the field's name."""
        return {name: field.text() for name, field in self.fields.items()}
