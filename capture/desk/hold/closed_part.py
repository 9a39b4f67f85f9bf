"""What can be done about a part that is on: photograph it, send out what is kept, open it again."""

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from capture.desk.desk import Desk
from capture.desk.hold.words import needed_of
from capture.desk.look.controls import Verb, label, row
from capture.desk.look.field import LineField
from capture.desk.look.scrolled import reveal
from capture.desk.proof.block import ProofBlock
from capture.vouched import Vouched
from store.round import Hold, Round


class ClosedPart(QWidget):
    """The seal that is wanted, what a closed job sends out, and opening again with its reason."""

    reopened = Signal(str)  # why
    photo_wanted = Signal()

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk, self._just_closed = desk, False
        self.proof = ProofBlock(desk)
        self.proof.hide()
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
        down.addWidget(self.proof)
        down.addLayout(again)

    def show_hold(self, known: Round, hold: Hold) -> None:
        """Show what a closed hold point still needs, and with the last one what is to be sent."""
        needed = needed_of(hold)
        self.needed.setText(needed)
        self.needed.setVisible(bool(needed))
        self.photo.setVisible(bool(needed))
        if hold.closed and all(each.closed for each in known.holds):
            self._desk.act(lambda journey: journey.vouched(), then=self._show_proof)
        else:
            self.proof.hide()

    def reveal_proof(self) -> None:
        """Have what is to be sent in sight as soon as it is shown: the job was closed just now."""
        self._just_closed = True

    def clear_given(self) -> None:
        """Empty the reason once it was filed."""
        self.reason.set_text("")
        self._see_if_complete()

    def _show_proof(self, told: Vouched) -> None:
        self.proof.show_told(told)
        self.proof.setVisible(told.closed)
        if self._just_closed:
            self._just_closed = False
            QTimer.singleShot(0, self.proof, lambda: reveal(self.proof))  # once it has its room

    def _see_if_complete(self) -> None:
        self.verb.setEnabled(bool(self.reason.text()))

    def _reopen(self) -> None:
        if self.verb.isEnabled():
            self.reopened.emit(self.reason.text())
