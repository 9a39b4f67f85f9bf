"""A user's folders of the test's own, and a widget in a window."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QWidget

from capture.desk.screen import Screen
from capture.desk.start.new_job import NewJobScreen
from capture.desk.where import Where


@pytest.fixture(autouse=True)
def documents(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Let new jobs and what is remembered go below the test's folder."""
    folder = tmp_path / "documents"
    monkeypatch.setenv("XDG_DOCUMENTS_DIR", str(folder))
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    return folder


@pytest.fixture
def shown(qtbot) -> Iterator[Callable[[Screen, Where], Screen]]:
    """Show a screen as the window does: in a window of its own, gone to, and left at the end."""
    made: list[Screen] = []

    def show(screen: Screen, where: Where) -> Screen:
        made.append(screen)
        qtbot.addWidget(screen)
        screen.resize(976, 752)
        with qtbot.waitExposed(screen):
            screen.show()
        screen.activateWindow()
        qtbot.waitUntil(screen.isActiveWindow)
        screen.enter(where)
        return screen

    yield show
    for screen in made:
        screen.leave()


@pytest.fixture
def new_job(desk, shown, qtbot) -> NewJobScreen:
    """The screen of a new job, the library's plans offered."""
    screen = shown(NewJobScreen(desk), Where("new job"))
    qtbot.waitUntil(lambda: "arrival" in screen.choice.plans.row_keys())
    return screen


def tick(screen: NewJobScreen, qtbot, *keys: str) -> None:
    """Tick plans of the library, or take the tick away, with real keys."""
    for key in keys:
        screen.choice.plans.choose(key)
        screen.choice.plans.setFocus()
        qtbot.keyClick(screen.choice.plans, Qt.Key.Key_Space)


def find(root: QWidget, kind: type[QWidget], name: str) -> QWidget:
    """Return the one widget of a kind with an accessible name."""
    found = [each for each in root.findChildren(kind) if each.accessibleName() == name]
    assert len(found) == 1, [each.accessibleName() for each in root.findChildren(kind)]
    return found[0]
