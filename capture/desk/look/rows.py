"""A list of records: one or two lines each, with a sign, a tick and a word on the right."""

from collections.abc import Sequence

from PySide6.QtCore import (
    QEvent,
    QModelIndex,
    QPersistentModelIndex,
    QRect,
    QSize,
    Qt,
    Signal,
)
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter
from PySide6.QtWidgets import (
    QAbstractItemView,
    QListWidget,
    QListWidgetItem,
    QStyledItemDelegate,
    QStyleOptionViewItem,
)

from capture.desk.look.palette import LIGHT, Palette
from capture.desk.look.row import CLOSE, ONE, TWO, Row, is_cut, paint_row
from capture.desk.look.type import font

_ROW = Qt.ItemDataRole.UserRole
_Index = QModelIndex | QPersistentModelIndex


class RowList(QListWidget):
    """Rows of which one is the current one. ``chosen`` is told its key, ``ticked`` key and tick."""

    chosen = Signal(str)
    ticked = Signal(str, bool)

    def __init__(self, name: str, palette: Palette = LIGHT) -> None:
        super().__init__()
        self.setAccessibleName(name)
        self.setFont(font())
        self.setItemDelegate(_Drawn(self))
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setMinimumHeight(TWO * 2)
        self.colours = palette
        self._whole = False
        self.two = TWO  # the height of a row of two lines
        self.currentItemChanged.connect(self._tell)

    def show_rows(self, rows: Sequence[Row]) -> None:
        """Show other rows; the current one and the place in the list stay where they can."""
        if [row.key for row in rows] == self.row_keys():
            for number, row in enumerate(rows):
                self._fill(self.item(number), row)
        else:
            before, scrolled = self.key, self.verticalScrollBar().value()
            self.blockSignals(True)
            self.clear()
            for row in rows:
                item = QListWidgetItem()
                self._fill(item, row)
                self.addItem(item)
            self.blockSignals(False)
            self.choose(before)
            self.verticalScrollBar().setValue(scrolled)
        if self._whole:
            self.setFixedHeight(sum(map(self.sizeHintForRow, range(self.count()))) + 2)

    def show_whole(self) -> None:
        """Be as high as all rows are, and these close: for a short list on a page that scrolls."""
        self._whole = True
        self.two = CLOSE
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)

    def row_keys(self) -> list[str]:
        """Return the keys of all rows."""
        return [self.row_at(number).key for number in range(self.count())]

    def row_at(self, number: int) -> Row:
        """Return a row by its number from 0."""
        row: Row = self.item(number).data(_ROW)
        return row

    @property
    def key(self) -> str:
        """The key of the current row, empty if there is none."""
        item = self.currentItem()
        return item.data(_ROW).key if item else ""

    def is_cut(self, row: Row) -> bool:
        """Return whether a row says more than there is room for."""
        return is_cut(row, self.viewport().width())

    def choose(self, key: str) -> None:
        """Make the row of a key the current one; nothing where it is not there."""
        keys = self.row_keys()
        if key in keys:
            self.setCurrentRow(keys.index(key))

    def reveal(self) -> None:
        """Scroll so that the current row is in sight."""
        self.scrollTo(self.currentIndex())

    def wear(self, palette: Palette) -> None:
        """Draw in these colours from now on."""
        self.colours = palette
        self.viewport().update()

    def event(self, event: QEvent) -> bool:
        """Keep the paging keys: in a list they page through it."""
        paging = {Qt.Key.Key_PageUp, Qt.Key.Key_PageDown}
        override = event.type() == QEvent.Type.ShortcutOverride
        if override and isinstance(event, QKeyEvent) and event.key() in paging:
            event.accept()
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Space ticks; Return is left to the readings, letters to the verbs."""
        item = self.currentItem()
        others = {Qt.Key.Key_Return, Qt.Key.Key_Enter}
        if event.key() == Qt.Key.Key_Space and item is not None:
            self._turn(item)
        elif event.key() in others or (event.text() and event.text().isprintable()):
            event.ignore()
        else:
            super().keyPressEvent(event)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Tick wherever on the row it was clicked."""
        item = self.itemAt(event.position().toPoint())
        super().mouseReleaseEvent(event)
        if item is not None and event.button() == Qt.MouseButton.LeftButton:
            self._turn(item)

    def _turn(self, item: QListWidgetItem) -> None:
        row: Row = item.data(_ROW)
        if row.ticked is not None:
            self.ticked.emit(row.key, not row.ticked)

    def _tell(self, item: QListWidgetItem | None) -> None:
        if item is not None:
            self.chosen.emit(item.data(_ROW).key)

    def _fill(self, item: QListWidgetItem, row: Row) -> None:
        if item.data(_ROW) == row:
            return
        item.setData(_ROW, row)
        item.setText(row.title)
        item.setData(Qt.ItemDataRole.AccessibleTextRole, row.spoken)
        item.setToolTip("\n".join(words for words in (row.title, row.below) if words))


class _Drawn(QStyledItemDelegate):
    """Draws a row. What does not fit ends in an ellipsis, whole in the tool tip."""

    def sizeHint(self, option: QStyleOptionViewItem, index: _Index) -> QSize:  # noqa: ARG002, N802 - Qt's name
        """Return the height of one line or two."""
        row: Row = index.data(_ROW)
        view = self.parent()
        assert isinstance(view, RowList)  # noqa: S101 - it draws for no other
        return QSize(100, view.two if row.below else ONE)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: _Index) -> None:
        """Draw it in the colours of its list."""
        view = self.parent()
        assert isinstance(view, RowList)  # noqa: S101 - it draws for no other
        current = index.row() == view.currentRow()
        paint_row(painter, QRect(option.rect), index.data(_ROW), view.colours, current=current)
