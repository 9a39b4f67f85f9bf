"""What can be done about a part that is on: photograph what closes it, or open it again."""

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from capture.desk.hold.words import needed_of
from capture.desk.look.controls import Verb, label, row
from capture.desk.look.field import LineField
from store.round import Hold


class ClosedPart(QWidget):
    """The seal that is wanted, and opening again, which needs its reason."""

    reopened = Signal(str)  # why
    photo_wanted = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.needed = label("", wrap=True)
        self.photo = Verb("Take that photo", "P", primary=True, does=self.photo_wanted.emit)
        self.reason = LineField("why it is opened again")
        self.verb = Verb("Reopen it", "Alt+R", does=self._reopen)
        self.reason.edited.connect(self._see_if_complete)
        self._see_if_complete()
        seal = row(self.needed, self.photo)
        seal.setStretch(0, 1)
        again = row(self.reason, self.verb, gap=12)
        again.setStretch(0, 1)
        again.setAlignment(self.verb, Qt.AlignmentFlag.AlignBottom)
        down = QVBoxLayout(self)
        down.setContentsMargins(0, 0, 0, 0)
        down.setSpacing(16)
        down.addLayout(seal)
        down.addLayout(again)

    def show_hold(self, hold: Hold) -> None:
        """Show what a closed hold point still needs."""
        needed = needed_of(hold)
        self.needed.setText(needed)
        self.needed.setVisible(bool(needed))
        self.photo.setVisible(bool(needed))

    def clear_given(self) -> None:
        """Empty the reason once it was filed."""
        self.reason.set_text("")
        self._see_if_complete()

    def _see_if_complete(self) -> None:
        self.verb.setEnabled(bool(self.reason.text()))

    def _reopen(self) -> None:
        if self.verb.isEnabled():
            self.reopened.emit(self.reason.text())
