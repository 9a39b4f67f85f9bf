"""The question about a reading that looks like a slip, and its two answers."""

from PySide6.QtCore import QObject, Signal

from capture.desk.desk import Desk
from capture.desk.location.ask_page import Asks
from capture.desk.location.column import ReadingColumn
from capture.desk.location.echo import number_of, side_in
from capture.desk.location.filing import Asked, Filing
from capture.desk.location.in_hand import InHand
from capture.desk.location.reading_box import announce
from capture.desk.location.slip_scale import scale_of
from capture.readings import read_of
from store.characteristic import Characteristic

# What is true of every reading that is kept; that it was read again, only the hand can say.
_KEPT = "kept as it was read"


class SlipQuestion(QObject):
    """Hangs from the box until it is answered: with R, K, or another reading."""

    hung = Signal()

    def __init__(self, desk: Desk, column: ReadingColumn, filing: Filing, hand: InHand) -> None:
        super().__init__()
        self.desk, self.column, self.filing, self.hand = desk, column, filing, hand
        self.asked: dict[str, Asked] = {}
        filing.asked.connect(self._ask)
        column.again.connect(self.read_again)
        column.kept.connect(self.keep)

    @property
    def here(self) -> Asked | None:
        """The question that waits at the check that is shown."""
        return self.asked.get(self.desk.where.key)

    def hang(self) -> bool:
        """Show the question that waits at the check that is shown, if there is one."""
        asked, known, box = self.here, self.desk.round, self.column.box
        if known is None or asked is None:
            box.answer_with({})
            return False
        typed = asked.typed
        _, check = known.plan.characteristic(typed.key)
        if not box.text:
            box.put(typed.as_typed)
        box.select()
        box.answer_with({"r": self.read_again, "k": self.keep})
        self.hand.take_spot(typed.key, typed.beside.spot if check.is_grid else None)
        read = read_of(known.plan, typed.key, typed.text, **typed.beside.filed())
        scale = scale_of(known.check(typed.key), typed.beside.spot, read.quantity)
        self.column.slip.ask(asked.slip.suspected, scale, torque=_is_wrong_scale(check, asked))
        self.column.turn_to("slip")
        self.hung.emit()
        box.setFocus()
        announce(box, self.column.slip.text)
        return True

    def read_again(self) -> None:
        """Keep that it was not filed, and wait for what it really reads."""
        self._withdraw("to be read again")
        self.column.box.clear()

    def keep(self) -> None:
        """Ask why it is kept, then file it as it is."""
        asked = self.here
        if asked is None:
            return
        self.column.box.answer_with({})
        self.column.turn_to("ask")
        self.column.ask.ask(
            f"Keep {asked.typed.text}?", self.column.slip.text,
            (Asks("words", "Why it is kept", _KEPT),), verb="File it",
            does=lambda said: self._stands(said["words"]),
        )  # fmt: skip

    def is_answered(self, text: str) -> bool:
        """Take another reading as the answer that the first was wrong; refuse the same again."""
        asked = self.here
        if asked is None:
            return True
        if text.strip() == asked.typed.as_typed.strip():
            self.column.echo.refuse("answer below first: R to read again, K to keep it")
            return False
        self._withdraw(f"typed again as {text.strip()!r}")
        return True

    def _ask(self, asked: Asked) -> None:
        self.asked[asked.typed.key] = asked
        if not self.hang():
            typed = asked.typed
            self.desk.refused.emit(
                f"{typed.key} {typed.as_typed} is not filed yet: go there to say if it is kept"
            )

    def _stands(self, words: str) -> None:
        asked = self.asked.pop(self.desk.where.key, None)
        if asked is None:
            return
        typed = asked.typed
        if self.column.box.text == typed.as_typed:
            self.column.box.clear()
        side = side_in(typed.as_typed)
        self.hand.filed(typed.key, side, is_difference=typed.beside.zero is not None)
        self.filing.file(typed, stands=words)
        self.column.left.emit()

    def _withdraw(self, words: str) -> None:
        asked, known = self.asked.pop(self.desk.where.key, None), self.desk.round
        self.column.box.answer_with({})
        if asked is None or known is None:
            return
        typed = asked.typed
        check = known.check(typed.key)
        if check.missing[:1] == (typed.beside.spot,):
            self.hand.take_spot(typed.key, None)  # it is the next without having been chosen
        if _is_wrong_scale(check.characteristic, asked):
            self.hand.not_again(typed.key, number_of(known.plan, typed.key, typed.text))
        self.filing.withdraw(asked, words)
        self.column.left.emit()


def _is_wrong_scale(check: Characteristic, asked: Asked) -> bool:
    """Return whether a torque looks read by the other unit's scale."""
    return check.kind == "torque" and any(" taken for " in each for each in asked.slip.suspected)
