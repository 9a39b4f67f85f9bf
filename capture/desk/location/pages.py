"""Which page stands below the box, and what each one shows."""

from functools import partial

from PySide6.QtCore import QObject, Qt

from capture.desk.desk import Desk
from capture.desk.location.captions import lacks_limit
from capture.desk.location.column import ReadingColumn
from capture.desk.location.echo import way_of
from capture.desk.location.history import history_of
from capture.desk.location.in_hand import gauges_for
from capture.desk.location.instead import NOTHING_MEASURED, instead_of, source_words, sources_of
from capture.desk.location.lately import Lately
from capture.desk.location.narrow import be_primary
from capture.desk.location.questions import Questions
from capture.desk.location.reading import Reading
from capture.desk.location.zeros import zero_words
from capture.desk.look.controls import Verb
from capture.desk.where import Where
from store.evidence import Fitted, Marked
from store.round import Check, Round
from store.stock import GaugeState, PartState


class Pages(QObject):
    """Turns the pages of one column and fills them."""

    def __init__(
        self, desk: Desk, column: ReadingColumn, reading: Reading, questions: Questions
    ) -> None:
        super().__init__()
        self.desk, self.column, self.reading, self.questions = desk, column, reading, questions
        self.photo = ""
        self.lately = Lately(desk)
        questions.done_strike.connect(self.struck)
        # Its key is the photo pane's, which offers the same where there is room.
        self.place = Verb("Place rims on this photo", key="P", primary=True, does=self._place_rims)
        self.second = Verb("Second marks, blind", "B", does=self._second_marks)
        self._sources: list[Verb] = []
        self._keys: tuple[str, ...] = ()
        self.first = Verb("Take a photo first", key="Ctrl T", primary=True, does=self._take_photo)
        column.verbs.addWidget(self.place)
        column.verbs.addWidget(self.first)
        column.verbs.addWidget(self.second)
        self.limit = Verb("Give its limit", "Ctrl+L", bare=True, does=self._give_limit)
        self.limit.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        column.below_photos.addWidget(self.limit, 0, Qt.AlignmentFlag.AlignLeft)
        column.gauge_list.chosen.connect(self.take_gauge)
        column.gauges_wanted.connect(self.turn_gauges)
        column.fit_wanted.connect(self.fit_part)
        column.left.connect(self.leave)
        column.history.list.strike_wanted.connect(questions.strike)

    # --- what is shown ----------------------------------------------------------------------

    def show_check(self) -> None:
        """Show what belongs to the check that is shown now."""
        check, known = self.desk.check, self.desk.round
        way = way_of(check.characteristic) if check else "worked out"
        self.column.show_way(boxed=self.reading.check is not None, answered=way == "answer")
        self._show_instead(check, known)
        self.limit.setVisible(check is not None and lacks_limit(check))
        numbers = way in {"number", "pin"}
        self.column.gauge_line.setVisible(numbers)
        if check is None or known is None:
            self.column.part.hide()
            self.column.fit.hide()
            return
        if numbers:
            self._show_gauge(check, known)
        self._show_part(self.part)
        lines = history_of(check, self.desk.place, self.desk.merges)
        self.column.earlier.show_lines(lines)
        if self.column.page == "history":
            self.column.history.show_lines(lines)

    @property
    def part(self) -> PartState | None:
        """The part that the check is about, or the location's."""
        check, known = self.desk.check, self.desk.round
        if known is None or check is None:
            return None
        own = [s for s in known.parts if s.part.id == check.characteristic.part]
        here = [s for s in known.parts if s.part.location == check.location.id]
        return next(iter(own or here), None)

    def show_photo(self, photo: str) -> None:
        """Know which photo is shown: rims are placed on it."""
        self.photo = photo
        self._show_instead(self.desk.check, self.desk.round)

    def _show_instead(self, check: Check | None, known: Round | None) -> None:
        photo = self.photo if self._can_be_marked() else ""
        coverage = check is not None and check.characteristic.kind == "coverage"
        marked = bool(check and check.current and isinstance(check.current.record, Marked))
        round_hole = check is not None and check.characteristic.shape == "round"
        self.place.setVisible(coverage and bool(photo))
        self.first.setVisible(coverage and round_hole and not photo)
        self._show_sources(check, known)
        self.second.setVisible(coverage and marked)
        if check is None or known is None:
            self.column.position.set_text("")
            self.column.instead.setText(NOTHING_MEASURED)
            return
        if self.reading.check is not None:
            return
        self.column.position.set_text("By photo" if coverage else "By calculation")
        self.column.instead.setText(instead_of(check, known, photo=photo))
        self.place.set_words("Place rims again" if marked else "Place rims on this photo")
        be_primary(self.place, primary=not marked)

    def _show_sources(self, check: Check | None, known: Round | None) -> None:
        """Offer to go to what a worked-out value comes from."""
        worked_out = check is not None and check.characteristic.is_worked_out
        keys = sources_of(check.characteristic) if check and worked_out else ()
        while len(self._sources) < len(keys):
            verb = Verb("", does=partial(self._to_source, len(self._sources)))
            verb.setFocusPolicy(Qt.FocusPolicy.TabFocus)
            self._sources.append(verb)
            self.column.verbs.addWidget(verb)
        self._keys = keys
        for number, verb in enumerate(self._sources):
            verb.setVisible(number < len(keys))
            if known is not None and number < len(keys):
                verb.set_words(source_words(known.check(keys[number]), self.desk.where.location))

    def _to_source(self, number: int) -> None:
        self.desk.go_to_check(self._keys[number])

    def _give_limit(self) -> None:
        self.desk.go(Where("job", self.desk.where.key, part="Plan"))

    def _take_photo(self) -> None:
        self.desk.go(Where("camera", self.desk.where.key))

    def _can_be_marked(self) -> bool:
        check, place = self.desk.check, self.desk.place
        if check is None or place is None or check.characteristic.shape != "round":
            return False
        return any(
            p.taken.photo == self.photo and p.taken.can_be_shown and p.struck is None
            for p in place.photos
        )

    def _show_gauge(self, check: Check, known: Round) -> None:
        zero = self.reading.hand.zero_of(check.key)
        tool = self.reading.tool
        said = ""
        if tool is not None and tool.difference:
            said = self.reading.zero_asked
            if zero is not None:
                said = f"Zeroed to {zero_words(known, zero, check.location.id)}"
        self.column.gauge_line.show_gauge(
            self._state_of(tool.id if tool else ""),
            sides=self.reading.sides, beside=self.reading.hand.words, zero=said,
        )  # fmt: skip

    def _state_of(self, gauge: str) -> GaugeState | None:
        known = self.desk.round
        states = known.gauges if known else ()
        return next((state for state in states if state.gauge.id == gauge), None)

    def _show_part(self, part: PartState | None) -> None:
        self.column.part.setVisible(part is not None)
        self.column.fit.setVisible(part is not None)
        if part is None:
            return
        fitted = part.fitted.record if part.fitted else None
        said = f"fitted {fitted.identity}" if isinstance(fitted, Fitted) else "not fitted yet"
        self.column.part.setText(f"{part.part.name}: {said}")
        self.column.fit.setAccessibleName(f"say which {part.part.name} is fitted")

    # --- turning ----------------------------------------------------------------------------

    def leave(self) -> None:
        """Go back to what is about the reading, or to the question that waits; focus the box."""
        self.show_check()
        self.reading.show()
        self.turn_back()

    def turn_back(self) -> None:
        """Turn to the page that is about the reading; what it shows is up to date."""
        self.column.box.choose_with(None)
        if not self.reading.slips.hang():
            self.column.turn_to("about")
        if self.reading.check is not None:
            self.column.box.setFocus()
        else:
            self.column.setFocus()
            self.column.show_top()

    def turn_gauges(self) -> None:
        """Open the list of gauges, or close it."""
        check, known = self.reading.check, self.desk.round
        if self.column.page == "gauges" or check is None or known is None:
            self.leave()
            return
        self.column.gauge_list.offer(gauges_for(known, check.characteristic), len(known.gauges))
        self.column.turn_to("gauges")
        self.column.box.choose_with(self.column.gauge_list.choose)
        self.column.box.setFocus()

    def take_gauge(self, gauge: str) -> None:
        """Use another gauge for this check from now on."""
        if self.reading.check is not None:
            self.reading.hand.take_gauge(self.reading.check.key, gauge)
        self.leave()

    def turn_history(self) -> None:
        """Open the history, or close it."""
        if self.column.page == "history":
            self.leave()
        else:
            if (check := self.desk.check) is not None:
                lines = history_of(check, self.desk.place, self.desk.merges)
                self.column.history.show_lines(lines)
            self.column.turn_to("history")

    def fit_part(self) -> None:
        """Ask which piece is fitted."""
        if (part := self.part) is not None:
            self.questions.fit(part)

    def heard(self, text: str) -> None:
        """Remember that a gauge typed by itself, and when."""
        del text
        self.lately.say("gauge typed")

    def struck(self) -> None:
        """Say that something was struck, and when; the line under the box says so too."""
        if not self.column.box.text:
            self.column.echo.say("Struck; it stays legible in the history.")
        self.lately.say("struck")

    def _place_rims(self) -> None:
        self.desk.go(Where("marking", self.desk.where.key, photo=self.photo))

    def _second_marks(self) -> None:
        check = self.desk.check
        current = check.current if check else None
        if current is not None and current.photo:
            self.desk.go(Where(
                "marking", self.desk.where.key, photo=current.photo,
                second_to=current.stamp.entry,
            ))  # fmt: skip
