"""The pane shows the photo, what was measured on it and what is wrong; drops and pastes go in."""

import numpy as np
import pytest
from PySide6.QtCore import QMimeData, Qt, QUrl
from PySide6.QtGui import QGuiApplication, QImage
from PySide6.QtWidgets import QLineEdit, QVBoxLayout, QWidget

from annotate.marks import Point
from annotate.pane.shown import Shown
from capture.desk.photos.pane import PhotoPane
from capture.desk.where import Where
from capture.intake.photo import decode_upright, read_photo
from store.photos import PhotoVault
from tests.capture.command import SAMPLES
from tests.capture.desk.photos.pictures import TRUNCATED, large
from tests.capture.desk.photos.waiting import LONG_MS, until


def shown(pane, qtbot) -> None:
    until(qtbot, lambda: pane.shown.levels is not None)


def test_a_dropped_photo_is_filed_at_the_location_shown_and_then_shown(
    pane, small, said, qtbot, drop
) -> None:
    assert "No photo here yet (close-up): drop one" in pane.shown.empty.words
    drop(pane, SAMPLES / "bearing-1.jpg")
    shown(pane, qtbot)
    photo = small.round.place("C1").photos[0].taken
    assert (photo.role, photo.width_px) == ("close-up", 1200)
    assert pane.photo == photo.photo
    assert pane.canvas.picture_area().width() == 1200
    assert pane.caption.text.startswith("close-up")
    until(qtbot, lambda: bool(said))
    assert said == ["kept bearing-1.jpg at C1 as close-up"]


def test_a_drop_that_brings_no_photo_is_not_taken(pane) -> None:
    mime = QMimeData()
    mime.setText("5.2 mm")
    assert not pane.taking.take_mime(mime)
    mime.setUrls([QUrl("https://example.org/a.jpg")])
    assert not pane.taking.take_mime(mime)


def test_a_pasted_picture_is_filed_without_loss(pane, small, qtbot) -> None:
    pixels = np.ascontiguousarray(decode_upright(SAMPLES / "bearing-3.jpg")[:300, :400])
    image = QImage(pixels.data, 400, 300, 1200, QImage.Format.Format_RGB888)
    QGuiApplication.clipboard().setImage(image)
    assert pane.taking.paste()
    small.go_to_check("P1.bore")  # at once: it is meant for where it was pasted
    until(qtbot, lambda: bool(small.round.place("C1").photos))
    taken = small.round.place("C1").photos[0].taken
    assert taken.file_name.startswith("pasted-2026-03-02T09-")
    assert taken.file_name.endswith(".png")
    kept = decode_upright(PhotoVault(small.root).path(taken.photo))
    assert (kept == pixels).all()


