"""The window opened again: what Qt reads only when it starts, such as the scale, is read anew."""

import os
import subprocess
import sys
from collections.abc import Callable, Mapping
from pathlib import Path

from PySide6.QtWidgets import QApplication

from capture.desk import memory as remembering
from capture.desk.desk import Desk

Start = Callable[[list[str], Mapping[str, str]], object]


def open_again(desk: Desk, start: Start | None = None) -> None:
    """Close the book and the window, and start the program again on the same book.

    ``start`` is given the command and its environment; by default a process of its own. The scale
    that this process was given is left out of it, so that the remembered one holds.
    """
    command, environment = command_of(desk.root, desk.by), environment_of(os.environ)
    remembering.keep(desk.memory)
    app = QApplication.instance()
    if isinstance(app, QApplication):
        app.closeAllWindows()  # which closes the book: one process at a time has it
    (start or _start)(command, environment)


def command_of(book: Path | None, by: str) -> list[str]:
    """Return the command that opens the window on a book, for the same person."""
    where = [str(book)] if book else []
    return [sys.executable, "-m", "capture", "desk", *where, "--by", by]


def environment_of(now: Mapping[str, str]) -> dict[str, str]:
    """Return the environment without the scale, which the new window reads from its memory."""
    return {name: value for name, value in now.items() if name != "QT_SCALE_FACTOR"}


def _start(command: list[str], environment: Mapping[str, str]) -> object:
    return subprocess.Popen(command, env=dict(environment), start_new_session=True)
