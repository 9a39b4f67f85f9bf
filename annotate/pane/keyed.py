"""What the keys do to the marks: steps from handle to handle, nudges, the cross-hair."""

from PySide6.QtCore import QEvent, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QPainter, QTransform
from PySide6.QtWidgets import QWidget

from annotate.marks import PixelPair, Point
from annotate.pane import drawing
from annotate.pane.handles import inside
from annotate.pane.ink import Ink
from annotate.pane.magnifier import Magnifier
from annotate.pane.marked import MarkedView
from annotate.pane.pin_board import PinBoard
from annotate.pane.view import arrow_of, scene_of

GRAB_PX = 22.0  # half of the 44 px round a handle within which it can be taken hold of
NUDGE_PX = 0.1
_FAST = 10  # times, with Shift
_STEP_PX = 2.0  # of the screen: the cross-hair and a pin, by an arrow key


class KeyedView(MarkedView):
    """A picture with marks and pins that can be worked with the keyboard alone.

    ``pointed`` carries the Point at which no mark was placed but something pointed out;
    ``pin_pressed`` a pin's text, ``pin_moved`` its text and new Point.
    """

    pointed = Signal(object)
    pin_pressed = Signal(str)
    pin_moved = Signal(str, object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._pins = PinBoard()
        self._crosshair: Point | None = None
        self._let_go = False  # after Esc, Tab leaves the canvas
        self._magnifier = Magnifier(self.viewport(), self._paint_magnified)
        self._magnified: tuple[PixelPair, str] | None = None  # the place and the caption
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)

    def event(self, event: QEvent) -> bool:
        """Claim our keys before a shortcut of the window takes them, while they mean something."""
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent):
            needed = self._editing.active is not None or self.tool or self._crosshair is not None
            ours = (Qt.Key.Key_Escape, Qt.Key.Key_Delete, Qt.Key.Key_X, Qt.Key.Key_Space)
            if needed and (event.key() in ours or arrow_of(event.key())):
                event.accept()
                return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Do what a key says; one that says nothing here goes on to the window."""
        if not self.handle_key(event):
            event.ignore()

    def handle_key(self, event: QKeyEvent) -> bool:
        """Do what a key says, and tell whether it said anything. Also for keys passed on to us."""
        key, modifiers = event.key(), event.modifiers()
        shift = bool(modifiers & Qt.KeyboardModifier.ShiftModifier)
        if modifiers & Qt.KeyboardModifier.ControlModifier:
            return self._control_key(key, shift=shift)
        if arrow := arrow_of(key):
            return self._arrow(arrow, _FAST if shift else 1) or self.key_moves_view(event)
        match key:
            case Qt.Key.Key_Escape:
                return self.leave()
            case Qt.Key.Key_Delete if self._editing.active is not None:
                self.remove_active()
            case Qt.Key.Key_Backspace if self.tool:
                self.take_back()
            case Qt.Key.Key_X:
                return self.next_mark()
            case Qt.Key.Key_Space:
                self._space()
            case _:
                return self.key_moves_view(event)
        return True

    def focusNextPrevChild(self, forward: bool) -> bool:  # noqa: N802 - Qt's name
        """Let Tab go from handle to handle; after Esc it goes on to the next control."""
        if not self._let_go and self.next_handle(1 if forward else -1):
            return True
        return super().focusNextPrevChild(forward)

    def focusInEvent(self, event: QFocusEvent) -> None:  # noqa: N802 - Qt's name
        """Begin anew: Tab takes a handle again."""
        self._let_go = False
        super().focusInEvent(event)

    def focusOutEvent(self, event: QFocusEvent) -> None:  # noqa: N802 - Qt's name
        """Put the magnifier away: nothing is being placed any more."""
        self._magnifier.hide()
        super().focusOutEvent(event)

    def next_handle(self, step: int = 1) -> bool:
        """Take the next handle of the mark, or the next pin; False if there is none to take."""
        if self.tool:
            return False
        if self._pins.pins:
            taken = self._pins.step(step)
            self._tell_pin()
            return taken
        return self._stepped(self._shown is None and self._editing.step_handle(step))

    def next_mark(self) -> bool:
        """Take the first handle of the next mark (the other rim); False if there is none."""
        free = self._shown is None and not self.tool
        return self._stepped(free and self._editing.step_mark())

    def leave(self) -> bool:
        """Leave one thing: cross-hair, tool, handle or pin; False if nothing is left."""
        self._magnifier.hide()
        if self._crosshair is not None:
            self._crosshair = None
        elif self.tool:
            self.start_tool("")
        elif self._editing.active is not None or self._pins.active is not None:
            self._editing.deactivate()
            self._pins.active = None
            self._let_go = True
        else:
            return False
        self._refreshed()
        return True

    def _control_key(self, key: int, *, shift: bool) -> bool:
        match key:
            case Qt.Key.Key_Z if shift:
                self.redo()
            case Qt.Key.Key_Z:
                self.undo()
            case Qt.Key.Key_Return | Qt.Key.Key_Enter if self.tool:
                self.finish_tool()
            case _:
                return False
        return True

    def _arrow(self, arrow: PixelPair, times: int) -> bool:
        x, y = arrow[0] * times, arrow[1] * times
        step = _STEP_PX / self.zoom()
        if self._editing.active is not None:
            self._nudge((x * NUDGE_PX, y * NUDGE_PX))
        elif self.tool or self._crosshair is not None:
            at = self._crosshair or self.centre()
            self._show_crosshair((at.x_px + x * step, at.y_px + y * step))
        elif self._pins.movable and self._pins.active is not None:
            pin = self._pins.pins[self._pins.active]
            to = inside(self.layer(), (pin.at.x_px + x * step, pin.at.y_px + y * step))
            self._move_pin(self._pins.active, Point(*to), finished=True)
        else:
            return False
        return True

    def _nudge(self, by: PixelPair) -> None:
        active = self._editing.active
        if active is not None:
            self._edit(
                self._editing.nudged(by), "handle nudged", (active.mark_index, active.handle)
            )
            self._magnify_active()

    def _space(self) -> None:
        if self._pins.active is not None and self._crosshair is None:
            self.pin_pressed.emit(self._pins.pins[self._pins.active].text)
        elif self._crosshair is None:
            self._show_crosshair((self.centre().x_px, self.centre().y_px))
        elif self.tool:
            self.place((self._crosshair.x_px, self._crosshair.y_px), GRAB_PX / 2 / self.zoom())
        else:
            self.pointed.emit(self._crosshair)

    def _stepped(self, done: bool) -> bool:
        if done:
            self._refreshed()
            self._magnify_active()
        return done

    def _tell_pin(self) -> None:
        k = self._pins.active
        if k is not None:
            self.setAccessibleDescription(f"location {self._pins.pins[k].text}")
        self.viewport().update()

    def _move_pin(self, k: int, to: Point, *, finished: bool) -> None:
        self._pins.move(k, to)
        if finished:
            self.pin_moved.emit(self._pins.pins[k].text, to)
        self.viewport().update()

    def _show_crosshair(self, at: PixelPair) -> None:
        self._crosshair = Point(*inside(self.layer(), at))
        at = (self._crosshair.x_px, self._crosshair.y_px)
        self._magnify(at, "Space places" if self.tool else "Space points")
        self.viewport().update()

    def _magnify_active(self) -> None:
        at = self._editing.active_px
        if at is not None:
            self._magnify(at, "arrow key = 0.1 px")

    def _place(self, zoom: float, middle: QPointF) -> None:
        """Keep the magnifier off its place, wherever the view brought that."""
        super()._place(zoom, middle)
        if self._magnified is not None and not self._magnifier.isHidden():
            self._magnify(*self._magnified)

    def _magnify(self, at: PixelPair, caption: str) -> None:
        self._magnified = at, caption
        scene = scene_of(Point(*at))
        screen = self.viewportTransform().map(scene)
        self._magnifier.look_at(scene, screen, self.zoom(), caption)

    def _paint_magnified(self, painter: QPainter, exposed: QRectF, to_screen: QTransform) -> None:
        painter.setWorldTransform(to_screen, combine=True)
        if self._picture is not None:
            self._picture.draw(painter, exposed, to_screen.m11() * self.devicePixelRatioF())
        painter.resetTransform()
        self._draw_marks(Ink(painter, to_screen, self.font(), fine=True))

    def _draw_marks(self, ink: Ink) -> None:
        if self._shown is None:
            drawing.draw_rims(ink, self._outlines)
        else:
            drawing.draw_shown(ink, self._shown)
        drawing.draw_others(ink, self._editing.draft_layer.marks, self._outlines)
        if self._draft is not None:
            drawing.draw_draft(ink, self._draft, self._preview)
