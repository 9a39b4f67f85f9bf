"""What may be waived, one chip each: exactly one is chosen."""

from PySide6.QtCore import QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFontMetrics, QPainter, QPen
from PySide6.QtWidgets import (
    QAbstractItemView,
    QListView,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
)

from capture.desk.desk import Desk
from capture.desk.hold.lines import Line
from capture.desk.look.signs import paint_sign
from capture.desk.look.type import font
from capture.desk.walk.spoken_list import SpokenList
from capture.desk.walk.spoken_model import Index

_HIGH = 48
_SIGN = 20


class Chips(SpokenList):
    """Chips side by side; a press or the arrow keys choose one."""

    chosen = Signal()

    def __init__(self, desk: Desk) -> None:
        super().__init__("which one is waived")
        self.desk = desk
        self.setItemDelegate(_Drawn(self))
        self.setFlow(QListView.Flow.LeftToRight)
        self.setWrapping(False)
        self.setFixedHeight(_HIGH)
        self.setMinimumWidth(96)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.selectionModel().currentChanged.connect(lambda *_: self.chosen.emit())

    @property
    def line(self) -> Line | None:
        """The line that is chosen."""
        at = self.currentIndex()
        line: Line | None = self.items[at.row()] if at.isValid() else None
        return line

    def offer(self, lines: list[Line]) -> None:
        """Offer these; what was chosen stays so if it is still there, else the first is."""
        self.show_items(lines)
        if not self.currentIndex().isValid() and lines:
            self.setCurrentIndex(self.spoken.index(0))
        self.scrollTo(self.currentIndex(), QAbstractItemView.ScrollHint.EnsureVisible)
        self.chosen.emit()

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return room for all of them; those that have none are scrolled to."""
        return QSize(sum(map(chip_width, self.items)), _HIGH)


def chip_width(line: Line) -> int:
    """Return how wide a chip is."""
    return QFontMetrics(font(bold=True)).horizontalAdvance(line.short) + _SIGN + 32


class _Drawn(QStyledItemDelegate):
    """Draws a chip: sign and number, a bar below the one that is chosen."""

    def __init__(self, chips: Chips) -> None:
        super().__init__(chips)
        self._chips = chips

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:  # noqa: ARG002, N802 - Qt's own
        """Return how much room a chip takes."""
        return QSize(chip_width(self._chips.items[index.row()]), _HIGH)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        """Draw one chip."""
        line, box = self._chips.items[index.row()], QRect(option.rect)
        colours = self._chips.desk.palette
        chosen = index.row() == self._chips.currentIndex().row()
        painter.save()
        painter.setPen(QPen(QColor(colours.edge), 2))
        last = index.row() + 1 == len(self._chips.items)
        painter.drawRect(box.adjusted(1, 1, -1 if last else 0, -1))
        if option.state & QStyle.StateFlag.State_HasFocus:
            painter.setPen(QPen(QColor(colours.accent), 4))
            painter.drawRect(box.adjusted(2, 2, -2, -2))
        if chosen:
            bar = QRect(box.left(), box.bottom() - 5, box.width(), 6)
            painter.fillRect(bar, QColor(colours.accent))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        square = QRectF(box.left() + 10, box.center().y() - _SIGN / 2, _SIGN, _SIGN)
        paint_sign(painter, square, line.state, colours, suspect=line.suspect)
        painter.setFont(font(bold=chosen))
        painter.setPen(QColor(colours.ink))
        words = box.adjusted(_SIGN + 18, 0, 0, 0)
        painter.drawText(words, Qt.AlignmentFlag.AlignVCenter, line.short)
        painter.restore()
