"""The location screen: one question, one photo, one reading, and the limit below."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent, QKeySequence, QResizeEvent, QShortcut
from PySide6.QtWidgets import QHBoxLayout, QScrollArea, QVBoxLayout

from capture.desk.desk import Desk
from capture.desk.location.below import Below
from capture.desk.location.captions import caption_of, source_of
from capture.desk.location.chips import CheckChips
from capture.desk.location.column import ReadingColumn
from capture.desk.location.echo import way_of
from capture.desk.location.filing import Filing
from capture.desk.location.foot import Does, FootRow
from capture.desk.location.in_hand import InHand
from capture.desk.location.more import More
from capture.desk.location.on_block import OnBlock
from capture.desk.location.pages import Pages
from capture.desk.location.question import QuestionBlock
from capture.desk.location.questions import Questions
from capture.desk.location.reading import Reading
from capture.desk.location.shrinking import GivesRoom, ShrinkingPage
from capture.desk.look.palette import Palette
from capture.desk.photos.choice import roles_wanted
from capture.desk.photos.pane import PhotoPane
from capture.desk.photos.strip import PhotoStrip
from capture.desk.screen import Screen
from capture.desk.where import Where
from store.round import Round

_WIDE = 1200  # of the work area, from which it has the wide margins and the wide column
_COLUMN, _COLUMN_WIDE = 352, 432
_LOW, _TALL = 600, 800  # of the work area
_LEAST_HIGH = 150  # of the photo; below that the whole screen scrolls


class LocationScreen(Screen):
    """Puts the pieces together; the box has the focus whenever nothing else needs it."""

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.filing, self.hand = Filing(desk), InHand()
        self.question, self.chips, self.on_block = QuestionBlock(), CheckChips(), OnBlock(desk)
        self.photo_pane, self.strip = PhotoPane(desk), PhotoStrip(desk)
        self.column = ReadingColumn()
        self.reading = Reading(desk, self.column, self.filing, self.hand)
        self.more = More(desk, self.reading, self.hand)
        self.questions = Questions(desk, self.column, self.filing)
        self.pages = Pages(desk, self.column, self.reading, self.questions)
        self.below = Below(self.column.grid)
        self.foot = FootRow(Does(
            self.questions.undo, self.pages.turn_history,
            self.more.open, self.questions.who,
        ))  # fmt: skip
        self._key = ""
        self._lay_out()
        self.chips.chosen.connect(desk.go_to_check)
        self.column.photos.addWidget(self.strip)
        self.strip.chosen.connect(self._show_photo)
        self.photo_pane.photo_changed.connect(self._photo_changed)
        self.photo_pane.mark_wanted.connect(self._mark)
        self.photo_pane.compare_wanted.connect(self._compare)
        self.filing.changed.connect(self._say_row)
        desk.marked.connect(self.filing.took_marks)
        self.column.turned.connect(self._turned)
        self.column.left.connect(self._say_row)
        self.reading.shown.connect(lambda: self.below.ask_first(self.reading.zero_asked))
        self.pages.lately.changed.connect(self._say_row)
        self.wear(desk.palette)

    # --- what the window tells --------------------------------------------------------------

    def enter(self, where: Where) -> None:
        """Show another check, with nothing typed, and the focus in the box."""
        if where.key != self._key:
            self._key = where.key
            self.hand.leave()
            self.column.box.clear()
        self.show_round(self.desk.round)
        if where.photo:
            self.photo_pane.show_photo(where.photo)
        self.pages.turn_back()

    def show_round(self, known: Round | None) -> None:
        """Draw again: something was filed, or another check is shown."""
        place, check = self.desk.place, self.desk.check
        self.chips.show_place(place, self.desk.where.key)
        self.on_block.show_place(place, known)
        self.photo_pane.show_place(place, check)
        self.strip.show_place(place, check, known)
        self.strip.setVisible(
            place is not None and bool(place.photos or roles_wanted(place, check, known))
        )
        self.below.show_check(check, known)
        if known is not None and place is not None:
            asked = check.characteristic if check else None
            self.question.ask(
                caption_of(known, place, check),
                source_of(check),
                asked.question if asked else f"{place.location.name}: nothing is measured here",
                asked.caution if asked else "",
            )
        self._share(known)
        self.pages.show_check()
        self.reading.show()
        self.below.room.follow()
        self._say_row()

    def leave(self) -> None:
        """Nothing is held that must be let go."""

    def take_burst(self, text: str) -> bool:
        """File a whole reading that a gauge typed; False where no box is showing."""
        check = self.reading.check
        if check is None or not self.column.box.isVisible():
            return False
        self.pages.heard(text)
        self.column.box.setFocus()
        if way_of(check.characteristic) == "words":
            self.column.box.put(text)  # words are never filed unseen
        else:
            self.reading.file(text)
        return True

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Bring a figure that no control took to the box, where it was meant to go."""
        boxed = self.reading.check is not None and self.column.box.isVisible()
        plain = event.modifiers() in {
            Qt.KeyboardModifier.NoModifier,
            Qt.KeyboardModifier.KeypadModifier,
        }
        if boxed and plain and event.text() and event.text() in "0123456789.":
            self.column.box.setFocus()
            self.column.box.figures.insert(event.text())
            self.reading.echo()
        else:
            super().keyPressEvent(event)

    def wear(self, palette: Palette) -> None:
        """Draw in other colours."""
        for each in (self.question, self.chips, self.column, self.below, self.photo_pane):
            each.wear(palette)
        self.strip.wear(palette)
        self.foot.devices.palette_worn = palette
        self.update()

    # --- private ----------------------------------------------------------------------------

    def _share(self, known: Round | None) -> None:
        """Give the grid its room: below the photo while readings are missing, else the column."""
        check = self.desk.check
        grid = check is not None and check.characteristic.is_grid
        below = grid and bool(check and check.missing)
        self.below.hold(grid=below)
        if known is not None and grid and not below:
            self.column.take_grid()
        elif not below:
            self.column.grid.hide()

    def _say_row(self) -> None:
        camera = self.desk.memory.camera
        said = [self.pages.lately.words] if self.pages.lately.words else []
        said += [f"camera {camera + 1}"] if camera >= 0 else []
        self.foot.say(
            self.desk.by,
            undo=bool(self.filing.sitting),
            more=self.reading.check is not None,
            devices="  \u00b7  ".join(said),
        )

    def _turned(self, page: str) -> None:
        """Give a page that needs much room that of the limit line, and take it back after."""
        about, slip = page == "about", page == "slip"
        # The question and its answers are to be seen whole; a grid stays where there is room too.
        grid = slip and self.below.holds_grid and self.height() >= _TALL
        self.below.setVisible(about or grid)
        if slip:
            self.chips.hide()
        else:
            self.chips.show_place(self.desk.place, self.desk.where.key)
        # R answers a suspected slip, and is a photo's key too.
        for shortcut in self.photo_pane.findChildren(QShortcut):
            if shortcut.key() == QKeySequence("R"):
                shortcut.setEnabled(not slip)

    def _show_photo(self, photo: str) -> None:
        self.photo_pane.show_photo(photo)
        self.column.box.setFocus()

    def _photo_changed(self, photo: str) -> None:
        self.strip.mark_shown(photo)
        self.more.photo = photo
        self.pages.show_photo(photo)

    def _mark(self, photo: str) -> None:
        self.desk.go(Where("marking", self.desk.where.key, photo=photo))

    def _compare(self, photo: str) -> None:
        self.desk.go(Where("compare", self.desk.where.key, photo=photo))

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Take the wide margins and the wide column where there is room."""
        super().resizeEvent(event)
        wide = event.size().width() >= _WIDE
        margin = 32 if wide else 24
        self.below.be_low(low=event.size().height() < _LOW)
        self.column.setFixedWidth(_COLUMN_WIDE if wide else _COLUMN)
        self._whole.setContentsMargins(margin, 0, margin, 0)
        self._foot_line.setContentsMargins(margin - 8, 0, margin - 8, 0)
        self._middle.setSpacing(margin)

    def _lay_out(self) -> None:
        page = ShrinkingPage()
        self._whole = QVBoxLayout(page)
        self._whole.setSpacing(0)
        top = QHBoxLayout()
        top.setSpacing(16)
        top.addWidget(self.question, 1)
        top.addWidget(self.on_block, 0, Qt.AlignmentFlag.AlignBottom)
        self._middle = QHBoxLayout()
        self._middle.addWidget(GivesRoom(self.photo_pane, _LEAST_HIGH), 1)
        self._middle.addWidget(self.column)
        self._whole.addLayout(top)
        self._whole.addSpacing(8)
        self._whole.addWidget(self.chips)
        self._whole.addSpacing(8)
        self._whole.addLayout(self._middle, 1)
        self._whole.addSpacing(12)
        self._whole.addWidget(self.below)
        area = QScrollArea()
        area.setFrameShape(QScrollArea.Shape.NoFrame)
        area.setWidgetResizable(True)
        area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        area.setWidget(page)
        self._foot_line = QHBoxLayout()
        self._foot_line.addWidget(self.foot)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.setSpacing(0)
        outer.addWidget(area, 1)
        outer.addLayout(self._foot_line)
