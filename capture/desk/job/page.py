"""One page of the job: a list, what is chosen in it in full, its verbs, and its forms in place."""

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QSizePolicy, QStackedWidget, QVBoxLayout, QWidget

from capture.desk.bench import Work
from capture.desk.desk import Desk
from capture.desk.job.form import Form
from capture.desk.look.controls import Verb, label, row
from capture.desk.look.field import LineField
from capture.desk.look.palette import Palette
from capture.desk.look.rows import Row, RowList
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
        self._verb_lines = QVBoxLayout(self._verbs)
        self._verb_lines.setContentsMargins(0, 0, 0, 0)
        self._verb_lines.setSpacing(8)
        self._below = QStackedWidget()
        self._below.addWidget(self._verbs)
        down = QVBoxLayout(self)
        down.setContentsMargins(0, 0, 0, 0)
        down.setSpacing(8)
        down.addWidget(self.head)
        down.addWidget(self.none, 1)
        down.addWidget(self.rows, 2)
        down.addWidget(self.detail)
        down.addWidget(self._below)
        self._down = down
        self.build()
        self._size()

    # --- what a page says of itself -------------------------------------------------------

    def build(self) -> None:
        """Add the verbs and the forms."""

    def rows_of(self, known: Round) -> list[Row]:
        """Return its list."""
        raise NotImplementedError

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
        if self._below.currentWidget() is self._verbs:
            self.rows.setFocus(Qt.FocusReason.OtherFocusReason)

    def wear(self, palette: Palette) -> None:
        """Draw in these colours from now on."""
        self.rows.wear(palette)

    @property
    def today(self) -> str:
        """The day it is, as 2026-11-03."""
        return self.desk.edge.clock()[:10]

    # --- for the pages --------------------------------------------------------------------

    def add_verbs(self, *verbs: Verb) -> None:
        """Add a line of verbs."""
        self._verb_lines.addLayout(row(*verbs, 1, gap=8))

    def add_form(self, name: str, form: Form) -> Form:
        """Add a form; it is opened by its name."""
        self._forms[name] = form
        self._below.addWidget(form)
        form.done.connect(self.close_form)
        form.dropped.connect(self.close_form)
        return form

    def form(self, name: str) -> Form:
        """Return a form by its name."""
        return self._forms[name]

    def open_form(self, name: str, title: str = "", texts: dict[str, str] | None = None) -> None:
        """Show a form in the place of the verbs."""
        self._below.setCurrentWidget(self._forms[name])
        self._size()
        self._forms[name].open(title, texts)

    def close_form(self) -> None:
        """Show the verbs again."""
        self._below.setCurrentWidget(self._verbs)
        self._size()
        self.rows.setFocus(Qt.FocusReason.OtherFocusReason)

    @property
    def form_open(self) -> Form | None:
        """The form that is shown, if one is."""
        shown = self._below.currentWidget()
        return shown if isinstance(shown, Form) else None

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

    def _size(self) -> None:
        """Give a form the room it needs; the verbs take no more than their lines."""
        is_form = self.form_open is not None
        self.detail.setVisible(bool(self.detail.text()) and not is_form)
        self.resized(form=is_form)
        self._down.setStretchFactor(self._below, 3 if is_form else 0)
        for each in (self._verbs, *self._forms.values()):
            here = each is self._below.currentWidget()
            _take(each, QSizePolicy.Policy.Preferred if here else QSizePolicy.Policy.Ignored)
        _take(self._below, QSizePolicy.Policy.Expanding if is_form else QSizePolicy.Policy.Maximum)


def _take(widget: QWidget, height: QSizePolicy.Policy) -> None:
    policy = widget.sizePolicy()
    policy.setVerticalPolicy(height)
    widget.setSizePolicy(policy)
