"""What the box does: echo what is typed, file on Return, move to the next spot, ask about slips."""

from PySide6.QtCore import QObject, Signal

from capture.desk.desk import Desk
from capture.desk.location.captions import box_label
from capture.desk.location.column import ReadingColumn
from capture.desk.location.echo import (
    Echo,
    echo_of,
    side_in,
    sides_of,
    way_of,
)
from capture.desk.location.filing import Filing, Kept, Typed
from capture.desk.location.grid_table import table_of
from capture.desk.location.idle import Waits, all_there, files_as, idle_words, kept_words
from capture.desk.location.in_hand import InHand
from capture.desk.location.reading_box import announce
from capture.desk.location.slip_question import SlipQuestion
from store.characteristic import Spot
from store.plan import Gauge
from store.report.figures import unit_word
from store.round import Check


class Reading(QObject):
    """Drives the box of one column; every act goes through the desk."""

    shown = Signal()  # what stands beside the next reading may be another

    def __init__(self, desk: Desk, column: ReadingColumn, filing: Filing, hand: InHand) -> None:
        super().__init__()
        self.desk, self.column, self.filing, self.hand = desk, column, filing, hand
        self.slips = SlipQuestion(desk, column, filing, hand)
        box = column.box
        box.typed.connect(lambda _: self.echo())
        box.filed.connect(self.file)
        box.stray.connect(self.echo)
        box.moved.connect(column.grid.step)
        box.escaped.connect(self._escape)
        column.grid.chosen.connect(self.choose_spot)
        column.answered.connect(self.file)
        column.side_wanted.connect(self.turn_side)
        self.slips.hung.connect(self.show)
        filing.kept.connect(self._kept)
        filing.refused.connect(self._refused)
        filing.changed.connect(self.show)

    # --- what is shown --------------------------------------------------------------------

    @property
    def check(self) -> Check | None:
        """The check that is shown, if it has a box."""
        check = self.desk.check
        typed = check is not None and way_of(check.characteristic) not in {"photo", "worked out"}
        return check if typed else None

    @property
    def spot(self) -> Spot | None:
        """Where the next reading goes; None where every spot has one."""
        check = self.check
        return self.hand.spot_of(check, self.filing.waiting(check.key)) if check else None

    @property
    def tool(self) -> Gauge | None:
        """The gauge in use, None where none is named."""
        check, known = self.check, self.desk.round
        if check is None or known is None:
            return None
        used = self.hand.gauge_of(check.key, check.characteristic)
        return next((gauge for gauge in known.plan.gauges if gauge.id == used), None)

    @property
    def zero_asked(self) -> str:
        """What has to be said of the gauge's zero before anything is read, empty if nothing."""
        check, known = self.check, self.desk.round
        if check is None or known is None or self.spot is None:
            return ""
        return self.hand.beside(known.plan, check.key, self.spot).zero_asked

    def show(self) -> None:
        """Show the check that is shown now: what is asked, its grid, what stands in the box."""
        check, known = self.check, self.desk.round
        if check is None or known is None:
            return
        asked, spot = check.characteristic, self.spot
        beside = self.hand.beside(known.plan, check.key, spot or Spot())
        difference = self.tool.id if self.tool and self.tool.difference else ""
        words = box_label(check, spot or Spot(), passed=beside.passed, difference=difference)
        if spot is None:
            words = "All readings are there"
        unit = "" if asked.kind in {"yes-no", "note", "count"} else unit_word(asked.unit)
        self.column.position.set_text(words)
        self.column.box.ask_for(words, unit, beside.side)
        if asked.is_grid:
            self.column.grid.show_table(table_of(check, known.plan), spot)
        self.echo()
        self.shown.emit()

    def echo(self) -> None:
        """Say what Return would do with what stands in the box."""
        check, known = self.check, self.desk.round
        if check is None or known is None:
            return
        text, spot = self.column.box.text, self.spot
        self.column.grid.show_typed(text)
        if (asked := self.slips.here) is not None and text.strip() in {"", asked.typed.as_typed}:
            self.column.echo.say("Asked below: R or K.")
        elif not text.strip():
            self.column.echo.say(idle_words(check, known, self._waits(check, spot)))
        elif spot is None:
            self.column.echo.show_echo(Echo(refusal=all_there(check)), "")
        else:
            beside = self.hand.beside(known.plan, check.key, spot)
            echo = echo_of(known.plan, check.key, text, beside)
            self.column.echo.show_echo(echo, files_as(check, spot, echo))
        self.column.box.say(self.column.echo.text)

    def _waits(self, check: Check, spot: Spot | None) -> Waits:
        last = self.filing.sitting[-1] if self.filing.sitting else None
        kept = ""
        if last is not None and last.typed.key == check.key:
            kept = kept_words(check, last.typed.text, last.typed.beside.spot, last.hints)
        return Waits(
            spot,
            under_way=self.filing.under_way,
            kept=kept,
            passed=self.hand.passed_of(check.key),
            read_at=self.hand.read_at,
            zero=self.zero_asked,
            sides=() if self.hand.side_of(check.key) else self.sides,
        )

    # --- filing ---------------------------------------------------------------------------

    def file(self, text: str) -> bool:
        """File what was typed for the check that is shown; say why where it can't be."""
        check, known, spot = self.check, self.desk.round, self.spot
        if check is None or known is None:
            return False
        if not self.slips.is_answered(text):
            return False
        if spot is None:
            return self._loudly(text, all_there(check))
        beside = self.hand.beside(known.plan, check.key, spot)
        echo = echo_of(known.plan, check.key, text, beside)
        if echo.refusal:
            return self._loudly(text, echo.refusal)
        self._take(text)
        if echo.held:
            self.hand.take_passed(check.key, echo.held)
            self.show()
            return True
        difference = beside.zero is not None
        side = side_in(text) if check.characteristic.kind == "depth" else ""
        self.hand.filed(check.key, side, is_difference=difference)
        self.filing.file(Typed(check.key, echo.text, beside, text))
        self.show()
        return True

    def _take(self, text: str) -> None:
        """Empty the box if it is this text that is filed from it."""
        if self.column.box.text == text:
            self.column.box.clear()

    def _loudly(self, text: str, sentence: str) -> bool:
        if not self.column.box.text:
            self.column.box.put(text)
        self.column.box.select()
        self.column.echo.refuse(sentence)
        announce(self.column.box, f"Not filed: {sentence}")
        return False

    def choose_spot(self, spot: Spot) -> None:
        """Let the next reading go to another spot."""
        if self.check is not None:
            self.hand.take_spot(self.check.key, spot)
            self.show()
            self.column.box.setFocus()

    def turn_side(self) -> None:
        """Give bare numbers the next word: BELOW, PROUD, none."""
        if self.check is None:
            return
        sides = self.sides
        turns = ("", *sides)
        now = self.hand.side_of(self.check.key)
        following = turns[(turns.index(now) + 1) % len(turns)] if now in turns else turns[0]
        self.hand.take_side(self.check.key, following)
        self.show()

    @property
    def sides(self) -> tuple[str, ...]:
        """The words that a bare number may be given here."""
        if self.check is None:
            return ()
        difference = self.tool is not None and self.tool.difference
        return sides_of(self.check.characteristic, is_difference=difference)

    def _escape(self) -> None:
        """Empty the box; an empty one forgets the pin that passed and the spot chosen."""
        if self.column.box.text:
            self.column.box.clear()
        elif self.check is not None:
            self.hand.take_passed(self.check.key, "")
            self.hand.take_spot(self.check.key, None)
            self.show()

    # --- what became of it ----------------------------------------------------------------

    def _kept(self, kept: Kept) -> None:
        words = f"{kept.typed.text}: kept"
        if self.check is not None and self.check.key == kept.typed.key:
            self.show()
            announce(self.column.box, words)
        else:
            self.desk.told.emit(f"{kept.typed.key}: {words}")

    def _refused(self, typed: Typed, sentence: str) -> None:
        self.hand.take_passed(typed.key, typed.beside.passed)
        self.hand.take_side(typed.key, typed.beside.side)
        if self.check is None or self.check.key != typed.key:
            self.desk.refused.emit(f"{typed.key} {typed.as_typed}: {sentence}")
            return
        self.show()
        if self.column.box.text:
            self.desk.refused.emit(f"{typed.as_typed} was not filed: {sentence}")
        else:
            self._loudly(typed.as_typed, sentence)
