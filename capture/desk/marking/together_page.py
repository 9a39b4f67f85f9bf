"""Photos of one location to be measured as one hole: ticked in a list, two or more."""

from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from capture.desk.look.controls import label
from capture.desk.look.palette import LIGHT, Palette
from capture.desk.look.row import Row
from capture.desk.look.rows import RowList
from capture.desk.marking.jointly import FEWEST, Shown

_WHAT = (
    "Two photos of one hole from different sides know more than either. What they share, the sizes "
    "and the lens, counts once; where photos contradict each other, that is said, not averaged."
)
_HOW = "Space or a click ticks a photo. Two or more are needed."


class TogetherPage(QWidget):
    """The list. ``changed`` is told when a photo was ticked, or no longer is."""

    changed = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.chosen: set[str] = set()
        self._shown: Sequence[Shown] = ()
        self._note = label("", wrap=True)
        self._note.hide()
        self.rows = RowList("photos of this location", LIGHT)
        self.rows.show_whole()
        self.rows.ticked.connect(self._tick)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        column.addWidget(self._note)
        column.addWidget(label(_WHAT, "caption", wrap=True))
        column.addWidget(self.rows)
        column.addWidget(label(_HOW, "caption", wrap=True))
        column.addStretch(1)

    @property
    def lacking(self) -> str:
        """What is still to be done before they can be measured together, "" if nothing is."""
        can = [each for each in self._shown if not each.why_not]
        taking_part = sum(each.taken.photo in self.chosen for each in can)
        return "" if taking_part >= FEWEST else "tick two photos or more"

    def begin(self, photo: str) -> None:
        """Begin anew, with the photo that one sits at ticked."""
        self.chosen = {photo}

    def say(self, words: str) -> None:
        """Say what was refused and why, "" for nothing."""
        self._note.setText(words)
        self._note.setVisible(bool(words))

    def show_photos(self, shown: Sequence[Shown]) -> None:
        """Show the photos; one that can't take part can't be ticked."""
        self._shown = shown
        self.rows.show_rows([self._row(each) for each in shown])

    def wear(self, palette: Palette) -> None:
        """Draw in these colours from now on."""
        self.rows.wear(palette)

    def _row(self, shown: Shown) -> Row:
        photo = shown.taken.photo
        ticked = None if shown.why_not else photo in self.chosen
        return Row(photo, shown.taken.file_name, shown.words, shown.taken.role, ticked=ticked)

    def _tick(self, photo: str, on: bool) -> None:
        self.chosen = self.chosen | {photo} if on else self.chosen - {photo}
        self.show_photos(self._shown)
        self.changed.emit()
