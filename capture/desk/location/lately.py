"""What a gauge or a strike did lately: said for a while, then it fades."""

from datetime import datetime

from PySide6.QtCore import QObject, QTimer, Signal

from capture.desk.desk import Desk

FADES_MS = 60_000


class Lately(QObject):
    """Holds a few words for a minute."""

    changed = Signal()

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self.words = ""
        self.fading = QTimer(self, singleShot=True, interval=FADES_MS)
        self.fading.timeout.connect(self._fade)

    def say(self, what: str) -> None:
        """Say that something was done now: "gauge typed 14:20"."""
        self.words = f"{what} {datetime.fromisoformat(self._desk.edge.clock()):%H:%M}"
        self.fading.start()
        self.changed.emit()

    def _fade(self) -> None:
        self.words = ""
        self.changed.emit()
