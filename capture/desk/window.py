"""The window: the job line above, the work area, and the round down the right side."""

from importlib import import_module
from typing import Protocol, runtime_checkable

from PySide6.QtCore import QSize, Qt, SignalInstance
from PySide6.QtGui import QCloseEvent, QKeySequence, QResizeEvent, QShortcut
from PySide6.QtWidgets import (
    QHBoxLayout,
    QMainWindow,
    QVBoxLayout,
    QWidget,
)

from capture.desk.desk import Desk
from capture.desk.errands import wait_for_all
from capture.desk.job_line import JobLine
from capture.desk.look.controls import part, rule
from capture.desk.look.dress import dress
from capture.desk.look.palette import Palette
from capture.desk.look.type import font
from capture.desk.photos.incoming import Incoming
from capture.desk.said import Said
from capture.desk.screen import Screen
from capture.desk.typing_burst import TypingBurst
from capture.desk.walk.pane import RoundPane
from capture.desk.where import Room, Where
from capture.desk.window_drops import WindowDrops
from capture.desk.work_area import WorkArea
from store.round import Round

_SCREENS: dict[Room, tuple[str, str]] = {
    "first": ("capture.desk.start.first", "FirstScreen"),
    "new job": ("capture.desk.start.new_job", "NewJobScreen"),
    "location": ("capture.desk.location.screen", "LocationScreen"),
    "marking": ("capture.desk.marking.screen", "MarkingScreen"),
    "map": ("capture.desk.map.screen", "MapScreen"),
    "compare": ("capture.desk.compare.screen", "CompareScreen"),
    "camera": ("capture.desk.camera.screen", "CameraScreen"),
    "hold": ("capture.desk.hold.screen", "HoldScreen"),
    "job": ("capture.desk.job.screen", "JobScreen"),
    "report": ("capture.desk.report.screen", "ReportScreen"),
    "shop": ("capture.desk.shop.screen", "ShopScreen"),
}
_SMALLEST = QSize(800, 500)
# From these widths of the window on the round is that wide; screens need what is left of 1024.
_ROUND_WIDTHS = ((1600, 400), (1100, 304), (1000, 288), (0, 240))
_FRAME = QSize(16, 48)  # what a window's own title and edges take of the screen, about


@runtime_checkable
class PreviewsPlans(Protocol):
    """A screen that shows what round a plan would give."""

    preview_changed: SignalInstance


