"""A robot at the window that waits as long as a busy machine needs. What is waited for comes by
itself, so a longer time costs a passing test nothing."""

from collections.abc import Callable
from typing import Any

from pytestqt.qtbot import QtBot

LONG_MS = 60_000


class PatientBot(QtBot):
    """pytest-qt's robot, with a minute where it has five seconds."""

    def waitUntil(self, callback: Callable[[], Any], *, timeout: int = LONG_MS) -> None:  # noqa: N802 - as it is called there
        super().waitUntil(callback, timeout=timeout)

    def waitSignal(self, signal: Any, *, timeout: int = LONG_MS, **how: Any) -> Any:  # noqa: N802 - as it is called there
        return super().waitSignal(signal, timeout=timeout, **how)

    def waitExposed(self, widget: Any, *, timeout: int = LONG_MS) -> Any:  # noqa: N802 - as it is called there
        return super().waitExposed(widget, timeout=timeout)

    def waitActive(self, widget: Any, *, timeout: int = LONG_MS) -> Any:  # noqa: N802 - as it is called there
        return super().waitActive(widget, timeout=timeout)
