"""The right side of the window: heading, finding, the gallery, and what comes next."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QKeyEvent, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from capture.desk.desk import Desk
from capture.desk.look.controls import Verb, label, part, row, rule
from capture.desk.look.palette import Palette
from capture.desk.look.type import font
from capture.desk.walk.find_line import FindLine
from capture.desk.walk.gallery import Gallery
from capture.desk.walk.merge_line import MergeLine
from capture.desk.walk.next_line import NextLine
from capture.desk.walk.row import FoldedRow, HoldRow, LocationRow, Row
from capture.desk.walk.rows import Asked, Walk, rows_of, rows_of_plan, walk_of
from capture.desk.where import Where
from store.plan import Plan
from store.round import Round

_SPARE = 32  # of the room that a verb takes elsewhere: the heading is narrow
_HEAD_MARGINS, _HEAD_GAP = (16, 12), 4


class RoundPane(QWidget):
    """The round. ``find``, ``toggle_open_only`` and ``preview`` are for the window."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self.desk = desk
        self._plan: Plan | None = None
        self._walk: Walk | None = None
        self._open_only = False
        part(self, "round")
        self.heading = label("Round", bold=True)
        self.find_verb = _Small("find", key="Ctrl F", does=self.find)
        self.open_verb = _Small("open only", key="F5", does=self.toggle_open_only)
        self.find_line = FindLine()
        self.box = self.find_line.box
        self.gallery = Gallery(desk)
        self.nothing = label("", "caption", wrap=True)
        self.next_line = NextLine(desk)
        self.merge_line = MergeLine(desk)
        self._lay_out()
        self.box.textChanged.connect(lambda _: self._find())
        self.find_line.down.connect(self.enter_list)
        self.find_line.done.connect(self.stop_finding)
        self.gallery.pressed_at.connect(self.go_to)
        desk.round_changed.connect(lambda _: self._show())
        desk.went.connect(self._went)
        desk.dressed.connect(self._wear)
        self._show()

    # --- what the window asks for -----------------------------------------------------------

    def find(self) -> None:  # type: ignore[override] # QWidget.find looks up a window's number
        """Show the find box and put the keyboard into it."""
        if self._plan is None and self.desk.round is not None and not self.isHidden():
            self.find_line.begin(not_in=self)

    def stop_finding(self) -> None:
        """Empty and hide the find box; the keyboard is again where it was before."""
        self.find_line.end()
        self._show()
        if not self.find_line.give_back():
            self.gallery.setFocus(Qt.FocusReason.OtherFocusReason)
        self.gallery.bring_here()

    def toggle_open_only(self) -> None:
        """Show only what still waits for something, or everything again."""
        self._open_only = not self._open_only
        self.open_verb.set_on(on=self._open_only)
        self._show()
        self.gallery.bring_here()

    def preview(self, plan: Plan | None) -> None:
        """Show the round that a plan would give, or the job's own again."""
        self._plan = plan
        self._show()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Leave finding from the list too."""
        if event.key() == Qt.Key.Key_Escape and self.find_line.isVisible():
            self.stop_finding()
        else:
            super().keyPressEvent(event)

    # --- inside -----------------------------------------------------------------------------

    def go_to(self, gone: Row) -> None:
        """Go to what a row stands for."""
        if self._plan is not None or self.desk.round is None:
            return
        if isinstance(gone, HoldRow):
            self.desk.go(Where("hold", gone.key))
        elif isinstance(gone, FoldedRow):
            self.desk.go_to_check(gone.first)
        elif isinstance(gone, LocationRow):
            self.desk.go_to_check(gone.key)

    def enter_list(self) -> None:
        """Put the keyboard on the first row found."""
        self.gallery.setCurrentIndex(self.gallery.spoken.index(self._first_found()))
        self.gallery.setFocus(Qt.FocusReason.OtherFocusReason)

    def _find(self) -> None:
        """Show what has the words in it, the first of it marked."""
        self._show()
        found = bool(self.box.text().strip()) and bool(self.gallery.items)
        at = self.gallery.spoken.index(self._first_found()) if found else self.gallery.rootIndex()
        self.gallery.setCurrentIndex(at)
        if not found:
            self.gallery.bring_here()

    def _first_found(self) -> int:
        rows = enumerate(self.gallery.items)
        return next((n for n, row in rows if isinstance(row, LocationRow)), 0)

    def _show(self) -> None:
        known, plan = self.desk.round, self._plan
        coming = self.desk.where.room == "new job"
        known = None if coming else known
        self.heading.setText("The round it gives you" if coming or plan else "Round")
        for verb in (self.find_verb, self.open_verb):
            verb.setVisible(plan is None and known is not None)
        self.merge_line.say(shown=plan is None and known is not None)
        self.find_line.setVisible(plan is None and self.find_line.is_wanted)
        if plan is not None:
            rows = rows_of_plan(plan)
            self.next_line.say_plan(plan)
        else:
            asked = Asked(self.box.text(), self._open_only, self.desk.where)
            rows = rows_of(self._walk_now(known), asked) if known else []
            self.next_line.say(known)
        finds = plan is None and bool(self.box.text().strip())
        self.gallery.marks_cursor = finds
        self.find_line.say_found(found=bool(rows))
        self.gallery.show_rows(rows)
        self._say_if_nothing(known, rows)

    def _walk_now(self, known: Round) -> Walk:
        """Return the walk of a round, worked out anew only when something was filed."""
        if self._walk is None or self._walk.known is not known:
            self._walk = walk_of(known)
        return self._walk

    def _say_if_nothing(self, known: Round | None, rows: list[Row]) -> None:
        words = ""
        if self._plan is None and self.desk.where.room == "new job":
            words = "Tick a plan: its round is shown here"
        elif known is not None and self._plan is None and not rows:
            found = self.box.text().strip()
            words = f"Nothing is called {found!r}" if found else "Nothing is open"
        self.nothing.setText(words)
        self.nothing.setVisible(bool(words))

    def _went(self, where: Where) -> None:
        if where.room != "new job":
            self._plan = None
        self._show()
        self.gallery.bring_here()

    def _wear(self, palette: Palette) -> None:  # noqa: ARG002 - the gallery asks the desk
        self.gallery.viewport().update()
        self.update()

    def _lay_out(self) -> None:
        head = row(self.heading, 1, self.find_verb, self.open_verb, gap=_HEAD_GAP)
        left, right = _HEAD_MARGINS
        head.setContentsMargins(left, 0, right, 0)
        self.heading.setFixedHeight(48)
        self.find_line.hide()
        self.nothing.setContentsMargins(16, 12, 16, 12)
        self.nothing.hide()
        down = QVBoxLayout(self)
        down.setContentsMargins(1, 0, 0, 0)
        down.setSpacing(0)
        down.addLayout(head)
        down.addWidget(rule())
        down.addWidget(self.merge_line)
        down.addWidget(self.find_line)
        down.addWidget(self.nothing)
        down.addSpacing(8)
        down.addWidget(self.gallery, 1)
        down.addWidget(rule())
        down.addWidget(self.next_line)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Leave the words of the heading's verbs out where there is no room for them."""
        super().resizeEvent(event)
        verbs = (self.find_verb, self.open_verb)
        # Asked of the fonts, not of the width alone: these are not the same on every machine.
        gaps = 1 + sum(_HEAD_MARGINS) + _HEAD_GAP * (len(verbs) + 1)
        wanted = self.heading.sizeHint().width() + gaps + sum(verb.whole_width() for verb in verbs)
        for verb in verbs:
            verb.shorten(short=self.width() < wanted)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Draw the ground and the thin line on the left."""
        super().paintEvent(event)
        painter = QPainter(self)
        painter.fillRect(0, 0, 1, self.height(), QColor(self.desk.palette.rule))
        painter.end()


class _Small(Verb):
    """A verb in the heading: caption size, a line under it while it is on."""

    def __init__(self, text: str, *, key: str, does: object) -> None:
        super().__init__(text, key=key, bare=True, does=does)  # type: ignore[arg-type] # a callable
        self.setFont(font("caption"))
        self._text, self._on = text, False
        self.setToolTip(text)
        self.setFixedWidth(self.whole_width())
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)

    def whole_width(self) -> int:
        """Return how wide it is with its words, whether they are shown or not."""
        advance = self.fontMetrics().horizontalAdvance
        left_out = advance(self._text) - advance(self.words())
        return self.sizeHint().width() + left_out - _SPARE

    def shorten(self, *, short: bool) -> None:
        """Show the key alone, or the words before it too; a screen reader hears both."""
        said = self.accessibleName()
        self.set_words("" if short else self._text)
        self.setAccessibleName(said)
        self.setFixedWidth(self.sizeHint().width() - _SPARE)

    def set_on(self, *, on: bool) -> None:
        """Show whether it is on."""
        self._on = on
        self.setAccessibleDescription("on" if on else "off")
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Draw the verb, and the line while it is on."""
        super().paintEvent(event)
        if self._on:
            painter = QPainter(self)
            painter.fillRect(
                4,
                self.height() - 4,
                self.width() - 8,
                3,
                self.palette().color(self.foregroundRole()),
            )
            painter.end()
