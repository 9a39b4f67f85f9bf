"""Marks on one photo: rims found from one press, looked at, moved, and accepted."""

from pathlib import Path

from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout

from annotate.pane.canvas import PhotoCanvas
from annotate.routes.outlined import outline_of
from capture.desk.desk import Desk
from capture.desk.look.controls import label, row
from capture.desk.look.palette import Palette
from capture.desk.marking.column import Column, Page
from capture.desk.marking.drafts import Drafts
from capture.desk.marking.framing import hole_view, shows_whole
from capture.desk.marking.joining import Joining
from capture.desk.marking.key_line import Giving, KeyLine, KeyVerb
from capture.desk.marking.known_sizes import Sizes, sizes_words
from capture.desk.marking.measuring import Measuring
from capture.desk.marking.placing import Placing
from capture.desk.marking.prompts import accept_words, mat_words, note_words, question_words
from capture.desk.marking.sight_words import filed_words, second_words, undone_words
from capture.desk.marking.sitting import Sitting, sit_down
from capture.desk.marking.targets import scale_words
from capture.desk.screen import Screen
from capture.desk.where import Where
from capture.errors import Unfit, WrongUse
from store.round import Check

_AGAIN = "Marking again: what the marks before gave stays covered, too."
_COLUMN, _WIDE_COLUMN, _MARGIN, _WIDE_MARGIN, _WIDE_FROM = 352, 432, 24, 32, 1300


