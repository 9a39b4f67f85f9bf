"""A user's folders of the test's own, and a widget in a window."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt

from capture.desk.desk import Desk
from capture.desk.job.form import Form
from capture.desk.job.page import Page
from capture.desk.job.screen import JobScreen
from capture.desk.look.field import ChoiceField, PickField
from capture.desk.screen import Screen
from capture.desk.where import Where
from capture.verifying import verify_book


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
        screen.desk.round_changed.connect(screen.show_round)
        return screen

    yield show
    for screen in made:
        screen.desk.round_changed.disconnect(screen.show_round)
        screen.leave()


@pytest.fixture
def job_of(shown) -> Callable[[Desk, str], JobScreen]:
    """Show the job of a desk at one of its pages."""

    def show(desk: Desk, page: str) -> JobScreen:
        screen = shown(JobScreen(desk), Where("job", part=page))
        assert isinstance(screen, JobScreen)
        assert screen.page.name == page
        return screen

    return show


@pytest.fixture
def type_in(qtbot) -> Callable[..., Form]:
    """Type into the form that is open, with real keys, and file it with Ctrl Return."""

    def type_(page: Page, **texts: str) -> Form:
        form = page.form_open
        assert form is not None
        for name, text in texts.items():
            field = form.fields[name]
            assert not field.isHidden(), name
            if isinstance(field, PickField | ChoiceField):
                field.set_text(text)
                field.edited.emit()
                assert field.text() == text
                continue
            box = field.box.focusProxy() or field.box
            box.setFocus()
            qtbot.keyClick(box, Qt.Key.Key_A, Qt.KeyboardModifier.ControlModifier)
            qtbot.keyClick(box, Qt.Key.Key_Delete)
            qtbot.keyClicks(box, text)
        qtbot.keyClick(form, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
        return form

    return type_


@pytest.fixture
def filed(qtbot, type_in) -> Callable[..., None]:
    """Type into the form that is open and wait until it was kept."""

    def file_(page: Page, **texts: str) -> None:
        form = type_in(page, **texts)
        qtbot.waitUntil(lambda: page.form_open is None)
        assert form.fault.isHidden()

    return file_


def is_sound(desk: Desk) -> bool:
    """Return whether the book on disk verifies as it stands."""
    assert desk.root is not None
    return verify_book(desk.root, version="0.0-test") == []
