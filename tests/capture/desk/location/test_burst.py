"""A calliper that types like a keyboard, with real key events, wherever the focus is.

A burst is simulated as callipers send it (a few milliseconds between keys, from memory); a person's
keys are 120 ms apart. Keys of the robot carry no time of their own, so their pace is given here: a
machine with other work would stretch it.
"""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QShortcut
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QPushButton, QWidget

from capture.desk import typing_burst
from capture.desk.where import Where
from tests.capture.desk.location.conftest import CTRL, Bench

_CALLIPER_MS, _PERSON_MS = 5, 120


class Pace:
    """The clock that keys are timed by: it stands still but for what lies between two of them."""

    def __init__(self) -> None:
        self.s = 1000.0

    def __call__(self) -> float:
        return self.s

    def key(self, at: QWidget, key: Qt.Key | str, after_ms: int) -> None:
        """Press a key so long after the one before it."""
        self.s += after_ms / 1000
        QTest.keyClick(at, key)

    def send(self, focus: QWidget, text: str) -> None:
        """Send a text as a calliper does, with Return behind it."""
        for each in (*text, Qt.Key.Key_Return):
            self.key(focus, each, _CALLIPER_MS)

    def burst(self, at: Bench, text: str) -> None:
        """Send a text to where the focus is, and wait until it is dealt with."""
        self.send(at.focus, text)
        at.settle()

    def slowly(self, at: Bench, text: str) -> None:
        """Type as a person does, with Return behind it; what was held is let go in between."""
        for each in (*text, Qt.Key.Key_Return):
            self.key(at.focus, each, _PERSON_MS)
            at.until(lambda: not at.window.burst._held)
        at.settle()


@pytest.fixture(autouse=True)
def pace(monkeypatch) -> Pace:
    made = Pace()
    monkeypatch.setattr(typing_burst, "monotonic", made)
    return made


def test_in_the_box_it_is_filed_as_it_comes(small, open_at, pace) -> None:
    at = open_at(small, "P1.bore")
    pace.burst(at, "40.012")
    assert at.check().value.value == 40.012


def test_with_the_focus_on_a_button_it_is_filed_and_presses_nothing(small, open_at, pace) -> None:
    at = open_at(small, "P1.bore")
    pressed = []
    at.screen.foot.history.clicked.connect(lambda: pressed.append(True))
    at.screen.foot.history.setFocus()
    pace.burst(at, "40.012")
    assert at.check().value.value == 40.012
    assert pressed == []
    assert at.has_focus
    lately = at.screen.pages.lately
    assert lately.words.startswith("gauge typed 09:")
    assert at.screen.foot.devices.text == lately.words
    lately.fading.timeout.emit()  # after a minute
    assert at.screen.foot.devices.text == ""


def test_with_the_focus_on_the_round_it_is_filed(small, open_at, pace) -> None:
    at = open_at(small, "P1.bore")
    at.window.round_pane.gallery.setFocus()
    pace.burst(at, "40.012")
    assert at.check("P1.bore").value.value == 40.012
    assert small.where.key == "P1.bore"


def test_in_another_text_box_it_stays_there_and_is_said(small, open_at, pace) -> None:
    at = open_at(small, "P1.bore")
    at.key(Qt.Key.Key_U, CTRL)  # who measures?
    before = small.round.entries
    with at.qtbot.waitSignal(small.told) as said:
        pace.burst(at, "40.012")
    assert "40.012" in said.args[0]
    assert "no reading was filed" in said.args[0]
    assert "40.012" in at.screen.column.ask.field("by").text()
    assert at.screen.column.page == "ask"  # and its Return answered nothing
    assert small.round.entries == before
    assert small.by == "R. Ansell"


def test_with_a_unit_behind_it_it_is_whole(small, open_at, pace) -> None:
    at = open_at(small, "P1.bore")
    at.screen.foot.history.setFocus()
    pace.burst(at, "40.012mm")
    assert at.check().current.record.text == "40.012mm"


