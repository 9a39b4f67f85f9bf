"""A pane on a real desk, and a memory that is not the user's own."""

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent

from capture.desk.photos.arrivals import Arrivals, arrivals_of
from capture.desk.photos.pane import PhotoPane

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
