"""A new job: which plans, what engine, for whom, and where its book goes."""

from pathlib import Path

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QHBoxLayout, QVBoxLayout, QWidget

from capture.desk import errands
from capture.desk.bench import Refused
from capture.desk.desk import Desk
from capture.desk.look.controls import rule
from capture.desk.look.dialogs import ask_file, ask_folder
from capture.desk.look.palette import Palette
from capture.desk.look.scrolled import reveal, scrolled
from capture.desk.screen import Screen
from capture.desk.start.asked import show_unfit, typed_job
from capture.desk.start.folder import book_name, jobs_folder
from capture.desk.start.foot import Foot
from capture.desk.start.head import Head
from capture.desk.start.job_fields import JobFields
from capture.desk.start.offered import Offered, job_in, offered_file, offered_library
from capture.desk.start.plan_choice import PlanChoice
from capture.desk.start.previewed import Previewed, job_in_units, previewed
from capture.desk.start.recent import read_plan_before, read_usual
from capture.desk.taken_over import read_register, with_gauges
from capture.desk.where import Where
from capture.errors import Unfit
from store.plan import Job, Plan

_QUIET_MS = 150  # of typing, before the plan is worked out again
_PLANS = "Plans (*.toml *.csv)"
_WIDE_FROM, _NARROW = 1400, 880


