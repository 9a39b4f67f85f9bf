"""The reading column: what is asked for, the box, the echo, and below them one of several pages."""

from typing import Literal

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtWidgets import (
    QHBoxLayout,
    QScrollArea,
    QSizePolicy,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from capture.desk.location.ask_page import AskPage
from capture.desk.location.echo_line import EchoLine
from capture.desk.location.gauge_line import GaugeLine, GaugeList
from capture.desk.location.grid_view import GridView
from capture.desk.location.history_page import HistoryList, HistoryPage
from capture.desk.location.more_page import MorePage
from capture.desk.location.narrow import NarrowVerb
from capture.desk.location.question import GivesWay
from capture.desk.location.reading_box import ReadingBox
from capture.desk.location.slip_note import SlipNote
from capture.desk.look.controls import Verb, label
from capture.desk.look.palette import Palette

Page = Literal["about", "slip", "gauges", "more", "history", "ask"]
_HIGH = 260  # as long as there is room for it
_SUMMARY = 3  # lines of the history that are shown without asking


class ReadingColumn(QWidget):
    """Widgets only: what they show is set from outside."""

    answered = Signal(str)  # yes or no
    gauges_wanted = Signal()
    side_wanted = Signal()
    again = Signal()  # a suspected slip is to be read again
    kept = Signal()  # it is to be kept as it is
    more_used = Signal()
    fit_wanted = Signal()
    worked_on = Signal()
    left = Signal()  # the page is left
    turned = Signal(str)  # another page is shown

    def __init__(self) -> None:
        super().__init__()
        self.position = GivesWay("body", second=True)
        self.box = ReadingBox()
        self.echo = EchoLine()
        self.yes = NarrowVerb("Yes", key="Y, then Return", does=lambda: self.answered.emit("yes"))
        self.no = NarrowVerb("No", key="N, then Return", does=lambda: self.answered.emit("no"))
        self.instead = label("", "body", wrap=True)
        self.verbs = QVBoxLayout()
        self.verbs.setSpacing(8)
        self.gauge_line = GaugeLine(self.gauges_wanted.emit, self.side_wanted.emit)
        self.grid = GridView()
        self.photos = QVBoxLayout()
        self.below_photos = QVBoxLayout()
        self.part = label("", "caption", wrap=True)
        self.fit = Verb("Piece went on", bare=True, does=self.fit_wanted.emit)
        self.earlier = HistoryList(strikes=False, most=_SUMMARY)
        self.gauge_list = GaugeList(self.left.emit)
        self.slip = SlipNote(self.again.emit, self.kept.emit)
        self.more = MorePage(self.more_used.emit, self.left.emit)
        self.history = HistoryPage(self.worked_on.emit, self.left.emit)
        self.ask = AskPage(self.left.emit)
        self._pages: dict[Page, QWidget] = {
            "about": self._about(), "slip": _on_top(self.slip), "gauges": self.gauge_list,
            "more": self.more, "history": self.history, "ask": self.ask,
        }  # fmt: skip
        self._stack = QStackedWidget()
        for page in self._pages.values():
            self._stack.addWidget(_scrolled(page))
        # As high as there is room for: what a page needs must not make the whole screen scroll.
        self._stack.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Ignored)
        self._lay_out()

    @property
    def page(self) -> Page:
        """The page that is shown."""
        return list(self._pages)[self._stack.currentIndex()]

    def turn_to(self, page: Page) -> None:
        """Show another page below the box."""
        self._stack.setCurrentIndex(list(self._pages).index(page))
        self.show_top()
        self.turned.emit(page)

    def show_top(self) -> None:
        """Show a page from its beginning."""
        room = self._stack.currentWidget()
        if isinstance(room, QScrollArea):
            room.verticalScrollBar().setValue(0)

    def wear(self, palette: Palette) -> None:
        """Draw in other colours."""
        self.position.palette_worn = palette
        for each in (self.box, self.grid, self.slip, self.gauge_list, self.more):
            each.wear(palette)
        self.update()

    def _lay_out(self) -> None:
        for verb in (self.yes, self.no, self.fit):
            verb.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        for verb in (self.yes, self.no):
            verb.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self._answers = QWidget()
        answers = QHBoxLayout(self._answers)
        answers.setContentsMargins(0, 0, 0, 8)
        answers.setSpacing(8)
        answers.addWidget(self.yes)
        answers.addWidget(self.no)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.position)
        column.addWidget(self.box)
        column.addWidget(self.echo)
        column.addWidget(self._answers)
        column.addWidget(self._stack, 1)

    def show_way(self, *, boxed: bool, answered: bool) -> None:
        """Show the box, with or without the two answers; or what stands in its stead."""
        for widget in (self.box, self.echo):
            widget.setVisible(boxed)
        self._answers.setVisible(answered)
        self.instead.setVisible(not boxed)

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return little: the photo beside it and the column take what the rest leaves."""
        return QSize(super().sizeHint().width(), _HIGH)

    def take_grid(self) -> None:
        """Hold the grid itself: it is full, and the limit line needs its room."""
        at = self._about_column.indexOf(self.gauge_line)
        if self.grid.parentWidget() is not self.gauge_line.parentWidget():
            self._about_column.insertWidget(at, self.grid)
        self.grid.show()

    def _about(self) -> QWidget:
        made = QWidget()
        column = self._about_column = QVBoxLayout(made)
        column.setContentsMargins(0, 4, 0, 0)
        column.setSpacing(8)
        column.addWidget(self.instead)
        column.addLayout(self.verbs)
        column.addWidget(self.grid)
        column.addWidget(self.gauge_line)
        column.addLayout(self.photos)
        column.addLayout(self.below_photos)
        part = QHBoxLayout()
        part.setContentsMargins(0, 0, 0, 0)
        part.addWidget(self.part, 1)
        part.addWidget(self.fit)
        column.addLayout(part)
        column.addWidget(self.earlier)
        column.addStretch(1)
        return made


def _on_top(widget: QWidget) -> QWidget:
    """Return a page with a widget at its top, no higher than it needs."""
    made = QWidget()
    column = QVBoxLayout(made)
    column.setContentsMargins(0, 0, 0, 0)
    column.addWidget(widget)
    column.addStretch(1)
    return made


def _scrolled(page: QWidget) -> QScrollArea:
    """Return a page that scrolls where it is higher than its room."""
    made = QScrollArea()
    made.setWidgetResizable(True)
    made.setFrameShape(QScrollArea.Shape.NoFrame)
    made.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    made.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    made.setWidget(page)
    return made
