"""The section through a hold point: the cover above, what holds it off, what lies flush."""

from PySide6.QtCore import QPoint, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QListView, QStyle, QStyledItemDelegate, QStyleOptionViewItem

from capture.desk.desk import Desk
from capture.desk.hold.columns import Column
from capture.desk.hold.drawn_section import (
    HIGH,
    SAT,
    Drawing,
    draw_column,
    draw_cover,
    draw_focus,
    draw_ground,
    draw_label,
    width_of,
)
from capture.desk.walk.spoken_list import SpokenList
from capture.desk.walk.spoken_model import Index


class Section(SpokenList):
    """The columns side by side; left and right move, Space or a press goes there."""

    stood_at = Signal(object)  # the Column that the cursor is at, or None

    def __init__(self, desk: Desk) -> None:
        super().__init__("what the cover hides, in section")
        self._desk = desk
        self._bar = ("", "")
        self._closed = False
        self.inset = 0  # what the material leaves free on the right; the cover does not
        self.delegate = _Drawn(self)
        self.setItemDelegate(self.delegate)
        self.setFlow(QListView.Flow.LeftToRight)
        self.setWrapping(False)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.horizontalScrollBar().setSingleStep(42)
        self.horizontalScrollBar().rangeChanged.connect(lambda _, high: self._fit(high))
        # What lies above the columns stands still while they scroll under it.
        self.horizontalScrollBar().valueChanged.connect(lambda _: self.viewport().update())
        self.selectionModel().currentChanged.connect(lambda *_: self.stood_at.emit(self.column))
        self._fit(0)

    def show_columns(self, columns: list[Column], bar: tuple[str, str], *, closed: bool) -> None:
        """Show these columns under a cover with these words on it."""
        self._bar, self._closed = bar, closed
        self.show_items(columns)
        self.scheduleDelayedItemsLayout()  # the columns' height and width depend on the cover
        self._fit(self.horizontalScrollBar().maximum())
        if columns and not self.currentIndex().isValid():
            self.setCurrentIndex(self.spoken.index(0))
        self.stood_at.emit(self.column)

    @property
    def column(self) -> Column | None:
        """The column that the cursor is at."""
        at = self.currentIndex()
        column: Column | None = self.items[at.row()] if at.isValid() else None
        return column

    @property
    def lifted(self) -> bool:
        """Whether something holds the cover off."""
        return not self._closed and any(column.prop for column in self.items)

    @property
    def above(self) -> int:
        """How much of the drawing's top is left out: where the cover sits nothing is there."""
        return 0 if self.lifted else SAT

    def drawing(self, painter: QPainter, box: QRectF) -> Drawing:
        """Return what a piece of the section is drawn with."""
        ends = self.viewport().width() - self.inset
        colours, closed = self._desk.palette, self._closed
        return Drawing(painter, box, colours, lifted=self.lifted, closed=closed, ends=ends)

    def column_width(self, at: int) -> int:
        """Return how wide a column is: one whose words have no room beside it is wider."""
        roomy = at + 1 < len(self.items) and not self.items[at + 1].prop
        return width_of(self.items[at], roomy=roomy or self._closed)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Draw the ground, the columns that can be seen, their words, and the cover over all."""
        whole = QRectF(self.viewport().rect())
        painter = QPainter(self.viewport())
        painter.translate(0, -self.above)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        draw_ground(self.drawing(painter, whole))
        painter.end()
        super().paintEvent(event)
        painter = QPainter(self.viewport())
        painter.translate(0, -self.above)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for at in self._seen():
            box = QRectF(self.visualRect(self.spoken.index(at)))
            draw_label(self.drawing(painter, box), self.items[at])
        draw_cover(self.drawing(painter, whole), *self._bar)
        painter.end()

    def _seen(self) -> range:
        """Return the columns that can be seen."""
        first = self.indexAt(QPoint(1, 8)).row()
        last = self.indexAt(QPoint(self.viewport().width() - 1, 8)).row()
        return range(max(first, 0), len(self.items) if last < 0 else last + 1)

    def _fit(self, high: int) -> None:
        bar = self.horizontalScrollBar().sizeHint().height() if high else 0
        self.setFixedHeight(HIGH - self.above + bar)


class _Drawn(QStyledItemDelegate):
    """Draws a column. ``painted`` counts the columns drawn, for a test."""

    def __init__(self, section: Section) -> None:
        super().__init__(section)
        self._section = section
        self.painted = 0

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        """Draw one column, and the ring of the cursor while the keyboard is here."""
        self.painted += 1
        painter.save()
        painter.translate(0, -self._section.above)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        drawing = self._section.drawing(painter, QRectF(option.rect))
        draw_column(drawing, self._section.items[index.row()])
        if option.state & QStyle.StateFlag.State_HasFocus:
            draw_focus(drawing)
        painter.restore()

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:  # noqa: ARG002, N802 - Qt's own
        """Return how much room a column takes."""
        return QSize(self._section.column_width(index.row()), HIGH - self._section.above)
