"""The photo canvas: what pointer and keys do to a picture and its marks, and how both look."""

from typing import Literal

from msgspec import Struct
from PySide6.QtCore import QEvent, QPointF, QRect, QRectF, Qt, Signal
from PySide6.QtGui import (
    QFocusEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPainterPath,
    QPolygonF,
    QTransform,
)
from PySide6.QtWidgets import QWidget

from annotate.marks import PixelPair, Point
from annotate.pane import drawing
from annotate.pane.handles import inside
from annotate.pane.ink import ACCENT, NEAR, THIN, Ink
from annotate.pane.magnifier import Magnifier
from annotate.pane.marked import MarkedView
from annotate.pane.plates import Rect
from annotate.pane.view import arrow_of, point_of, scene_of

GRAB_PX = 22.0  # half of the 44 px round a handle within which it can be taken hold of
CLICK_PX = 4.0  # a pointer that moved no farther has clicked
NUDGE_PX = 0.1
_FAST = 10  # times, with Shift
_CROSSHAIR_PX = 2.0  # of the screen, by an arrow key


class _Press(Struct):
    """What a held button is doing, and where it began and is now, on the screen."""

    doing: Literal["handle", "pan", "place"]
    start: QPointF
    last: QPointF
    moved: bool = False


class PhotoCanvas(MarkedView):
    """See MarkedView and ZoomView for the rest of it.

    ``pointed`` carries the Point of the picture that was clicked while no tool was in hand.
    """

    pointed = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._press: _Press | None = None
        self._crosshair: Point | None = None
        self._magnifier = Magnifier(self.viewport(), self._paint_magnified)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName("photo")

    # pointer

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Take hold of a handle, begin to place a point, or begin to move the picture."""
        at = event.position()
        doing: Literal["handle", "pan", "place"] = "pan"
        if event.button() == Qt.MouseButton.LeftButton:
            if self.tool:
                doing = "place"
            elif self._shown is None and (found := self._handle_at(at)) is not None:
                doing = "handle"
                self._editing.activate(*found)
                self._editing.hold(self._pair_at(at))
                self._refreshed()
        self._crosshair = None
        self._press = _Press(doing, at, at)
        if doing == "place":
            self._magnify(self._pair_at(at), "")
        event.accept()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Go on with what the button began."""
        press, at = self._press, event.position()
        if press is None:
            return
        press.moved = press.moved or (at - press.start).manhattanLength() > CLICK_PX
        if press.doing == "handle" and press.moved:
            self._drag_to(at)
        elif press.doing == "place":
            self._magnify(self._pair_at(at), "let go to place")
        elif press.doing == "pan" and press.moved:
            self.pan(at - press.last)
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
        elif not press.moved and event.button() == Qt.MouseButton.LeftButton:
            self._clicked(at)
        event.accept()

    # keys

    def event(self, event: QEvent) -> bool:
        """Claim our keys before a shortcut of the window takes them, while we have the focus."""
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
        control = bool(modifiers & Qt.KeyboardModifier.ControlModifier)
        shift = bool(modifiers & Qt.KeyboardModifier.ShiftModifier)
        if control:
            return self._control_key(key, shift=shift)
        if arrow := arrow_of(key):
            return self._arrow(arrow, event, fast=shift)
        match key:
            case Qt.Key.Key_Escape:
                return self._leave()
            case Qt.Key.Key_Delete if self._editing.active is not None:
                self.remove_active()
            case Qt.Key.Key_Backspace if self.tool:
                self.take_back()
            case Qt.Key.Key_X if self._shown is None and not self.tool:
                return self._stepped(self._editing.step_mark())
            case Qt.Key.Key_Space:
                self._space()
            case _:
                return self.key_moves_view(event)
        return True

    def focusNextPrevChild(self, forward: bool) -> bool:  # noqa: N802 - Qt's name
        """Let Tab go from handle to handle; after Esc it goes on to the next control."""
        free = self._shown is None and not self.tool and not self._let_go
        if free and self._stepped(self._editing.step_handle(1 if forward else -1)):
            return True
        return super().focusNextPrevChild(forward)

    def focusInEvent(self, event: QFocusEvent) -> None:  # noqa: N802 - Qt's name
        """Begin anew: Tab takes a handle again."""
        self._let_go = False
        super().focusInEvent(event)

    _let_go = False

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

    def _arrow(self, arrow: PixelPair, event: QKeyEvent, *, fast: bool) -> bool:
        times = _FAST if fast else 1
        if self._editing.active is not None:
            self._nudge((arrow[0] * NUDGE_PX * times, arrow[1] * NUDGE_PX * times))
        elif self.tool or self._crosshair is not None:
            at = self._crosshair or self.centre()
            step = _CROSSHAIR_PX * times / self.zoom()
            self._point_crosshair((at.x_px + arrow[0] * step, at.y_px + arrow[1] * step))
        else:
            return self.key_moves_view(event)
        return True

    def _nudge(self, by: PixelPair) -> None:
        active = self._editing.active
        if active is not None:
            self._edit(
                self._editing.nudged(by), "handle nudged", (active.mark_index, active.handle)
            )
            self._magnify_active()

    def _space(self) -> None:
        if self._crosshair is None:
            centre = self.centre()
            self._point_crosshair((centre.x_px, centre.y_px))
        elif self.tool:
            self.place((self._crosshair.x_px, self._crosshair.y_px), GRAB_PX / 2 / self.zoom())
        else:
            self.pointed.emit(self._crosshair)

    def _leave(self) -> bool:
        """Leave one thing: a drag, the tool, the cross-hair, the handle; False if there is none."""
        self._magnifier.hide()
        if self._press is not None and self._press.doing == "handle":
            self._press = None
            self._editing.deactivate()
        elif self._crosshair is not None:
            self._crosshair = None
        elif self.tool:
            self.start_tool("")
        elif self._editing.active is not None:
            self._editing.deactivate()
            self._let_go = True
        else:
            return False
        self._refreshed()
        return True

    def _stepped(self, done: bool) -> bool:
        if done:
            self._refreshed()
            self._magnify_active()
        return done

    # what pointer and keys have in common

    def _pair_at(self, screen: QPointF) -> PixelPair:
        point = point_of(self.to_scene(screen))
        return inside(self.layer(), (point.x_px, point.y_px))

    def _handle_at(self, screen: QPointF) -> tuple[int, int] | None:
        at = point_of(self.to_scene(screen))
        return self._editing.nearest((at.x_px, at.y_px), GRAB_PX / self.zoom())

    def _drag_to(self, screen: QPointF) -> None:
        self._editing.drag(self._pair_at(screen))
        active = self._editing.active
        if active is not None:
            self._outlines.follow(self._editing.draft_layer, active.mark_index)
        self._magnify_active()
        self.viewport().update()

    def _clicked(self, screen: QPointF) -> None:
        if self._editing.active is not None:
            self._editing.deactivate()
            self._refreshed()
        scene = self.to_scene(screen)
        if self.picture_area().contains(scene):
            self.pointed.emit(point_of(scene))

    def _point_crosshair(self, at: PixelPair) -> None:
        self._crosshair = Point(*inside(self.layer(), at))
        self._magnify((self._crosshair.x_px, self._crosshair.y_px), "Space places")
        self.viewport().update()

    def _magnify_active(self) -> None:
        at = self._editing.active_px
        if at is not None:
            self._magnify(at, "arrow key = 0.1 px")

    def _magnify(self, at: PixelPair, caption: str) -> None:
        scene = scene_of(Point(*at))
        self._magnifier.look_at(scene, self.viewportTransform().map(scene), self.zoom(), caption)

    # looks

    def drawForeground(self, painter: QPainter, rect: QRectF | QRect) -> None:  # noqa: N802 - Qt's name
        """Paint the marks, in screen coordinates, so that lines keep their width."""
        del rect
        painter.save()
        to_screen = painter.worldTransform()
        painter.resetTransform()
        ink = Ink(painter, to_screen, self.font())
        self._draw_marks(ink)
        room = self.viewport().rect()
        taken: list[Rect] = []
        named = dict(drawing.named_ellipses(self._shown, self._outlines))
        drawing.draw_rim_words(ink, named, Rect(0, 0, room.width(), room.height()), taken)
        drawing.draw_labels(ink, self._editing.draft_layer.marks, self._labels)
        if self._shown is None:
            drawing.draw_handles(ink, self._editing, self._outlines)
        if self.hasFocus() and self._editing.active is None:
            frame = QPainterPath()
            frame.addRect(self._room().adjusted(3, 3, -3, -3))
            ink.stroke(frame, ACCENT, width=4.0)
        painter.restore()

    def _draw_marks(self, ink: Ink) -> None:
        if self._shown is None:
            drawing.draw_rims(ink, self._outlines)
        else:
            drawing.draw_shown(ink, self._shown)
        drawing.draw_others(ink, self._editing.draft_layer.marks)
        if self._draft is not None and self._draft.points_px:
            places = [scene_of(Point(*p)) for p in self._draft.points_px]
            path = QPainterPath()
            path.addPolygon(QPolygonF(places))
            ink.outline(path, NEAR, width=THIN)
            ink.cross(places, NEAR)

    def _paint_magnified(self, painter: QPainter, exposed: QRectF, to_screen: QTransform) -> None:
        painter.setWorldTransform(to_screen, combine=True)
        if self._picture is not None:
            zoom = to_screen.m11() * self.devicePixelRatioF()
            self._picture.draw(painter, exposed, zoom)
        painter.resetTransform()
        self._draw_marks(Ink(painter, to_screen, self.font()))
