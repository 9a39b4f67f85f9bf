"""The grid that fills itself: the next spot outlined, struck figures legible, the worst ringed."""

from math import ceil
from typing import NamedTuple

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QFontMetricsF,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QResizeEvent,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from capture.desk.location.grid_table import Cell, Table, step_from
from capture.desk.location.ring import paint_ring
from capture.desk.look.palette import LIGHT, Palette
from capture.desk.look.type import font
from store.characteristic import Spot

_ROW, _HEAD = 48, 28
_NARROWEST = 76
_FACTS = 24  # each line below: what it comes to, and what the ring means
_ROWS_SEEN = 2  # at least, however low the window is


class _Typed(NamedTuple):
    spot: Spot = Spot()
    text: str = ""


class GridView(QWidget):
    """Rows and columns of readings. A press on a cell, or Ctrl and an arrow, chooses a spot."""

    chosen = Signal(object)  # Spot

    def __init__(self) -> None:
        super().__init__()
        self._palette = LIGHT
        self._table = Table((), ())
        self._here: Spot | None = None
        self._typed = _Typed()
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)

    @property
    def here(self) -> Spot | None:
        """The spot that the next reading goes to."""
        return self._here

    @property
    def table(self) -> Table:
        """What is shown."""
        return self._table

    def show_table(self, table: Table, here: Spot | None) -> None:
        """Show other readings, and which spot is next."""
        self._table, self._here = table, here
        self._take_height()
        self._say()
        self.update()

    def show_typed(self, text: str) -> None:
        """Show in the next cell what stands in the box, as not filed yet."""
        self._typed = _Typed(self._here or Spot(), text.strip())
        self.update()

    def wear(self, palette: Palette) -> None:
        """Draw in other colours."""
        self._palette = palette
        self.update()

    def step(self, across: int, down: int) -> None:
        """Choose the spot beside the one that is next."""
        if self._here is not None:
            self.chosen.emit(step_from(self._table, self._here, across, down))

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return room for every row."""
        head = _HEAD if self._table.columns else 0
        wide = self._heading() + _NARROWEST * max(1, self._across())
        facts = _FACTS * (bool(self._table.result) + self._note_lines())
        return QSize(int(wide), head + _ROW * len(self._table.rows) + facts)

    def minimumSizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return the same: a cell that is cut can't be read."""
        return self.sizeHint()

    @property
    def least_high(self) -> int:
        """The height of its headings and of the rows that are to be seen at once, in pixels."""
        head = _HEAD if self._table.columns else 0
        return head + _ROW * min(_ROWS_SEEN, len(self._table.rows))

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Break the note anew."""
        super().resizeEvent(event)
        self._take_height()

    def _take_height(self) -> None:
        if self.height() != (high := self.sizeHint().height()):
            self.setFixedHeight(high)

    def _note_lines(self) -> int:
        if not self._table.note:
            return 0
        wide = QFontMetricsF(font("caption")).horizontalAdvance(self._table.note)
        return max(1, ceil(wide * 1.1 / max(1, self.width())))  # words are not broken

    # --- where cells are ------------------------------------------------------------------

    def _across(self) -> int:
        return max((len(cells) for _, cells in self._table.rows), default=0)

    def _heading(self) -> float:
        metrics = QFontMetricsF(font("caption"))
        widest = max((metrics.horizontalAdvance(name) for name, _ in self._table.rows), default=0)
        return float(widest) + 12

    def cell_rect(self, spot: Spot) -> QRectF:
        """Return where a spot's cell is drawn; empty if it is not there."""
        head = _HEAD if self._table.columns else 0
        left = self._heading()
        wide = (self.width() - left - 3) / max(1, self._across())
        for y, (_, cells) in enumerate(self._table.rows):
            for x, cell in enumerate(cells):
                if cell.spot == spot:
                    return QRectF(left + x * wide, head + y * _ROW, wide, _ROW)
        return QRectF()

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Choose the cell that was pressed."""
        for cell in self._table.cells:
            if self.cell_rect(cell.spot).contains(event.position()):
                self.chosen.emit(cell.spot)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Choose by arrows when it has the focus itself."""
        steps = {
            Qt.Key.Key_Left: (-1, 0), Qt.Key.Key_Right: (1, 0),
            Qt.Key.Key_Up: (0, -1), Qt.Key.Key_Down: (0, 1),
        }  # fmt: skip
        if event.key() in steps:
            self.step(*steps[Qt.Key(event.key())])
        else:
            super().keyPressEvent(event)

    def _say(self) -> None:
        """Tell a screen reader every cell in words."""
        said = []
        for name, cells in self._table.rows:
            for n, cell in enumerate(cells):
                column = self._table.columns[n] if n < len(self._table.columns) else ""
                words = ", ".join(word for word in (column, name) if word)
                struck = "".join(f", struck {each}" for each in cell.struck)
                ringed = ", ringed" if cell.ringed else ""
                following = ", next" if cell.spot == self._here else ""
                said.append(f"{words}: {cell.text or 'no reading'}{ringed}{struck}{following}")
        self.setAccessibleName("readings")
        self.setAccessibleDescription(f"{'. '.join(said)}. {self._table.result}".strip())

    # --- drawing --------------------------------------------------------------------------

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 - Qt's name
        """Draw the headings, the cells, and what it comes to."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._headings(painter)
        for cell in self._table.cells:
            self._cell(painter, cell, self.cell_rect(cell.spot))
        self._facts(painter)
        if self._here is not None and not (there := self.cell_rect(self._here)).isNull():
            pen = QPen(QColor(self._palette.accent), 3)
            pen.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
            painter.setPen(pen)
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(there.adjusted(1.5, 1.5, -1.5, -1.5))
        painter.end()

    def _headings(self, painter: QPainter) -> None:
        painter.setFont(font("caption"))
        painter.setPen(QColor(self._palette.ink2))
        first = self._table.rows[0][1] if self._table.rows else ()
        for name, cell in zip(self._table.columns, first, strict=False):
            box = self.cell_rect(cell.spot).translated(0, -_HEAD)
            box.setHeight(_HEAD)
            painter.drawText(box, Qt.AlignmentFlag.AlignCenter, name)
        for name, cells in self._table.rows:
            box = self.cell_rect(cells[0].spot)
            painter.drawText(
                QRectF(0, box.top(), box.left() - 4, _ROW),
                Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft,
                name,
            )

    def _cell(self, painter: QPainter, cell: Cell, box: QRectF) -> None:
        painter.setPen(QPen(QColor(self._palette.rule), 1))
        painter.drawLine(box.topLeft(), box.topRight())
        painter.drawLine(box.bottomLeft(), box.bottomRight())
        painter.drawLine(box.topRight(), box.bottomRight())
        text, is_typed = cell.text, False
        if self._typed.text and cell.spot == self._typed.spot and cell.spot == self._here:
            text, is_typed = f"{self._typed.text} ?", True
        small = QFontMetricsF(font("caption"))
        struck_wide = sum(small.horizontalAdvance(each) + 8 for each in cell.struck)
        x = box.left() + 10
        for struck in cell.struck:
            wide = small.horizontalAdvance(struck)
            if x + wide > box.right() - 2:
                break
            self._struck(painter, struck, QRectF(x, box.top(), wide, box.height()))
            x += wide + 8
        rest = QRectF(x, box.top(), box.right() - x, box.height())
        if struck_wide == 0:
            rest = box
        painter.setFont(font("body" if self._fits(text, rest) else "caption"))
        painter.setPen(QColor(self._palette.ink2 if is_typed else self._palette.ink))
        painter.drawText(rest, Qt.AlignmentFlag.AlignCenter, text)
        if cell.ringed and not is_typed:
            wide = painter.fontMetrics().horizontalAdvance(text)
            paint_ring(painter, rest.center(), wide / 2 + 10, 16, self._palette)

    def _fits(self, text: str, box: QRectF) -> bool:
        return QFontMetricsF(font("body")).horizontalAdvance(text) < box.width() - 4

    def _struck(self, painter: QPainter, text: str, box: QRectF) -> None:
        painter.setFont(font("caption"))
        painter.setPen(QColor(self._palette.ink2))
        painter.drawText(box, Qt.AlignmentFlag.AlignVCenter, text)
        painter.setPen(QPen(QColor(self._palette.ink), 1.4))
        y = box.center().y() + 1
        painter.drawLine(QPointF(box.left() - 1, y), QPointF(box.right() + 1, y))

    def _facts(self, painter: QPainter) -> None:
        note = _FACTS * self._note_lines()
        box = QRectF(0, self.height() - note, self.width(), note)
        painter.setPen(QColor(self._palette.ink))
        painter.setFont(font("caption"))
        words = Qt.AlignmentFlag.AlignVCenter | Qt.TextFlag.TextWordWrap
        painter.drawText(box, words, self._table.note)
        painter.setFont(font("caption", bold=True))
        above = QRectF(0, box.top() - _FACTS, self.width(), _FACTS)
        painter.drawText(above, Qt.AlignmentFlag.AlignVCenter, self._table.result)
