"""What the camera sees now, as large as there is room, with the sharpness beside it."""

from PySide6.QtCore import QRect, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QImage, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from capture.desk.camera.source import Pixels
from capture.desk.look.palette import ON_PHOTO, PLATE
from capture.desk.look.type import font

_INSET = 16.0


class LiveView(QWidget):
    """A frame, or words where there is none."""

    def __init__(self) -> None:
        super().__init__()
        self._pixels: Pixels | None = None  # held as long as the image that lies on it
        self._image = QImage()
        self._words = ""
        self.setAccessibleName("what the camera sees")

    @property
    def words(self) -> str:
        """What is said instead of a frame."""
        return self._words

    def show_frame(self, pixels: Pixels) -> None:
        """Show a frame."""
        high, wide = pixels.shape[:2]
        self._pixels, self._words = pixels, ""
        self._image = QImage(
            pixels.data, wide, high, pixels.strides[0], QImage.Format.Format_RGB888
        )
        self.update()

    def say(self, words: str) -> None:
        """Say why there is no frame, and what to do."""
        self._words = words
        self._image, self._pixels = QImage(), None
        self.setAccessibleDescription(words)
        self.update()

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return a size that most cameras' frames fit into."""
        return QSize(640, 480)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 - Qt's name
        """Draw the frame whole, or the words in a dashed outline."""
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(PLATE))
        if not self._image.isNull():
            painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
            painter.drawImage(self._fitting(), self._image)
            painter.end()
            return
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        pen = QPen(QColor("#7F8485"), 2)
        pen.setDashPattern([5.0, 4.0])
        painter.setPen(pen)
        painter.drawRect(QRectF(self.rect()).adjusted(_INSET, _INSET, -_INSET, -_INSET))
        painter.setPen(QColor(ON_PHOTO))
        painter.setFont(font())
        room = self.rect().adjusted(48, 32, -48, -32)
        painter.drawText(room, Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap, self._words)
        painter.end()

    def _fitting(self) -> QRect:
        size = self._image.size().scaled(self.size(), Qt.AspectRatioMode.KeepAspectRatio)
        return QRect(
            (self.width() - size.width()) // 2, (self.height() - size.height()) // 2,
            size.width(), size.height(),
        )  # fmt: skip
