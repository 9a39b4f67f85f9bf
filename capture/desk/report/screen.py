"""The report: what it will say, making it and the pack, and its pages."""

from collections.abc import Callable
from pathlib import Path
from typing import Literal

from PySide6.QtCore import QUrl
from PySide6.QtGui import QDesktopServices, QResizeEvent
from PySide6.QtWidgets import (
    QButtonGroup,
    QCheckBox,
    QFileDialog,
    QHBoxLayout,
    QProgressBar,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from capture.desk.desk import Desk
from capture.desk.look.controls import Verb, label, row, rule
from capture.desk.look.palette import Palette
from capture.desk.look.scrolled import scrolled
from capture.desk.report.making import Making
from capture.desk.report.order import Kind, Order, Paper, still_open, summary, usual_target
from capture.desk.report.pages import Pages
from capture.desk.screen import Screen
from capture.desk.where import Where
from capture.words.quantities import count_text
from store.round import Round

AskWhere = Callable[[QWidget, str, Path, str], Path | None]
_WIDE = 360  # of what is chosen from; more where a font needs it


class ReportScreen(Screen):
    """Left what is made and how, right the pages. Both are made while work goes on elsewhere."""

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.ask_where: AskWhere = ask_file
        self.open_folder: Callable[[Path], object] = lambda folder: QDesktopServices.openUrl(
            QUrl.fromLocalFile(str(folder))
        )
        self._making: Making | None = None
        self._made_at: Path | None = None
        self._runs = 0
        self.pages = Pages(desk)
        self._page_count = label("", "caption")
        self._about, self._counts = label("", "caption"), label("", wrap=True)
        self._open = label("", wrap=True)
        self._budgets = QCheckBox("with every budget of uncertainty")
        self._budgets.setFont(self._counts.font())
        self._a4, self._letter = _Choice("A4"), _Choice("US letter")
        self._papers = QButtonGroup(self)
        self._papers.addButton(self._a4)
        self._papers.addButton(self._letter)
        self._make = Verb("Make the report", "Ctrl+Return", primary=True, does=self.make_report)
        self._save = Verb("Save a copy", "Ctrl+S", does=self.save_report)
        self._page = Verb("Web page for a phone", "Ctrl+Shift+H", does=lambda: self.make("page"))
        self._pack = Verb("Make the pack", "Ctrl+Shift+P", does=lambda: self.make("pack"))
        self._stop = Verb("Stop", "Esc", does=self.stop)
        self._show_folder = Verb("Show where it is", does=self._open_folder)
        self._bar = QProgressBar()
        self._bar.setTextVisible(False)
        self._words = label("", wrap=True)
        self._words.setAccessibleName("how far it is")
        self._lay_out()
        self._show_state()
        desk.closing.connect(self.stop)

    # --- the screen -------------------------------------------------------------------------

    def enter(self, where: Where) -> None:  # noqa: ARG002 - there is one report of one book
        """Show what the report will say."""
        self.show_round(self.desk.round)
        (self._make if self._make.isEnabled() else self.pages).setFocus()

    def show_round(self, known: Round | None) -> None:
        """Count again; pages made before something was filed are said to be older."""
        if known is None:
            return
        if not self._papers.checkedButton():
            (self._letter if known.job.units == "US" else self._a4).setChecked(True)
        self._about.setText(
            f"Job {known.job.number}  ·  {count_text(known.entries, 'entry', 'entries')}"
        )
        counts = ", ".join(f"{count} {word}" for word, count in summary(known))
        self._counts.setText(f"{len(known.checks)} checks: {counts}.")
        self._open.setText(still_open(known))
        self._open.setVisible(bool(self._open.text()))
        self._show_pages_age()

    def wear(self, palette: Palette) -> None:  # noqa: ARG002 - the pages look it up
        """Draw the mat behind the pages in the theme's colour."""
        self.pages.viewport().update()
        self.update()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Give the longest verb and its keys room beside the bar that scrolls."""
        verbs = self._column.minimumSizeHint().width()
        bar = self._choices.verticalScrollBar().sizeHint().width()
        self._beside.setFixedWidth(max(_WIDE, verbs + bar))
        super().resizeEvent(event)

    # --- making -----------------------------------------------------------------------------

    def make_report(self) -> None:
        """Make the report into a folder of our own, and show its pages."""
        if self.desk.root is None or self._making is not None:
            return
        self._runs += 1
        previews = self.desk.scratch / f"report-{self._runs}"
        previews.mkdir()
        paper: Paper = "letter" if self._letter.isChecked() else "a4"
        self._begin(Order(
            "report", self.desk.root, previews / "report.pdf", paper=paper,
            budgets=self._budgets.isChecked(), previews=previews,
        ))  # fmt: skip

    def save_report(self) -> None:
        """Copy the report that is shown to where somebody says."""
        if self._made_at is None or self.desk.root is None:
            return
        target = self._asked("report")
        if target is None:
            return
        try:
            target.write_bytes(self._made_at.read_bytes())
        except OSError as error:
            self.desk.refused.emit(f"the report could not be written to {target}: "
                                   f"{error.strerror}; choose another folder")  # fmt: skip
            return
        self._saved(target, "report")

    def make(self, kind: Literal["page", "pack"]) -> None:
        """Make the web page for a phone, or the signed pack, where somebody says."""
        if self.desk.root is None or self._making is not None:
            return
        target = self._asked(kind)
        if target is not None:
            self._begin(Order(kind, self.desk.root, target, budgets=self._budgets.isChecked()))

    def stop(self) -> None:
        """Stop what is being made; nothing of it is kept."""
        if self._making is not None:
            self._words.setText("Stopping …")
            self._making.stop()

    def _begin(self, order: Order) -> None:
        self._words.setText(f"Making the {order.kind} …")
        self._bar.setRange(0, 0)
        making = Making(order, self.desk.edge)
        making.progressed.connect(self._tell)
        making.done.connect(lambda target: self._done(order, target))
        making.refused.connect(self._refuse)
        making.stopped.connect(lambda: self._end(f"The {order.kind} was stopped and not written."))
        self._making = making
        self._show_state()
        self._stop.setFocus()

    def _tell(self, done: int, of: int, words: str) -> None:
        if self._making is None or self._words.text() == "Stopping …":
            return
        self._bar.setRange(0, max(of, 1))
        self._bar.setValue(done)
        self._words.setText(f"{words[:1].upper()}{words[1:]}, {done} of {of}")

    def _done(self, order: Order, target: Path) -> None:
        if order.kind == "report":
            self._made_at = target
            assert order.previews is not None  # noqa: S101 - every report is made with its pages
            files = sorted(order.previews.glob("page-*.png"), key=_number_of)
            self.pages.show_pages(files)
            self._entries_then = self.desk.round.entries if self.desk.round else 0
            self._end(f"The report is made: {len(files)} pages. Save a copy for the customer.")
            self._save.setFocus()
        else:
            self._end("")
            self._saved(target, order.kind)

    def _refuse(self, sentence: str) -> None:
        self._end("")
        self.desk.refused.emit(sentence)

    def _end(self, words: str) -> None:
        self._making = None
        self._words.setText(words)
        self._show_state()
        self._show_pages_age()
        # The focus went on from verb to verb as they were barred, and the choices with it.
        self._choices.verticalScrollBar().setValue(0)

    def _saved(self, target: Path, kind: Kind) -> None:
        self._written = target
        self._words.setText(f"The {kind} is in {target}")
        self._show_folder.setVisible(True)

    def _open_folder(self) -> None:
        self.open_folder(self._written.parent)

    def _asked(self, kind: Kind) -> Path | None:
        assert self.desk.root is not None  # noqa: S101 - asked by the callers
        ends = {"report": "PDF (*.pdf)", "page": "Page (*.html)", "pack": "Pack (*.zip)"}[kind]
        return self.ask_where(self, f"Where to put the {kind}", usual_target(self.desk.root, kind),
                              ends)  # fmt: skip

    # --- private ----------------------------------------------------------------------------

    def _show_state(self) -> None:
        busy = self._making is not None
        self._bar.setVisible(busy)
        self._stop.setVisible(busy)
        for verb in (self._make, self._page, self._pack):
            verb.setEnabled(not busy)
        self._save.setEnabled(self._made_at is not None and not busy)

    def _show_pages_age(self) -> None:
        if not self.pages.count or self.desk.round is None:
            self._page_count.setText("Its pages are shown here when it is made.")
            return
        later = self.desk.round.entries - self._entries_then
        more = "" if not later else (
            f"  ·  made {later} {'entry' if later == 1 else 'entries'} ago: make it again"
        )  # fmt: skip
        self._page_count.setText(f"{self.pages.count} pages{more}")

    def _lay_out(self) -> None:
        self._entries_then, self._written = 0, Path()
        self._show_folder.setVisible(False)
        left = QVBoxLayout()
        left.setSpacing(12)
        widget: QWidget
        for widget in (self._counts, self._open, rule(), label("Paper", "caption")):
            left.addWidget(widget)
        left.addLayout(row(self._a4, self._letter, gap=0))
        for widget in (self._budgets, self._make, self._save, self._page, rule(), label(
            "The pack is a signed copy of book, photos and report. A stranger checks it with "
            "standard tools, without the shop and without this program.", "caption", wrap=True,
        ), self._pack):  # fmt: skip
            left.addWidget(widget)
        left.addStretch(1)
        self._column = QWidget()
        self._column.setLayout(left)
        left.setContentsMargins(0, 0, 8, 0)
        # What is under way stays in sight, however little room there is.
        self._beside = QWidget()
        down = QVBoxLayout(self._beside)
        down.setContentsMargins(0, 0, 0, 0)
        self._choices = scrolled(self._column)
        down.addWidget(self._choices, 1)
        for widget in (self._bar, self._words, self._stop, self._show_folder):
            down.addWidget(widget)
        right = QVBoxLayout()
        right.setSpacing(4)
        right.addWidget(self._page_count)
        right.addWidget(self.pages, 1)
        across = QHBoxLayout()
        across.setSpacing(24)
        across.addWidget(self._beside)
        across.addLayout(right, 1)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(24, 8, 24, 16)
        whole.setSpacing(4)
        whole.addWidget(self._about)
        whole.addWidget(label("What does the customer get?", "head", bold=True))
        whole.addSpacing(8)
        whole.addLayout(across, 1)


class _Choice(QPushButton):
    """One of several; the chosen one has a line under it."""

    def __init__(self, text: str) -> None:
        super().__init__(text)
        self.setFont(label().font())
        self.setCheckable(True)
        self.setAutoDefault(False)
        self.setMinimumHeight(48)


def ask_file(parent: QWidget, title: str, usual: Path, ends: str) -> Path | None:
    """Ask where to write a file; None if nowhere."""
    name, _ = QFileDialog.getSaveFileName(parent, title, str(usual), ends)
    return Path(name) if name else None


def _number_of(page: Path) -> int:
    return int(page.stem.rpartition("-")[2])
