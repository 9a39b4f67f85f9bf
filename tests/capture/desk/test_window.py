"""The window as a whole: rooms by their keys, the message line, a burst of a calliper, the end."""

from collections.abc import Iterator

import pytest
from PySide6.QtCore import Qt

from capture.desk.look.palette import DARK, LIGHT
from capture.desk.where import Where
from capture.desk.window import Window
from capture.journey import verify_book


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


def test_page_down_and_up_walk_the_locations(window, small, qtbot) -> None:
    small.go_to_check("C1.covered")
    qtbot.keyClick(window, Qt.Key.Key_PageDown)
    assert small.where.location == "P1"
    qtbot.keyClick(window, Qt.Key.Key_PageUp)
    assert small.where.key == "C1.covered"


def test_a_refusal_stays_until_it_is_closed(window, small, qtbot) -> None:
    small.refused.emit("the disk is full: make room, and try again")
    said = window._said
    assert said.text == "Not done: the disk is full: make room, and try again"
    qtbot.keyClick(window, Qt.Key.Key_W, Qt.KeyboardModifier.ControlModifier)
    assert said.text == ""


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
