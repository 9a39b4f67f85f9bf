"""What every screen shares: the job as it stands, where one is, and how an act is asked for."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

from PySide6.QtCore import QObject, Signal

from capture.desk import memory as remembering
from capture.desk.bench import Bench, Refused, Work
from capture.desk.look.palette import LIGHT, Palette
from capture.desk.where import Where
from capture.edge import Edge
from capture.journey import Journey, Measure
from capture.words.owed import next_check, waiting_beside, waits_for_the_hand
from store.branches.merges import MergeTold
from store.files.halfmade import Scratch
from store.plan import Plan
from store.round import Check, Place, Round


class Desk(QObject):
    """The one thing that all screens know. Screens ask it; it tells them by signals."""

    round_changed = Signal(object)  # Round, or None when no book is open
    went = Signal(object)  # Where
    marked = Signal(object, str, str)  # the Check that marks were filed of, their entry, in words
    told = Signal(str)  # a sentence: something was kept, or is well
    refused = Signal(str)  # a sentence: something was not done, and what to do
    busy = Signal(str)  # what takes long just now, "" when it is done
    dressed = Signal(object)  # Palette, when the theme changes
    closing = Signal()  # the window goes: let go of what is under way

    def __init__(self, edge: Edge, memory: remembering.Memory | None = None) -> None:
        super().__init__()
        self.edge = edge
        self.memory = memory or remembering.Memory()
        self.bench = Bench(self)
        self.root: Path | None = None
        self.round: Round | None = None
        self.merges: tuple[MergeTold, ...] = ()  # what was taken in, the first first
        self.where = Where("first")
        self.palette: Palette = LIGHT
        self.by = edge.by
        self.measure: Measure | None = None  # where coverages are measured, if not in the bench
        self._scratch = Scratch("desk")
        self._behind: list[Where] = []
        self.bench.took_in.connect(self._take_in)
        self.bench.stood.connect(self._stand)
        self.bench.failed.connect(lambda refused: self.refused.emit(refused.sentence))
        self.bench.began.connect(self.busy)
        self.bench.ended.connect(lambda: self.busy.emit(""))

    # --- the book -------------------------------------------------------------------------

    def open(self, root: Path, key: str = "") -> None:
        """Open a book and go to a check of it, else where one was in it, or to what comes next."""
        root = root.absolute()
        self.bench.open(
            lambda: self._ready(Journey.open(root, clock=self.edge.clock, user=self.by,
                                             version=self.edge.version)),
            then=lambda _: self._opened(root, key),
        )  # fmt: skip

    def begin(self, plan: Plan, root: Path, *, comeback_of: Path | str = "") -> None:
        """Begin a book with a plan and go to its first location."""
        root = root.absolute()
        self.bench.open(
            lambda: self._ready(Journey.start(
                plan, root, bench=self.edge.bench, clock=self.edge.clock, user=self.by,
                version=self.edge.version, comeback_of=comeback_of,
            )),
            then=lambda _: self._opened(root),
        )  # fmt: skip

    def act(
        self,
        work: Work,
        *,
        then: Callable[[Any], None] | None = None,
        refused: Callable[[Refused], None] | None = None,
        words: str = "",
    ) -> None:
        """Have something done with the journey, in the thread that holds the book."""
        self.bench.ask(work, then=then, refused=refused, words=words)

    def rename_user(self, by: str) -> None:
        """Say who works here from now on."""
        self.by = by
        self.edge = self.edge._replace(by=by)
        self.act(lambda journey: journey.work_as(by))

    # --- where one is ---------------------------------------------------------------------

    def go(self, where: Where, *, back: bool = False) -> None:
        """Show something else in the work area."""
        if not back and where != self.where:
            self._behind.append(self.where)
            del self._behind[:-100]
        self.where = where
        if self.root is not None and where.key:
            self.memory.at(self.root, where.key)
            # At once, in a millisecond: a program that is killed has no time for it at its end.
            remembering.keep(self.memory)
        self.went.emit(where)

    def go_back(self) -> None:
        """Go where one was before."""
        if self._behind:
            self.go(self._behind.pop(), back=True)

    def go_to_check(self, key: str) -> None:
        """Show a check, or a location at its first open check."""
        if "." not in key:
            key = self._first_open(key)
        self.go(Where("location", key))

    def go_to_next(self) -> None:
        """Go to the next check that still waits for the hand, then to those before."""
        following = self.next_open
        if following is None:
            self.told.emit("nothing is left to measure: see the hold points")
        else:
            self.go_to_check(following.key)

    @property
    def next_open(self) -> Check | None:
        """The next check that waits for the hand, first forward from here; None if none does."""
        if self.round is None:
            return None
        return next_check(self.round, self.where.key, past=self.where.room == "location")

    def step(self, steps: int) -> None:
        """Go to the next open check of this location, else to the next location; -1 goes back."""
        key = self.step_key(steps)
        if key:
            self.go_to_check(key)

    def step_key(self, steps: int) -> str:
        """Return the check or location that a step leads to, "" where there is none."""
        if self.round is None or not self.round.places:
            return ""
        place = self.place if self.where.room == "location" else None
        if place and (beside := waiting_beside(place, self.where.key, steps)):
            return beside.key
        places = self.round.places
        ids = [each.location.id for each in places]
        at = ids.index(self.where.location) if self.where.location in ids else -1
        if not 0 <= at + steps < len(ids):
            return ""
        last = [c.key for c in places[at + steps].checks if waits_for_the_hand(c)][-1:]
        return last[0] if steps < 0 and last else ids[at + steps]

    @property
    def scratch(self) -> Path:
        """A folder for what need not outlive the window."""
        return self._scratch.path

    @property
    def place(self) -> Place | None:
        """The location that is shown, None where there is none."""
        if self.round is None:
            return None
        return next((p for p in self.round.places if p.location.id == self.where.location), None)

    @property
    def check(self) -> Check | None:
        """The check that is shown, None where there is none."""
        place = self.place
        return next((c for c in place.checks if c.key == self.where.key), None) if place else None

    # --- look -----------------------------------------------------------------------------

    def wear(self, palette: Palette) -> None:
        """Change the theme."""
        self.palette = palette
        self.dressed.emit(palette)

    def close(self) -> None:
        """Close the book and remember where one was."""
        self.closing.emit()
        remembering.keep(self.memory)
        self.bench.close()
        self._scratch.close()

    # --- private --------------------------------------------------------------------------

    def _ready(self, journey: Journey) -> Journey:
        if self.measure is not None:
            journey.measure_with(self.measure)
        return journey

    def _opened(self, root: Path, key: str = "") -> None:
        self.root = root
        known = self.round
        remembered = key or self.memory.here.get(str(root), "")
        keys = {check.key for check in known.checks} if known else set()
        holds = {hold.hold_point.id for hold in known.holds} if known else set()
        self.memory.at(root, remembered)
        remembering.keep(self.memory)
        if remembered in holds:
            self.go(Where("hold", remembered))
        elif remembered in keys:
            self.go_to_check(remembered)
        elif known and next_check(known):
            self.go_to_next()
        else:
            self.go(Where("map") if known and known.places else Where("job"))

    def _take_in(self, merges: tuple[MergeTold, ...]) -> None:
        self.merges = merges

    def _stand(self, known: Round) -> None:
        self.round = known
        self.round_changed.emit(known)

    def _first_open(self, location: str) -> str:
        if self.round is None:
            return location
        place = next((p for p in self.round.places if p.location.id == location), None)
        if place is None or not place.checks:
            return location
        waiting = [c for c in place.checks if not c.proven and not c.waiver]
        by_hand = [c for c in place.checks if waits_for_the_hand(c)]
        return (by_hand or waiting or list(place.checks))[0].key