class NewJobScreen(Screen):
    """Nothing is kept on disk before the start; going back loses nothing that was typed."""

    preview_changed = Signal(object)  # Plan, or None where no plan comes of what is chosen

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.ask_folder, self.ask_file = ask_folder, ask_file
        self.parent_folder = jobs_folder(desk.memory.books())
        self._base: Job | None = None
        self._errand: errands.Errand | None = None
        self.found = Previewed(None, None)
        self.choice = PlanChoice(desk.palette)
        self.job = JobFields()
        self._quiet = QTimer(self)
        self._quiet.setSingleShot(True)
        self._quiet.setInterval(_QUIET_MS)
        self._quiet.timeout.connect(self._preview)
        self._lay_out()
        self.choice.changed.connect(self._changed)
        self.choice.file_wanted.connect(self.add_file)
        self.choice.book_wanted.connect(self.find_book)
        self.job.edited.connect(self._edited)
        self._where_to()

    # --- what a screen does ---------------------------------------------------------------

    def enter(self, where: Where) -> None:  # noqa: ARG002 - there is one such screen
        """Show the library, and what the job before was in."""
        books = self.desk.memory.books()
        errands.run(offered_library, self.choice.offer, self._refuse)
        if books:
            self.parent_folder = jobs_folder(books)
            self._where_to()
            errands.run(lambda: read_usual(books), self.job.fill_usual)
            errands.run(lambda: read_register(books[0]), self.choice.offer_gauges, _offer_none)
        self._quiet.start()
        first = self.job.fields["engine"]
        first.setFocus(Qt.FocusReason.OtherFocusReason)
        QTimer.singleShot(0, first, lambda: reveal(first))  # it may have been scrolled away

    def leave(self) -> None:
        """Show the round of the open book again."""
        self._overtake()
        self.preview_changed.emit(None)

    def wear(self, palette: Palette) -> None:
        """Draw in these colours from now on."""
        self.choice.wear(palette)
        self.update()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Give the fields their column, or the whole width below the plans."""
        super().resizeEvent(event)
        wide = event.size().width()
        way = QBoxLayout.Direction
        self._across.setDirection(way.TopToBottom if wide < _NARROW else way.LeftToRight)
        column = 432 if wide >= _WIDE_FROM else 352
        self.job.setFixedWidth(max(wide - 64, 200) if wide < _NARROW else column)

    # --- verbs ----------------------------------------------------------------------------

    def start(self) -> None:
        """Begin the book, or say beside each field what is lacking."""
        try:
            root = self.root
            job = typed_job(self.choice, self.job, root, self._base)
        except Unfit as unfit:
            show_unfit(unfit, self.choice, self.job, self.foot)
            return
        self.foot.begin.setEnabled(False)
        chosen, left_out = self.choice.chosen(), self.choice.left_out
        follows = self.choice.comeback_of
        errands.run(
            lambda: previewed(chosen, left_out, job),
            lambda found: self._begin(found, root, follows),
            self._refuse,
        )

    def add_file(self, path: Path | None = None) -> None:
        """Offer a plan file: the one given, else the one that is asked for."""
        path = path or self.ask_file(self, "A plan file", self.parent_folder, _PLANS)
        if path is not None:
            units = job_in_units(self.job.texts())
            errands.run(
                lambda: (offered_file(path, units), job_in(path)),
                lambda found: self._add_file(path, *found),
                self._refuse,
            )

    def find_book(self, root: Path | None = None) -> None:
        """Take the book of the job that came back."""
        root = root or self.ask_folder(self, "The book of the job that came back",
                                       self.parent_folder)  # fmt: skip
        if root is not None:
            errands.run(
                lambda: read_plan_before(root),
                lambda plan: self._take_before(root, plan),
                lambda refused: self.choice.comeback.set_error(refused.sentence),
            )

    def choose_folder(self) -> None:
        """Have the book somewhere else."""
        folder = self.ask_folder(self, "The folder that new jobs go in", self.parent_folder)
        if folder is not None:
            self.parent_folder = folder
            self._where_to()

    # --- private --------------------------------------------------------------------------

    def _lay_out(self) -> None:
        inside = QWidget()
        self._across = across = QHBoxLayout(inside)
        across.setContentsMargins(24, 4, 24, 24)
        across.setSpacing(40)
        across.addWidget(self.choice, 1)
        across.addWidget(self.job)
        self.foot = Foot(back=self._go_back, elsewhere=self.choose_folder, begin=self.start)
        head = Head()
        self.size_words = head.size_words
        down = QVBoxLayout(self)
        down.setContentsMargins(0, 0, 0, 0)
        down.setSpacing(0)
        down.addWidget(head)
        down.addWidget(scrolled(inside), 1)
        down.addWidget(rule())
        down.addWidget(self.foot)

    @property
    def root(self) -> Path:
        """Where the book would go."""
        texts = self.job.texts()
        return self.parent_folder / book_name(texts["number"], texts["engine"])

    def _where_to(self) -> None:
        self.foot.show_root(self.root)

    def _edited(self, name: str) -> None:
        if name in {"number", "engine"}:
            self._where_to()
        if name in {"units", "decimal_comma"}:
            self._overtake()
            self._quiet.start()

    def _changed(self) -> None:
        """Work the plan out again; until it is known, the start asks for itself."""
        self.foot.begin.setEnabled(not self.choice.is_nothing)
        self._overtake()
        self._quiet.start()

    def _overtake(self) -> None:
        """Throw away what is being worked out: it is of what was chosen before."""
        self._quiet.stop()
        if self._errand is not None:
            self._errand.drop()

    def _preview(self) -> None:
        try:
            chosen = self.choice.chosen()
        except Unfit:
            self.foot.begin.setEnabled(False)
            return
        self._overtake()
        left_out, job = self.choice.left_out, job_in_units(self.job.texts())
        self._errand = errands.run(lambda: previewed(chosen, left_out, job), self._show_found)

    def _show_found(self, found: Previewed) -> None:
        self.found = found
        self.foot.begin.setEnabled(found.plan is not None and not self.choice.is_nothing)
        self.choice.show_also(found.also)
        if self.choice.is_nothing:
            self.size_words.setText("tick a plan, or the empty one, to start")
            self.choice.show_whole(None)
            self.preview_changed.emit(None)
            return
        self.choice.show_whole(found.whole)
        self.choice.show_fault(found.fault)
        self.size_words.setText(found.words if found.plan else "")
        self.preview_changed.emit(found.plan)

    def _add_file(self, path: Path, offered: Offered, job: Job | None) -> None:
        if job is not None:
            self._base = job
            self.job.fill(job)
            self._where_to()
        self.choice.add_file(path, offered)

    def _take_before(self, root: Path, plan: Plan) -> None:
        self.choice.set_before(root, plan)
        self.job.fill(plan.job)
        self.job.fields["number"].set_text("")  # a comeback is a job of its own
        self._where_to()

    def _begin(self, found: Previewed, root: Path, follows: Path | str) -> None:
        self.foot.begin.setEnabled(True)
        if found.plan is None:
            self.choice.show_fault(found.fault)
            return
        taken = self.choice.gauges_taken
        plan = with_gauges(found.plan, taken) if taken else found.plan
        self.desk.begin(plan, root, comeback_of=follows)

    def _refuse(self, refused: Refused) -> None:
        self.foot.begin.setEnabled(True)
        self.desk.refused.emit(refused.sentence)

    def _go_back(self) -> None:
        if self.desk.root is None:
            self.desk.go(Where("first"))
        else:
            self.desk.go_back()


def _offer_none(refused: Refused) -> None:
    """Offer no gauges of a book that can't be read: it is told where that book is opened."""
