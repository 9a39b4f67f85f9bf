"""What may be waived, one chip each: exactly one is chosen."""

from PySide6.QtCore import QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFontMetrics, QPainter, QPen, QResizeEvent
from PySide6.QtWidgets import QListView, QStyle, QStyledItemDelegate, QStyleOptionViewItem

from capture.desk.desk import Desk
from capture.desk.hold.lines import Line
from capture.desk.look.signs import paint_sign
from capture.desk.look.type import font
from capture.desk.walk.spoken_list import SpokenList
from capture.desk.walk.spoken_model import Index

_HIGH = 48
_SIGN = 20


class Chips(SpokenList):
    """Chips side by side, going on in the next line; a press or the arrow keys choose one."""

    chosen = Signal()

    def __init__(self, desk: Desk) -> None:
        super().__init__("which one is waived")
        self.desk = desk
        self.setItemDelegate(_Drawn(self))
        self.setFlow(QListView.Flow.LeftToRight)
        self.setWrapping(True)
        self.setSpacing(0)
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
        self._fit()
        if not self.currentIndex().isValid() and lines:
            self.setCurrentIndex(self.spoken.index(0))
        self.chosen.emit()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Be as high as all of them need at this width."""
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        rows, x = 1, 0
        for wide in map(chip_width, self.items):
            if x and x + wide > self.viewport().width():
                rows, x = rows + 1, 0
            x += wide
        self.setFixedHeight(rows * _HIGH)


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
        painter.drawRect(box.adjusted(1, 1, -1, -1))
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
