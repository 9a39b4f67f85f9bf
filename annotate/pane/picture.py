"""The picture on the painter: the level that suits the zoom, and of it only what is exposed."""

from math import ceil, floor

from PySide6.QtCore import QRect, QRectF
from PySide6.QtGui import QImage, QPainter

from annotate.pane.levels import PictureLevels


class Picture:
    """Levels wrapped as images without copying: the arrays are held as long as the images are."""

    def __init__(self, levels: PictureLevels) -> None:
        self._levels = levels
        self._images = [
            QImage(
                level.data,
                level.shape[1],
                level.shape[0],
                level.strides[0],
                QImage.Format.Format_RGB888,
            )
            for level in levels.levels
        ]

    @property
    def area(self) -> QRectF:
        """The picture's area in scene coordinates (corner-based pixels)."""
        return QRectF(0, 0, self._levels.width_px, self._levels.height_px)

    def draw(self, painter: QPainter, exposed: QRectF, zoom: float) -> None:
        """Paint what is exposed (scene coordinates) at ``zoom`` device pixels per pixel."""
        image = self._images[self._levels.level_for(zoom)]
        across = image.width() / self._levels.width_px
        down = image.height() / self._levels.height_px
        # Whole pixels and one more on each side: a cut pixel would be stretched at the seam.
        left, top = floor(exposed.left() * across) - 1, floor(exposed.top() * down) - 1
        right, bottom = ceil(exposed.right() * across) + 1, ceil(exposed.bottom() * down) + 1
        part = QRect(left, top, right - left, bottom - top).intersected(image.rect())
        if part.isEmpty():
            return
        target = QRectF(
            part.left() / across, part.top() / down, part.width() / across, part.height() / down
        )
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        painter.drawImage(target, image, QRectF(part))
