"""The window as a whole: rooms by their keys, the message line, a burst of a calliper, the end."""

from collections.abc import Iterator

import pytest
from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QTimer, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import QApplication, QGraphicsView

from capture.desk.look.palette import DARK, LIGHT
from capture.desk.photos.arrivals import arrivals_of
from capture.desk.where import Where
from capture.desk.window import Window
from capture.verifying import verify_book
from tests.capture.command import SAMPLES
from tests.capture.desk.photos.waiting import until

EITHER = Qt.DropAction.CopyAction | Qt.DropAction.MoveAction
PRESSED = (Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier)


def settle(qtbot) -> None:
    """Let what was said now be something that was said before."""
    turned: list[bool] = []
    QTimer.singleShot(0, lambda: turned.append(True))
    qtbot.waitUntil(lambda: bool(turned))


@pytest.fixture
def window(small, qtbot) -> Iterator[Window]:
    made = Window(small)
    qtbot.addWidget(made)
    made.resize(1280, 800)
    made.show()
    qtbot.waitExposed(made)
    made.activateWindow()
    qtbot.waitUntil(made.isActiveWindow)
    yield made
    made.burst.remove()


@pytest.mark.parametrize(
    ("key", "room"),
    [(Qt.Key.Key_F3, "map"), (Qt.Key.Key_F8, "job"), (Qt.Key.Key_F9, "report")],
)
def test_a_key_goes_to_a_room_and_f2_back_to_the_location(window, small, qtbot, key, room) -> None:
    before = small.where
    qtbot.keyClick(window, key)
    assert small.where.room == room
    qtbot.keyClick(window, Qt.Key.Key_F2)
    assert small.where.room == "location"
    assert small.where.location == before.location or before.room != "location"


def test_page_down_and_up_walk_the_open_checks_then_the_locations(window, small, qtbot) -> None:
    small.go_to_check("C1.covered")
    walked = []
    for _ in range(5):
        qtbot.keyClick(window, Qt.Key.Key_PageDown)
        walked.append(small.where.key)
    # The press fit is worked out: nothing waits for the hand there. At the end it stays.
    assert walked == ["P1.bore", "P1.plug", "P1.depth", "P1.clean", "P1.clean"]
    small.act(lambda j: j.reading("P1.depth", "2.5 BELOW"))
    qtbot.waitUntil(lambda: small.round.check("P1.depth").current is not None)
    back = []
    for _ in range(4):
        qtbot.keyClick(window, Qt.Key.Key_PageUp)
        back.append(small.where.key)
    assert back == ["P1.plug", "P1.bore", "C1.covered", "C1.covered"]


def test_f4_searches_forward_from_here_then_from_the_start(window, small, qtbot) -> None:
    for text, key in (("40.012", "P1.bore"), ("40.06", "P1.plug"), ("2.5 BELOW", "P1.depth")):
        small.act(lambda j, key=key, text=text: j.reading(key, text))
    qtbot.waitUntil(lambda: small.round.check("P1.depth").current is not None)
    small.go_to_check("P1.bore")
    found = []
    for _ in range(3):
        qtbot.keyClick(window, Qt.Key.Key_F4)
        found.append(small.where.key)
    assert found == ["P1.clean", "C1.covered", "P1.clean"]
    # From another room the check that was shown there is not passed over.
    small.go(Where("map", "P1.clean"))
    qtbot.keyClick(window, Qt.Key.Key_F4)
    assert small.where == Where("location", "P1.clean")


def test_a_refusal_stays_until_it_is_closed(window, small, qtbot) -> None:
    small.refused.emit("the disk is full: make room, and try again")
    said = window._said
    assert said.text == "Not done: the disk is full: make room, and try again"
    qtbot.keyClick(window, Qt.Key.Key_W, Qt.KeyboardModifier.ControlModifier)
    assert said.text == ""


def test_what_is_told_goes_with_its_screen_and_with_the_next_act(window, small, qtbot) -> None:
    said = window._said
    small.told.emit("Side cover is on.")
    assert said.text == "Side cover is on."
    settle(qtbot)
    small.go(Where("map"))
    assert said.text == ""
    small.told.emit("kept bearing-1.jpg")
    settle(qtbot)
    small.act(lambda j: j.reading("P1.bore", "40.012"))
    qtbot.waitUntil(lambda: said.text == "")
    assert small.round.check("P1.bore").current is not None


def test_what_is_told_in_one_go_with_a_change_of_screen_is_read_there(window, small, qtbot) -> None:
    small.told.emit("filed as attempt 1")
    small.go(Where("map"))
    assert window._said.text == "Filed as attempt 1"
    small.told.emit("")
    assert window._said.text == ""