class Window(QMainWindow):
    """One desk in one window. Screens are made when they are first gone to."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self.desk = desk
        self.setWindowTitle("Benchproof")
        self.setFont(font())
        self.setMinimumSize(_SMALLEST)
        self._screens: dict[Room, Screen] = {}
        self._stack = WorkArea()
        self._job_line = JobLine(desk)
        self._said = Said(desk)
        self._incoming = Incoming(desk, elsewhere=True)
        self._incoming.setContentsMargins(24, 0, 24, 0)
        self.round_pane = RoundPane(desk)
        self._lay_out()
        self._drops = WindowDrops(self, desk)
        self._drops.let_through(self.round_pane)
        self._bind_keys()
        self.burst = TypingBurst(self)
        self.burst.install()
        desk.went.connect(self._show)
        desk.round_changed.connect(self._round_changed)
        desk.dressed.connect(self._dress)
        self._dress(desk.palette)
        self._show(desk.where)

    def fit(self, width: int, height: int) -> None:
        """Take this size, or what there is of the screen if that is less."""
        screen = self.screen().availableGeometry().size() - _FRAME
        self.resize(QSize(width, height).boundedTo(screen).expandedTo(_SMALLEST))

    # --- what is shown --------------------------------------------------------------------

    @property
    def screen_shown(self) -> Screen:
        """The screen in the work area."""
        shown = self._stack.current()
        assert isinstance(shown, Screen)  # noqa: S101 - only screens are put there
        return shown

    def _screen(self, room: Room) -> Screen:
        if room not in self._screens:
            module, name = _SCREENS[room]
            screen: Screen = getattr(import_module(module), name)(self.desk)
            self._screens[room] = screen
            if isinstance(screen, PreviewsPlans):
                screen.preview_changed.connect(self.round_pane.preview)
            self._stack.take(screen)
            self._drops.let_through(screen)
        return self._screens[room]

    def _show(self, where: Where) -> None:
        screen = self._screen(where.room)
        if (before := self._stack.current()) is not screen:
            if isinstance(before, Screen):
                before.leave()
            self._stack.turn(screen)
        of_this_job = self.desk.round is not None and where.room != "shop"
        self.round_pane.setVisible(of_this_job or where.room == "new job")
        screen.enter(where)

    def _round_changed(self, known: Round | None) -> None:
        job = known.job if known else None
        self.setWindowTitle(f"Job {job.number} - Benchproof" if job else "Benchproof")
        if isinstance(shown := self._stack.current(), Screen):
            shown.show_round(known)

    def _dress(self, palette: Palette) -> None:
        self.setStyleSheet(dress(palette))
        for screen in self._screens.values():
            screen.wear(palette)

    # --- the frame ------------------------------------------------------------------------

    def _lay_out(self) -> None:
        work = part(QWidget(), "work")
        left = QVBoxLayout(work)
        left.setContentsMargins(0, 0, 0, 0)
        left.setSpacing(0)
        left.addWidget(self._job_line)
        left.addWidget(rule())
        left.addWidget(self._stack, 1)
        left.addWidget(self._incoming)
        left.addWidget(self._said)
        whole = QWidget()
        across = QHBoxLayout(whole)
        across.setContentsMargins(0, 0, 0, 0)
        across.setSpacing(0)
        across.addWidget(work, 1)
        across.addWidget(self.round_pane)
        self.setCentralWidget(whole)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Give the round its width: wider windows show more of the photo, then of the round."""
        super().resizeEvent(event)
        wide = event.size().width()
        self.round_pane.setFixedWidth(next(w for least, w in _ROUND_WIDTHS if wide >= least))

    def _bind_keys(self) -> None:
        desk = self.desk
        for keys, does in (
            ("F3", lambda: self._with_book(Where("map"))),
            ("F4", desk.go_to_next),
            ("F8", lambda: self._with_book(Where("job"))),
            ("F9", lambda: self._with_book(Where("report"))),
            ("F2", self._to_location),
            ("PgDown", lambda: desk.step(1)),
            ("PgUp", lambda: desk.step(-1)),
            ("Alt+Left", desk.go_back),
            ("Ctrl+F", self.round_pane.find),
            ("F5", self.round_pane.toggle_open_only),
            ("Ctrl+Shift+F", lambda: self.desk.go(Where("shop"))),
            ("Ctrl+O", lambda: self.desk.go(Where("first"))),
            ("Ctrl+N", lambda: self.desk.go(Where("new job"))),
        ):
            shortcut = QShortcut(QKeySequence(keys), self)
            shortcut.setContext(Qt.ShortcutContext.WindowShortcut)
            shortcut.activated.connect(does)

    def _with_book(self, where: Where) -> None:
        if self.desk.round is not None:
            self.desk.go(where)

    def _to_location(self) -> None:
        if self.desk.round is None:
            return
        where = self.desk.where
        if where.room != "location" and self.desk.place is not None:
            self.desk.go_to_check(where.key)
        elif where.room != "location":
            self.desk.go_to_next()

    # --- the end --------------------------------------------------------------------------

    def closeEvent(self, event: QCloseEvent) -> None:  # noqa: N802 - Qt's name
        """Close the book; everything that was done is kept already."""
        if isinstance(shown := self._stack.current(), Screen):
            shown.leave()
        self.burst.remove()
        self.desk.memory.width, self.desk.memory.height = self.width(), self.height()
        # Gone for the eye at once; what is under way may take a moment to let go.
        self.hide()
        self.desk.close()
        wait_for_all()
        super().closeEvent(event)
