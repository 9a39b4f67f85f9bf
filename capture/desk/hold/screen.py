"""A hold point takes the work area: what holds the cover off, and every line leads to it."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent, QKeySequence, QResizeEvent, QShortcut
from PySide6.QtWidgets import QVBoxLayout, QWidget

from capture.desk.bench import Refused
from capture.desk.desk import Desk
from capture.desk.hold.closed_part import ClosedPart
from capture.desk.hold.columns import Column, columns_of
from capture.desk.hold.line_list import KEYS, LineList
from capture.desk.hold.lines import Line, lines_of
from capture.desk.hold.section import Section
from capture.desk.hold.waiver import WaiverForm
from capture.desk.hold.words import above_of, bar_of, closed_words, refused_of, title_of, waived_of
from capture.desk.look.controls import Verb, label, row
from capture.desk.look.palette import Palette
from capture.desk.look.scrolled import scrolled
from capture.desk.screen import Screen
from capture.desk.where import Where
from store.errors import NotProven
from store.round import Hold, Round

_WIDE_FROM = 1600


class HoldScreen(Screen):
    """May the part go on? Refused or passed, closed and opened again; never by Return."""

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._hold_id = ""
        self.above = label("", "caption")
        self.refused = label("", "caption", bold=True)
        self.title = label("", "head", bold=True, wrap=True)
        self.caution = _Caution()
        self.section = Section(desk)
        self.lines = LineList(desk)
        self.waivers = label("", "caption", wrap=True)
        self.waiver = WaiverForm(desk)
        self.closed_part = ClosedPart()
        self.close_verb = Verb("Close it: the part goes on", "Ctrl+Return", does=self._close)
        self.section.pressed_at.connect(self._go)
        self.lines.pressed_at.connect(self._go)
        self.waiver.waived.connect(self._waive)
        self.closed_part.reopened.connect(self._reopen)
        self.closed_part.photo_wanted.connect(
            lambda: desk.go(Where("camera", self._hold_id, part="what closes it"))
        )
        self._lay_out()
        self._bind_figures()

    @property
    def hold(self) -> Hold | None:
        """The hold point that is shown, None where there is none."""
        known = self.desk.round
        holds = known.holds if known else ()
        return next((h for h in holds if h.hold_point.id == self._hold_id), None)

    def enter(self, where: Where) -> None:
        """Show a hold point, the keyboard at what is unproven."""
        if where.key != self._hold_id:
            self.waiver.clear_given()
            self.closed_part.clear_given()
        self._hold_id = where.key
        self.show_round(self.desk.round)
        self._take_focus()

    def show_round(self, known: Round | None) -> None:
        """Draw again: something was filed."""
        hold = self.hold
        if known is None or hold is None:
            return
        lines = lines_of(known, hold)
        had_focus = self.lines.hasFocus() or self.waiver.verb.hasFocus()
        self._say(known, hold)
        self.section.show_columns(
            columns_of(known, hold), bar_of(hold), closed=hold.closed is not None
        )
        self.lines.show_lines(lines)
        self._offer(hold, lines)
        if had_focus and not lines:
            self.section.setFocus(Qt.FocusReason.OtherFocusReason)

    def wear(self, palette: Palette) -> None:
        """Draw in these colours from now on."""
        for view in (self.section, self.lines, self.waiver.chips):
            view.viewport().update()
        super().wear(palette)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Go to a line by its figure; no text box is there to take it, or it would not be here."""
        figure = event.key() - Qt.Key.Key_0
        if event.modifiers() in _PLAIN and 1 <= figure <= KEYS:
            self._go_to_line(figure)
        else:
            super().keyPressEvent(event)

    # --- acts -------------------------------------------------------------------------------

    def _close(self) -> None:
        hold_id = self._hold_id
        self.desk.act(
            lambda journey: journey.close(hold_id),
            then=lambda _: self._closed(),
            refused=self._not_closed,
            words="closing the hold point",
        )

    def _closed(self) -> None:
        if (hold := self.hold) is not None:
            self.desk.told.emit(closed_words(hold))
        self._take_focus()

    def _not_closed(self, refused: Refused) -> None:
        # That something is unproven is on the screen already, line by line.
        if isinstance(refused.error, NotProven):
            self._take_focus()
        else:
            self.desk.refused.emit(refused.sentence)

    def _waive(self, key: str, decided_by: str, reason: str, owner_agreed: str) -> None:
        hold_id = self._hold_id
        self.desk.act(
            lambda journey: journey.waive(
                hold_id, key, reason=reason, decided_by=decided_by, owner_agreed=owner_agreed
            ),
            then=lambda _: self._waived(key),
        )

    def _waived(self, key: str) -> None:
        self.waiver.clear_given()
        self.desk.told.emit(f"{key} is waived in writing; it stays unproven")

    def _reopen(self, reason: str) -> None:
        hold_id = self._hold_id
        self.desk.act(
            lambda journey: journey.reopen(hold_id, reason),
            then=lambda _: self.closed_part.clear_given(),
        )

    def _go(self, meant: Line | Column) -> None:
        if meant.goes.room == "location":
            self.desk.go_to_check(meant.goes.key)
        else:
            self.desk.go(meant.goes)

    def _go_to_line(self, number: int) -> None:
        if number <= len(self.lines.items):
            self._go(self.lines.items[number - 1])

    # --- what is shown ----------------------------------------------------------------------

    def _say(self, known: Round, hold: Hold) -> None:
        self.above.setText(above_of(known, hold))
        self.refused.setText(refused_of(known, hold))
        self.title.setText(title_of(hold))
        self.caution.say(hold.hold_point.caution)
        waived = waived_of(known, hold)
        self.waivers.setText("\n".join(waived))
        self.waivers.setVisible(bool(waived))
        self.setAccessibleName(self.title.text())

    def _offer(self, hold: Hold, lines: list[Line]) -> None:
        closed = hold.closed is not None
        self.waiver.offer([] if closed else lines)
        self.closed_part.setVisible(closed)
        self.closed_part.show_hold(hold)
        self.close_verb.setVisible(not closed)
        self._stress(self.close_verb, primary=not lines)

    def _stress(self, verb: Verb, *, primary: bool) -> None:
        verb.setProperty("part", "primary" if primary else "plain")
        verb.style().unpolish(verb)
        verb.style().polish(verb)

    def _take_focus(self) -> None:
        view = self.lines if self.lines.items else self.section
        if view.items and not view.currentIndex().isValid():
            view.setCurrentIndex(view.spoken.index(0))
        view.setFocus(Qt.FocusReason.OtherFocusReason)

    def _bind_figures(self) -> None:
        """Bind Alt and a figure too: that works while a text box has the keyboard."""
        for figure in range(1, KEYS + 1):
            shortcut = QShortcut(QKeySequence(f"Alt+{figure}"), self)
            shortcut.activated.connect(lambda figure=figure: self._go_to_line(figure))

    def _lay_out(self) -> None:
        inside = QWidget()
        self._head, self._foot = QVBoxLayout(), QVBoxLayout()
        for part in (self._head, self._foot):
            part.setSpacing(0)
        self._head.addLayout(row(self.above, 1, self.refused))
        self._head.addWidget(self.title)
        self._head.addWidget(self.caution)
        for each in (self.waivers, self.waiver, self.closed_part):
            self._foot.addWidget(each)
            self._foot.addSpacing(12)
        self._foot.addLayout(row(1, self.close_verb))
        down = self._down = QVBoxLayout(inside)
        down.setSpacing(0)
        down.addLayout(self._head)
        down.addSpacing(10)
        down.addWidget(self.section)
        down.addSpacing(6)
        down.addWidget(self.lines, 1)
        down.addSpacing(12)
        down.addLayout(self._foot)
        down.addStretch()
        outside = QVBoxLayout(self)
        outside.setContentsMargins(0, 0, 0, 0)
        outside.addWidget(scrolled(inside))

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Keep the margins of the grid."""
        super().resizeEvent(event)
        side = 32 if self.window().width() >= _WIDE_FROM else 24
        self._down.setContentsMargins(side, 8, 0, 16)
        # The cover goes on to the window's edge, the scroll bar of the lines stands in the margin.
        for part in (self._head, self._foot):
            part.setContentsMargins(0, 0, side, 0)
        self.section.inset = self.lines.inset = side


class _Caution(QWidget):
    """What can go wrong when the part goes on."""

    def __init__(self) -> None:
        super().__init__()
        self.words = label("", wrap=True)
        line = row(label("Caution", bold=True), self.words, gap=8)
        line.setStretch(1, 1)
        self.setLayout(line)

    def say(self, words: str) -> None:
        """Show these words, nothing where there are none."""
        self.words.setText(words)
        self.setVisible(bool(words))


_PLAIN = frozenset({Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.KeypadModifier})
