"""The line above everything: which job, for whom, who works, and the four rooms with their keys."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QWidget

from capture.desk.desk import Desk
from capture.desk.look.controls import Verb, label
from capture.desk.look.type import font
from capture.desk.where import Room, Where
from store.round import Round

_ROOMS: tuple[tuple[str, str, Room], ...] = (
    ("Location", "F2", "location"),
    ("Block map", "F3", "map"),
    ("Job", "F8", "job"),
    ("Report", "F9", "report"),
)
_SHOWN_IN: dict[Room, Room] = {"marking": "location", "compare": "location", "camera": "location"}
_ROOMS_ALONE_BELOW = 640


class JobLine(QWidget):
    """48 pixels high: the job on the left, the rooms on the right."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self.setFixedHeight(48)
        self._job = label("Benchproof", "caption", bold=True)
        self._about = _Elided()
        self._tabs = {room: _Tab(text, key, room, desk) for text, key, room in _ROOMS}
        line = self._line = QHBoxLayout(self)
        line.setContentsMargins(24, 0, 16, 0)
        line.setSpacing(16)
        line.addWidget(self._job)
        line.addWidget(self._about, 1)
        for tab in self._tabs.values():
            line.addWidget(tab)
        desk.round_changed.connect(self._show_job)
        desk.went.connect(self._show_room)
        self._show_job(desk.round)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Leave the job to the window's title where the rooms need all the room."""
        super().resizeEvent(event)
        narrow = self.width() < _ROOMS_ALONE_BELOW
        self._line.setContentsMargins(8 if narrow else 24, 0, 8 if narrow else 16, 0)
        self._line.setSpacing(0 if narrow else 16)
        for each in (self._job, self._about):
            each.setVisible(not narrow or self._desk.round is None)

    def _show_job(self, known: Round | None) -> None:
        for tab in self._tabs.values():
            tab.setVisible(known is not None)
        if known is None:
            self._job.setText("Benchproof")
            self._about.set_text("no job open")
            return
        self._job.setText(f"Job {known.job.number}")
        self._about.set_text(f"{known.job.engine}  ·  {known.job.customer}  ·  {self._desk.by}")

    def _show_room(self, where: Where) -> None:
        shown = _SHOWN_IN.get(where.room, where.room)
        for room, tab in self._tabs.items():
            tab.set_here(here=room == shown)


class _Tab(Verb):
    """One room. The one that is shown has a line under it, and says so to a screen reader."""

    def __init__(self, text: str, key: str, room: Room, desk: Desk) -> None:
        super().__init__(text, key=key, bare=True, does=lambda: self._go(room))
        self._desk, self._here = desk, False
        self.setFont(font("caption"))
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)

    def set_here(self, *, here: bool) -> None:
        """Show whether this room is the one that is shown."""
        self._here = here
        weight = self.font()
        weight.setBold(here)
        self.setFont(weight)
        self.setAccessibleDescription("shown now" if here else "")
        self.updateGeometry()
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Draw the button and the line under the room that is shown."""
        super().paintEvent(event)
        if self._here:
            painter = QPainter(self)
            painter.fillRect(
                0, self.height() - 3, self.width(), 3, QColor(self._desk.palette.accent)
            )
            painter.end()

    def _go(self, room: Room) -> None:
        if room != "location":
            self._desk.go(Where(room))
        elif self._desk.place is not None:
            self._desk.go_to_check(self._desk.where.key)
        else:
            self._desk.go_to_next()


class _Elided(QLabel):
    """A caption that gives way: what does not fit ends in an ellipsis, whole in the tool tip."""

    def __init__(self) -> None:
        super().__init__()
        self._whole = ""
        made = label("", "caption")
        self.setFont(made.font())
        self.setProperty("part", "caption")
        self.setMinimumWidth(40)

    def set_text(self, text: str) -> None:
        """Show another text."""
        self._whole = text
        self.setToolTip(text)
        self.setAccessibleName(text)
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 - Qt's name
        """Draw as much as there is room for."""
        painter = QPainter(self)
        fitting = self.fontMetrics().elidedText(
            self._whole, Qt.TextElideMode.ElideRight, self.width()
        )
        painter.setPen(self.palette().color(self.foregroundRole()))
        painter.drawText(self.rect(), Qt.AlignmentFlag.AlignVCenter, fitting)
        painter.end()
