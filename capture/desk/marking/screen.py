"""Marks on one photo: rims found from one press, looked at, moved, and accepted."""

from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QHBoxLayout, QScrollArea, QStackedWidget, QVBoxLayout, QWidget

from annotate.pane.canvas import PhotoCanvas
from annotate.quantity import Quantity
from capture.desk.desk import Desk
from capture.desk.look.controls import Verb, label, row
from capture.desk.look.palette import Palette
from capture.desk.marking.drafts import Drafts
from capture.desk.marking.key_line import Giving, KeyLine
from capture.desk.marking.known_sizes import sizes_words
from capture.desk.marking.placing import Placing
from capture.desk.marking.rims_page import RimsPage
from capture.desk.marking.sight_words import filed_words, second_words
from capture.desk.marking.sitting import sit_down
from capture.desk.marking.sizes_page import SizesPage
from capture.desk.screen import Screen
from capture.desk.unfit import Unfit
from capture.desk.where import Where
from capture.errors import WrongUse
from store.round import Check, Round

_COLUMN, _WIDE_COLUMN, _WIDE_FROM = 352, 432, 1300
_MARGIN, _WIDE_MARGIN = 24, 32


class MarkingScreen(Screen):
    """See the modules beside this one: ``placing`` knows the state, the pages show it."""

    def __init__(self, desk: Desk, drafts: Path | None = None) -> None:
        super().__init__(desk)
        self.canvas = PhotoCanvas()
        self.placing = Placing(desk, self.canvas, Drafts(drafts))
        self._caption = Giving()
        self._question = label("", "head", bold=True)
        self.rims, self.sizes = RimsPage(), SizesPage()
        self._pages = QStackedWidget()
        self.accept_verb = Verb("Accept both rims", "A", primary=True, does=self._accept)
        self.sizes_verb = Verb("Sizes", "G", bare=True, does=self._turn_sizes)
        self._known = label("", "caption", wrap=True)
        self.keys = KeyLine(self.canvas, again=self._again, leave=self._leave_one)
        self._column = QWidget()
        self._lay_out()
        self.placing.changed.connect(self._show)
        self.placing.filed.connect(self._filed)
        self.rims.by_hand.connect(self._by_hand)
        self.rims.far_unseen.connect(self.placing.say_far)
        self.sizes.edited.connect(self._sizes_edited)
        self.canvas.layer_changed.connect(lambda _: self._show())
        self.wear(desk.palette)

    # --- the frame ------------------------------------------------------------------------

    def _lay_out(self) -> None:
        for page in (self.rims, self.sizes):
            area = QScrollArea()
            area.setWidget(page)
            area.setWidgetResizable(True)
            area.setFrameShape(QFrame.Shape.NoFrame)
            area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
            area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
            self._pages.addWidget(area)
        column = QVBoxLayout(self._column)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        column.addWidget(self._pages, 1)
        column.addWidget(self._known)
        column.addWidget(self.accept_verb)
        across = QHBoxLayout()
        across.setSpacing(24)
        across.addWidget(self.canvas, 1)
        across.addWidget(self._column)
        self._whole = QVBoxLayout(self)
        self._whole.setSpacing(4)
        self._whole.addWidget(self._caption)
        self._whole.addLayout(row(self._question, 1, self.sizes_verb))
        self._whole.addLayout(across, 1)
        self._whole.addWidget(self.keys)

    def resizeEvent(self, event: object) -> None:  # noqa: N802 - Qt's name
        """Give new width to the photo, and a little to the column."""
        super().resizeEvent(event)  # type: ignore[arg-type] # Qt's own
        wide = self.width() >= _WIDE_FROM
        self._column.setFixedWidth(_WIDE_COLUMN if wide else _COLUMN)
        margin = _WIDE_MARGIN if wide else _MARGIN
        self._whole.setContentsMargins(margin, 8, margin, 8)

    # --- coming and going -----------------------------------------------------------------

    def enter(self, where: Where) -> None:
        """Show the photo to be marked, or say why it can't be."""
        try:
            sitting = sit_down(self.desk.round, where)
        except WrongUse as refused:
            self.placing.leave()
            self.canvas.set_picture(None)
            self.placing.refuse(str(refused))
            return
        self._pages.setCurrentIndex(0)
        self.placing.begin(sitting)
        self.sizes.show_check(sitting.check.characteristic, {}, flat=self.placing.flat)
        self.canvas.setFocus()

    def show_round(self, known: Round | None) -> None:
        """Something was filed elsewhere: what is being placed here stays as it is."""

    def leave(self) -> None:
        """Keep what is not accepted yet."""
        self.placing.leave()

    def wear(self, palette: Palette) -> None:
        """Draw in these colours from now on."""
        self.rims.wear(palette)
        self.update()

    # --- what is shown --------------------------------------------------------------------

    @property
    def question(self) -> str:
        """What is asked of the hand now."""
        return self._question.text()

    def _show(self) -> None:
        placing, sitting = self.placing, self.placing.sitting
        self._caption.say(sitting.caption if sitting else "")
        near = sitting.place.location.near if sitting else "hole"
        self._question.setText({
            "away": "Nothing to mark here",
            "loading": "The photo is being opened …",
            "press": f"Press anywhere inside the {near}",
            "seeking": "Looking for the rims …  Esc drops it",
            "placing": "Do both rims lie on their edges?",
            "measuring": "Measuring …",
        }[placing.state])  # fmt: skip
        self.rims.say(self._note())
        self.rims.show_layer(self.canvas.layer(), self._far_size())
        self.sizes.show_targets(placing.targets)
        self._known.setText(self._sizes_line())
        lacking = placing.lacking
        self.accept_verb.setEnabled(not lacking)
        self.accept_verb.setAccessibleDescription(lacking)
        self.canvas.setEnabled(placing.state != "measuring")

    def _note(self) -> str:
        placing = self.placing
        if placing.is_refusal:
            return f"Not done: {placing.note}"
        if placing.note:
            return placing.note[:1].upper() + placing.note[1:] + "."
        if placing.state == "press":
            return (
                "Both rims are looked for from there. With the keyboard: Space, the arrow keys, "
                "and Space again."
            )
        return ""

    def _sizes_line(self) -> str:
        if self.placing.sitting is None:
            return ""
        try:
            return sizes_words(self.placing.sizes().givens)
        except Unfit:
            return "A size that was typed is none: see Sizes"

    def _far_size(self) -> Quantity | None:
        if self.placing.sitting is None:
            return None
        try:
            return self.placing.sizes().givens.far_diameter
        except Unfit:
            return None

    # --- what is done ---------------------------------------------------------------------

    def _accept(self) -> None:
        try:
            sizes = self.placing.sizes()
        except Unfit as unfit:
            self.sizes.show_errors(unfit.fields)
            self._pages.setCurrentIndex(1)
            return
        self.placing.accept(sizes)

    def _filed(self, check: Check) -> None:
        second = self.placing.sitting is not None and self.placing.sitting.is_second
        self.desk.told.emit(second_words(check) if second else filed_words(check))
        if self.desk.where.room == "marking" and self.desk.where.key == check.key:
            self.desk.go_to_check(check.key)

    def _again(self) -> None:
        self._pages.setCurrentIndex(0)
        self.placing.look_again()
        self.canvas.setFocus()

    def _by_hand(self, tool: str) -> None:
        self.canvas.start_tool(tool)  # type: ignore[arg-type] # one of the canvas's tools
        self.canvas.setFocus()

    def _turn_sizes(self) -> None:
        self._pages.setCurrentIndex(0 if self._pages.currentIndex() else 1)

    def _sizes_edited(self) -> None:
        self.placing.typed, self.placing.flat = self.sizes.typed(), self.sizes.flat
        self.placing.use_lens = self.sizes.use_lens
        try:
            self.placing.sizes()
        except Unfit as unfit:
            self.sizes.show_errors(unfit.fields)
        else:
            self.sizes.show_errors({})
        self._known.setText(self._sizes_line())

    def _leave_one(self) -> None:
        if self.canvas.leave() or self.placing.drop_search():
            return
        if self._pages.currentIndex():
            self._pages.setCurrentIndex(0)
            return
        key = self.desk.where.key
        if self.desk.where.room == "marking" and key:
            self.desk.go_to_check(key)
