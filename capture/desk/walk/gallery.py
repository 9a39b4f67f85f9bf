"""The drilled gallery: the list of the round's rows. It draws what can be seen and no more."""

from collections.abc import Sequence

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
)

from capture.desk.desk import Desk
from capture.desk.walk.drawn_row import GAP, Drawing, draw_row, draw_walls, height_of
from capture.desk.walk.row import HoldRow, LocationRow, Row
from capture.desk.walk.settling import Settling
from capture.desk.walk.slim_bar import SlimBar
from capture.desk.walk.spoken_list import SpokenList
from capture.desk.walk.spoken_model import Index

_RING = 3


class Gallery(SpokenList):
    """The rows of the round, by mouse and by keyboard: up and down, Home, End, Space goes there."""

    def __init__(self, desk: Desk) -> None:
        super().__init__("the round")
        self.desk = desk
        self.marks_cursor = False  # while something is sought: the keyboard is in the find box
        self.settling = Settling(GAP, self)
        self.delegate = _Drawn(self)
        self.setItemDelegate(self.delegate)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.verticalScrollBar().setSingleStep(24)
        self.slim_bar = SlimBar(self)
        self.settling.moved.connect(self.scheduleDelayedItemsLayout)

    def show_rows(self, rows: Sequence[Row]) -> None:
        """Show these rows; a cover whose last prop went sits down."""
        self.settling.expect(self.items, rows)
        self.show_items(rows)

    def bring_here(self) -> None:
        """Scroll to where one is, and put the cursor there."""
        rows = (row for row in self.items if isinstance(row, LocationRow | HoldRow))
        here = next((row for row in rows if row.here), None)
        if here is None:
            return
        index = self.spoken.find(here.key)
        self.setCurrentIndex(index)
        shown = self.visualRect(index)
        if shown.top() < 0 or shown.bottom() > self.viewport().height():
            self.scrollTo(index, QAbstractItemView.ScrollHint.PositionAtCenter)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Draw the rows that can be seen, and the gallery going on below the last."""
        super().paintEvent(event)
        last = self.visualRect(self.spoken.index(len(self.items) - 1))
        high = self.viewport().height()
        if last.bottom() < high:
            painter = QPainter(self.viewport())
            below = QRectF(0, last.bottom() + 1, self.viewport().width(), high)
            draw_walls(Drawing(painter, below, self.desk.palette))
            painter.end()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Keep the scroll bar at the edge."""
        super().resizeEvent(event)
        self.slim_bar.stay()


class _Drawn(QStyledItemDelegate):
    """Draws a row. ``painted`` counts the rows drawn, for a test."""

    def __init__(self, gallery: Gallery) -> None:
        super().__init__(gallery)
        self._gallery = gallery
        self.painted = 0

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        """Draw one row, and the ring of the cursor while the keyboard is here."""
        self.painted += 1
        gallery = self._gallery
        row, box = gallery.items[index.row()], QRectF(option.rect)
        colours = gallery.desk.palette
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        draw_row(Drawing(painter, box, colours, gallery.settling.lift_of(row)), row)
        found = gallery.marks_cursor and index.row() == gallery.currentIndex().row()
        if found or option.state & QStyle.StateFlag.State_HasFocus:
            painter.setPen(QPen(QColor(colours.accent), _RING))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            inset = _RING / 2
            painter.drawRect(box.adjusted(inset, inset, -inset, -inset))
        painter.restore()

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:  # noqa: ARG002, N802 - Qt's own
        """Return how much room a row takes."""
        row = self._gallery.items[index.row()]
        wide = self._gallery.viewport().width()
        return QSize(100, height_of(row, self._gallery.settling.lift_of(row), wide))
