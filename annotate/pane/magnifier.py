"""The magnifier: what lies under the handle, large, in the corner farthest from it."""

from collections.abc import Callable
from math import hypot

from PySide6.QtCore import QPoint, QPointF, QRect, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPaintEvent, QTransform
from PySide6.QtWidgets import QWidget

from annotate.pane.ink import LABEL, NEAR, PLATE, THIN, Ink

SIDE_PX = 168
ENLARGED = 5.0  # screen pixels per pixel of the picture
_EDGE_PX = 3
_MARGIN_PX = 12
_CAPTION_PX = 28
_CLEAR_PX = 24  # of the handle, at least
_LEAST_PX = 72
_NEAR_PX = 40  # of the handle: the magnifier moves away from under it
_ARM = (8.0, 30.0)  # of the cross, from its open middle


class Magnifier(QWidget):
    """A square of the picture at five screen pixels a pixel, or twice the view if that is more.

    ``paint`` draws the picture and its outlines: (painter, exposed part of the scene, transform).
    """

    def __init__(
        self, parent: QWidget, paint: Callable[[QPainter, QRectF, QTransform], None]
    ) -> None:
        super().__init__(parent)
        self._room, self._paint = parent, paint
        self._at = QPointF()
        self._zoom = ENLARGED
        self.caption = ""
        self._side = SIDE_PX
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.hide()

    def look_at(self, scene: QPointF, screen: QPointF, zoom: float, caption: str) -> None:
        """Show a place of the scene, which lies at ``screen`` in a view of this zoom."""
        self._at, self._zoom = scene, max(ENLARGED, 2 * zoom)
        self.caption = f"{self._zoom:.0f}×  {caption}" if caption else f"{self._zoom:.0f}×"  # noqa: RUF001 - the sign of times is meant
        self._fit_room()
        around = self.geometry().adjusted(-_NEAR_PX, -_NEAR_PX, _NEAR_PX, _NEAR_PX)
        outside = not self._room.rect().contains(self.geometry())
        if self.isHidden() or outside or around.contains(screen.toPoint()):
            self.move(self._farthest(screen))
        self.show()
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint the picture, its outlines, a cross open in the middle, and the caption."""
        del event
        painter = QPainter(self)
        inner = QRectF(_EDGE_PX, _EDGE_PX, self._side, self._side)
        painter.fillRect(self.rect(), QColor(PLATE))
        painter.fillRect(inner.adjusted(-_EDGE_PX, -_EDGE_PX, _EDGE_PX, _EDGE_PX), QColor(NEAR))
        painter.fillRect(inner, QColor(PLATE))
        painter.save()
        painter.setClipRect(inner)
        to_screen = QTransform.fromTranslate(inner.center().x(), inner.center().y())
        to_screen.scale(self._zoom, self._zoom)
        to_screen.translate(-self._at.x(), -self._at.y())
        self._paint(painter, to_screen.inverted()[0].mapRect(inner), to_screen)
        self._cross(Ink(painter, QTransform(), self.font()), inner.center())
        painter.restore()
        painter.setPen(QColor(LABEL))
        room = QRect(QPoint(8, self.height() - _CAPTION_PX), self.rect().bottomRight())
        painter.drawText(room, Qt.AlignmentFlag.AlignVCenter, self.caption)
        painter.end()

    def _cross(self, ink: Ink, middle: QPointF) -> None:
        path = QPainterPath()
        for x, y in ((1, 0), (-1, 0), (0, 1), (0, -1)):
            path.moveTo(middle + QPointF(x, y) * _ARM[0])
            path.lineTo(middle + QPointF(x, y) * _ARM[1])
        ink.stroke(path, NEAR, width=THIN)

    def _fit_room(self) -> None:
        """Be as large as leaves one corner free of any handle: less than half of the room."""
        room = self._room.rect()
        across = room.width() // 2 - 2 * _EDGE_PX
        down = room.height() // 2 - 2 * _EDGE_PX - _CAPTION_PX
        self._side = max(_LEAST_PX, min(SIDE_PX, max(across, down) - _MARGIN_PX - _CLEAR_PX))
        self.setFixedSize(self._side + 2 * _EDGE_PX, self._side + 2 * _EDGE_PX + _CAPTION_PX)

    def _farthest(self, screen: QPointF) -> QPoint:
        """Return the corner of the room in which this square is farthest from a place."""
        room = self._room.rect()
        right = room.width() - self.width() - _MARGIN_PX
        below = room.height() - self.height() - _MARGIN_PX
        corners = [QPoint(x, y) for x in (_MARGIN_PX, right) for y in (_MARGIN_PX, below)]
        return max(corners, key=lambda corner: _apart(QRectF(corner, self.size()), screen))


def _apart(box: QRectF, at: QPointF) -> float:
    """Return how far a place lies from a square, 0 inside it."""
    across = max(box.left() - at.x(), at.x() - box.right(), 0.0)
    down = max(box.top() - at.y(), at.y() - box.bottom(), 0.0)
    return hypot(across, down)
