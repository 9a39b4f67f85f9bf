"""Letting a window work until something is so, and taking the time of it."""

import os
import sys
import time
import traceback
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


def end_on_errors() -> None:
    """End the program where the window's own code fails: Qt would print it and go on."""

    def end(_: object, error: BaseException, __: object) -> None:
        traceback.print_exception(error)
        os._exit(3)

    sys.excepthook = end
