"""Letting a window work until something is so, and taking the time of it."""

import time
from collections.abc import Callable

from PySide6.QtCore import QEventLoop, QTimer


def timed(once: Callable[[], object]) -> float:
    """Return how many seconds something takes."""
    began = time.perf_counter()
    once()
    return time.perf_counter() - began


def wait(until: Callable[[], object], seconds: float = 600) -> None:
    """Let the window work until something is so; raises RuntimeError if it never is."""
    ends = time.perf_counter() + seconds
    while not until():
        if time.perf_counter() > ends:
            raise RuntimeError("waited in vain")
        loop = QEventLoop()
        QTimer.singleShot(5, loop.quit)
        loop.exec()


def settle(seconds: float) -> None:
    """Let the window work for a while."""
    ends = time.perf_counter() + seconds
    wait(lambda: time.perf_counter() > ends)
