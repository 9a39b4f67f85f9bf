"""Details: what job it is, what the owner asked for and declined, and what passed since."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QWidget

from capture.desk.bench import Work
from capture.desk.job.form import Form
from capture.desk.job.page import Page
from capture.desk.job.said_things import entry_of, owner_rows
from capture.desk.look.controls import Verb, label
from capture.desk.look.field import ChoiceField, LineField, WordsField
from capture.desk.look.row import Row
from capture.desk.unfit import refuse_empty
from store.report.figures import date_said
from store.round import Round

_ABOUT = (
    ("instruction", "they ask for it"),
    ("declined", "they declined it"),
    ("agreed", "they said yes"),
    ("told", "they were told"),
)


_WHY_FIXED = (
    "These lines are the book's first entry, and no entry is written over: put right in words "
    "below (A) what is wrong in them."
)


class DetailsPage(Page):
    """Job facts above, the owner's words in the list."""

    name = "Details"

    def build(self) -> None:
        """Facts, and the form for what the owner said."""
        self._facts = QWidget()
        self._grid = QGridLayout(self._facts)
        self._grid.setContentsMargins(0, 0, 0, 4)
        self._grid.setHorizontalSpacing(16)
        self._grid.setVerticalSpacing(4)
        self._grid.setColumnStretch(1, 1)
        self._down.insertWidget(0, self._facts)
        fields = {
            "about": ChoiceField("What is it?", _ABOUT),
            "words": WordsField("What was said", lines=2),
            "how": LineField("How was it given?", "letter of 3 November, by phone, in person"),
            "who": LineField("Who said it, if not the owner"),
        }
        self.add_form("owner", Form(self.desk, "What passed with the owner", fields, "Keep it",
                                    _owner_said))  # fmt: skip
        self._strike = self.strike_form(entry_of)
        self.add_verbs(
            Verb("Add what the owner said", "A", does=lambda: self.open_form("owner")),
            self._strike,
        )

    def show_round(self, known: Round | None) -> None:
        """Draw the facts too."""
        if known is not None:
            self._show_facts(facts(known))
        super().show_round(known)

    def resized(self, *, form: bool) -> None:
        """Give a form the room of the facts."""
        self._facts.setVisible(not form)

    def rows_of(self, known: Round) -> list[Row]:
        """Return what passed with the owner."""
        return owner_rows(known)

    def nothing(self) -> str:
        """Say what belongs here."""
        return (
            "Nothing was kept of what passed with the owner. Keep it here, with how it was given."
        )

    def arm(self, known: Round, key: str) -> None:
        """Let only what was kept since be struck."""
        self._strike.setEnabled(bool(entry_of(known, key)))

    def _show_facts(self, told: list[tuple[str, str]]) -> None:
        while (item := self._grid.takeAt(0)) is not None:
            if (widget := item.widget()) is not None:
                widget.hide()
                widget.deleteLater()
        for line, (name, words) in enumerate(told):
            self._grid.addWidget(label(name, "caption"), line, 0, Qt.AlignmentFlag.AlignTop)
            self._grid.addWidget(label(words, wrap=True), line, 1)


def facts(known: Round) -> list[tuple[str, str]]:
    """Return what job it is, line by line, without what is not known."""
    job = known.job
    engine = f"{job.engine}, number {job.engine_number}" if job.engine_number else job.engine
    units = "inches" if job.units == "US" else "mm"
    mark = "1,25" if job.decimal_comma else "1.25"
    told = [
        ("Job", f"{job.number}, begun {date_said(known.started.at)} by {known.started.by}"),
        ("Comeback of", known.follows),
        ("Engine", engine),
        ("For", f"{job.customer}, by {job.shop}"),
        ("Units shown", f"{units}, decimals typed as {mark}"),
        ("Left out", "; ".join(job.left_out)),
        ("Caution", " ".join(job.cautions)),
        ("To change", _WHY_FIXED),
    ]
    return [(name, words) for name, words in told if words]


def _owner_said(texts: dict[str, str]) -> Work:
    refuse_empty(texts, words="what was said?", how="how was it given: letter, phone, in person?")
    about, words, how, who = (texts[name] for name in ("about", "words", "how", "who"))
    return lambda journey: (
        f"kept: {about}, entry {journey.owner_said(about, words, how=how, who=who).seq}"  # type: ignore[arg-type] # one of the four
    )
