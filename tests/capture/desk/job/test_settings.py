"""Settings, and the window opened again."""

import sys
from collections.abc import Iterator
from threading import Event

import pytest
from PySide6.QtCore import Qt, QThreadPool

from capture.desk import errands
from capture.desk import memory as remembering
from capture.desk.again import command_of, environment_of, open_again
from capture.desk.camera.devices import Device
from capture.desk.look.palette import DARK
from tests.patient import LONG_MS


def test_who_works_here_is_kept_with_every_entry(benched, job_of, qtbot) -> None:
    page = job_of(benched, "Settings").page
    page.by.set_text("  ")
    page.name_it.click()
    assert page.by.error
    page.by.box.selectAll()
    qtbot.keyClicks(page.by.box, "B.  Orrin")
    page.name_it.click()
    benched.act(lambda j: j.reading("M1.journal", "58.34 mm"))
    qtbot.waitUntil(lambda: benched.round.last.by == "B. Orrin")
    assert benched.by == "B. Orrin"


def test_the_theme_is_worn_at_once_and_remembered(benched, job_of) -> None:
    page = job_of(benched, "Settings").page
    page.theme.set_text("dark")
    page.theme.edited.emit()
    assert benched.palette == DARK
    assert remembering.recall().theme == "dark"


def test_the_size_is_remembered_and_the_window_opens_again(benched, job_of, qtbot) -> None:
    page = job_of(benched, "Settings").page
    assert page.again.isHidden()
    page.scale.set_text("150")
    page.scale.edited.emit()
    assert page.again.words() == "Open the window again at 150 %"
    assert remembering.recall().scale == 150
    opened: list[object] = []
    page.open_again = opened.append
    qtbot.keyClick(page.window(), Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    assert opened == [benched]
    page.scale.set_text("100")
    page.scale.edited.emit()
    assert page.again.isHidden()


def test_the_program_is_started_on_the_same_book(benched, job_of, monkeypatch) -> None:
    screen = job_of(benched, "Settings")
    monkeypatch.setenv("QT_SCALE_FACTOR", "1")
    started = []
    open_again(benched, lambda *given: started.append((*given, screen.isVisible())))
    ((command, environment, was_open),) = started
    assert command[:4] == [sys.executable, "-m", "capture", "desk"]
    assert command[4:] == [str(benched.root), "--by", "R. Ansell"]
    assert "QT_SCALE_FACTOR" not in environment
    assert not was_open  # the window is closed first: one process at a time has the book
    assert command_of(None, "x")[3:] == ["desk", "--by", "x"]
    assert environment_of({"A": "1", "QT_SCALE_FACTOR": "2"}) == {"A": "1"}


def test_a_watched_folder_is_one_that_is_there(benched, job_of, tmp_path) -> None:
    page = job_of(benched, "Settings").page
    page.watched.set_text(str(tmp_path / "gone"))
    page.watch.click()
    assert "there is no folder" in page.watched.error
    page.watched.ask = lambda *_: tmp_path
    page.watched.choose.click()
    page.watch.click()
    assert benched.memory.watched == str(tmp_path)
    assert remembering.recall().watched == str(tmp_path)
    page.watched.set_text("")
    page.watch.click()
    assert benched.memory.watched == ""


def test_a_camera_of_those_there_are_is_chosen(benched, job_of, qtbot) -> None:
    page = job_of(benched, "Settings").page
    page.cameras = lambda: (Device(0, "Bench camera"), Device(2, "Microscope"))
    page.enter()
    qtbot.waitUntil(lambda: page.camera.box.count() == 3)
    assert [page.camera.box.itemText(n) for n in (1, 2)] == ["Bench camera", "Microscope"]
    page.camera.set_text("2")
    page.camera.edited.emit()
    assert benched.memory.camera == 2
    assert remembering.recall().camera == 2
    page.cameras = lambda: (Device(0, "Bench camera"),)
    page.enter()  # the microscope was unplugged: it stays chosen, and that is said
    qtbot.waitUntil(lambda: page.camera.box.currentText() == "camera 3, not there now")
    assert page.camera.text() == "2"


@pytest.fixture
def two_at_once() -> Iterator[None]:
    """Let two errands run beside each other on a machine of one core too."""
    pool = QThreadPool.globalInstance()
    most = pool.maxThreadCount()
    pool.setMaxThreadCount(max(2, most))
    yield
    pool.setMaxThreadCount(most)


@pytest.mark.usefixtures("two_at_once")
def test_an_older_answer_about_cameras_is_not_believed(benched, job_of, qtbot) -> None:
    page = job_of(benched, "Settings").page
    may_answer = Event()

    def slowly() -> tuple[Device, ...]:
        may_answer.wait(LONG_MS / 1000)
        return ()

    page.cameras = slowly
    page.enter()
    page.cameras = lambda: (Device(0, "Bench camera"),)
    page.enter()
    qtbot.waitUntil(lambda: page.camera.box.count() == 2)
    may_answer.set()
    qtbot.waitUntil(lambda: not errands.are_running())
    assert page.camera.box.itemText(1) == "Bench camera"
