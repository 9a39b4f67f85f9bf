"""One page of the job: a list, what is chosen in it in full, its verbs, and its forms in place."""

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QVBoxLayout, QWidget

from capture.desk.bench import Work
from capture.desk.desk import Desk
from capture.desk.job.form import Form
from capture.desk.look.controls import Verb, label
from capture.desk.look.field import LineField
from capture.desk.look.flow import Flow
from capture.desk.look.palette import Palette
from capture.desk.look.row import Row
from capture.desk.look.rows import RowList
from capture.desk.unfit import refuse_empty
from store.round import Round

_MOST_DETAIL = 132


class Page(QWidget):
    """``name`` stands on its tab. A page draws from the round and asks the desk to act."""

    name = ""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self.desk = desk
        self.known: Round | None = None
        self._forms: dict[str, Form] = {}
        self.head = label("", "caption", wrap=True)
        self.head.hide()
        self.rows = RowList(self.name, desk.palette)
        self.rows.chosen.connect(lambda _: self._chosen())
        self.detail = label("", "caption", wrap=True)
        self.detail.setAccessibleName("the chosen one in full")
        self.detail.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.detail.setMaximumHeight(_MOST_DETAIL)
        self.detail.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.none = label("", wrap=True)
        self.none.setAlignment(Qt.AlignmentFlag.AlignTop)
        self._verbs = QWidget()
        self._flow = Flow()
        self._verbs.setLayout(self._flow)
        self._below: QWidget = self._verbs  # or the form that is shown in its place
        down = QVBoxLayout(self)
        down.setContentsMargins(0, 0, 0, 0)
        down.setSpacing(8)
        down.addWidget(self.head)
        down.addWidget(self.none, 1)
        down.addWidget(self.rows, 2)
        down.addWidget(self.detail)
        down.addWidget(self._verbs)
        self._down = down
        self.build()

    # --- what a page says of itself -------------------------------------------------------

    def build(self) -> None:
        """Add the verbs and the forms."""

    def rows_of(self, known: Round) -> list[Row]:  # noqa: ARG002 - each page's own
        """Return its list, empty for a page that has none."""
        return []

    def detail_of(self, known: Round, key: str) -> str:
        """Return the chosen row in full, where the list cuts it short."""
        row = next((row for row in self.rows_of(known) if row.key == key), None)
        if row is None or not self.rows.is_cut(row):
            return ""
        return "\n".join(words for words in (row.title, row.below, row.right) if words)

    def nothing(self) -> str:
        """Return what to do where the list is empty."""
        return ""

    def arm(self, known: Round, key: str) -> None:
        """Say which verbs can be used with this row."""

    def resized(self, *, form: bool) -> None:
        """Make room for a form, or take it back."""

    # --- what the screen asks of it -------------------------------------------------------

    def show_round(self, known: Round | None) -> None:
        """Draw again."""
        self.known = known
        rows = self.rows_of(known) if known else []
        self.rows.show_rows(rows)
        if rows and not self.rows.key:
            self.rows.choose(rows[0].key)
        self.rows.setVisible(bool(rows))
        self.none.setText("" if rows else self.nothing())
        self.none.setVisible(not rows)
        self._chosen()

    def enter(self) -> None:
        """Be shown: the list takes the keys."""
        if self._below is self._verbs:
            self.rows.setFocus(Qt.FocusReason.OtherFocusReason)

    def go_to(self, key: str) -> None:
        """Show the row of a key, where there is one."""
        self.rows.choose(key)

    def wear(self, palette: Palette) -> None:
        """Draw in these colours from now on."""
        self.rows.wear(palette)

    @property
    def today(self) -> str:
        """The day it is, as 2026-11-03."""
        return self.desk.edge.clock()[:10]

    # --- for the pages --------------------------------------------------------------------

    def add_verbs(self, *verbs: Verb) -> None:
        """Add verbs; what does not fit goes into the next line."""
        for verb in verbs:
            self._flow.addWidget(verb)

    def add_form(self, name: str, form: Form) -> Form:
        """Add a form; it is opened by its name."""
        self._forms[name] = form
        form.hide()
        self._down.addWidget(form, 3)
        form.done.connect(self.close_form)
        form.dropped.connect(self.close_form)
        return form

    def form(self, name: str) -> Form:
        """Return a form by its name."""
        return self._forms[name]

    def open_form(self, name: str, title: str = "", texts: dict[str, str] | None = None) -> None:
        """Show a form in the place of the verbs."""
        self._show_below(self._forms[name])
        self._forms[name].open(title, texts)

    def close_form(self) -> None:
        """Show the verbs again."""
        self._show_below(self._verbs)
        self.rows.setFocus(Qt.FocusReason.OtherFocusReason)

    @property
    def form_open(self) -> Form | None:
        """The form that is shown, if one is."""
        return self._below if isinstance(self._below, Form) else None

    def act(self, work: Work, said: str = "") -> None:
        """Have something done at once, and say so."""
        self.desk.act(work, then=lambda told: self.desk.told.emit(said or str(told)))

    def strike_form(self, entry_of: Callable[[Round, str], str]) -> Verb:
        """Add the form that strikes the entry of a row; return the verb that opens it."""

        def strike(texts: dict[str, str]) -> Work:
            refuse_empty(texts, reason="say why it is wrong: it stays legible, and the reason too")
            entry = entry_of(self.known, self.rows.key) if self.known else ""
            return lambda journey: f"struck: entry {journey.strike(entry, texts['reason']).seq}"

        fields = {"reason": LineField("Why is it wrong?")}
        self.add_form("strike", Form(self.desk, "", fields, "Strike", strike))
        return Verb("Strike", "X", does=lambda: self.open_form("strike", self._strike_title()))

    # --- private --------------------------------------------------------------------------

    def _strike_title(self) -> str:
        row = self.rows.row_at(self.rows.currentRow())
        return f"Strike: {row.title}, {row.below}"

    def _chosen(self) -> None:
        known, key = self.known, self.rows.key
        if known is None:
            return
        self.detail.setText(self.detail_of(known, key) if key else "")
        self.detail.setVisible(bool(self.detail.text()) and self.form_open is None)
        self.arm(known, key)

    def _show_below(self, shown: QWidget) -> None:
        """Show the verbs, or a form with the room that it needs."""
        for each in (self._verbs, *self._forms.values()):
            each.setVisible(each is shown)
        self._below = shown
        is_form = shown is not self._verbs
        self.detail.setVisible(bool(self.detail.text()) and not is_form)
        self.resized(form=is_form)
