"""The photo of a face: stamps that can be pressed and moved, belts, and a place pointed out."""

from PySide6.QtCore import QPoint, QPointF, QSizeF, Qt, Signal
from PySide6.QtGui import (
    QFocusEvent,
    QPainterPath,
    QPainterPathStroker,
    QPen,
    QPolygonF,
    QResizeEvent,
)
from PySide6.QtWidgets import QWidget

from annotate.marks import PixelPair, Point
from annotate.pane.canvas import PhotoCanvas
from annotate.pane.ink import NEAR, Ink
from annotate.pane.levels import PictureLevels
from annotate.pane.shown import Pin
from annotate.pane.view import point_of, scene_of
from capture.desk.look.hatch import paint_hatch
from capture.desk.look.palette import ON_PHOTO, PLATE, Palette
from capture.desk.map.belt import belts_round
from capture.desk.map.board import PlateBoard
from capture.desk.map.faces import Spotted

_BELT_PX = 40.0  # from a place to the belt round it
_INSIDE_PX = 14.0  # how far the belt's hatch reaches in
_BELT_LINE = 3.0


class MapCanvas(PhotoCanvas):
    """A face with the locations on it.

    ``pin_pressed`` and ``pin_moved`` speak of a location by its number; a pin moved by arrow keys
    is moved once it is set: by Space, or when the keyboard goes elsewhere. ``pointed`` is where a
    location is wanted while ``aim`` is on. ``nudged`` tells whether a pin hangs between two places,
    ``in_hand`` which location the keyboard is on, "" for none.
    """

    nudged = Signal(bool)
    crowded = Signal(bool)
    in_hand = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.board = PlateBoard()
        self._pins = self.board
        self._held: Pin | None = None  # where a nudged pin came from
        self._hidden: frozenset[str] = frozenset()
        self._aiming = self._by_keys = False
        self._was_crowded = False
        self.setAccessibleName("the face of the block, with its locations")

    @property
    def is_crowded(self) -> bool:
        """Whether the whole face had room for numbers only."""
        return self._was_crowded

    def wear(self, palette: Palette) -> None:
        """Draw in these colours from now on."""
        self.wear_mat(palette.mat)

    def show_spots(self, spots: tuple[Spotted, ...], here: str, hidden: frozenset[str]) -> None:
        """Show these locations; ``hidden`` are the ids of those the belt goes round."""
        self._held = None
        self._hidden = hidden
        self.board.show_spots(spots, here)
        self.look_again()

    def set_picture(self, levels: PictureLevels | None) -> None:
        """Show another face; the cross of a place that is being pointed out goes to its middle."""
        super().set_picture(levels)
        if self._aiming and levels is not None:
            self.aim(on=True)

    def look_again(self) -> None:
        """Lay the stamps out for the view as it is."""
        if self.picture_area().isEmpty():
            return
        room = QSizeF(self.viewport().size())
        self.board.lay_out(self.viewportTransform(), room, self.picture_area())
        # Zoomed in there may be room, but a list that came and went would move the photo.
        if self._fitted and not self._aiming and self.board.crowded != self._was_crowded:
            self._was_crowded = self.board.crowded
            self.crowded.emit(self._was_crowded)
        self.viewport().update()

    def aim(self, *, on: bool) -> None:
        """Begin or end pointing out a place: a cross that the arrow keys move, Space to take it."""
        self._aiming = self.board.dormant = on
        self.board.active = None
        if on:
            self._show_crosshair((self.centre().x_px, self.centre().y_px))
        else:
            self._crosshair = None
            self._magnifier.hide()
        self.look_again()

    def point_under(self, at_global: QPoint) -> Point | None:
        """Return the place of the picture under a place of the whole screen, None beside it."""
        local = self.viewport().mapFromGlobal(at_global)
        scene = self.to_scene(QPointF(local))
        inside = self.viewport().rect().contains(local) and self.picture_area().contains(scene)
        return point_of(scene) if inside else None

    def look_at(self, at: Point | None) -> None:
        """Show the cross and the magnifier at a place, or put them away."""
        if at is None:
            self._crosshair = None
            self._magnifier.hide()
            self.viewport().update()
        else:
            self._show_crosshair((at.x_px, at.y_px))

    def leave(self) -> bool:
        """Leave one thing, a nudged pin first: it goes back where it was."""
        if self._held is not None and self.board.active is not None:
            self.board.move(self.board.active, self._held.at)
            self._held = None
            self.nudged.emit(False)
            self.viewport().update()
            return True
        if self._aiming:
            return False  # the screen ends it
        left = super().leave()
        self._tell_in_hand()
        return left

    def next_handle(self, step: int = 1) -> bool:
        """Take the next location; what hangs is set first."""
        self._set_held()
        found = not self._aiming and super().next_handle(step)
        self._tell_in_hand()
        return found

    def focusOutEvent(self, event: QFocusEvent) -> None:  # noqa: N802 - Qt's name
        """Set what hangs, wherever the keyboard goes."""
        self._set_held()
        super().focusOutEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Lay the stamps out for the new room."""
        super().resizeEvent(event)
        self.look_again()

    def _space(self) -> None:
        if self._held is not None:
            self._set_held()
        else:
            super()._space()

    def _arrow(self, arrow: PixelPair, times: int) -> bool:
        self._by_keys = True
        try:
            return super()._arrow(arrow, times)
        finally:
            self._by_keys = False

    def _move_pin(self, k: int, to: Point, *, finished: bool) -> None:
        if not self._by_keys:
            super()._move_pin(k, to, finished=finished)
            return
        if self._held is None:
            self._held = self.board.pins[k]
            self.nudged.emit(True)
        self.board.move(k, to)
        self.viewport().update()

    def _set_held(self) -> None:
        held, self._held = self._held, None
        if held is None:
            return
        pin = next(pin for pin in self.board.pins if pin.text == held.text)
        self.nudged.emit(False)
        self.pin_moved.emit(pin.text, pin.at)

    def _tell_pin(self) -> None:
        k = self.board.active
        if k is not None:
            self.setAccessibleDescription(self.board.spots[k].spoken)
        self._tell_in_hand()
        self.viewport().update()

    def _tell_in_hand(self) -> None:
        k = self.board.active
        self.in_hand.emit("" if k is None else self.board.spots[k].key)

    def _draw_marks(self, ink: Ink) -> None:
        super()._draw_marks(ink)
        feet = [
            (ink.to_screen.map(scene_of(pin.at)), spot.key in self._hidden)
            for pin, spot in zip(self.board.pins, self.board.spots, strict=True)
        ]
        hidden = [(foot.x(), foot.y()) for foot, is_hidden in feet if is_hidden]
        others = [(foot.x(), foot.y()) for foot, is_hidden in feet if not is_hidden]
        for outline in belts_round(hidden, others, _BELT_PX):
            _draw_belt(ink, QPolygonF([QPointF(x, y) for x, y in outline]))


def _draw_belt(ink: Ink, outline: QPolygonF) -> None:
    """Draw a dashed belt with its hatch inside."""
    path = QPainterPath()
    path.addPolygon(outline)
    path.closeSubpath()
    painter = ink.painter
    painter.save()
    painter.setClipPath(path)
    ring = _ring(path)
    paint_hatch(painter, ring, PLATE, gap=9.0, width=2.5)
    paint_hatch(painter, ring, ON_PHOTO, gap=9.0, width=1.25)
    painter.restore()
    ink.stroke(path, NEAR, width=_BELT_LINE, dashed=True)


def _ring(path: QPainterPath) -> QPainterPath:
    stroker = QPainterPathStroker(QPen(Qt.GlobalColor.black, 2 * _INSIDE_PX))
    return stroker.createStroke(path).intersected(path)
