"""The pages of a report, one below the other, drawn only where they are looked at."""

from pathlib import Path

from PySide6.QtCore import QRect, QSize, Qt
from PySide6.QtGui import (
    QColor,
    QImageReader,
    QKeyEvent,
    QPainter,
    QPaintEvent,
    QPixmap,
    QResizeEvent,
)
from PySide6.QtWidgets import QScrollArea, QWidget

from capture.desk.desk import Desk
from capture.desk.look.type import font

_GAP = 16
_KEPT = 8  # pages drawn already: the ones about those looked at


class Pages(QScrollArea):
    """A column of pages as wide as there is room for; Page Up and Page Down turn them."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._column = _Column(desk)
        self.setWidget(self._column)
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFrameShape(QScrollArea.Shape.NoFrame)
        self.setAccessibleName("pages of the report")

    @property
    def count(self) -> int:
        """How many pages there are."""
        return len(self._column.files)

    def show_pages(self, files: list[Path]) -> None:
        """Show these pictures of pages, in their order."""
        self._column.show_files(files)
        self.verticalScrollBar().setValue(0)
        self.setAccessibleDescription(f"{len(files)} pages")

    def page_shown(self) -> int:
        """Return the number of the page in the middle, from 1; 0 if there is none."""
        middle = self.verticalScrollBar().value() + self.viewport().height() // 2
        return self._column.page_at(middle)

    def turn(self, pages: int) -> None:
        """Go to the next page, or the one before."""
        wanted = max(1, min(self.count, self.page_shown() + pages))
        if self.count:
            self.verticalScrollBar().setValue(self._column.top_of(wanted) - _GAP)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Turn pages; everything else is as in any scroll area."""
        steps = {Qt.Key.Key_Space: 1, Qt.Key.Key_Right: 1, Qt.Key.Key_Left: -1}
        if event.key() in steps:
            self.turn(steps[Qt.Key(event.key())])
        elif event.key() == Qt.Key.Key_Home:
            self.verticalScrollBar().setValue(0)
        elif event.key() == Qt.Key.Key_End:
            self.verticalScrollBar().setValue(self.verticalScrollBar().maximum())
        else:
            super().keyPressEvent(event)


class _Column(QWidget):
    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self.files: list[Path] = []
        self._sizes: list[QSize] = []
        self._drawn: dict[tuple[int, int], QPixmap] = {}

    def show_files(self, files: list[Path]) -> None:
        self.files = files
        # The header alone is read: a page is decoded when it is looked at.
        self._sizes = [QImageReader(str(file)).size() for file in files]
        self._drawn.clear()
        self._be_as_high()
        self.update()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        super().resizeEvent(event)
        self._be_as_high()

    def page_at(self, y: int) -> int:
        return next((n for n in range(len(self.files), 0, -1) if self.top_of(n) <= y), 0)

    def top_of(self, number: int) -> int:
        return _GAP + sum(self._height(n) + _GAP for n in range(number - 1))

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        painter = QPainter(self)
        painter.fillRect(event.rect(), QColor(self._desk.palette.mat))
        if not self.files:
            painter.setPen(QColor(self._desk.palette.ink))
            painter.setFont(font())
            painter.drawText(self.rect(), Qt.AlignmentFlag.AlignCenter, "No pages yet")
        for n in range(len(self.files)):
            box = QRect(_GAP, self.top_of(n + 1), self.width() - 2 * _GAP, self._height(n))
            if box.intersects(event.rect()):
                painter.drawPixmap(box.topLeft(), self._page(n, box.size()))
        painter.end()

    def _height(self, number: int) -> int:
        size = self._sizes[number]
        if size.width() <= 0:
            return 0
        return round((self.width() - 2 * _GAP) * size.height() / size.width())

    def _be_as_high(self) -> None:
        self.setMinimumHeight(self.top_of(len(self.files) + 1) if self.files else 0)

    def _page(self, number: int, size: QSize) -> QPixmap:
        ratio = self.devicePixelRatioF()
        wanted = QSize(round(size.width() * ratio), round(size.height() * ratio))
        key = (number, wanted.width())
        if key not in self._drawn:
            whole = QPixmap(str(self.files[number]))
            page = whole.scaled(
                wanted, Qt.AspectRatioMode.IgnoreAspectRatio,
                Qt.TransformationMode.SmoothTransformation,
            )  # fmt: skip
            page.setDevicePixelRatio(ratio)
            self._drawn[key] = page
            for oldest in list(self._drawn)[:-_KEPT]:
                del self._drawn[oldest]
        return self._drawn[key]
