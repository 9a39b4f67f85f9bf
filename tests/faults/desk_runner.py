"""A desk in a process of its own, to be killed: ``python -m tests.faults.desk_runner ROOT ACT``.

It opens the book at ROOT/jobs if there is one, and does the acts of the journey from ACT on. Each
line it prints tells the one who kills it: "landed ROOM KEY", "act NAME", "at KEY", "kept ...",
"done NAME", "end". A "kept" line is printed when the window has said so, never before.
"""

import os
import sys
import time
from collections.abc import Callable
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from PySide6.QtCore import QEventLoop, QTimer
from PySide6.QtWidgets import QApplication

from capture.desk import memory as remembering
from capture.desk.desk import Desk
from capture.desk.where import Where
from capture.desk.window import Window
from capture.edge import edge_of_machine
from tests.bench.desk_waiting import end_on_errors
from tests.journey.desk_acts import ACTS
from tests.journey.hands import Hands

_PATIENCE_S = 300  # of a machine that has other work too


def main() -> None:
    """Do the acts from the one that is named, and say so."""
    root, first = Path(sys.argv[1]), sys.argv[2]
    end_on_errors()
    app = QApplication(sys.argv[:1])
    app.setStyle("Fusion")
    window = Window(Desk(edge_of_machine("R. Ansell"), remembering.recall()))
    window.resize(1280, 800)
    window.show()
    window.activateWindow()
    _wait(window.isActiveWindow)
    hands = Hands(window, _wait, lambda words: _say(f"kept {words}"))
    _open(hands, root)
    window.desk.went.connect(_tell_where)
    names = [act.name for act in ACTS]
    for act in ACTS[names.index(first) :]:
        _say(f"act {act.name}")
        try:
            act.does(hands)
        except RuntimeError as error:
            error.add_note(f"in {act.name}; told {hands.told}, refused {hands.refused}")
            raise
        _say(f"done {act.name}")
    window.close()
    _say("end")


def _open(hands: Hands, root: Path) -> None:
    """Open the one book that is there, as whoever comes back to the bench does."""
    books = [book.parent for book in root.glob("*/*/ledger.db")]
    if books:
        hands.desk.open(books[0])
        _wait(lambda: hands.desk.root is not None)
    where = hands.desk.where
    _say(f"landed {where.room} {where.key}")


def _tell_where(where: Where) -> None:
    if where.key:
        _say(f"at {where.key}")


def _say(words: str) -> None:
    """Say a line at once: it must be out before the next thing is done."""
    os.write(sys.stdout.fileno(), f"{words}\n".encode())


def _wait(is_so: Callable[[], object]) -> None:
    ends = time.monotonic() + _PATIENCE_S
    while not is_so():
        if time.monotonic() > ends:
            raise RuntimeError("waited in vain")
        loop = QEventLoop()
        QTimer.singleShot(5, loop.quit)
        loop.exec()


if __name__ == "__main__":
    main()
