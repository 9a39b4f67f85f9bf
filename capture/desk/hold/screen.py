"""A hold point takes the work area: what holds the cover off, and every line leads to it."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent, QKeySequence, QResizeEvent, QShortcut
from PySide6.QtWidgets import QBoxLayout, QVBoxLayout, QWidget

from capture.desk.bench import Refused
from capture.desk.desk import Desk
from capture.desk.hold.closed_part import ClosedPart
from capture.desk.hold.columns import Column, columns_of
from capture.desk.hold.groups import Group, groups_of
from capture.desk.hold.head import Head
from capture.desk.hold.line_list import KEYS, LineList
from capture.desk.hold.lines import Line, lines_of
from capture.desk.hold.section import Section
from capture.desk.hold.waiver import WaiverForm
from capture.desk.hold.words import alone_of, bar_of, closed_words, refused_of, waived_of
from capture.desk.look.controls import Verb, label, row
from capture.desk.look.palette import Palette
from capture.desk.look.scrolled import reveal, scrolled
from capture.desk.screen import Screen
from capture.desk.where import Where
from capture.vouched import Vouched
from store.errors import NotProven
from store.round import Hold, Round

_WIDE_FROM = 1600
_BESIDE_FROM = 700  # where a sentence has room beside the verb that closes
_CLOSE, _TRY = "Close it: the part goes on", "Try to close it"
_HELD_OFF = "QPushButton:!focus { border-style: dashed; }"
_ACROSS, _DOWN = QBoxLayout.Direction.LeftToRight, QBoxLayout.Direction.TopToBottom


class HoldScreen(Screen):
    """May the part go on? Refused or passed, closed and opened again; never by Return."""

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._hold_id = ""
        self.head = Head()
        self.above, self.title = self.head.above, self.head.title
        self.refused = label("", bold=True, wrap=True)
        self.stood_at = label("", "caption", wrap=True)
        self.section = Section(desk)
        self.lines = LineList(desk)
        self.waivers = label("", "caption", wrap=True)
        self.waiver = WaiverForm(desk)
        self.closed_part = ClosedPart(desk)
        self.close_verb = Verb(_CLOSE, "Ctrl+Return", does=self._close)
        self.section.pressed_at.connect(self._go)
        self.section.stood_at.connect(
            lambda column: self.stood_at.setText(column.spoken if column else "")
        )
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
        groups = groups_of(lines)
        had_focus = self.lines.hasFocus() or self.waiver.verb.hasFocus()
        self._say(known, hold, groups)
        self.section.show_columns(
            columns_of(known, hold), bar_of(hold), closed=hold.closed is not None
        )
        self.lines.show_lines(groups)
        self._offer(known, hold, lines)
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
        if self.waiver.is_typed_in:
            self.waiver.say_how()
            reveal(self.waiver.said)
            return
        hold_id = self._hold_id
        self.desk.act(
            lambda journey: journey.close(hold_id) and journey.vouch(),
            then=self._closed,
            refused=self._not_closed,
            words="closing the hold point",
        )

    def _closed(self, told: Vouched) -> None:
        if (hold := self.hold) is not None:
            self.desk.told.emit(closed_words(hold, ends_job=told.closed))
        if told.closed:
            self.closed_part.reveal_proof()
        if told.closed and told.trouble:
            self.desk.refused.emit(f"the job is closed, and not all of it is kept: {told.trouble}")
        self._take_focus()

    def _not_closed(self, refused: Refused) -> None:
        # That something is unproven is on the screen already, line by line.
        if isinstance(refused.error, NotProven):
            self._take_focus()
            reveal(self.refused)
        else:
            self.desk.refused.emit(refused.sentence)

    def _waive(self, key: str, decided_by: str, reason: str, owner_agreed: str) -> None:
        hold_id, line = self._hold_id, self.waiver.chips.line
        what = ", ".join(filter(None, (line.heading, line.question))) if line else ""
        self.desk.act(
            lambda journey: journey.waive(
                hold_id, key, reason=reason, decided_by=decided_by, owner_agreed=owner_agreed
            ),
            then=lambda _: self._waived(key, what),
        )

    def _waived(self, key: str, what: str) -> None:
        self.waiver.clear_given()
        self.desk.told.emit(f"{key} is waived in writing and stays unproven: {what}")

    def _reopen(self, reason: str) -> None:
        hold_id = self._hold_id
        self.desk.act(
            lambda journey: journey.reopen(hold_id, reason),
            then=lambda _: self.closed_part.clear_given(),
        )

    def _go(self, meant: Group | Column) -> None:
        if meant.goes.room == "location":
            self.desk.go_to_check(meant.goes.key)
        else:
            self.desk.go(meant.goes)

    def _go_to_line(self, number: int) -> None:
        if number <= len(self.lines.items):
            self._go(self.lines.items[number - 1])

    # --- what is shown ----------------------------------------------------------------------

    def _say(self, known: Round, hold: Hold, groups: list[Group]) -> None:
        self.head.say(known, hold)
        self.refused.setText(refused_of(known, hold, groups))
        noted = [*alone_of(known, hold), *waived_of(known, hold)]
        self.waivers.setText("\n".join(noted))
        self.waivers.setVisible(bool(noted))
        self.setAccessibleName(self.title.text())

    def _offer(self, known: Round, hold: Hold, lines: list[Line]) -> None:
        closed = hold.closed is not None
        self.waiver.offer([] if closed else lines)
        self.closed_part.setVisible(closed)
        self.closed_part.show_hold(known, hold)
        self.close_verb.setVisible(not closed)
        self._stress(self.close_verb, primary=not lines)

    def _stress(self, verb: Verb, *, primary: bool) -> None:
        """Offer to close it, or only to try: the refusal is kept, so the verb stays alive."""
        verb.set_words(_CLOSE if primary else _TRY)
        verb.setProperty("part", "primary" if primary else "plain")
        verb.setStyleSheet("" if primary else _HELD_OFF)
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
        self._foot = QVBoxLayout()
        self._foot.setSpacing(12)
        closing = self._closing = row(self.refused, self.close_verb)
        closing.setStretch(0, 1)
        for each in (self.waivers, closing, self.closed_part, self.waiver):
            if isinstance(each, QWidget):
                self._foot.addWidget(each)
            else:
                self._foot.addLayout(each)
        down = self._down = QVBoxLayout(inside)
        down.setSpacing(0)
        down.addWidget(self.head)
        down.addSpacing(10)
        down.addWidget(self.section)
        down.addWidget(self.stood_at)
        down.addSpacing(6)
        # The lines take what room they need, and what is left stays below everything.
        down.addWidget(self.lines, 1000)
        down.addSpacing(8)
        down.addLayout(self._foot)
        down.addStretch(1)
        outside = QVBoxLayout(self)
        outside.setContentsMargins(0, 0, 0, 0)
        outside.addWidget(scrolled(inside))

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Keep the margins of the grid."""
        super().resizeEvent(event)
        side = 32 if self.window().width() >= _WIDE_FROM else 24
        self._down.setContentsMargins(side, 8, 0, 16)
        # The cover goes on to the window's edge, the scroll bar of the lines stands in the margin.
        self.head.setContentsMargins(0, 0, side, 0)
        self._foot.setContentsMargins(0, 0, side, 0)
        self.section.inset = self.lines.inset = side
        beside = self.width() >= _BESIDE_FROM
        self._closing.setDirection(_ACROSS if beside else _DOWN)


_PLAIN = frozenset({Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.KeypadModifier})
