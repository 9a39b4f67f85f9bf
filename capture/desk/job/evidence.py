"""Evidence: what to send out of the shop, and what came into the book from other copies of it."""

from pathlib import Path

from PySide6.QtCore import Qt

from capture.desk.bench import Refused, Work
from capture.desk.desk import Desk
from capture.desk.job.form import Form
from capture.desk.job.page import Page
from capture.desk.job.said_merges import goes_to, merge_detail, merge_rows
from capture.desk.look.controls import Verb
from capture.desk.look.dialogs import ask_file, ask_folder
from capture.desk.look.file_field import FileField
from capture.desk.look.row import Row
from capture.desk.proof.block import ProofBlock
from capture.desk.where import Where
from capture.errors import Unfit
from capture.vouched import Vouched
from capture.words.merged import done_text
from store.round import Round

_HOW = (
    "It is verified first, every number measured again, which may take minutes; nothing is written "
    "to it. Its entries come after those that are here; what both benches did is shown and not "
    "settled. The same copy once more changes nothing."
)


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
        fields = {
            "copy": FileField("The folder of the other copy, or of its pack", self, "", ask_folder),
            "pack": FileField("Or its pack as one file", self, "Pack (*.zip)", ask_file),
        }
        self.add_form("take in", Form(self.desk, "Take in another copy of this book", fields,
                                      "Take it in", _take_in, words=_HOW))  # fmt: skip
        take = Verb("Take in another copy", "T", does=lambda: self.open_form("take in"))
        self.add_verbs(take, self.go_there)

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

    def resized(self, *, form: bool) -> None:
        """Give a form the room of what can be sent."""
        self.proof.setVisible(not form and bool(self.proof.title.text()))

    def _go(self) -> None:
        assert self.known is not None  # noqa: S101 - the verb is armed by it
        of = goes_to(self.known, self.desk.merges, self.rows.key)
        if "." in of:
            self.desk.go_to_check(of)
        else:
            self.desk.go(Where("hold", of))

    def _show(self, told: Vouched) -> None:
        self.proof.show_told(told)
        self.proof.setVisible(self.form_open is None)
        if self.rows.isHidden() and self.form_open is None:
            self.proof.copy.setFocus(Qt.FocusReason.OtherFocusReason)

    def _refused(self, refused: Refused) -> None:
        self.proof.hide()
        self.desk.refused.emit(refused.sentence)


def _take_in(texts: dict[str, str]) -> Work:
    """Return the merge of the copy that is named; raises Unfit for none, two, or one not there."""
    named = {name: Path(text).expanduser() for name, text in texts.items() if text}
    if not named:
        raise Unfit({"copy": "which copy? its folder, or the file of its pack"})
    if len(named) > 1:
        raise Unfit({"pack": "one copy at a time: empty one of the two"})
    ((name, path),) = named.items()
    if not path.exists():
        raise Unfit({name: "it is not there: choose it again"})
    return lambda journey: done_text(journey.merge(path))
