"""The report and the pack from the window, on a real book."""

import pytest
from pypdf import PdfReader
from PySide6.QtCore import Qt

from capture.desk.look.palette import PALETTES
from capture.desk.report.screen import ReportScreen
from capture.desk.where import Where
from capture.desk.window import Window
from capture.verifying import verify_book


@pytest.fixture
def screen(small, qtbot) -> ReportScreen:
    made = ReportScreen(small)
    qtbot.addWidget(made)
    made.resize(976, 752)
    small.round_changed.connect(made.show_round)
    made.show()
    qtbot.waitExposed(made)
    made.enter(Where("report"))
    return made


def made(screen, qtbot) -> None:
    qtbot.keyClick(screen, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    qtbot.waitUntil(lambda: screen.pages.count > 0, timeout=60_000)


def test_it_counts_what_the_report_will_say(screen) -> None:
    said = screen.findChildren(type(screen._counts))
    texts = [each.text() for each in said]
    assert "6 checks: 6 not measured." in texts
    assert any("1 hold point is open: the report says so" in text for text in texts)


def test_the_report_is_made_by_a_key_shown_page_by_page_and_saved_where_asked(
    screen, qtbot, tmp_path
) -> None:
    made(screen, qtbot)
    target = tmp_path / "for-the-customer.pdf"
    screen.ask_where = lambda *_: target
    qtbot.keyClick(screen, Qt.Key.Key_S, Qt.KeyboardModifier.ControlModifier)
    assert len(PdfReader(target).pages) == screen.pages.count
    shown = []
    screen.open_folder = shown.append
    qtbot.mouseClick(screen._show_folder, Qt.MouseButton.LeftButton)
    assert shown == [tmp_path]
    assert screen.pages.page_shown() == 1
    qtbot.keyClick(screen.pages, Qt.Key.Key_Space)
    assert screen.pages.page_shown() == 2


def test_after_making_the_choices_are_seen_from_their_top(screen, qtbot) -> None:
    screen.resize(976, 440)
    bar = screen._choices.verticalScrollBar()
    qtbot.waitUntil(lambda: bar.maximum() > 0)
    bar.setValue(bar.maximum())
    made(screen, qtbot)
    assert bar.value() == 0


def test_pages_that_are_older_than_the_book_say_so(screen, small, qtbot) -> None:
    made(screen, qtbot)
    assert "ago" not in screen._page_count.text()
    small.act(lambda j: j.reading("P1.bore", "40.012"))
    qtbot.waitUntil(lambda: "made 1 entry ago: make it again" in screen._page_count.text())


def test_it_can_be_stopped_and_nothing_is_left(screen, qtbot) -> None:
    qtbot.keyClick(screen, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    assert screen._stop.isVisible()
    qtbot.keyClick(screen, Qt.Key.Key_Escape)
    qtbot.waitUntil(lambda: "was stopped and not written" in screen._words.text(), timeout=60_000)
    assert screen.pages.count == 0
    assert [p.name for p in screen.desk.scratch.rglob("*") if p.is_file()] == []
    assert screen._make.isEnabled()


def test_the_pack_is_made_where_asked_while_readings_go_on_being_filed(
    screen, small, qtbot, tmp_path
) -> None:
    target = tmp_path / "pack.zip"
    screen.ask_where = lambda *_: target
    qtbot.mouseClick(screen._pack, Qt.MouseButton.LeftButton)
    filed = []
    small.act(lambda j: j.reading("P1.bore", "40.012"), then=filed.append)
    qtbot.waitUntil(lambda: bool(filed))
    qtbot.waitUntil(target.exists, timeout=60_000)
    qtbot.waitUntil(lambda: str(target) in screen._words.text())
    assert verify_book(small.root, version="0.0-test") == []


def test_the_page_for_a_phone_is_made_where_asked(screen, qtbot, tmp_path) -> None:
    target = tmp_path / "page.html"
    screen.ask_where = lambda *_: target
    qtbot.keyClick(
        screen, Qt.Key.Key_H,
        Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier,
    )  # fmt: skip
    qtbot.waitUntil(target.exists, timeout=60_000)
    qtbot.waitUntil(lambda: str(target) in screen._words.text())
    assert "Content-Security-Policy" in target.read_text("utf-8")


def test_a_place_that_can_not_be_written_is_told_and_nothing_is_lost(
    screen, small, qtbot, tmp_path
) -> None:
    made(screen, qtbot)
    screen.ask_where = lambda *_: tmp_path / "no-such-folder" / "r.pdf"
    with qtbot.waitSignal(small.refused) as said:
        qtbot.keyClick(screen, Qt.Key.Key_S, Qt.KeyboardModifier.ControlModifier)
    assert "choose another folder" in said.args[0]
    assert screen._save.isEnabled()


def test_return_alone_makes_nothing(screen, qtbot) -> None:
    qtbot.keyClick(screen, Qt.Key.Key_Return)
    assert screen._making is None


def test_no_verb_is_cut_at_its_right_end_where_the_choices_are_scrolled(small, qtbot) -> None:
    window = Window(small)  # the style sheet that widens the verbs is its own
    qtbot.addWidget(window)
    window.resize(1280, 700)
    window.show()
    qtbot.waitExposed(window)
    small.wear(PALETTES["light"])
    small.go(Where("report"))
    shown = window.screen_shown
    assert isinstance(shown, ReportScreen)
    choices = shown._choices
    qtbot.waitUntil(lambda: choices.verticalScrollBar().maximum() > 0)
    assert choices.widget().width() <= choices.viewport().width()
    window.burst.remove()
