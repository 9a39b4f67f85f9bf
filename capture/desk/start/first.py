"""The first screen: what to do next in one sentence, four verbs, and the books of late."""

from pathlib import Path
from threading import Event

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from capture.desk import errands
from capture.desk.bench import Refused
from capture.desk.desk import Desk
from capture.desk.look.choice import Choice
from capture.desk.look.controls import Verb, label, row
from capture.desk.look.dialogs import ask_folder
from capture.desk.look.palette import Palette
from capture.desk.look.scrolled import scrolled
from capture.desk.look.type import font
from capture.desk.screen import Screen
from capture.desk.start.folder import jobs_folder, short_path
from capture.desk.start.legend import Legend
from capture.desk.start.recent import Recent, read_recent
from capture.desk.where import Where
from store.round import Round

_NEXT = "Start a job for one engine; then the desk asks one question at a time, before each "
_NEXT += "location is hidden."
_MOST_RECENT = 9
_WIDE = 760


class FirstScreen(Screen):
    """Shown when no book is open, and when another is to be opened."""

    demo_told = Signal(str)  # sent from the thread that makes the demo

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.ask_folder = ask_folder
        self._stop = Event()
        self._demo: errands.Errand | None = None
        self._read: errands.Errand | None = None
        self._here = False
        self._recents: list[Choice] = []
        self.setAcceptDrops(True)
        self._lay_out()
        self.demo_told.connect(self._tell_demo)
        self.wear(desk.palette)

    # --- what a screen does ---------------------------------------------------------------

    def enter(self, where: Where) -> None:  # noqa: ARG002 - there is one first screen
        """Show the books of late; asked for again while it is shown, ask which one to open."""
        if self._here and self.isVisible():
            self.open_job()
            return
        self._here = True
        self.show_round(self.desk.round)
        self._read_recents()
        self.new_job.setFocus(Qt.FocusReason.OtherFocusReason)

    def show_round(self, known: Round | None) -> None:
        """Show what a round is as long as there is none."""
        self._legend.setVisible(known is None)

    def leave(self) -> None:
        """End the demo that is being made, and let go of what is being read."""
        self._here = False
        self._stop.set()
        for errand in (self._demo, self._read):
            if errand is not None:
                errand.drop()
        self._demo = self._read = None
        self._show_demo(making=False)

    def wear(self, palette: Palette) -> None:
        """Draw in these colours from now on."""
        self._legend.wear(palette)
        for choice in (self.new_job, self.open, self.all_jobs, self.demo, *self._recents):
            choice.wear(palette)
        self.update()

    # --- verbs ----------------------------------------------------------------------------

    def open_job(self, root: Path | None = None) -> None:
        """Open a book: the one given, else the one that is asked for."""
        start = jobs_folder(self.desk.memory.books())
        root = root or self.ask_folder(self, "The folder that holds one job's evidence", start)
        if root is not None:
            self.desk.open(root)

    def make_demo(self, folder: Path | None = None) -> None:
        """Make the demo's book, in a folder or in that for new jobs, and open it."""
        if self._demo is not None:
            return
        self._stop = stop = Event()
        wanted = (folder or jobs_folder(self.desk.memory.books())) / "demo-job"
        self._show_demo(making=True)
        self._tell_demo(f"begun in {short_path(wanted)}")
        edge, tell = self.desk.edge, self.demo_told.emit

        def make() -> Path:
            from capture.desk.start.demo_errand import make_demo  # noqa: PLC0415 - loads much

            return make_demo(wanted, edge, tell=tell, stop=stop)

        self._demo = errands.run(make, self._open_demo, self._refuse_demo)

    def stop_demo(self) -> None:
        """End it after the act under way, and open it as far as it got."""
        self._stop.set()
        self._stop_verb.setEnabled(False)

    # --- drop -----------------------------------------------------------------------------

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:  # noqa: N802 - Qt's name
        """Take one folder."""
        if _dropped(event) is not None:
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:  # noqa: N802 - Qt's name
        """Open the book that was dropped."""
        if (root := _dropped(event)) is not None:
            event.acceptProposedAction()
            self.open_job(root)

    # --- private --------------------------------------------------------------------------

    def _lay_out(self) -> None:
        head = label(_NEXT, wrap=True)
        head.setFont(font("head", bold=True))
        head.setMaximumWidth(760)
        head.setMinimumHeight(76)
        self.new_job = Choice(
            "New job", "from plans that list the locations and what hides them", "N",
            primary=True, high=88, does=lambda: self.desk.go(Where("new job")),
        )  # fmt: skip
        self.open = Choice(
            "Open a job", "the folder that holds one job's evidence; or drop it here", "O",
            does=self.open_job,
        )  # fmt: skip
        self.demo = Choice("Try the demo job", _demo_about(), "D", does=self.make_demo)
        self.all_jobs = Choice(
            "Look through all jobs", "by customer, engine, check, gauge or verdict; one check "
            "plotted over them", "F", does=lambda: self.desk.go(Where("shop")),
        )  # fmt: skip
        self._stop_verb = Verb("Open it as far as it is", "S", does=self.stop_demo)
        self._late = label("Open lately", "caption")
        self._recent = QVBoxLayout()
        self._recent.setSpacing(0)
        inside = QWidget()
        down = QVBoxLayout(inside)
        down.setContentsMargins(64, 64, 64, 24)
        down.setSpacing(0)
        down.addWidget(head)
        down.addSpacing(28)
        for choice in (self.new_job, self.open, self.all_jobs, self.demo):
            choice.setMaximumWidth(_WIDE)
            down.addWidget(choice)
        down.addSpacing(12)
        down.addLayout(row(self._stop_verb, 1))
        down.addSpacing(16)
        down.addWidget(self._late)
        down.addLayout(self._recent)
        down.addStretch(1)
        down.addSpacing(16)
        kept = "Everything is kept on this machine, as it happens. There is no Save."
        down.addWidget(label(kept, "caption"))
        self._legend = Legend()
        across = QHBoxLayout(self)
        across.setContentsMargins(0, 0, 0, 0)
        across.setSpacing(0)
        across.addWidget(scrolled(inside), 1)
        across.addWidget(self._legend)
        self._show_demo(making=False)
        self._late.hide()

    def _read_recents(self) -> None:
        roots = self.desk.memory.books()[:_MOST_RECENT]
        self._read = errands.run(lambda: [read_recent(root) for root in roots], self._show_recents)

    def _show_recents(self, found: list[Recent]) -> None:
        for choice in self._recents:
            self._recent.removeWidget(choice)
            choice.deleteLater()
        self._recents = [self._recent_choice(number, book) for number, book in enumerate(found, 1)]
        for choice in self._recents:
            self._recent.addWidget(choice)
        self._late.setVisible(bool(found))

    def _recent_choice(self, number: int, book: Recent) -> Choice:
        title = "  ".join(words for words in (book.number, book.engine) if words)
        about = f"{book.state}  ·  {short_path(book.root)}"
        choice = Choice(title, about, str(number), high=64,
                        does=lambda: self.open_job(book.root))  # fmt: skip
        choice.setMaximumWidth(_WIDE)
        choice.wear(self.desk.palette)
        return choice

    def _show_demo(self, *, making: bool) -> None:
        self._stop_verb.setVisible(making)
        self._stop_verb.setEnabled(making)
        self.demo.setEnabled(not making)
        if not making:
            self.demo.set_about(_demo_about())

    def _tell_demo(self, words: str) -> None:
        if self._demo is not None or not self.demo.isEnabled():
            self.demo.set_about(f"being made: {words}")

    def _open_demo(self, root: Path) -> None:
        self._demo = None
        self._show_demo(making=False)
        self.desk.open(root)

    def _refuse_demo(self, refused: Refused) -> None:
        self._demo = None
        self._show_demo(making=False)
        self.desk.refused.emit(refused.sentence)


def _demo_about() -> str:
    return "an invented engine from arrival to closed; made in a minute or two"


def _dropped(event: QDropEvent) -> Path | None:
    """Return the one folder that is dragged, or the folder of a book's file."""
    paths = [Path(url.toLocalFile()) for url in event.mimeData().urls() if url.isLocalFile()]
    if len(paths) != 1:
        return None
    return paths[0] if paths[0].is_dir() else paths[0].parent
