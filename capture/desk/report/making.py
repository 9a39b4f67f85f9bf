"""A report or pack under way: its progress, its end, and a way to stop it."""

from pathlib import Path
from threading import Event

from PySide6.QtCore import QObject, Signal

from capture.desk import errands
from capture.desk.bench import Refused
from capture.desk.report.order import Order, make
from capture.edge import Edge
from store.errors import PackStopped
from store.report.typeset import ReportStopped


class Making(QObject):
    """Made in another thread; every signal arrives in the window's."""

    progressed = Signal(int, int, str)  # done, of, words
    done = Signal(object)  # the Path
    refused = Signal(str)
    stopped = Signal()

    def __init__(self, order: Order, edge: Edge) -> None:
        super().__init__()
        self.order = order
        self._unwanted = Event()
        self._errand = errands.run(
            lambda: make(order, edge, progress=self.progressed.emit, stop=self._unwanted.is_set),
            self._end,
            self._refuse,
        )

    def stop(self) -> None:
        """Want it no more; ``stopped`` comes when it has ended."""
        self._unwanted.set()

    def _end(self, target: Path) -> None:
        self.done.emit(target)

    def _refuse(self, refused: Refused) -> None:
        if isinstance(refused.error, ReportStopped | PackStopped):
            self.stopped.emit()
        else:
            self.refused.emit(refused.sentence)
