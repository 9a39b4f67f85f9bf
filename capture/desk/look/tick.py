"""A field of a form that is ticked or not."""

from PySide6.QtWidgets import QCheckBox

from capture.desk.look.field import Field
from capture.desk.look.type import font


class TickField(Field):
    """Holds "yes" while it is ticked, else nothing. Its words stand beside the tick."""

    is_wide = True

    def __init__(self, words: str, hint: str = "") -> None:
        box = QCheckBox(words)
        box.setFont(font())
        super().__init__("", box, hint)
        self._box = box
        self._head.hide()
        box.setAccessibleName(words)
        box.toggled.connect(lambda _: self._changed())

    @property
    def words(self) -> str:
        """What stands beside the tick."""
        return self._box.text()

    def set_words(self, words: str) -> None:
        """Ask for something else."""
        self._box.setText(words)
        self._box.setAccessibleName(words)

    def text(self) -> str:
        """Return "yes" where it is ticked, else ""."""
        return "yes" if self._box.isChecked() else ""

    def set_text(self, text: str) -> None:
        """Tick it for "yes"."""
        self._box.setChecked(text == "yes")