def test_what_is_refused_is_not_lost(small, open_at, pace) -> None:
    at = open_at(small, "P1.depth")
    at.screen.foot.history.setFocus()
    pace.burst(at, "2.51")  # a depth without its side
    assert at.echo.startswith("Not filed")
    assert at.box == "2.51"
    assert at.has_focus


def test_where_no_box_is_showing_it_is_said_and_not_filed(small, open_at, pace) -> None:
    at = open_at(small, "C1.covered")
    before = small.round.entries
    with at.qtbot.waitSignal(small.told) as said:
        pace.burst(at, "40.012")
    assert "40.012 was typed and not filed" in said.args[0]
    assert small.round.entries == before


def test_two_bursts_right_after_each_other_are_two_readings(benched, open_at, pace) -> None:
    at = open_at(benched, "M1.journal")
    at.screen.foot.history.setFocus()
    pace.burst(at, "58.341")
    pace.burst(at, "58.342")
    texts = [cell.record.text for cell in at.check().cells.values()]
    assert texts == ["58.341", "58.342"]


def test_words_from_a_scanner_are_shown_before_they_are_filed(benched, open_at, pace) -> None:
    at = open_at(benched, "S1.sealant")
    at.screen.foot.history.setFocus()
    pace.burst(at, "4006")
    assert at.box == "4006"
    assert at.check().current is None
    at.key(Qt.Key.Key_Return)
    at.settle()
    assert at.check().current.words == "4006"


def test_a_person_typing_slowly_where_no_box_is_files_nothing(small, open_at, pace) -> None:
    at = open_at(small, "C1.covered")
    told: list[str] = []
    small.told.connect(told.append)
    before = small.round.entries
    at.screen.foot.history.setFocus()
    pace.slowly(at, "40")
    assert small.round.entries == before
    assert told == []


def test_a_person_typing_slowly_beside_the_box_is_brought_to_it(small, open_at, pace) -> None:
    at = open_at(small, "P1.bore")
    at.screen.foot.history.setFocus()
    pace.slowly(at, "40.1")
    assert at.check().current.record.text == "40.1"
    assert at.screen.pages.lately.words == ""  # no gauge typed it


def test_figures_typed_by_a_person_beside_the_box_reach_it(small, open_at) -> None:
    at = open_at(small, "P1.bore")
    at.screen.foot.history.setFocus()
    QTest.keyClick(at.focus, "4")
    at.until(lambda: at.box == "4")
    assert at.has_focus


def test_a_plain_return_presses_no_button(small, open_at) -> None:
    at = open_at(small, "P1.bore")
    at.screen.foot.history.setFocus()
    at.key(Qt.Key.Key_Return)
    assert at.screen.column.page == "about"


def test_space_still_presses_a_button_once_it_is_let_go(small, open_at) -> None:
    at = open_at(small, "P1.bore")
    at.screen.foot.history.setFocus()
    at.key(Qt.Key.Key_Space)
    at.until(lambda: at.screen.column.page == "history")
    assert not at.screen.foot.history.isDown()


def test_a_figure_alone_still_fires_its_shortcut(small, open_at, qtbot) -> None:
    at = open_at(small, "C1.covered")
    fired = []
    button = QPushButton("three", at.screen)
    shortcut = QShortcut("3", button)
    shortcut.activated.connect(lambda: fired.append(3))
    button.show()
    button.setFocus()
    at.key(Qt.Key.Key_3)
    at.until(lambda: bool(fired))
    assert fired == [3]


def test_in_another_room_it_is_said_and_not_filed(small, open_at, pace) -> None:
    at = open_at(small, "P1.bore")
    small.go(Where("report"))
    before = small.round.entries
    with at.qtbot.waitSignal(small.told) as said:
        focus = at.window.focusWidget() or at.window
        focus.setFocus()
        pace.send(focus, "40.012")
    assert "not filed" in said.args[0]
    assert small.round.entries == before
