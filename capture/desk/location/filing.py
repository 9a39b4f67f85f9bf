"""Readings on their way into the book, in the order they were typed."""

from typing import NamedTuple

from PySide6.QtCore import QObject, Signal

from capture.desk.bench import Refused
from capture.desk.desk import Desk
from capture.desk.location.beside import Beside
from capture.errors import SlipSuspected
from capture.journey import Journey
from store.characteristic import Spot
from store.evidence import Read
from store.round import Attempt, Check


class Typed(NamedTuple):
    """One reading that was typed: for which check, the text as it is filed, and as it was typed."""

    key: str
    text: str
    beside: Beside
    as_typed: str


class Kept(NamedTuple):
    """A reading, or marks, in the book: the check after it, and the entry it became."""

    typed: Typed
    check: Check
    entry: str
    hints: tuple[str, ...] = ()
    is_marks: bool = False


class Asked(NamedTuple):
    """A reading that looks like a slip, and is not in the book yet."""

    typed: Typed
    slip: SlipSuspected


class Filing(QObject):
    """Asks the desk to file; tells what was kept, what was refused and what is asked about."""

    kept = Signal(object)  # Kept
    refused = Signal(object, str)  # Typed, the sentence
    asked = Signal(object)  # Asked
    changed = Signal()  # something is being filed now, or no longer is

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self._under_way: list[Typed] = []
        self.sitting: list[Kept] = []  # what was filed since the window opened, the last one last

    def waiting(self, key: str) -> list[Spot]:
        """Return the spots of a check whose reading is being filed."""
        return [typed.beside.spot for typed in self._under_way if typed.key == key]

    @property
    def under_way(self) -> str:
        """The text being filed now, empty if none is."""
        return self._under_way[0].as_typed if self._under_way else ""

    def file(self, typed: Typed, *, stands: str | None = None) -> None:
        """File a reading; ``stands`` says why one that looks like a slip is kept."""
        self._under_way.append(typed)
        self.changed.emit()

        def work(journey: Journey) -> Kept:
            with journey.book.still():  # what is hinted at is of this reading, and of no later one
                check = journey.reading(
                    typed.key, typed.text, stands=stands, **typed.beside.filed()
                )
                return Kept(typed, check, newest_entry(check), journey.fit_hints(typed.key))

        self._desk.act(
            work,
            then=lambda kept: self._keep(typed, kept),
            refused=lambda why: self._refuse(typed, why),
            words="filing the reading",
        )

    def withdraw(self, asked: Asked, words: str = "") -> None:
        """Keep that a reading looked like a slip and was not filed."""
        self._desk.act(lambda journey: journey.withdraw(asked.slip, words))

    def took_marks(self, check: Check, entry: str, words: str) -> None:
        """Have marks that were filed elsewhere among what can be undone."""
        typed = Typed(check.key, words, Beside(), words)
        self.sitting.append(Kept(typed, check, entry, is_marks=True))
        self.changed.emit()

    def forget(self, entry: str) -> None:
        """Take an entry from what can be undone: it is struck."""
        self.sitting = [kept for kept in self.sitting if kept.entry != entry]

    def _keep(self, typed: Typed, kept: Kept) -> None:
        self._under_way.remove(typed)
        self.sitting.append(kept)
        self.changed.emit()
        self.kept.emit(kept)

    def _refuse(self, typed: Typed, why: Refused) -> None:
        self._under_way.remove(typed)
        self.changed.emit()
        if isinstance(why.error, SlipSuspected):
            self.asked.emit(Asked(typed, why.error))
        else:
            self.refused.emit(typed, why.sentence)


def newest_entry(check: Check) -> str:
    """Return the entry of the reading of a check that was filed last, empty if there is none."""
    read = [a for a in (*check.attempts, *check.readings) if isinstance(a.record, Read)]
    last: Attempt | None = max(read, key=lambda a: a.stamp.seq, default=None)
    return last.stamp.entry if last else ""
