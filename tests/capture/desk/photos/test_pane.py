"""A photo comes in and is shown with its role; nothing is called kept before the book has it."""

from pathlib import Path

import pytest
from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent

from capture.desk.photos.pane import PhotoPane
from tests.capture.command import SAMPLES
from tests.capture.desk.photos.waiting import until


@pytest.fixture
def pane(small, qtbot) -> PhotoPane:
    made = PhotoPane(small)
    qtbot.addWidget(made)
    small.go_to_check("C1.covered")
    made.show_place(small.place, small.check)
    small.round_changed.connect(lambda _: made.show_place(small.place, small.check))
    made.resize(552, 424)
    made.show()
    return made


def drop(widget, *paths: Path) -> QDropEvent:
    mime = QMimeData()
    mime.setUrls([QUrl.fromLocalFile(str(path)) for path in paths])
    buttons, keys = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
    enter = QDragEnterEvent(QPoint(90, 90), Qt.DropAction.CopyAction, mime, buttons, keys)
    widget.dragEnterEvent(enter)
    assert enter.isAccepted()
    event = QDropEvent(QPointF(90, 90), Qt.DropAction.CopyAction, mime, buttons, keys)
    widget.dropEvent(event)
    return event


def test_a_dropped_photo_is_filed_at_the_location_shown_and_then_shown(pane, small, qtbot) -> None:
    assert "No photo here yet (close-up)" in pane.shown.empty.words
    kept, told = [], []
    pane.arrivals.kept.connect(kept.append)
    small.told.connect(told.append)
    drop(pane, SAMPLES / "bearing-1.jpg")
    until(qtbot, lambda: bool(kept) and pane.canvas.picture_area().width() > 1000)
    photo = small.round.place("C1").photos[0].taken
    assert (photo.role, photo.width_px) == ("close-up", 1200)
    assert pane.photo == photo.photo == kept[0].photo
    assert pane.canvas.picture_area().width() == 1200
    assert pane.caption.text.startswith("close-up")
    assert told[-1] == "kept bearing-1.jpg at C1 as close-up"
