"""The plot of one check over many jobs, as it is kept: a sheet, scaled to the room there is."""

from PySide6.QtCore import QByteArray, QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QResizeEvent
from PySide6.QtSvg import QSvgRenderer
from PySide6.QtWidgets import QScrollArea, QWidget

_LARGEST = 1.6  # of its size: beyond that the letters are larger than any others on the screen


class PlotView(QScrollArea):
    """As wide as there is room for, scrolled up and down where there are many jobs."""

    def __init__(self) -> None:
        super().__init__()
        self._sheet = _Sheet()
        self.setWidget(self._sheet)
        self.setFrameShape(QScrollArea.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setAlignment(Qt.AlignmentFlag.AlignHCenter | Qt.AlignmentFlag.AlignTop)
        self.setAccessibleName("plot of one check over many jobs")

    def show_svg(self, drawing: str, said: str) -> None:
        """Show a drawing; ``said`` is what somebody hears of it."""
        self._sheet.renderer.load(QByteArray(drawing.encode()))
        self.setAccessibleDescription(said)
        self._fit()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Scale the sheet with the room."""
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        whole = self._sheet.renderer.defaultSize()
        if whole.isEmpty():
            return
        scale = min(self.viewport().width() / whole.width(), _LARGEST)
        self._sheet.resize(QSize(round(whole.width() * scale), round(whole.height() * scale)))
        self._sheet.update()


class _Sheet(QWidget):
    def __init__(self) -> None:
        super().__init__()
        self.renderer = QSvgRenderer(self)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 - Qt's name
        """Draw the drawing over the whole sheet."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self.renderer.render(painter, QRectF(self.rect()))
        painter.end()
