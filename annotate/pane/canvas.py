"""The photo canvas: what the pointer does to a picture and its marks, and how it all looks."""

from collections.abc import Sequence
from typing import Literal

from msgspec import Struct
from PySide6.QtCore import QPointF, QRect, QRectF, Qt
from PySide6.QtGui import QMouseEvent, QPainter, QPainterPath
from PySide6.QtWidgets import QWidget

from annotate.marks import PixelPair, Point, Rim
from annotate.pane import drawing
from annotate.pane.handles import inside
from annotate.pane.ink import ACCENT, NEAR, THIN, Ink
from annotate.pane.keyed import GRAB_PX, KeyedView
from annotate.pane.pin_board import nearest
from annotate.pane.plates import Rect
from annotate.pane.shown import Pin
from annotate.pane.view import point_of, scene_of

CLICK_PX = 4.0  # a pointer that moved no farther has clicked
_FOCUS_PX = 4.0
_SIGHT_PX = 16.0  # half of the cross-hair

_Doing = Literal["handle", "pin", "pan", "place"]


class _Press(Struct):
    """What a held button is doing, where it began and is now on the screen, and the pin it is on.

    ``held`` is where the pointer lies as seen from the pin.
    """

    doing: _Doing
    start: QPointF
    last: QPointF
    moved: bool = False
    pin: int = 0
    held: QPointF = QPointF()


