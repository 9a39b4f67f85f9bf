"""A pane on a real desk, and a memory that is not the user's own."""

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent

from capture.desk.photos.arrivals import Arrivals, arrivals_of
from capture.desk.photos.pane import PhotoPane
from capture.intake.photo import read_photo
from capture.layers import bare_layer, with_rims
from store.evidence import Marked
from tests.capture.command import SAMPLES
from tests.capture.desk.photos.waiting import until
from tests.capture.samples import HOLES

_EITHER = Qt.DropAction.CopyAction | Qt.DropAction.MoveAction  # as file managers offer


@pytest.fixture(autouse=True)
def _own_settings(tmp_path_factory, monkeypatch) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path_factory.mktemp("config")))


@pytest.fixture
def said(small) -> list[str]:
    """Every sentence that is told or refused, in order."""
    heard: list[str] = []
    small.told.connect(heard.append)
    small.refused.connect(heard.append)
    return heard


@pytest.fixture
def arrivals(small) -> Arrivals:
    small.go_to_check("C1.covered")
    return arrivals_of(small)


@pytest.fixture
def pane(small, qtbot, arrivals) -> PhotoPane:
    made = PhotoPane(small)
    qtbot.addWidget(made)
    made.show_place(small.place, small.check)
    small.round_changed.connect(lambda _: made.show_place(small.place, small.check))
    small.went.connect(lambda _: made.show_place(small.place, small.check))
    made.resize(552, 424)
    with qtbot.waitActive(made):
        made.show()
    return made


@pytest.fixture
def marked(small, qtbot) -> Marked:
    """C1's coverage measured on bearing-1.jpg by the sample's own hand points."""
    hole, photo = HOLES["bearing-1.jpg"], read_photo(SAMPLES / "bearing-1.jpg")
    layer = with_rims(
        bare_layer(photo), photo, near_points=hole["near_points"], far_points=hole["far_points"]
    ).layer

    def measure(journey) -> None:
        entry = journey.add_photo(photo, location="C1", role="close-up")
        givens = journey.givens("C1.covered")
        journey.coverage("C1.covered", entry.evidence.photo, layer, givens, tolerance=0.1)

    small.act(measure)
    until(qtbot, lambda: small.round.check("C1.covered").current is not None)
    record = small.round.check("C1.covered").current.record
    assert isinstance(record, Marked)
    return record


@pytest.fixture
def drop() -> Callable[..., QDropEvent]:
    """Drag files over a widget and let them go there, with Qt's own events."""

    def let_go(widget: PhotoPane, *paths: Path) -> QDropEvent:
        mime = QMimeData()
        mime.setUrls([QUrl.fromLocalFile(str(path)) for path in paths])
        buttons, keys = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
        enter = QDragEnterEvent(QPoint(90, 90), _EITHER, mime, buttons, keys)
        widget.dragEnterEvent(enter)
        assert enter.isAccepted()
        assert enter.dropAction() == Qt.DropAction.CopyAction
        assert widget._sign.isVisible()
        event = QDropEvent(QPointF(90, 90), Qt.DropAction.CopyAction, mime, buttons, keys)
        widget.dropEvent(event)
        assert event.isAccepted()
        assert not widget._sign.isVisible()
        return event

    return let_go
