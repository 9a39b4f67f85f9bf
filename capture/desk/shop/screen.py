"""All jobs: their books are searched, a result opens its book, one check is plotted over them."""

from pathlib import Path
from threading import Event

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QStackedWidget, QVBoxLayout

from capture.all_jobs import Looked, look
from capture.desk import errands
from capture.desk.bench import Refused
from capture.desk.desk import Desk
from capture.desk.look.controls import Verb, label, row
from capture.desk.look.palette import Palette
from capture.desk.look.rows import RowList
from capture.desk.report.screen import AskWhere, ask_file
from capture.desk.screen import Screen
from capture.desk.shop.asked import Asked
from capture.desk.shop.found_rows import Place, found_rows, found_text
from capture.desk.shop.plot_view import PlotView
from capture.desk.start.folder import jobs_folder
from capture.desk.where import Where
from capture.errors import Unfit
from capture.words.refusals import TOLD, sentence_of
from store.files.halfmade import replace_file
from store.many_jobs.over_jobs import plot
from store.many_jobs.sought import Sought

_PLOT, _LIST = "Plot it over the jobs", "Show the list"
_FIRST = "The first look reads every book; later ones read those that have changed."


class ShopScreen(Screen):
    """The fields above, what is found below. Nothing in any book is changed by looking."""

    counted = Signal(int, int)  # sent from the thread that reads the books

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.ask_where: AskWhere = ask_file
        self._errand: errands.Errand | None = None
        self._stop = Event()
        self._places: dict[str, Place] = {}
        self._looked: Looked | None = None
        self._drawing = ""
        self.asked = Asked(jobs_folder(desk.memory.books()))
        self.found = label(_FIRST, "caption", wrap=True)
        self.found.setAccessibleName("what is found")
        self.rows = RowList("what is found", desk.palette)
        self.plot = PlotView()
        self.search = Verb("Look", "Ctrl+Return", primary=True, does=self.look)
        self.open = Verb("Open this job", "Alt+O", does=self.open_chosen)
        self.draw = Verb(_PLOT, "Alt+P", does=self.turn)
        self.keep = Verb("Keep the plot", "Alt+S", does=self.keep_plot)
        self.back = Verb("Back", "Esc", does=desk.go_back)
        self.rows.chosen.connect(lambda _: self._arm())
        self.rows.itemDoubleClicked.connect(lambda _: self.open_chosen())
        self.counted.connect(self._count)
        self._lay_out()
        self._arm()

    # --- what a screen does ---------------------------------------------------------------

    def enter(self, where: Where) -> None:  # noqa: ARG002 - there is one
        """Put the keyboard into the first field, and show every job where nothing was asked yet."""
        self.asked.fields["customer"].setFocus(Qt.FocusReason.OtherFocusReason)
        folder = Path(self.asked.folder.text())
        if self._looked is None and folder.is_dir():
            self.look()

    def leave(self) -> None:
        """End the look under way."""
        self._stop.set()
        if self._errand is not None:
            self._errand.drop()
        self._errand = None
        self._arm()

    def wear(self, palette: Palette) -> None:
        """Draw in these colours from now on."""
        self.rows.wear(palette)
        super().wear(palette)

    # --- verbs ----------------------------------------------------------------------------

    def look(self) -> None:
        """Look for what is asked, or say which field holds something else."""
        self.asked.say_wrong({})
        try:
            folder, sought = self.asked.sought()
        except Unfit as unfit:
            self.asked.say_wrong(dict(unfit.fields))
            return
        self.leave()
        self._stop = stop = Event()
        version, tell = self.desk.edge.version, self.counted.emit

        def work() -> Looked:
            return _look(folder, sought, version, tell, stop)

        self.found.setText("Looking ...")
        self._errand = errands.run(work, self._show, self._refuse)
        self._arm()

    def open_chosen(self) -> None:
        """Open the book of the chosen row, at its check."""
        place = self._places.get(self.rows.key)
        if place is None:
            return
        if place.root == self.desk.root and place.key:
            self.desk.go_to_check(place.key)
        else:
            self.desk.open(place.root, place.key)

    def turn(self) -> None:
        """Show the plot, or the list again."""
        if self._stack.currentWidget() is self.plot:
            self._show_list()
            self.rows.setFocus(Qt.FocusReason.OtherFocusReason)
            return
        assert self._looked is not None  # noqa: S101 - the verb is armed by it
        rows = list(self._looked.checks or ())
        try:
            self._drawing = plot(rows)
        except TOLD as refused:
            self.desk.refused.emit(sentence_of(refused))
            return
        self.plot.show_svg(self._drawing, found_text(self._looked))
        self._stack.setCurrentWidget(self.plot)
        self.draw.set_words(_LIST)
        self._arm()
        self.plot.setFocus(Qt.FocusReason.OtherFocusReason)

    def keep_plot(self) -> None:
        """Write the plot where somebody says."""
        usual = Path(self.asked.folder.text()) / "over-the-jobs.svg"
        target = self.ask_where(self, "Where to put the plot", usual, "Drawing (*.svg)")
        if target is None:
            return
        try:
            replace_file(target, self._drawing.encode())
        except OSError as error:
            self.desk.refused.emit(f"the plot could not be written to {target}: "
                                   f"{error.strerror}; choose another folder")  # fmt: skip
            return
        self.desk.told.emit(f"the plot is in {target}")

    # --- private --------------------------------------------------------------------------

    def _show(self, looked: Looked) -> None:
        self._errand, self._looked = None, looked
        rows = found_rows(looked)
        self._places = {key: place for key, (_, place) in rows.items()}
        self.rows.show_rows([each for each, _ in rows.values()])
        first = next((key for key, place in self._places.items() if place.key), "")
        self.rows.choose(first or next(iter(self._places), ""))
        self.found.setText(found_text(looked))
        self._show_list()

    def _refuse(self, refused: Refused) -> None:
        self._errand = None
        self.found.setText("")
        self._arm()
        self.desk.refused.emit(refused.sentence)

    def _count(self, done: int, of: int) -> None:
        if self._errand is not None:
            self.found.setText(f"Looking: {done} of {of} books")

    def _show_list(self) -> None:
        self._stack.setCurrentWidget(self.rows)
        self.draw.set_words(_PLOT)
        self._arm()

    def _arm(self) -> None:
        plotted = self._stack.currentWidget() is self.plot
        checks = self._looked.checks if self._looked else None
        self.open.setEnabled(self.rows.key in self._places and not plotted)
        self.draw.setEnabled(plotted or bool(checks))
        self.keep.setVisible(plotted)
        # The plot is read as a whole: it has the room of the fields while it is shown.
        self.asked.setVisible(not plotted)
        self.search.setVisible(not plotted)
        why = "" if checks else "look for a check first: its values are drawn, a line each"
        self.draw.setAccessibleDescription(why)
        self.draw.setToolTip(why)

    def _lay_out(self) -> None:
        self._stack = QStackedWidget()
        self._stack.addWidget(self.rows)
        self._stack.addWidget(self.plot)
        down = QVBoxLayout(self)
        down.setContentsMargins(24, 8, 24, 16)
        down.setSpacing(8)
        down.addWidget(label("What do the other jobs say?", "head", bold=True))
        down.addWidget(self.asked)
        looking = row(self.search, self.back, self.found)
        looking.setStretch(2, 1)
        down.addLayout(looking)
        down.addWidget(self._stack, 1)
        down.addLayout(row(self.open, self.draw, self.keep, 1))


class _Stopped(Exception):
    """The look is not wanted any more."""


def _look(folder: Path, sought: Sought, version: str, tell: object, stop: Event) -> Looked:
    def progress(done: int, of: int) -> None:
        if stop.is_set():
            raise _Stopped
        tell(done, of)  # type: ignore[operator] # a signal's emit

    return look([folder], sought, version=version, progress=progress)
