"""A marking screen on a real book that has a sample picture filed at an oil hole."""

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QAbstractButton, QLabel, QLineEdit, QWidget

from annotate.marks import Point
from capture.desk.desk import Desk
from capture.desk.errands import wait_for_all
from capture.desk.look.controls import Verb
from capture.desk.marking.screen import MarkingScreen
from capture.desk.where import Where
from capture.intake.photo import read_photo
from tests.capture.command import SAMPLES

SLOW_MS = 60_000  # looking for rims and measuring, on a machine that has other work too


@pytest.fixture
def filed(demo, qtbot) -> Callable[..., str]:
    """File a picture at a location of the demo's plan; return the photo's id."""

    def file(path: Path | str, location: str = "B3", role: str = "close-up") -> str:
        photo = read_photo(SAMPLES / path)
        kept = []
        demo.act(lambda j: j.add_photo(photo, location=location, role=role), then=kept.append)
        qtbot.waitUntil(lambda: bool(kept))
        return kept[0].evidence.photo

    return file


@pytest.fixture
def opened(demo, qtbot, tmp_path) -> Callable[..., MarkingScreen]:
    """Open the marking screen on a photo, as the window does, and wait until it is shown."""
    screens = []

    def open_(key: str, photo: str, second_to: str = "") -> MarkingScreen:
        screen = MarkingScreen(demo, tmp_path / "drafts")
        qtbot.addWidget(screen)
        screens.append(screen)
        screen.resize(976, 752)
        screen.show()
        qtbot.waitExposed(screen)
        go_to(screen, demo, Where("marking", key, photo=photo, second_to=second_to), qtbot)
        return screen

    yield open_
    for screen in screens:
        screen.leave()
    wait_for_all()


def go_to(screen: MarkingScreen, desk: Desk, where: Where, qtbot) -> None:
    """Go to a photo and wait until it can be marked, its printed targets looked for."""
    desk.go(where)
    screen.enter(where)
    qtbot.waitUntil(lambda: screen.placing.about.is_whole, timeout=SLOW_MS)


def press(screen: MarkingScreen, at: tuple[float, float], qtbot) -> None:
    """Click a place of the picture, in its pixels."""
    where = screen.canvas.to_viewport(Point(*at)).toPoint()
    qtbot.mouseClick(screen.canvas.viewport(), Qt.MouseButton.LeftButton, pos=where)


def find(screen: MarkingScreen, at: tuple[float, float], qtbot) -> None:
    """Press inside a hole and wait for what comes of it."""
    press(screen, at, qtbot)
    assert screen.placing.state == "seeking"
    qtbot.waitUntil(lambda: screen.placing.state != "seeking", timeout=SLOW_MS)


def accept(screen: MarkingScreen, desk: Desk, qtbot) -> None:
    """Accept with the key, and wait until it was measured or refused."""
    qtbot.keyClick(screen, Qt.Key.Key_A)
    assert screen.placing.state == "measuring"
    qtbot.waitUntil(lambda: screen.placing.state != "measuring", timeout=SLOW_MS)


def place(screen: MarkingScreen, key: Qt.Key, points, qtbot) -> None:
    """Take a tool with its key, press the points, and finish with Ctrl Return."""
    qtbot.keyClick(screen, key)
    assert screen.canvas.tool
    for at in points:
        press(screen, at, qtbot)
    qtbot.keyClick(screen, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    assert not screen.canvas.tool


def place_by_hand(screen: MarkingScreen, hole: dict[str, list[tuple[float, float]]], qtbot) -> None:
    """Place both rims of a sample picture by hand, as its answers say."""
    place(screen, Qt.Key.Key_N, hole["near_points"], qtbot)
    place(screen, Qt.Key.Key_F, hole["far_points"], qtbot)


def all_words(screen: MarkingScreen) -> str:
    """Return every word that the screen shows or says to a screen reader now."""
    said = []
    for widget in screen.findChildren(QWidget):
        if not widget.isVisible():
            continue
        said += [widget.accessibleName(), widget.accessibleDescription(), widget.toolTip()]
        if isinstance(widget, QLabel | QAbstractButton):
            said.append(widget.text())
        if isinstance(widget, Verb):
            said.append(widget.words())
        if isinstance(widget, QLineEdit):
            said += [widget.text(), widget.placeholderText()]
    return "\n".join(said)
