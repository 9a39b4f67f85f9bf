"""Evidence: what to send out of the shop, and what came into the book from other copies of it."""

from PySide6.QtCore import Qt

from capture.desk.bench import Refused
from capture.desk.desk import Desk
from capture.desk.job.page import Page
from capture.desk.job.said_merges import goes_to, merge_detail, merge_rows
from capture.desk.look.controls import Verb
from capture.desk.look.row import Row
from capture.desk.proof.block import ProofBlock
from capture.desk.where import Where
from capture.vouched import Vouched
from store.round import Round


class EvidencePage(Page):
    """Roots and fingerprints above, merges and their conflicts in the list."""

    name = "Evidence"

    def __init__(self, desk: Desk) -> None:
        self._shown_at = 0  # how many entries there were when it was asked for
        super().__init__(desk)

    def build(self) -> None:
        """Put the block above, and the verb that leads to what is in conflict below."""
        self.proof = ProofBlock(self.desk)
        self._down.insertWidget(0, self.proof)
        self.proof.hide()
        self.go_there = Verb("Go to it", "G", does=self._go)
        self.add_verbs(self.go_there)

    def enter(self) -> None:
        """Ask anew what is kept: a pack may have been made meanwhile, which is no entry."""
        super().enter()
        self.ask()

    def show_round(self, known: Round | None) -> None:
        """Draw again, and ask again where something was filed."""
        super().show_round(known)
        if known is not None and known.entries != self._shown_at:
            self.ask()

    def ask(self) -> None:
        """Have what can be sent worked out where the book is held."""
        self._shown_at = self.known.entries if self.known else 0
        self.desk.act(lambda journey: journey.vouched(), then=self._show, refused=self._refused)

    def rows_of(self, known: Round) -> list[Row]:  # noqa: ARG002 - they are the desk's
        """Return the merges."""
        return merge_rows(self.desk.merges)

    def detail_of(self, known: Round, key: str) -> str:
        """Return a conflict in full, always: its sentence is longer than a row."""
        return merge_detail(self.desk.merges, key) or super().detail_of(known, key)

    def nothing(self) -> str:
        """Say that nothing came from elsewhere."""
        return "No other copy of this book was taken in: there is nothing to be at odds with."

    def arm(self, known: Round, key: str) -> None:
        """Lead to what is in conflict, where that is in the round."""
        self.go_there.setVisible(bool(self.desk.merges))
        self.go_there.setEnabled(bool(goes_to(known, self.desk.merges, key)))

    def _go(self) -> None:
        assert self.known is not None  # noqa: S101 - the verb is armed by it
        of = goes_to(self.known, self.desk.merges, self.rows.key)
        if "." in of:
            self.desk.go_to_check(of)
        else:
            self.desk.go(Where("hold", of))

    def _show(self, told: Vouched) -> None:
        self.proof.show_told(told)
        self.proof.show()
        if self.rows.isHidden():
            self.proof.copy.setFocus(Qt.FocusReason.OtherFocusReason)

    def _refused(self, refused: Refused) -> None:
        self.proof.hide()
        self.desk.refused.emit(refused.sentence)
