"""A list of records: one or two lines each, with a sign, a tick and a word on the right."""

from collections.abc import Sequence
from typing import NamedTuple

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFontMetrics, QKeyEvent, QMouseEvent, QPainter, QPen
from PySide6.QtWidgets import (
    QAbstractItemView,
    QListWidget,
    QListWidgetItem,
    QStyledItemDelegate,
    QStyleOptionViewItem,
)

from capture.desk.look.palette import LIGHT, Palette
from capture.desk.look.signs import paint_sign
from capture.desk.look.type import font
from store.attempt import Standing

_ROW = Qt.ItemDataRole.UserRole
_ONE, _TWO = 48, 64  # height with one line and with two
_INDENT, _BAR, _BOX = 28, 6, 22
_Index = QModelIndex | QPersistentModelIndex


class Row(NamedTuple):
    """One record: ``key`` is what it is called among the others, ``level`` how far it is set in.

    ``ticked`` is None where there is nothing to tick; ``state`` has its sign drawn before it.
    """

    key: str
    title: str
    below: str = ""
    right: str = ""
    level: int = 0
    bold: bool = False
    ticked: bool | None = None
    state: Standing | None = None

    @property
    def spoken(self) -> str:
        """The row for somebody who hears it."""
        tick = {True: "ticked", False: "not ticked", None: ""}[self.ticked]
        said = (self.title, self.state or "", self.below, self.right, tick)
        return ", ".join(words for words in said if words)


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
        self.setMinimumHeight(_TWO * 2)
        self.colours = palette
        self._whole = False
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
        """Be as high as all rows are: for a short list on a page that scrolls."""
        self._whole = True
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
        left = 20 + _INDENT * row.level + (0 if row.state is None else 32)
        room = self.viewport().width() - left - 16
        caption = QFontMetrics(font("caption"))
        right = caption.horizontalAdvance(row.right) + 18 if row.right else 0
        title = QFontMetrics(font("body", bold=row.bold)).horizontalAdvance(row.title)
        return title + right > room or caption.horizontalAdvance(row.below) > room

    def choose(self, key: str) -> None:
        """Make the row of a key the current one; nothing where it is not there."""
        keys = self.row_keys()
        if key in keys:
            self.setCurrentRow(keys.index(key))

    def wear(self, palette: Palette) -> None:
        """Draw in these colours from now on."""
        self.colours = palette
        self.viewport().update()

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
        return QSize(100, _TWO if row.below else _ONE)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: _Index) -> None:
        """Draw it: bar and ground of the current one, tick, sign, the two lines, the right."""
        row: Row = index.data(_ROW)
        view = self.parent()
        assert isinstance(view, RowList)  # noqa: S101 - it draws for no other
        colours, area = view.colours, QRect(option.rect)
        painter.save()
        if index.row() == view.currentRow():
            painter.fillRect(area, QColor(colours.well))
            painter.fillRect(area.left(), area.top(), _BAR, area.height(), QColor(colours.accent))
        painter.setPen(QPen(QColor(colours.rule), 1))
        painter.drawLine(area.bottomLeft(), area.bottomRight())
        left = area.left() + 20 + _INDENT * row.level
        if row.ticked is not None:
            _tick(painter, QRect(left, area.center().y() - _BOX // 2, _BOX, _BOX), row, colours)
            left += _BOX + 14
        if row.state is not None:
            square = QRectF(left, area.center().y() - 10, 20, 20)
            paint_sign(painter, square, row.state, colours)
            left += 32
        words = QRect(left, area.top(), area.right() - 16 - left, area.height())
        _lines(painter, words, row, colours)
        painter.restore()


def _tick(painter: QPainter, box: QRect, row: Row, colours: Palette) -> None:
    painter.setPen(QPen(QColor(colours.ink if row.ticked else colours.edge), 2))
    painter.setBrush(QColor(colours.well))
    painter.drawRect(box)
    if row.ticked:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(QColor(colours.accent), 3.5))
        x, y = box.left(), box.top()
        painter.drawLine(x + 5, y + 11, x + 9, y + 16)
        painter.drawLine(x + 9, y + 16, x + 17, y + 6)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, on=False)
    painter.setBrush(Qt.BrushStyle.NoBrush)


def _lines(painter: QPainter, area: QRect, row: Row, colours: Palette) -> None:
    """Draw title and right end on one line, what is below on the next, over the whole width."""
    upper = QRect(area.left(), area.top() + 10, area.width(), 24) if row.below else area
    wide = _right(painter, upper, row, colours)
    painter.setPen(QColor(colours.ink))
    painter.setFont(font("body", bold=row.bold))
    _elided(painter, upper.adjusted(0, 0, -wide, 0), row.title)
    if row.below:
        painter.setPen(QColor(colours.ink2))
        painter.setFont(font("caption"))
        _elided(painter, QRect(area.left(), area.top() + 34, area.width(), 20), row.below)


def _right(painter: QPainter, line: QRect, row: Row, colours: Palette) -> int:
    """Draw the words at the right end of a line; return the room they take."""
    if not row.right:
        return 0
    painter.setFont(font("caption"))
    painter.setPen(QColor(colours.ink2))
    metrics = painter.fontMetrics()
    words = metrics.elidedText(row.right, Qt.TextElideMode.ElideRight, line.width() // 2)
    wide = metrics.horizontalAdvance(words) + 2
    box = QRect(line.right() - wide, line.top(), wide, line.height())
    painter.drawText(box, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft, words)
    return wide + 16


def _elided(painter: QPainter, box: QRect, words: str) -> None:
    fitting = painter.fontMetrics().elidedText(words, Qt.TextElideMode.ElideRight, box.width())
    painter.drawText(box, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft, fitting)
