"""The block map: a face of the block, every location on it, and what waits for its place."""

from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QVBoxLayout

from annotate.marks import Point
from capture.desk.desk import Desk
from capture.desk.look.controls import label
from capture.desk.look.palette import Palette
from capture.desk.map import words
from capture.desk.map.face_part import FacePart
from capture.desk.map.faces import (
    Face,
    Spotted,
    cover_to_show,
    covers_on,
    face_to_show,
    faces_of,
    following_cover,
    spotted_of,
)
from capture.desk.map.no_face import NoFace
from capture.desk.map.placer import Placer
from capture.desk.screen import Screen
from capture.desk.where import Where
from store.plan import HoldPoint
from store.round import Hold, Round

_WIDE_FROM = 1400


class MapScreen(Screen):
    """Round and map are two views of one thing: press a number to go there, drag it to move it."""

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.faces: tuple[Face, ...] = ()
        self.spots: tuple[Spotted, ...] = ()
        self.face: Face | None = None
        self.cover: HoldPoint | None = None
        self.placer = Placer(desk, self)
        self._covers: list[Hold] = []
        self._wanted, self._last, self._chosen_cover = "", "", ""
        self._aiming = ""  # the id of the location that is being placed
        self._root = desk.root
        self.above = label("", "caption")
        self.title = label(words.TITLE, "head", bold=True)
        self.none = NoFace(desk)
        self.part = FacePart(desk)
        self.canvas, self.chips = self.part.canvas, self.part.chips
        self._lay_out()
        self._connect()
        self.wear(desk.palette)

    # --- what the window asks for -----------------------------------------------------------

    def enter(self, where: Where) -> None:
        """Show a face: the one that is asked for, else that of where one is in the round."""
        self._wanted = where.part
        if self.desk.root != self._root:
            self._root, self._chosen_cover = self.desk.root, ""
            self.placer.forget()
        self._aim("")
        self.show_round(self.desk.round)
        (self.canvas if self.face is not None else self.none).setFocus()

    def show_round(self, known: Round | None) -> None:
        """Draw again: something was filed."""
        if known is None:
            return
        self.faces, self.spots = faces_of(known), spotted_of(known)
        self.face = face_to_show(self.faces, self.spots, self._wanted, self._here(), self._last)
        self._wanted, self._last = "", self.face.key if self.face else ""
        self._covers = covers_on(known, self.spots, self.face)
        self.cover = cover_to_show(self._covers, self._chosen_cover)
        self._say(known)
        if self.face is not None:
            self.part.show_picture(self.face)
        self._show_spots()

    def leave(self) -> None:
        """Let go of a place that is being pointed out."""
        self._aim("")

    def wear(self, palette: Palette) -> None:
        """Draw in these colours from now on."""
        self.canvas.wear(palette)
        super().wear(palette)

    # --- choosing ---------------------------------------------------------------------------

    def show_face(self, key: str) -> None:
        """Show another face."""
        self._wanted = key
        self.show_round(self.desk.round)

    def choose(self, location: str) -> None:
        """Begin to place a location, "" to leave it."""
        self._aim(location)
        if location:
            self.canvas.setFocus()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Esc leaves what is being placed."""
        if event.key() == Qt.Key.Key_Escape and self._aiming:
            self._aim("")
        else:
            super().keyPressEvent(event)

    # --- private ----------------------------------------------------------------------------

    def _lay_out(self) -> None:
        whole = QVBoxLayout(self)
        whole.setSpacing(0)
        whole.addWidget(self.above)
        whole.addWidget(self.title)
        whole.addSpacing(8)
        whole.addWidget(self.part, 1)
        whole.addWidget(self.none, 1)
        self._set_margins(self.width())

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Give a wide window wider margins."""
        super().resizeEvent(event)
        self._set_margins(event.size().width())

    def _set_margins(self, width: int) -> None:
        side = 32 if width >= _WIDE_FROM else 24
        layout = self.layout()
        if layout is not None:
            layout.setContentsMargins(side, 8, side, 8)

    def _connect(self) -> None:
        self.canvas.pin_pressed.connect(self._go)
        self.canvas.pin_moved.connect(self._moved)
        self.canvas.pointed.connect(self._pointed)
        self.canvas.nudged.connect(self._hint)
        self.canvas.in_hand.connect(self._say_in_hand)
        self.part.back_verb.clicked.connect(lambda _=False: self.placer.put_back())
        self.part.back_verb.setEnabled(False)
        self.placer.steps_changed.connect(self.part.back_verb.setEnabled)
        self.placer.placed.connect(self._aim_next)
        self.placer.stays.connect(self._show_spots)
        self.part.cover_verb.clicked.connect(lambda _=False: self._next_cover())
        self.part.list.pressed_at.connect(lambda spot: self.desk.go_to_check(spot.key))
        self.part.face_row.chosen.connect(self.show_face)
        self.chips.chosen.connect(self.choose)
        self.chips.carried.connect(self._carried)
        self.chips.dropped.connect(self._dropped)

    def _here(self) -> str:
        """Return the location that the round stands at, or stood at last."""
        desk = self.desk
        before = desk.memory.here.get(str(desk.root), "") if desk.root is not None else ""
        return desk.where.location or before.partition(".")[0]

    def _spot(self, key: str) -> Spotted | None:
        return next((spot for spot in self.spots if spot.key == key), None)

    def _say(self, known: Round) -> None:
        has_face = self.face is not None
        self.above.setText(words.above_of(self.face, self.faces, self.spots))
        self.title.setText(words.title_of(self._spot(self._aiming)))
        self.part.setVisible(has_face)
        self.none.setVisible(not has_face)
        self.none.show_round(known)
        self.part.cover_verb.setVisible(has_face and bool(self._covers))
        self.part.cover_verb.set_words(words.cover_verb(self.cover))
        if self.face is not None:
            self.part.caption.say(
                words.caption_of(self.face), words.cover_words(self.cover, self._covers)
            )

    def _show_spots(self) -> None:
        here = tuple(spot for spot in self.spots if self.face and spot.photo == self.face.key)
        hidden = frozenset(
            hides for hold in self._covers
            if self.cover and hold.hold_point.id == self.cover.id for hides in hold.hides
        )  # fmt: skip
        self.canvas.show_spots(here, self._here(), hidden)
        self.part.list.show_spots(here, self._here())
        self._say_in_hand("")
        self.part.face_row.show_faces(self.faces, self.face)
        if self.face is not None:
            self.chips.show_spots(self.spots, self._aiming)
        self._hint()

    def _hint(self, nudged: bool = False) -> None:
        aiming = words.AIM_HINT if self._aiming else words.STAMPS_HINT
        self.part.hint.setText(words.NUDGE_HINT if nudged else aiming)

    def _say_in_hand(self, key: str) -> None:
        """Say under the photo how a location lies: that one, else where the round stands."""
        k = self.canvas.board.active
        key = key or ("" if k is None else self.canvas.board.spots[k].key) or self._here()
        spot = self._spot(key)
        on_it = spot is not None and self.face is not None and spot.photo == self.face.key
        self.part.line.show_spot(spot if on_it else None)

    def _next_cover(self) -> None:
        self._chosen_cover = following_cover(self._covers, self.cover)
        self.show_round(self.desk.round)

    # --- going, placing, moving -------------------------------------------------------------

    def _go(self, number: str) -> None:
        if (spot := self._numbered(number)) is not None:
            self.desk.go_to_check(spot.key)

    def _moved(self, number: str, at: Point) -> None:
        if (spot := self._numbered(number)) is not None:
            self._place(spot, at)

    def _numbered(self, number: str) -> Spotted | None:
        return next((spot for spot in self.spots if str(spot.number) == number), None)

    def _pointed(self, at: Point) -> None:
        if (spot := self._spot(self._aiming)) is not None:
            self._place(spot, at)

    def _carried(self, key: str, at_global: QPoint) -> None:
        del key
        self.canvas.look_at(self.canvas.point_under(at_global))

    def _dropped(self, key: str, at_global: QPoint) -> None:
        at, spot = self.canvas.point_under(at_global), self._spot(key)
        self.canvas.look_at(None)
        if at is not None and spot is not None:
            self._place(spot, at)

    def _aim(self, location: str) -> None:
        spot = self._spot(location)
        self._aiming = location if spot is not None else ""
        self.canvas.aim(on=bool(self._aiming))
        self.title.setText(words.title_of(spot if self._aiming else None))
        self.chips.show_spots(self.spots, self._aiming)
        self._hint()

    def _place(self, spot: Spotted, at: Point) -> None:
        if self.face is not None:
            self.placer.place(spot, self.face.key, at)

    def _aim_next(self, after: Spotted) -> None:
        """Go on to the next location that waits, until all are placed."""
        if self._aiming != after.key:
            return
        waiting = [spot for spot in self.spots if spot.at is None]
        later = [spot for spot in waiting if spot.number > after.number] or waiting
        self._aim(later[0].key if later else "")
