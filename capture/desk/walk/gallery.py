"""The drilled gallery: the list of the round's rows. It draws what can be seen and no more."""

from collections.abc import Sequence

from PySide6.QtCore import (
    QAbstractListModel,
    QModelIndex,
    QPersistentModelIndex,
    QRectF,
    QSize,
    Qt,
    Signal,
)
from PySide6.QtGui import QColor, QKeyEvent, QPainter, QPaintEvent, QPen, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QFrame,
    QListView,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
)

from capture.desk.desk import Desk
from capture.desk.look.type import font
from capture.desk.walk.drawn_row import GAP, Drawing, draw_row, draw_walls, height_of
from capture.desk.walk.row import HoldRow, LocationRow, Row
from capture.desk.walk.settling import Settling
from capture.desk.walk.slim_bar import SlimBar

_Index = QModelIndex | QPersistentModelIndex
_RING = 3


class RowModel(QAbstractListModel):
    """The rows, for the view and for a screen reader."""

    def __init__(self) -> None:
        super().__init__()
        self.rows: list[Row] = []

    def rowCount(self, parent: _Index = QModelIndex()) -> int:  # noqa: N802, B008 - Qt's own
        """Return how many rows there are."""
        return 0 if parent.isValid() else len(self.rows)

    def data(self, index: _Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """Return what is said of a row."""
        spoken = {
            Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole,
            Qt.ItemDataRole.ToolTipRole,
        }  # fmt: skip
        if index.isValid() and role in spoken:
            return self.rows[index.row()].spoken
        return None

    def show(self, rows: list[Row]) -> bool:
        """Show other rows; return whether they are the same ones, perhaps with other words."""
        same = [row.key for row in rows] == [row.key for row in self.rows]
        if same:
            self.rows = rows
            if rows:
                self.dataChanged.emit(self.index(0), self.index(len(rows) - 1))
            return True
        self.beginResetModel()
        self.rows = rows
        self.endResetModel()
        return False

    def find(self, key: str) -> QModelIndex:
        """Return the index of the row with this key, an invalid one if there is none."""
        at = next((n for n, row in enumerate(self.rows) if row.key == key), -1)
        return self.index(at) if at >= 0 else QModelIndex()


class RowDelegate(QStyledItemDelegate):
    """Draws a row. ``painted`` counts the rows drawn, for a test."""

    def __init__(self, desk: Desk, model: RowModel, settling: Settling) -> None:
        super().__init__()
        self._desk, self._model, self._settling = desk, model, settling
        self.painted = 0

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: _Index) -> None:
        """Draw one row, and the ring of the cursor while the keyboard is here."""
        self.painted += 1
        row = self._model.rows[index.row()]
        box = QRectF(option.rect)
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        draw_row(Drawing(painter, box, self._desk.palette, self._settling.lift_of(row)), row)
        if option.state & QStyle.StateFlag.State_HasFocus:
            painter.setPen(QPen(QColor(self._desk.palette.accent), _RING))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            inset = _RING / 2
            painter.drawRect(box.adjusted(inset, inset, -inset, -inset))
        painter.restore()

    def sizeHint(self, option: QStyleOptionViewItem, index: _Index) -> QSize:  # noqa: ARG002, N802 - Qt's own
        """Return how much room a row takes."""
        row = self._model.rows[index.row()]
        return QSize(100, height_of(row, self._settling.lift_of(row)))


class Gallery(QListView):
    """The rows of the round, by mouse and by keyboard: up and down, Home, End, Space goes there."""

    gone_to = Signal(object)  # Row

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self.rows = RowModel()
        self.settling = Settling(GAP, self)
        self.delegate = RowDelegate(desk, self.rows, self.settling)
        self.setModel(self.rows)
        self.setItemDelegate(self.delegate)
        self.setAccessibleName("the round")
        self.setFont(font())
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setStyleSheet("QListView { border: none; background: transparent; }")
        self.setSelectionMode(QAbstractItemView.SelectionMode.NoSelection)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setResizeMode(QListView.ResizeMode.Adjust)
        self.verticalScrollBar().setSingleStep(24)
        self.slim_bar = SlimBar(self)
        self.clicked.connect(self._go)
        self.settling.moved.connect(self.scheduleDelayedItemsLayout)

    def show_rows(self, rows: Sequence[Row]) -> None:
        """Show these rows; the cursor and what can be seen stay where they were."""
        at = self.currentIndex()
        cursor = self.rows.rows[at.row()].key if at.isValid() else ""
        scrolled = self.verticalScrollBar().value()
        self.settling.expect(self.rows.rows, rows)
        if not self.rows.show(list(rows)):
            self.setCurrentIndex(self.rows.find(cursor))
            self.doItemsLayout()
            self.verticalScrollBar().setValue(scrolled)
        else:
            self.scheduleDelayedItemsLayout()
        self.viewport().update()

    def bring_here(self) -> None:
        """Scroll to where one is, and put the cursor there."""
        here = next(
            (r for r in self.rows.rows if isinstance(r, LocationRow | HoldRow) and r.here), None
        )
        if here is not None:
            index = self.rows.find(here.key)
            self.setCurrentIndex(index)
            shown = self.visualRect(index)
            if shown.top() < 0 or shown.bottom() > self.viewport().height():
                self.scrollTo(index, QAbstractItemView.ScrollHint.PositionAtCenter)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Move the cursor; Space goes. Letters and figures are left to the screen's verbs."""
        if event.key() == Qt.Key.Key_Space:
            self._go(self.currentIndex())
        elif event.text().strip() or event.key() in {Qt.Key.Key_Return, Qt.Key.Key_Enter}:
            event.ignore()
        else:
            super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Draw the rows that can be seen, and the gallery going on below the last."""
        super().paintEvent(event)
        last = self.visualRect(self.rows.index(len(self.rows.rows) - 1))
        below = QRectF(0, last.bottom() + 1, self.viewport().width(), self.viewport().height())
        if last.bottom() < self.viewport().height():
            painter = QPainter(self.viewport())
            draw_walls(Drawing(painter, below, self._desk.palette))
            painter.end()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Keep the scroll bar at the edge."""
        super().resizeEvent(event)
        self.slim_bar.stay()

    def _go(self, index: _Index) -> None:
        if index.isValid():
            self.gone_to.emit(self.rows.rows[index.row()])
