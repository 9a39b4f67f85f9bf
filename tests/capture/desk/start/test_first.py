"""The first screen, by its keys, on real books."""

from pathlib import Path

import pytest
from PySide6.QtCore import QMimeData, QPoint, Qt, QUrl
from PySide6.QtGui import QDropEvent

from capture.demo.job import BUILDER
from capture.desk.start import demo_errand
from capture.desk.start.first import FirstScreen
from capture.desk.start.recent import read_recent
from capture.desk.where import Where
from capture.verifying import verify_book
from store.book import Book


@pytest.fixture
def first(desk, shown) -> FirstScreen:
    return shown(FirstScreen(desk), Where("first"))


def test_n_goes_to_a_new_job(first, qtbot) -> None:
    with qtbot.waitSignal(first.desk.went) as went:
        qtbot.keyClick(first, Qt.Key.Key_N)
    assert went.args == [Where("new job")]


def test_o_asks_for_a_folder_and_opens_it(small, shown, qtbot) -> None:
    first = shown(FirstScreen(small), Where("first"))
    asked: list[object] = []
    root = small.root
    small.root = None

    def ask(*given: object) -> Path:
        asked.append(given)
        return root

    first.ask_folder = ask
    qtbot.keyClick(first, Qt.Key.Key_O)
    qtbot.waitUntil(lambda: small.root == root)
    assert len(asked) == 1


def test_gone_to_again_while_it_is_shown_it_asks_for_a_folder(first) -> None:
    asked = []
    first.ask_folder = lambda *_: asked.append(True)
    first.enter(Where("first"))
    assert asked == [True]


def test_a_folder_that_is_no_book_is_told(first, qtbot, tmp_path) -> None:
    with qtbot.waitSignal(first.desk.refused):
        first.open_job(tmp_path)
    assert first.desk.root is None


def test_a_dropped_book_is_opened(small, shown, qtbot) -> None:
    first = shown(FirstScreen(small), Where("first"))
    root, small.root = small.root, None
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(root))])
    event = QDropEvent(
        QPoint(5, 5), Qt.DropAction.CopyAction, data, Qt.MouseButton.LeftButton,
        Qt.KeyboardModifier.NoModifier,
    )  # fmt: skip
    first.dropEvent(event)
    qtbot.waitUntil(lambda: small.root == root)
    assert event.isAccepted()


def test_the_books_of_late_are_opened_by_their_figures(small, shown, qtbot) -> None:
    root, small.root = small.root, None
    first = shown(FirstScreen(small), Where("first"))
    qtbot.waitUntil(lambda: any(choice.isVisible() for choice in first._recents))
    assert "0 of " in first._recents[0].about
    qtbot.keyClick(first, Qt.Key.Key_1)
    qtbot.waitUntil(lambda: small.root == root)


def test_a_book_that_is_broken_says_so(tmp_path) -> None:
    found = read_recent(tmp_path)
    assert found.number == ""
    assert found.state


def test_the_demo_is_made_beside_the_window(first, qtbot, documents, monkeypatch) -> None:
    """Its walk is cut to the first stage here: the whole of it is walked in the journey tests."""
    from capture.demo import job  # noqa: PLC0415 - beside its use

    monkeypatch.setattr(demo_errand, "walk", job._arrival)
    told: list[str] = []
    first.demo_told.connect(told.append)
    qtbot.keyClick(first, Qt.Key.Key_D)
    assert not first.demo.isEnabled()
    root = documents / "Benchproof jobs" / "demo-job"
    qtbot.waitUntil(lambda: first.desk.root == root)
    assert told[0].startswith("A1:")
    assert first.desk.round.last.by == BUILDER
    assert first.demo.isEnabled()
    assert verify_book(root, version="0.0-test") == []


def test_the_demo_is_stopped_and_opened_as_far_as_it_got(first, qtbot, monkeypatch) -> None:
    reached = []

    def walk(journey, told) -> None:
        for number in range(1000):
            told.act(f"act {number}")
            reached.append(number)
            journey.reading("A1.identity", f"look {number}")

    monkeypatch.setattr(demo_errand, "walk", walk)
    qtbot.keyClick(first, Qt.Key.Key_D)
    qtbot.waitUntil(lambda: len(reached) > 3)
    qtbot.keyClick(first, Qt.Key.Key_S)
    qtbot.waitUntil(lambda: first.desk.root is not None)
    assert len(reached) < 1000
    assert first.desk.round.check("A1.identity").current.words == f"look {reached[-1]}"


def test_leaving_stops_the_demo_and_opens_nothing(first, qtbot, documents, monkeypatch) -> None:
    begun = []

    def walk(_, told) -> None:
        while True:
            told.act("once more")
            begun.append(True)

    monkeypatch.setattr(demo_errand, "walk", walk)
    first.make_demo()
    qtbot.waitUntil(lambda: bool(begun))
    first.leave()
    from capture.desk.errands import wait_for_all  # noqa: PLC0415 - beside its use

    wait_for_all()
    assert first.desk.root is None
    root: Path = documents / "Benchproof jobs" / "demo-job"
    with Book.open(root, read_only=True) as book:
        assert book.plan.job.number
