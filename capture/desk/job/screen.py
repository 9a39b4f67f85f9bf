"""The job: its pages down the left, the chosen one beside them."""

from functools import partial

from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QStackedWidget, QWidget

from capture.desk.desk import Desk
from capture.desk.job.details import DetailsPage
from capture.desk.job.evidence import EvidencePage
from capture.desk.job.gauges import GaugesPage
from capture.desk.job.kit import KitPage
from capture.desk.job.page import Page
from capture.desk.job.papers import PapersPage
from capture.desk.job.plan import PlanPage
from capture.desk.job.plugs import PlugsPage
from capture.desk.job.settings import SettingsPage
from capture.desk.job.tab import TAB_WIDE, Tab
from capture.desk.look.flow import Flow
from capture.desk.look.palette import Palette
from capture.desk.screen import Screen
from capture.desk.where import Where
from store.round import Round

_PAGES: tuple[type[Page] | type[SettingsPage], ...] = (
    DetailsPage, PlanPage, GaugesPage, KitPage, PlugsPage, PapersPage, EvidencePage,
    SettingsPage,
)  # fmt: skip
_NARROW, _MOST = 880, 16_777_215  # Qt's own largest width


class JobScreen(Screen):
    """Keys 1 to 8 choose a page. ``Where.part`` names one; an empty plan shows the plan's.

    A page is made when it is first gone to: all at once would hold the window up for 0.3 s.
    """

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._made: dict[int, Page | SettingsPage] = {}
        self._stack = QStackedWidget()
        self._shown = 0
        self._tabs = [
            Tab(page.name, str(number + 1), desk, partial(self.show_page, number))
            for number, page in enumerate(_PAGES)
        ]
        self._lay_out()

    def enter(self, where: Where) -> None:
        """Show the page that is named, else the one that was shown last."""
        names = [page.name for page in _PAGES]
        known = self.desk.round
        if where.part in names:
            self.show_page(names.index(where.part))
        elif known is not None and not known.places and self._shown == 0:
            self.show_page(names.index("Plan"))
        else:
            self.show_page(self._shown)
        if where.key and isinstance(self.page, Page):
            self.page.go_to(where.key)

    def show_round(self, known: Round | None) -> None:
        """Draw the page that is shown; the others when they are."""
        self.page.show_round(known)

    def wear(self, palette: Palette) -> None:
        """Draw in these colours from now on."""
        for page in self._made.values():
            page.wear(palette)
        self.update()

    @property
    def pages(self) -> list[Page | SettingsPage]:
        """Every page."""
        return [self._page(number) for number in range(len(_PAGES))]

    @property
    def page(self) -> Page | SettingsPage:
        """The page that is shown."""
        return self._page(self._shown)

    def _page(self, number: int) -> Page | SettingsPage:
        if number not in self._made:
            page = self._made[number] = _PAGES[number](self.desk)
            page.wear(self.desk.palette)
            self._stack.addWidget(page)
        return self._made[number]

    def show_page(self, number: int) -> None:
        """Show another page."""
        self._shown = number
        self._stack.setCurrentWidget(self.page)
        for each, tab in enumerate(self._tabs):
            tab.set_here(here=each == number)
        self.page.show_round(self.desk.round)
        self.page.enter()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Put the pages' names above where there is no room beside."""
        super().resizeEvent(event)
        narrow = event.size().width() < _NARROW
        if narrow == (self._across.direction() == QBoxLayout.Direction.TopToBottom):
            return
        way = QBoxLayout.Direction
        self._across.setDirection(way.TopToBottom if narrow else way.LeftToRight)
        self._names.setMaximumWidth(_MOST if narrow else TAB_WIDE)
        self._names.setMinimumWidth(0 if narrow else TAB_WIDE)
        for tab in self._tabs:
            tab.is_compact = narrow
            tab.updateGeometry()

    def _lay_out(self) -> None:
        self._names = QWidget()
        self._names.setLayout(Flow(*self._tabs, gap=0))
        self._names.setFixedWidth(TAB_WIDE)
        self._across = QBoxLayout(QBoxLayout.Direction.LeftToRight, self)
        self._across.setContentsMargins(8, 12, 24, 16)
        self._across.setSpacing(20)
        self._across.addWidget(self._names)
        self._across.addWidget(self._stack, 1)