def test_a_refusal_outlives_its_screen_and_what_is_told_with_it(window, small, qtbot) -> None:
    small.refused.emit("one.jpg is damaged: copy it again")
    small.told.emit("2 photos kept")
    said = window._said
    assert said.text == "Not done: one.jpg is damaged: copy it again\n2 photos kept"
    settle(qtbot)
    small.go(Where("map"))
    small.act(lambda j: j.reading("P1.bore", "40.012"))
    qtbot.waitUntil(lambda: small.round.check("P1.bore").current is not None)
    assert said.text.startswith("Not done: one.jpg")


def test_no_message_moves_the_work_area(window, small, qtbot) -> None:
    before = window.screen_shown.mapTo(window, window.screen_shown.rect().bottomRight())
    for sentence in ("short", "long " * 120):
        small.refused.emit(sentence)
        window.grab()
        after = window.screen_shown.mapTo(window, window.screen_shown.rect().bottomRight())
        assert after == before
        close = window._said._plate.close_verb
        assert close.isVisible()
        assert window.rect().contains(close.mapTo(window, close.rect().bottomRight()))
        settle(qtbot)


def test_the_window_is_as_small_as_half_a_screen_and_what_it_shows_scrolls(window, small) -> None:
    window.resize(800, 500)
    for room in ("location", "map", "job", "report", "hold"):
        small.go(Where(room, "cover" if room == "hold" else "P1.bore"))
        window.grab()
        assert (window.width(), window.height()) == (800, 500)
        shown = window.screen_shown
        least = shown.minimumSizeHint()
        assert shown.width() >= least.width()
        assert shown.height() >= least.height()
    pane = window.round_pane
    assert pane.width() >= 240
    for verb in (pane.find_verb, pane.open_verb):
        assert pane.rect().contains(verb.geometry())
        assert verb.accessibleName().endswith(f"({verb._key})")


def test_it_never_opens_larger_than_the_screen(window, qtbot) -> None:
    room = window.screen().availableGeometry()
    window.fit(10, room.height() + 500)
    assert window.height() < room.height()
    assert window.width() == 800


@pytest.mark.parametrize(
    ("where", "asks"), [(Where("map"), True), (Where("location", "C1.covered"), False)]
)
def test_a_photo_dropped_anywhere_is_filed_where_one_is_or_asked_about(
    window, small, qtbot, where, asks
) -> None:
    small.go(where)
    mime = QMimeData()
    mime.setUrls([QUrl.fromLocalFile(str(SAMPLES / "bearing-1.jpg"))])
    entered = QDragEnterEvent(QPoint(9, 9), EITHER, mime, *PRESSED)
    QApplication.sendEvent(window, entered)
    assert entered.isAccepted()
    assert window._drops.sign.isVisible()
    QApplication.sendEvent(window, QDropEvent(QPointF(9, 9), EITHER, mime, *PRESSED))
    assert not window._drops.sign.isVisible()
    if asks:
        until(qtbot, window._incoming.asking.isVisible)
        assert window._incoming.text
        arrivals_of(small).say_where("C1")
    until(qtbot, lambda: bool(small.round.place("C1").photos))


def test_boxes_and_pictures_leave_a_dropped_photo_to_the_window(window, small) -> None:
    small.go(Where("map"))
    for child in window.screen_shown.findChildren(QGraphicsView):
        assert not child.acceptDrops()
        assert not child.viewport().acceptDrops()
    assert not window.round_pane.box.acceptDrops()


def test_both_themes_reach_every_screen(window, small) -> None:
    for palette in (DARK, LIGHT):
        small.wear(palette)
        assert palette.sheet in window.styleSheet()
        for room in ("location", "map", "job", "report", "hold"):
            small.go(Where(room, "cover" if room == "hold" else small.where.key))
            assert not window.grab().isNull()


def test_closing_the_window_mid_work_loses_nothing(window, small, qtbot) -> None:
    root = small.root
    small.act(lambda j: j.reading("P1.bore", "40.012"))
    window.close()
    assert verify_book(root, version="0.0-test") == []
    from store.book import Book  # noqa: PLC0415 - beside its use

    with Book.open(root, read_only=True) as book:
        assert book.round().check("P1.bore").value.value == 40.012
    small.close = lambda: None  # it is closed


def test_all_jobs_are_looked_through_without_the_round_of_this_one(window, small, qtbot) -> None:
    assert window.round_pane.isVisible()
    ctrl_shift = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier
    qtbot.keyClick(window, Qt.Key.Key_F, ctrl_shift)
    assert small.where.room == "shop"
    assert not window.round_pane.isVisible()
    qtbot.keyClick(window, Qt.Key.Key_F, Qt.KeyboardModifier.ControlModifier)
    assert not window.round_pane.find_line.is_wanted
    qtbot.keyClick(window, Qt.Key.Key_Escape)
    assert small.where.room == "location"
    assert window.round_pane.isVisible()
