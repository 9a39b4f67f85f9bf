"""All jobs at the window: what is found, where it leads, and one check plotted over them."""

from pathlib import Path
from threading import Event

import pytest
from PySide6.QtCore import Qt

from capture.desk.shop.screen import _look, _Stopped
from capture.desk.where import Where
from store.many_jobs.sought import Sought

CTRL, ALT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.AltModifier


def search(screen, qtbot, **texts: str) -> list[str]:
    """Type into the fields, look with the key, and return the titles that are found."""
    for name, text in texts.items():
        field = screen.asked.fields[name]
        field.set_text("")
        if name == "verdict":
            field.set_text(text)
        else:
            qtbot.keyClicks(field.box, text)
    before = screen._looked
    qtbot.keyClick(screen, Qt.Key.Key_Return, CTRL)
    qtbot.waitUntil(lambda: screen._looked is not before)
    return [screen.rows.row_at(n).title for n in range(screen.rows.count())]


def test_every_job_is_listed_first_and_what_cannot_be_read_says_why(screen) -> None:
    titles = [screen.rows.row_at(n).title for n in range(screen.rows.count())]
    assert titles == [
        "K-3  V twin, Ada Quill", "J-12  inline four, Oest & Row",
        "J-1  Two-cylinder pump, Ada Quill", "torn",
    ]  # fmt: skip
    assert screen.rows.row_at(3).below.startswith("not read: ")
    assert screen.found.text() == "3 jobs; 1 book could not be read."
    assert not screen.draw.isEnabled()
    assert "look for a check" in screen.draw.accessibleDescription()


def test_a_customer_narrows_the_jobs_and_a_verdict_the_checks(screen, qtbot) -> None:
    assert search(screen, qtbot, customer="quill")[:2] == [
        "K-3  V twin, Ada Quill", "J-1  Two-cylinder pump, Ada Quill",
    ]  # fmt: skip
    assert search(screen, qtbot, verdict="within")[:2] == [
        "J-1  Two-cylinder pump, Ada Quill", "P3.nip  plug minus bore",
    ]  # fmt: skip
    row = screen.rows.row_at(1)
    assert (row.state, row.level) == ("within", 1)
    assert "limit at least 0.04 mm" in row.below
    assert row.right.startswith("0.100 mm")


def test_a_gauge_finds_what_rests_on_it(screen, qtbot) -> None:
    titles = search(screen, qtbot, gauge="mic-2")
    assert [title.split()[0] for title in titles if title.startswith("P3")] == [
        "P3.plug", "P3.nip", "P3.plug", "P3.nip",
    ]  # fmt: skip


def test_nothing_found_is_said(screen, qtbot) -> None:
    assert search(screen, qtbot, check="no-such-check") == ["torn"]
    assert screen.found.text().startswith("Nothing is found; 1 book")


def test_what_is_found_opens_its_book_at_the_check(screen, desk, qtbot, jobs) -> None:
    search(screen, qtbot, check="nip", verdict="outside")
    assert screen.rows.key == f"{jobs / 'J-12'}\nP3.nip"
    qtbot.keyClick(screen, Qt.Key.Key_O, ALT)
    qtbot.waitUntil(lambda: desk.where.room == "location")
    assert (desk.root, desk.where.key) == (jobs / "J-12", "P3.nip")
    assert desk.round.job.number == "J-12"


def test_a_book_that_is_open_already_stays_open(screen, desk, qtbot, jobs) -> None:
    desk.open(jobs / "J-12")
    qtbot.waitUntil(lambda: desk.root == jobs / "J-12")
    known = desk.round
    search(screen, qtbot, check="nip", verdict="outside")
    screen.open_chosen()
    assert desk.where == Where("location", "P3.nip")
    assert desk.round is known


def test_return_alone_looks_for_nothing_and_opens_nothing(screen, desk, qtbot) -> None:
    before, where = screen._looked, desk.where
    for widget in (screen.asked.fields["customer"].box, screen.rows):
        widget.setFocus()
        qtbot.keyClick(widget, Qt.Key.Key_Return)
    assert screen._looked is before
    assert screen._errand is None
    assert desk.where == where


def test_a_wrong_field_says_so_and_nothing_is_looked_for(screen, qtbot, tmp_path) -> None:
    screen.asked.folder.set_text(str(tmp_path / "not-there"))
    qtbot.keyClicks(screen.asked.fields["words"].box, "--")
    qtbot.keyClick(screen, Qt.Key.Key_Return, CTRL)
    assert "no such folder" in screen.asked.folder.error
    assert "type a word" in screen.asked.fields["words"].error
    assert screen._errand is None


def test_one_check_is_plotted_over_the_jobs_and_kept_as_a_drawing(
    screen, desk, qtbot, tmp_path: Path
) -> None:
    search(screen, qtbot, check="nip")
    qtbot.keyClick(screen, Qt.Key.Key_P, ALT)
    assert screen.plot.isVisible()
    assert not screen.asked.isVisible()
    drawn = screen.plot._sheet.grab().toImage()
    inked = {drawn.pixelColor(x, y).name() for x in range(0, drawn.width(), 3)
             for y in range(0, drawn.height(), 3)}  # fmt: skip
    assert {"#ffffff", "#af4500"} <= inked  # the sheet, and what is outside in its colour
    kept = tmp_path / "nip.svg"
    screen.ask_where = lambda *_: kept
    with qtbot.waitSignal(desk.told) as told:
        qtbot.keyClick(screen, Qt.Key.Key_S, ALT)
    assert str(kept) in told.args[0]
    text = kept.read_text("utf-8")
    assert text.startswith("<svg ")
    assert "J-12" in text
    assert "J-1," in text
    qtbot.keyClick(screen, Qt.Key.Key_P, ALT)
    assert screen.rows.isVisible()
    assert screen.asked.isVisible()


def test_a_plot_of_nothing_measured_is_refused_in_words(screen, desk, qtbot) -> None:
    search(screen, qtbot, check="nip", verdict="not measured")
    with qtbot.waitSignal(desk.refused) as refused:
        qtbot.keyClick(screen, Qt.Key.Key_P, ALT)
    assert "none of the checks found has a value" in refused.args[0]
    assert not screen.plot.isVisible()


def test_a_plot_that_cannot_be_written_is_told(screen, desk, qtbot, tmp_path: Path) -> None:
    search(screen, qtbot, check="nip")
    screen.turn()
    screen.ask_where = lambda *_: tmp_path / "no" / "such" / "folder.svg"
    with qtbot.waitSignal(desk.refused) as refused:
        screen.keep_plot()
    assert "choose another folder" in refused.args[0]


def test_a_look_that_is_left_ends_at_the_next_book(jobs: Path) -> None:
    stop, told = Event(), []

    def tell(done: int, of: int) -> None:
        told.append((done, of))
        stop.set()

    with pytest.raises(_Stopped):
        _look(jobs, Sought(), "t", tell, stop)
    assert told == [(0, 4)]
