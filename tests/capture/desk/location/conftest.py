"""A real window at one check, and hands that type."""

from collections.abc import Callable
from typing import NamedTuple

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from capture.desk.desk import Desk
from capture.desk.location.screen import LocationScreen
from capture.desk.window import Window

NONE = Qt.KeyboardModifier.NoModifier
CTRL = Qt.KeyboardModifier.ControlModifier


class Bench(NamedTuple):
    """One window at one check. What is typed goes wherever the focus is."""

    window: Window
    desk: Desk
    screen: LocationScreen
    qtbot: QtBot

    def type(self, text: str) -> None:
        """Type a text where the focus is."""
        QTest.keyClicks(self.focus, text)

    def key(self, key: Qt.Key, modifier: Qt.KeyboardModifier = NONE) -> None:
        """Press one key where the focus is."""
        QTest.keyClick(self.focus, key, modifier)

    def file(self, text: str) -> None:
        """Type a text and Return, and wait until the window has dealt with it."""
        self.type(text)
        self.key(Qt.Key.Key_Return)
        self.settle()

    def settle(self) -> None:
        """Wait until nothing is being filed any more, and its answer is drawn."""
        self.until(lambda: not self.screen.filing.under_way)

    def until(self, condition: Callable[[], bool]) -> None:
        """Wait for something to be so."""
        self.qtbot.waitUntil(condition)

    @property
    def focus(self) -> QWidget:
        """What has the keyboard."""
        focus = QApplication.focusWidget()
        assert focus is not None
        return focus

    @property
    def box(self) -> str:
        """What stands in the reading box."""
        return self.screen.column.box.text

    @property
    def echo(self) -> str:
        """What is said below the box."""
        return self.screen.column.echo.text

    @property
    def has_focus(self) -> bool:
        """Whether the reading box has the keyboard."""
        return self.screen.column.box.figures.hasFocus()

    def check(self, key: str = ""):  # noqa: ANN201 - a Check
        """Where a check stands, that of the screen by default."""
        return self.desk.round.check(key or self.desk.where.key)


@pytest.fixture
def open_at(qtbot) -> Callable[[Desk, str], Bench]:
    """Open a window on a desk and go to a check."""

    def opened(desk: Desk, key: str) -> Bench:
        window = Window(desk)
        qtbot.addWidget(window)
        window.resize(1280, 800)
        window.show()
        window.activateWindow()
        qtbot.waitUntil(window.isActiveWindow)
        desk.go_to_check(key)
        screen = window.screen_shown
        assert isinstance(screen, LocationScreen)
        return Bench(window, desk, screen, qtbot)

    return opened
