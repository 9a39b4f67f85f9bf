"""Waiting for what is read, decoded and filed in other threads and processes."""

from collections.abc import Callable

LONG_MS = 30_000  # it takes a second; a machine that runs ten other things needs longer


def until(qtbot, is_so: Callable[[], bool]) -> None:
    qtbot.waitUntil(is_so, timeout=LONG_MS)
