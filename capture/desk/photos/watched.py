"""A watched folder: where a phone or a card puts its photos. Files there are only ever read.

It is listed once a second and not waited on with the system's notices: these say nothing on
network shares and many a phone's mount, they come before a copy ends, so that sizes have to be
looked at again in any case, and a listing of a thousand files takes some milliseconds.
"""

import hashlib
from datetime import datetime
from pathlib import Path

from PySide6.QtCore import QObject, QTimer, Signal

from capture.desk import errands
from capture.desk import memory as remembering
from capture.desk.desk import Desk
from capture.desk.photos.arrivals import arrivals_of
from capture.desk.photos.settled import Settling, Trace, listing
from capture.journey import Journey

EVERY_MS = 1000


class Watched(QObject):
    """The one watched folder of a desk. ``changed`` says that it is another, or is gone or back.

    ``looked`` comes after each look into it.
    """

    changed = Signal()
    looked = Signal()

    def __init__(self, desk: Desk, every_ms: int = EVERY_MS) -> None:
        super().__init__(desk)
        self._desk = desk
        self._arrivals = arrivals_of(desk)
        self._settling = Settling()
        self._begun = self._gone = False
        self._errand: errands.Errand | None = None
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(every_ms)
        self._timer.timeout.connect(self._look)
        self._begun_with: tuple[Path | None, str] = (None, "")
        # The folder may be chosen elsewhere too, which is followed by a sentence or a step.
        desk.went.connect(self._follow)
        desk.told.connect(self._follow)
        self._follow()

    @property
    def folder(self) -> Path | None:
        """The folder that is watched, None if none is."""
        return Path(self._desk.memory.watched) if self._desk.memory.watched else None

    @property
    def words(self) -> str:
        """What is watched, in words; "" if nothing is."""
        if self.folder is None:
            return ""
        gone = ", which can't be read just now" if self._gone else ""
        return f"photos that come into {self.folder} are taken in{gone}"

    def watch(self, folder: Path) -> None:
        """Watch another folder from now on, and remember it."""
        self._remember(str(folder.absolute()))

    def stop(self) -> None:
        """Watch no folder."""
        self._remember("")

    def _remember(self, folder: str) -> None:
        self._desk.memory.watched = folder
        remembering.keep(self._desk.memory)
        self._begin()

    def _follow(self) -> None:
        if (self._desk.root, self._desk.memory.watched) != self._begun_with:
            self._begin()

    def _begin(self) -> None:
        self._begun_with = self._desk.root, self._desk.memory.watched
        if self._errand is not None:
            self._errand.drop()
        self._errand = None
        self._timer.stop()
        self._settling, self._begun, self._gone = Settling(), False, False
        if self.folder is not None and self._desk.root is not None:
            self._look()
        self.changed.emit()

    def _look(self) -> None:
        folder, settling, begun = self.folder, self._settling, self._begun
        if folder is None:
            return

        def look() -> tuple[dict[Path, Trace], list[Path]]:
            there = listing(folder)
            return there, settling.look(there) if begun else []

        self._errand = errands.run(look, self._looked, lambda _: self._is_gone(gone=True))

    def _looked(self, seen: tuple[dict[Path, Trace], list[Path]]) -> None:
        there, ready = seen
        if not self._begun:
            self._begun = True
            self._settling.leave(there)
            self._ask_about(there)
        if ready:
            self._arrivals.take_paths(ready, watched=True)
        self._is_gone(gone=False)

    def _is_gone(self, *, gone: bool) -> None:
        if gone != self._gone:
            self._gone = gone
            if gone:
                self._desk.refused.emit(
                    f"the watched folder {self.folder} can't be read: is its card or share in? It "
                    "is looked at again every second"
                )
            self.changed.emit()
        self._timer.start()
        self.looked.emit()

    def _ask_about(self, there: dict[Path, Trace]) -> None:
        """Ask about what came after the job was begun and is not in its book."""
        known = self._desk.round
        started = _seconds(known.started.at) if known is not None else 0.0
        late = [path for path, trace in there.items() if trace.mtime_ns / 1e9 >= started]
        if late:
            self._desk.act(_filed, then=lambda filed: self._ask_about_unfiled(late, filed))

    def _ask_about_unfiled(self, late: list[Path], filed: set[str]) -> None:
        errands.run(
            lambda: [path for path in late if _digest(path) not in filed], self._arrivals.ask_about
        )


def watched_of(desk: Desk) -> Watched:
    """Return the one watched folder of a desk; it begins to be watched now if one is remembered."""
    return desk.findChild(Watched) or Watched(desk)


def _filed(journey: Journey) -> set[str]:
    told = journey.book.told
    return {
        taken.photo for where in list(told.filings) for taken in told.photos_at(where, told.now)
    }


def _digest(path: Path) -> str:
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError:
        return ""


def _seconds(at: str) -> float:
    try:
        return datetime.fromisoformat(at).timestamp()
    except ValueError:
        return 0.0
