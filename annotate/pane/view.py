"""A picture that can be moved and enlarged: by drag, wheel, pinch and keys."""

from PySide6.QtCore import QEvent, QPointF, QRect, QRectF, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QKeyEvent,
    QNativeGestureEvent,
    QPainter,
    QResizeEvent,
    QTransform,
    QWheelEvent,
)
from PySide6.QtWidgets import (
    QFrame,
    QGestureEvent,
    QGraphicsScene,
    QGraphicsView,
    QPinchGesture,
    QWidget,
)

from annotate.marks import Point, from_corner_px, to_corner_px
from annotate.pane.levels import PictureLevels
from annotate.pane.picture import Picture

MAT = "#08090a"  # behind the photo
_ON_DARK, _ON_LIGHT, _DARK_UNDER = "#f4f2ec", "#17191c", 0.5
LARGEST_ZOOM = 40.0  # screen pixels per pixel
_NOTCH = 1.25  # of the wheel, and of the keys + and -
_NOTCH_ANGLE = 120.0
_PAN_PX = 48  # of an arrow key


class ZoomView(QGraphicsView):
    """Shows one picture. Scene coordinates are its corner-based pixels.

    ``view_changed`` tells (zoom, centre) after the person at the desk moved or enlarged it, not
    after ``set_view``: two views can follow each other without an echo.
    """

    view_changed = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._picture_scene = QGraphicsScene(self)
        self.setScene(self._picture_scene)
        self._picture: Picture | None = None
        self._fitted = True
        self._middle = QPointF()
        self._words = ""
        self.setBackgroundBrush(QColor(MAT))
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setTransformationAnchor(QGraphicsView.ViewportAnchor.NoAnchor)
        self.setResizeAnchor(QGraphicsView.ViewportAnchor.NoAnchor)
        # The photo is painted once for each place and zoom; marks over it at each frame.
        self.setCacheMode(QGraphicsView.CacheModeFlag.CacheBackground)
        self.setViewportUpdateMode(QGraphicsView.ViewportUpdateMode.FullViewportUpdate)
        self.viewport().grabGesture(Qt.GestureType.PinchGesture)

    def set_picture(self, levels: PictureLevels | None) -> None:
        """Show a picture as a whole, or none."""
        self._picture = None if levels is None else Picture(levels)
        self._picture_scene.setSceneRect(self.picture_area())
        self.resetCachedContent()
        self.fit_whole()
        self.viewport().update()

    def wear_mat(self, colour: str) -> None:
        """Lie on another mat, "#rrggbb"."""
        self.setBackgroundBrush(QColor(colour))
        self.resetCachedContent()
        self.viewport().update()

    def say(self, words: str) -> None:
        """Say on the mat why there is no picture; a picture takes the place of the words."""
        self._words = words
        self.resetCachedContent()
        self.viewport().update()

    def picture_area(self) -> QRectF:
        """Return the picture's area in scene coordinates, an empty one without a picture."""
        return QRectF() if self._picture is None else self._picture.area

    def zoom(self) -> float:
        """Return how many screen pixels one pixel of the picture is."""
        return self.transform().m11()

    def centre(self) -> Point:
        """Return which place of the picture is in the middle of the view."""
        middle = self.to_scene(QRectF(self.viewport().rect()).center())
        return point_of(middle)

    def to_scene(self, at: QPointF) -> QPointF:
        """Return where a place of the viewport is in the scene, to a fraction of a pixel."""
        return self.viewportTransform().inverted()[0].map(at)

    def to_viewport(self, at: Point) -> QPointF:
        """Return where a place of the picture is in the viewport."""
        return self.viewportTransform().map(scene_of(at))

    def fit_whole(self) -> None:
        """Show all of the picture, as large as it goes."""
        self._fitted = True
        self._place(self._fit_zoom(), self.picture_area().center())
        self._tell()

    def zoom_to(self, centre: Point, zoom: float) -> None:
        """Show a place of the picture in the middle at a zoom."""
        self.set_view(zoom, centre)
        self._tell()

    def set_view(self, zoom: float, centre: Point) -> None:
        """Show a place in the middle at a zoom, and tell nobody: another view's lead is followed.

        The zoom is kept between all of the picture and LARGEST_ZOOM, and the picture in the view.
        """
        self._fitted = zoom <= self._fit_zoom()
        self._place(zoom, scene_of(centre))

    def zoom_at(self, at: QPointF, factor: float) -> None:
        """Enlarge about a place of the viewport, which stays where it is."""
        fixed = self.to_scene(at)
        zoom = self._within(self.zoom() * factor)
        middle = QRectF(self.viewport().rect()).center()
        self._fitted = zoom <= self._fit_zoom()
        self._place(zoom, fixed + (middle - at) / zoom)
        self._tell()

    def pan(self, by: QPointF) -> None:
        """Move the picture by screen pixels."""
        self._place(self.zoom(), self._middle - by / self.zoom())
        self._tell()

    def key_moves_view(self, event: QKeyEvent) -> bool:
        """Do what a key says to the view, and tell whether it said anything."""
        middle = QRectF(self.viewport().rect()).center()
        match event.key():
            case Qt.Key.Key_Plus | Qt.Key.Key_Equal:
                self.zoom_at(middle, _NOTCH)
            case Qt.Key.Key_Minus:
                self.zoom_at(middle, 1 / _NOTCH)
            case Qt.Key.Key_0:
                self.fit_whole()
            case _ if arrow := arrow_of(event.key()):
                self.pan(QPointF(*arrow) * -_PAN_PX)
            case _:
                return False
        return True

    def drawBackground(self, painter: QPainter, rect: QRectF | QRect) -> None:  # noqa: N802 - Qt's name
        """Paint the mat and the exposed part of the picture."""
        painter.fillRect(rect, self.backgroundBrush())
        if self._picture is not None:
            self._picture.draw(painter, QRectF(rect), self.zoom() * self.devicePixelRatioF())
        elif self._words:
            self._draw_words_on_mat(painter)

    def _draw_words_on_mat(self, painter: QPainter) -> None:
        is_dark = self.backgroundBrush().color().lightnessF() < _DARK_UNDER
        painter.save()
        painter.resetTransform()
        painter.setPen(QColor(_ON_DARK if is_dark else _ON_LIGHT))
        painter.setFont(self.font())
        room = self.viewport().rect().adjusted(_PAN_PX, 0, -_PAN_PX, 0)
        flags = Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap
        painter.drawText(room, flags, self._words)
        painter.restore()

    def wheelEvent(self, event: QWheelEvent) -> None:  # noqa: N802 - Qt's name
        """Enlarge about the pointer; two fingers on a pad move the picture instead."""
        by = event.pixelDelta()
        if not by.isNull() and event.phase() != Qt.ScrollPhase.NoScrollPhase:
            self.pan(QPointF(by))
        else:
            self.zoom_at(event.position(), _NOTCH ** (event.angleDelta().y() / _NOTCH_ANGLE))
        event.accept()

    def viewportEvent(self, event: QEvent) -> bool:  # noqa: N802 - Qt's name
        """Take pinches, by touch and by pad, before the rest."""
        if isinstance(event, QNativeGestureEvent):
            if event.gestureType() == Qt.NativeGestureType.ZoomNativeGesture:
                self.zoom_at(event.position(), 1 + event.value())
                return True
        elif isinstance(event, QGestureEvent):
            pinch = event.gesture(Qt.GestureType.PinchGesture)
            if isinstance(pinch, QPinchGesture):
                at = self.viewport().mapFromGlobal(pinch.centerPoint())
                self.zoom_at(at, pinch.scaleFactor())
                return True
        return super().viewportEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Keep the whole picture in view if it was, else the same place in the middle."""
        super().resizeEvent(event)
        zoom = self._fit_zoom() if self._fitted else self.zoom()
        self._place(zoom, self._middle)

    def _fit_zoom(self) -> float:
        area, room = self.picture_area(), self.viewport().rect()
        if area.isEmpty() or room.isEmpty():
            return 1.0
        return min(room.width() / area.width(), room.height() / area.height())

    def _within(self, zoom: float) -> float:
        least = self._fit_zoom()
        return min(max(zoom, least), max(LARGEST_ZOOM, least))

    def _place(self, zoom: float, middle: QPointF) -> None:
        zoom = self._within(zoom)
        self.setTransform(QTransform.fromScale(zoom, zoom))
        self.centerOn(middle)
        # What the scroll bars made of it, so that a pan past the edge is not saved up.
        self._middle = self.to_scene(QRectF(self.viewport().rect()).center())

    def _tell(self) -> None:
        if self._picture is not None:
            self.view_changed.emit((self.zoom(), self.centre()))


def point_of(scene: QPointF) -> Point:
    """Return a scene place (corner-based pixels) as a Point (pixel centres)."""
    return Point(from_corner_px(scene.x()), from_corner_px(scene.y()))


def scene_of(point: Point) -> QPointF:
    """Return a Point (pixel centres) as a scene place (corner-based pixels)."""
    return QPointF(to_corner_px(point.x_px), to_corner_px(point.y_px))


def arrow_of(key: int) -> tuple[int, int] | None:
    """Return the direction (x, y) of an arrow key, None for another key."""
    return {
        Qt.Key.Key_Left: (-1, 0),
        Qt.Key.Key_Right: (1, 0),
        Qt.Key.Key_Up: (0, -1),
        Qt.Key.Key_Down: (0, 1),
    }.get(Qt.Key(key))
