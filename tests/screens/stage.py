"""A real window without a screen, walked to where a picture is taken."""

import time
from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QEventLoop, Qt, QTimer
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QWidget

from capture.desk import errands
from capture.desk.desk import Desk
from capture.desk.look.palette import PALETTES, Theme
from capture.desk.memory import Memory
from capture.desk.window import Window
from capture.edge import Edge

_PATIENCE_S = 120


class Stage:
    """One window on one book."""

    def __init__(self, book: Path | None, size: tuple[int, int], theme: Theme) -> None:
        edge = Edge(lambda: "2026-11-12T18:20:00+01:00", "R. Ansell", lambda: "bench-1",
                    lambda: "0.1.0")  # fmt: skip
        self.desk = Desk(edge, Memory())
        self.window = Window(self.desk)
        self.window.resize(*size)
        self.window.show()
        self.desk.wear(PALETTES[theme])
        if book is not None:
            self.desk.open(book)
            self.wait(lambda: self.desk.root is not None and self.desk.round is not None)
        self.settle()

    @property
    def screen(self) -> QWidget:
        """The screen in the work area."""
        return self.window.screen_shown

    def wait(self, until: Callable[[], object]) -> None:
        """Let the window work until something is so."""
        ends = time.monotonic() + _PATIENCE_S
        while not until():
            if time.monotonic() > ends:
                raise RuntimeError("waited in vain")
            self.spin(10)

    def settle(self) -> None:
        """Let everything that is under way come to rest."""
        quiet = 0
        while quiet < 3:
            self.spin(60)
            quiet = 0 if errands.are_running() or self.desk.bench.is_working else quiet + 1

    def spin(self, milliseconds: int) -> None:
        """Let the window work for a while."""
        loop = QEventLoop()
        QTimer.singleShot(milliseconds, loop.quit)
        loop.exec()

    def press(self, key: Qt.Key, *, ctrl: bool = False) -> None:
        """Press a key where the focus is."""
        modifier = Qt.KeyboardModifier.ControlModifier if ctrl else Qt.KeyboardModifier.NoModifier
        QTest.keyClick(self.window.focusWidget() or self.window, key, modifier)
        self.settle()

    def type(self, text: str) -> None:
        """Type as a person does, where the focus is."""
        for letter in text:
            QTest.keyClicks(self.window.focusWidget() or self.window, letter)
            self.spin(60)
        self.settle()

    def keep(self, file: Path) -> None:
        """Take the picture."""
        self.settle()
        self.window.grab().save(str(file))

    def close(self) -> None:
        """Close window and book."""
        self.window.close()
        errands.wait_for_all()