class MarkingScreen(Screen):
    """See the modules beside this one: ``placing`` knows the state, the column shows it."""

    def __init__(self, desk: Desk, drafts: Path | None = None) -> None:
        super().__init__(desk)
        self.canvas, self.column = PhotoCanvas(), Column()
        self.placing = Placing(desk, self.canvas, Drafts(drafts))
        self.measuring = Measuring(desk, self.canvas, self.placing, self.column.measure)
        self.joining = Joining(self.canvas, self.placing, self.column.together)
        self._caption = Giving()
        self._question = label("", "head", bold=True, wrap=True)
        self._verbs = (
            KeyVerb("with others", "W", does=lambda: self._toggle("together")),
            KeyVerb("measure", "M", does=lambda: self._toggle("measure")),
            KeyVerb("sizes", "G", does=lambda: self._toggle("sizes")),
        )
        self.keys = KeyLine(self.canvas, again=self._again, leave=self._leave_one)
        self._asked_for: Sitting | None = None  # second marks that wait for a name
        self._name_before = ""
        self._lay_out()
        self._connect()
        self.wear(desk.palette)

    def _lay_out(self) -> None:
        across = QHBoxLayout()
        across.setSpacing(24)
        across.addWidget(self.canvas, 1)
        across.addWidget(self.column)
        head = row(self._question, *self._verbs, gap=0)
        head.setStretch(0, 1)
        self._whole = QVBoxLayout(self)
        self._whole.setSpacing(4)
        self._whole.addWidget(self._caption)
        self._whole.addLayout(head)
        self._whole.addLayout(across, 1)
        self._whole.addWidget(self.keys)

    def _connect(self) -> None:
        self.placing.changed.connect(self._show)
        self.placing.found.connect(self._look_at_hole)
        self.placing.filed.connect(self._filed)
        self.column.rims.by_hand.connect(self._by_hand)
        self.column.rims.far_unseen.connect(self.placing.say_far)
        self.column.rims.second_wanted.connect(self._go_second)
        self.column.sizes.edited.connect(self._sizes_edited)
        self.column.who.named.connect(self._named)
        self.column.together.changed.connect(self._show)
        self.column.accept_verb.clicked.connect(lambda _=False: self._accept())

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Give new width to the photo, and a little to the column."""
        super().resizeEvent(event)
        wide = self.width() >= _WIDE_FROM
        self.column.setFixedWidth(_WIDE_COLUMN if wide else _COLUMN)
        margin = _WIDE_MARGIN if wide else _MARGIN
        self._whole.setContentsMargins(margin, 8, margin, 8)

    # --- coming and going -----------------------------------------------------------------

    def enter(self, where: Where) -> None:
        """Show the photo to be marked, or say why it can't be."""
        self.leave()
        try:
            sitting = sit_down(self.desk.round, where, self.desk.by)
        except WrongUse as refused:
            self.placing.refuse(str(refused))
            return
        self._call_rims(sitting)
        if sitting.check.attempts:
            self.desk.told.emit(_AGAIN)  # in the place of whatever was told of the last one
        if sitting.first is not None and sitting.is_first_person:
            self._asked_for = sitting._replace(by="")
            self._turn("who")
            self.column.who.ask(sitting.first.stamp.by)
            return
        self._begin(sitting)

    def leave(self) -> None:
        """Keep what is not accepted yet; who worked before works again."""
        self._turn("rims")
        self.placing.leave()
        self._asked_for = None
        if self._name_before:
            self.desk.rename_user(self._name_before)
            self._name_before = ""

    def wear(self, palette: Palette) -> None:
        """Draw in these colours from now on."""
        self.column.rims.wear(palette)
        self.column.together.wear(palette)
        self.canvas.wear_mat(palette.mat)

    def _begin(self, sitting: Sitting) -> None:
        self.column.together.begin(sitting.taken.photo)
        self._turn("rims")
        self.placing.begin(sitting)
        self.canvas.setFocus()

    def _call_rims(self, sitting: Sitting) -> None:
        """Call the two rims as the plan does."""
        self.keys.names = sitting.names
        self.canvas.name_rims(*sitting.names)
        self.column.rims.name_rims(sitting.names)

    def _named(self, name: str) -> None:
        sitting, self._asked_for = self._asked_for, None
        if sitting is not None:
            self._name_before = self.desk.by
            self.desk.rename_user(name)
            self._begin(sitting._replace(by=name))

    # --- what is shown --------------------------------------------------------------------

    @property
    def question(self) -> str:
        """What is asked of the hand now."""
        return self._question.text()

    def _show(self) -> None:
        placing, column = self.placing, self.column
        sitting, sizes = placing.sitting or self._asked_for, self._sizes()
        self._caption.say(sitting.caption if sitting else "")
        near = sitting.place.location.near if sitting else "hole"
        drawn = outline_of(self.canvas.layer()) is not None
        self._question.setText(question_words(placing.state, column.page, near, drawn=drawn))
        column.accept_verb.set_words(accept_words(column.page, drawn=drawn))
        self.canvas.say(mat_words(placing.state, column.page))
        targets, side = placing.about.targets, sizes.target if sizes else None
        for verb in self._verbs:
            verb.setVisible(placing.sitting is not None)
        self._verbs[0].setVisible(placing.sitting is not None and placing.sitting.has_others)
        to_second = sitting.to_second if sitting else None
        column.rims.offer_second(shown=placing.state == "press" and to_second is not None)
        note = note_words(placing.state, placing.note, refused=placing.is_refusal)
        column.rims.say(self.keys.names.put_in(note))
        column.rims.show_layer(self.canvas.layer(), sizes.givens.far_diameter if sizes else None)
        column.sizes.show_targets(targets)
        column.sizes.show_lens(placing.about.lens.name if placing.about.lens else "")
        known = (sizes_words(sizes.givens, *self.keys.names), *sizes.noted) if sizes else ()
        column.tell("\n".join(known), scale_words(targets, side))
        self.joining.show(self.keys.names.put_in(note) if placing.is_refusal else "")
        lacking = column.together.lacking if column.page == "together" else placing.lacking
        column.accept_verb.setEnabled(not lacking and placing.state != "measuring")
        column.accept_verb.setAccessibleDescription(self.keys.names.put_in(lacking))
        self.keys.show_state(placing.state)
        self.canvas.setEnabled(placing.state != "measuring")

    def _look_at_hole(self) -> None:
        """Enlarge the hole, unless the person chose a view already."""
        layer, room = self.canvas.layer(), self.canvas.viewport()
        view = hole_view(layer, room.width(), room.height())
        if view and shows_whole(layer, self.canvas.zoom(), room.width(), room.height()):
            self.canvas.zoom_to(*view)
        sitting = self.placing.sitting
        if sitting is not None:
            typed, flat = self.placing.typed, self.placing.flat
            self.column.sizes.show_check(sitting.check.characteristic, typed, flat=flat)
        self._show()

    def _sizes(self) -> Sizes | None:
        """Return the sizes, None where nobody sits or what was typed is none."""
        try:
            return self.placing.sizes() if self.placing.sitting is not None else None
        except Unfit:
            return None

    # --- what is done ---------------------------------------------------------------------

    def _accept(self) -> None:
        try:
            sizes = self.placing.sizes()
        except Unfit as unfit:
            self.column.sizes.show_errors(unfit.fields)
            self._turn("sizes")
            return
        if self.column.page == "together":
            self.joining.measure(sizes)
        else:
            self.placing.accept(sizes)

    def _filed(self, sitting: Sitting, check: Check) -> None:
        second = sitting.first is not None
        filed = check.seconds[-1].attempt if second else check.attempts[-1]
        words = undone_words(filed.record, sitting.taken.file_name)
        self.desk.marked.emit(check, filed.stamp.entry, words)
        self.desk.told.emit(second_words(check) if second else filed_words(check))
        if self.desk.where.room == "marking" and self.desk.where.key == check.key:
            self.desk.go_to_check(check.key)

    def _again(self) -> None:
        self._turn("rims")
        self.placing.look_again()
        self.canvas.setFocus()

    def _by_hand(self, tool: str) -> None:
        self.canvas.start_tool(tool)  # type: ignore[arg-type] # one of the canvas's tools
        self.canvas.setFocus()

    def _go_second(self) -> None:
        sitting = self.placing.sitting
        if sitting is not None and (first := sitting.to_second) is not None:
            self.desk.go(self.desk.where._replace(second_to=first.stamp.entry))

    def _toggle(self, page: Page) -> None:
        """Show a page, or the rims again; not while somebody's name is asked for."""
        if self._asked_for is None:
            self._turn("rims" if page == self.column.page else page)

    def _turn(self, page: Page) -> None:
        self.column.turn(page)
        self.placing.is_paused = page in {"measure", "who", "together"}
        if page == "measure":
            self.measuring.begin()
        elif self.measuring.is_on:
            self.measuring.end()
        self._show()
        if page == "together":
            self.column.together.rows.setFocus()

    def _sizes_edited(self) -> None:
        sizes = self.column.sizes
        self.placing.typed, self.placing.flat = sizes.typed(), sizes.flat
        self.placing.use_lens = sizes.use_lens
        try:
            self.placing.sizes()
            sizes.show_errors({})
        except Unfit as unfit:
            sizes.show_errors(unfit.fields)
        self._show()

    def _leave_one(self) -> None:
        if self.canvas.leave() or self.placing.drop_search():
            return
        if self.column.page in {"sizes", "measure", "together"}:
            self._turn("rims")
        elif self.desk.where.room == "marking" and self.desk.where.key:
            self.desk.go_to_check(self.desk.where.key)