def test_pasted_files_come_in_as_they_are(pane, small, qtbot) -> None:
    mime = QMimeData()
    mime.setUrls([QUrl.fromLocalFile(str(SAMPLES / "bearing-1.jpg"))])
    QGuiApplication.clipboard().setMimeData(mime)
    qtbot.keyClick(pane, Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
    until(qtbot, lambda: bool(small.round.place("C1").photos))
    assert small.round.place("C1").photos[0].taken.file_name == "bearing-1.jpg"


def test_a_picture_is_pasted_though_a_text_box_has_the_focus_and_words_go_into_it(
    pane, small, qtbot
) -> None:
    beside = QWidget()
    qtbot.addWidget(beside)
    box, line = QLineEdit(), QVBoxLayout(beside)
    line.addWidget(pane)
    line.addWidget(box)
    with qtbot.waitActive(beside):
        beside.show()
    pane.show()
    box.setFocus()
    QGuiApplication.clipboard().setText("5.2 mm")
    qtbot.keyClick(box, Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
    assert box.text() == "5.2 mm"
    QGuiApplication.clipboard().setImage(QImage(64, 48, QImage.Format.Format_RGB888))
    qtbot.keyClick(box, Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
    until(qtbot, lambda: bool(small.round.place("C1").photos))
    assert box.text() == "5.2 mm"
    pane.setParent(None)


def test_an_empty_clipboard_is_told(pane, said) -> None:
    QGuiApplication.clipboard().setText("5.2 mm")
    assert not pane.taking.paste()
    assert said == ["there is no picture in the clipboard: copy one first"]


def test_chosen_files_come_in_as_what_was_chosen(small, arrivals, qtbot) -> None:
    pane = PhotoPane(small, choose=lambda _: [SAMPLES / "bearing-1.jpg"])
    qtbot.addWidget(pane)
    pane.show_place(small.place, small.check)
    with qtbot.waitActive(pane):
        pane.show()
    qtbot.keyClick(pane, Qt.Key.Key_F)
    assert pane.below.roles.isVisible()
    qtbot.keyClick(pane.below.roles, Qt.Key.Key_2)
    assert pane.below.roles.isHidden()
    assert "(which hole)" in pane.shown.empty.words
    assert arrivals.next.role == "which hole"
    qtbot.keyClick(pane, Qt.Key.Key_D, Qt.KeyboardModifier.ControlModifier)
    until(qtbot, lambda: bool(small.round.place("C1").photos))
    assert small.round.place("C1").photos[0].taken.role == "which hole"
    until(qtbot, lambda: arrivals.next.role == "close-up")


def test_what_it_is_seen_through_is_said_and_stays(pane, small, arrivals, qtbot) -> None:
    pane.below.roles.ask()
    qtbot.keyClick(pane.below.roles, Qt.Key.Key_M)
    qtbot.keyClick(pane.below.roles, Qt.Key.Key_Escape)
    arrivals.take_paths([SAMPLES / "bearing-1.jpg"])
    shown(pane, qtbot)
    assert small.round.place("C1").photos[0].taken.view == "mirror"
    assert "seen by mirror" in pane.caption.text
    assert arrivals.next.view == "mirror"


@pytest.fixture
def measured(pane, marked, qtbot) -> PhotoPane:
    """The pane, showing C1's coverage as it was measured."""
    shown(pane, qtbot)
    return pane


def test_accepted_outlines_are_shown_on_the_photo_they_were_measured_on(
    measured, small, monkeypatch
) -> None:
    told: list[Shown | None] = []
    monkeypatch.setattr(measured.canvas, "set_shown", told.append)
    measured.shown._draw_marks()
    record = small.round.check("C1.covered").current.record
    assert told[-1] == Shown(near=record.result.near, far=record.result.far)
    small.go_to_check("P1.bore")
    assert measured.photo == ""
    small.go_to_check("C1.covered")
    assert measured.photo == record.photo
    assert told[-1] == Shown(near=record.result.near, far=record.result.far)
    measured.show_photo("")
    assert "No photo here yet" in measured.shown.empty.words


def test_looks_come_with_the_figure_and_warnings(measured, qtbot) -> None:
    until(qtbot, lambda: "sharp, edges" in measured.caption.text)
    assert "not sharp" not in measured.caption.text
    tilt = measured._check.current.record.result.line_of_sight.quantity.value
    assert any("off the hole's axis" in s for s in measured.below.warned.sentences) == (tilt >= 15)


def test_verbs_are_those_that_can_be_done_here(measured, small, qtbot) -> None:
    assert measured.below.verbs.words[0] == "Place rims"
    assert "Compare" not in measured.below.verbs.words
    with qtbot.waitSignal(measured.mark_wanted) as wanted:
        qtbot.keyClick(measured, Qt.Key.Key_P)
    assert wanted.args == [measured.photo]
    small.go_to_check("P1.bore")
    assert "Place rims" not in measured.below.verbs.words
    assert "Take photo" in measured.below.verbs.words
    qtbot.keyClick(measured, Qt.Key.Key_T)
    assert small.where == Where("camera", "P1.bore")


def test_what_has_no_room_in_the_row_is_behind_more_and_its_key_works(pane, qtbot) -> None:
    verbs = pane.below.verbs
    pane.resize(300, 424)
    until(qtbot, verbs._more.isVisible)
    hidden = [v.words() for v in verbs._verbs if not v.isVisible()]
    assert "Role" in hidden
    qtbot.keyClick(pane, Qt.Key.Key_F)
    assert pane.below.roles.isVisible()


def test_a_struck_photo_stays_with_its_reason(measured, small, qtbot) -> None:
    photo = measured.photo
    measured.below.striking.ask()
    assert not measured.below.verbs.isVisible()
    assert not measured.below.striking.strike.isEnabled()
    qtbot.keyClicks(measured.below.striking.reason, "wrong hole")
    with qtbot.waitSignal(small.round_changed, timeout=LONG_MS):
        measured.below.striking.strike.click()
    assert measured.photo == photo
    assert "struck: wrong hole" in measured.caption.text
    assert small.round.check("C1.covered").current is None
    assert "Strike photo" not in measured.below.verbs.words
    assert measured.canvas._shown is None


def test_a_file_kept_although_it_cannot_be_shown_is_said_to_be_so(
    pane, small, arrivals, qtbot
) -> None:
    arrivals.take_paths([TRUNCATED])
    until(qtbot, pane.below.incoming.asking.isVisible)
    assert "cut short" in pane.below.incoming.text
    assert not pane.below.verbs.isVisible()
    qtbot.mouseClick(pane.below.incoming._verbs["unreadable"], Qt.MouseButton.LeftButton)
    until(qtbot, lambda: bool(small.round.place("C1").photos))
    assert pane.shown.empty.words == "truncated_jpeg.jpg is kept, and can't be shown"
    assert pane.below.verbs.isVisible()


def test_a_photo_of_48_megapixels_opens_coarse_and_then_whole_where_one_looked(
    pane, small, qtbot, tmp_path
) -> None:
    small.act(lambda j: j.add_photo(read_photo(large(tmp_path / "48.jpg")), location="C1",
                                    role="close-up"))  # fmt: skip
    until(qtbot, lambda: not pane.canvas.picture_area().isEmpty())
    first = pane.canvas.picture_area().width()
    assert 1000 <= first <= 2048
    pane.canvas.zoom_to(Point(first * 0.75, first * 0.25), 2.0)
    shown(pane, qtbot)
    assert pane.canvas.picture_area().width() == 8000
    assert pane.canvas.centre().x_px == pytest.approx(6000, abs=16)
    assert pane.canvas.zoom() == pytest.approx(2.0 * first / 8000, rel=0.02)


def test_a_photo_missing_from_the_book_is_told_in_its_place(pane, small, arrivals, qtbot) -> None:
    arrivals.take_paths([SAMPLES / "bearing-1.jpg"])
    shown(pane, qtbot)
    PhotoVault(small.root).path(pane.photo).unlink()
    pane.shown._shelf._held.clear()
    small.go_to_check("P1.bore")
    small.go_to_check("C1.covered")
    until(qtbot, lambda: pane.shown.empty.words != "")
    assert "is not among the book's photos" in pane.shown.empty.words