class PhotoCanvas(KeyedView):
    """A picture in, a layer of marks out. Its parts: ZoomView, MarkedView, KeyedView, and this.

    Pointer: drag a handle or a pin; with a tool press, look in the magnifier, let go to place;
    drag anywhere else to move the picture; a plain click is told by ``pointed``.
    """

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._press: _Press | None = None
        self._rim_words = drawing.RIM_WORDS
        self.setAccessibleName("photo")

    def name_rims(self, near: str, far: str) -> None:
        """Call the two rims so beside their outlines: the owner knows what they belong to."""
        self._rim_words = {"near": near, "far": far}
        self.viewport().update()

    def set_pins(self, pins: Sequence[Pin | tuple[Point, str]], *, movable: bool = False) -> None:
        """Show stamped numbers, each told apart by its text; nobody is told."""
        made = [pin if isinstance(pin, Pin) else Pin(*pin) for pin in pins]
        self._pins.set_pins(made, movable=movable)
        self.viewport().update()

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Take hold of a handle or a pin, begin to place a point, or to move the picture."""
        at = event.position()
        left = event.button() == Qt.MouseButton.LeftButton
        self._crosshair = None
        self._press = self._taken(at) if left else _Press("pan", at, at)
        if self._press.doing == "place":
            self._aim(at)
        self.viewport().update()
        event.accept()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Go on with what the button began."""
        press, at = self._press, event.position()
        if press is None:
            return
        press.moved = press.moved or (at - press.start).manhattanLength() > CLICK_PX
        if press.doing == "place":
            self._aim(at)
        elif press.moved:
            self._go_on(press, at)
        press.last = at
        event.accept()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """End it: a dragged handle is an edit, a press that did not move is a click."""
        press, self._press = self._press, None
        if press is None:
            return
        at = event.position()
        self._magnifier.hide()
        if press.doing == "handle":
            self._edit(self._editing.drop(), "handle moved")
            self._refreshed()
        elif press.doing == "place":
            self.place(self._pair_at(at), GRAB_PX / 2 / self.zoom())
        elif press.doing == "pin":
            self._end_pin(press, at)
        elif not press.moved and event.button() == Qt.MouseButton.LeftButton:
            self._clicked(at)
        event.accept()

    def leave(self) -> bool:
        """Leave one thing, a drag first: what was dragged goes back."""
        if self._press is not None and self._press.doing == "handle":
            self._press = None
            self._editing.drop()
            self._editing.take(self.layer())
            self._magnifier.hide()
            self._refreshed()
            return True
        return super().leave()

    def drawForeground(  # noqa: N802 - Qt's name
        self, painter: QPainter, rect: QRectF | QRect
    ) -> None:
        """Paint the marks, in screen coordinates, so that lines keep their width."""
        del rect
        painter.save()
        to_screen = painter.worldTransform()
        painter.resetTransform()
        ink = Ink(painter, to_screen, self.font())
        self._draw_marks(ink)
        self._draw_words(ink)
        if self._shown is None and not self.tool:
            drawing.draw_handles(ink, self._editing, self._outlines)
        self._pins.draw(ink)
        self._draw_focus(ink)
        painter.restore()

    def _refreshed(self) -> None:
        super()._refreshed()
        active = self._editing.active
        if active is not None and isinstance(active.mark, Rim):
            name = self._rim_words.get(active.mark.which, active.name)
            self.setAccessibleDescription(active.words.replace(active.name, name))

    def _taken(self, at: QPointF) -> _Press:
        """Return what a left button pressed here begins."""
        if self.tool:
            return _Press("place", at, at)
        pin = self._pins.hit(at, self.viewportTransform())
        if pin is not None:
            foot = self.to_viewport(self._pins.pins[pin].at)
            return _Press("pin", at, at, pin=pin, held=at - foot)
        found = self._handle_at(at) if self._shown is None else None
        if found is None:
            return _Press("pan", at, at)
        self._editing.activate(*found)
        self._editing.hold(self._pair_at(at, anywhere=True))
        self._refreshed()
        return _Press("handle", at, at)

    def _go_on(self, press: _Press, at: QPointF) -> None:
        if press.doing == "handle":
            self._drag_to(at)
        elif press.doing == "pin" and self._pins.movable:
            self._move_pin(press.pin, Point(*self._pair_at(at - press.held)), finished=False)
        else:
            self.pan(at - press.last)

    def _drag_to(self, screen: QPointF) -> None:
        self._editing.drag(self._pair_at(screen, anywhere=True))
        active = self._editing.active
        if active is not None:
            self._outlines.follow(self._editing.draft_layer, active.mark_index)
        self._magnify_active()
        self.viewport().update()

    def _end_pin(self, press: _Press, at: QPointF) -> None:
        if press.moved and self._pins.movable:
            self._move_pin(press.pin, Point(*self._pair_at(at - press.held)), finished=True)
        elif not press.moved:
            self.pin_pressed.emit(self._pins.pins[press.pin].text)

    def _clicked(self, screen: QPointF) -> None:
        if self._editing.active is not None:
            self._editing.deactivate()
            self._refreshed()
        scene = self.to_scene(screen)
        if self.picture_area().contains(scene):
            self.pointed.emit(point_of(scene))

    def _aim(self, screen: QPointF) -> None:
        self._magnify(self._pair_at(screen), "let go to place")
        self.viewport().update()

    def _pair_at(self, screen: QPointF, *, anywhere: bool = False) -> PixelPair:
        """Return the place of the picture under the pointer, ``anywhere`` also beside it."""
        point = point_of(self.to_scene(screen))
        at = (point.x_px, point.y_px)
        return at if anywhere else inside(self.layer(), at)

    def _handle_at(self, screen: QPointF) -> tuple[int, int] | None:
        return self._editing.nearest(self._pair_at(screen, anywhere=True), GRAB_PX / self.zoom())

    def _draw_words(self, ink: Ink) -> None:
        room = self.viewport().rect()
        at = self._editing.active_px
        if at is not None and self._magnifier.isVisible():
            foot = self.to_viewport(Point(*at))
            ink.leader(foot, nearest(QRectF(self._magnifier.geometry()), foot))
        taken = [
            Rect(box.x(), box.y(), box.width(), box.height())
            for box in [self._magnifier.geometry()]
            if self._magnifier.isVisible()
        ]
        named = dict(drawing.named_rims(self._shown, self._outlines))
        whole = Rect(0, 0, room.width(), room.height())
        drawing.draw_rim_words(ink, named, whole, taken, self._rim_words)
        drawing.draw_labels(ink, self._editing.draft_layer.marks, self._labels)

    def _draw_focus(self, ink: Ink) -> None:
        if self._crosshair is not None:
            at = ink.to_screen.map(scene_of(self._crosshair))
            path = QPainterPath()
            for arm in (QPointF(_SIGHT_PX, 0), QPointF(0, _SIGHT_PX)):
                path.moveTo(at - arm)
                path.lineTo(at + arm)
            ink.stroke(path, NEAR, width=THIN)
        alone = self._editing.active is None and self._pins.active is None
        if self.hasFocus() and alone and self._crosshair is None:
            frame = QPainterPath()
            half = _FOCUS_PX / 2 + 1
            frame.addRect(QRectF(self.viewport().rect()).adjusted(half, half, -half, -half))
            ink.stroke(frame, ACCENT, width=_FOCUS_PX)
