"""Acts that are asked about in place: strike, undo, worked on, fitted part, who is measuring."""

from collections.abc import Callable, Mapping

from PySide6.QtCore import QObject, Signal

from capture.desk.desk import Desk
from capture.desk.location.ask_page import Asks
from capture.desk.location.column import ReadingColumn
from capture.desk.location.filing import Filing
from capture.desk.location.history import Line
from capture.journey import Journey
from store.stock import PartState

_STAYS = "It stays legible in the history, with a line through it, and no longer counts."
_TYPED_WRONGLY = "typed wrongly"


class Questions(QObject):
    """Puts a question on the column's page, and has done what the answer says."""

    done_strike = Signal()

    def __init__(self, desk: Desk, column: ReadingColumn, filing: Filing) -> None:
        super().__init__()
        self.desk, self.column, self.filing = desk, column, filing
        column.worked_on.connect(self.worked_on)

    def undo(self) -> None:
        """Ask why what was filed last in this sitting is struck: a reading, or marks."""
        if not self.filing.sitting:
            self.desk.told.emit("nothing was filed here since the window opened")
            return
        last = self.filing.sitting[-1]
        if self.desk.where.key != last.typed.key:
            self.desk.go_to_check(last.typed.key)
        if last.is_marks:
            self._ask_to_strike(f"Strike {last.typed.text}?", last.entry, "")
            return
        self._ask_to_strike(
            f"Strike the last reading, {last.typed.text}?", last.entry, _TYPED_WRONGLY
        )

    def strike(self, line: Line) -> None:
        """Ask why a line of the history is struck."""
        self._ask_to_strike(f"Strike {line.said}?", line.entry, "")

    def worked_on(self) -> None:
        """Ask what was done here: a new attempt begins."""
        key = self.desk.where.key
        if not key:
            return
        self._ask(
            "What was worked on?",
            "A new attempt begins here; what was read before stays, and no longer counts.",
            (Asks("what", "In words", such_as="such as: bored to the next size"),),
            "Begin a new attempt",
            lambda said: self._act(
                lambda j: j.rework(key, what=said["what"]), "a new attempt begins here"
            ),
        )

    def fit(self, part: PartState) -> None:
        """Ask which piece went on as a part."""
        words = "Another piece than before voids what was proven on the old one."
        self._ask(
            f"Which piece is fitted as {part.part.name}?",
            words if part.fitted else "",
            (Asks("identity", "Number or marking on it", such_as="such as: 4 STD"),),
            "Piece went on",
            lambda said: self._act(
                lambda j: j.fit(part.part.id, said["identity"]),
                f"{part.part.name}: fitted {said['identity']}",
            ),
        )

    def who(self) -> None:
        """Ask who measures from now on."""
        self._ask(
            "Who measures from now on?",
            "What was filed stays with who filed it.",
            (Asks("by", "Name", self.desk.by),),
            "Say so",
            lambda said: self._rename(said["by"]),
        )

    def _rename(self, by: str) -> None:
        self.desk.rename_user(by)
        self.desk.told.emit(f"{by} measures from now on")
        self.column.left.emit()

    def _ask_to_strike(self, title: str, entry: str, reason: str) -> None:
        self._ask(
            title,
            _STAYS,
            (Asks("reason", "Why", reason, "such as: the anvil was dirty"),),
            "Strike",
            lambda said: self._strike(entry, said["reason"]),
        )

    def _strike(self, entry: str, reason: str) -> None:
        self.filing.forget(entry)
        self._act(
            lambda j: j.strike(entry, reason),
            "struck; it stays legible in the history",
            self.done_strike.emit,
        )

    def _ask(
        self,
        title: str,
        words: str,
        fields: tuple[Asks, ...],
        verb: str,
        does: Callable[[Mapping[str, str]], object],
    ) -> None:
        self.column.turn_to("ask")
        self.column.ask.ask(title, words, fields, verb=verb, does=does)

    def _act(
        self,
        work: Callable[[Journey], object],
        done: str,
        and_then: Callable[[], object] = lambda: None,
    ) -> None:
        """Have something done; the question goes when it is, and stays where it is refused."""

        def then(_: object) -> None:
            self.desk.told.emit(done)
            self.column.left.emit()
            and_then()

        self.desk.act(work, then=then)
