"""The list beside a crowded face, where the photo has room for numbers only."""

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPen
from PySide6.QtWidgets import QStyle, QStyledItemDelegate, QStyleOptionViewItem

from capture.desk.desk import Desk
from capture.desk.look.type import font
from capture.desk.map.faces import Spotted
from capture.desk.map.stamp import cut
from capture.desk.walk.drawn_lying import draw_lying
from capture.desk.walk.spoken_list import SpokenList
from capture.desk.walk.spoken_model import Index

WIDE = 240
_ROW, _SIGN, _TEXT = 48, 20.0, 42.0


class SpotList(SpokenList):
    """The locations on a face, in walking order: arrows move, Space or a press goes there."""

    def __init__(self, desk: Desk) -> None:
        super().__init__("the locations on this face")
        self.desk = desk
        self.here = ""
        self._delegate = _Drawn(self)
        self.setItemDelegate(self._delegate)
        self.setFixedWidth(WIDE)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setSpacing(0)

    def show_spots(self, spots: tuple[Spotted, ...], here: str) -> None:
        """Show these; ``here`` is the one that the round stands at."""
        self.here = here
        self.show_items([spot for spot in spots if spot.at is not None])


class _Drawn(QStyledItemDelegate):
    """Draws a row: sign, number and name over word and value."""

    def __init__(self, spots: SpotList) -> None:
        super().__init__(spots)
        self._list = spots

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:  # noqa: ARG002, N802 - Qt's
        """Return a row's height."""
        return QSize(WIDE - 20, _ROW)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        """Draw one row, and the ring of the cursor while the keyboard is here."""
        spot, box = self._list.items[index.row()], QRectF(option.rect)
        colours, lies = self._list.desk.palette, spot.lying
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if spot.key == self._list.here:
            painter.fillRect(QRectF(box.left(), box.top(), 6, box.height()), QColor(colours.accent))
        sign = QRectF(box.left() + 12, box.center().y() - _SIGN / 2, _SIGN, _SIGN)
        draw_lying(painter, sign, lies, colours)
        room = box.width() - _TEXT - 8
        for text, y, high, face, ink in (
            (f"{spot.number}  {spot.name}", 1, 25, font(), colours.ink),
            (
                "  ".join((lies.word, *lies.values[-1:])), 24, 20,
                font("caption"), colours.ink2,
            ),
        ):  # fmt: skip
            painter.setFont(face)
            painter.setPen(QColor(ink))
            line = QRectF(box.left() + _TEXT, box.top() + y, room + 2, high)
            shown = cut(text, room, painter.fontMetrics().horizontalAdvance)
            painter.drawText(line, Qt.AlignmentFlag.AlignVCenter, shown)
        has_ring = option.state & QStyle.StateFlag.State_HasFocus
        if has_ring and self._list.hasFocus():
            painter.setPen(QPen(QColor(colours.accent), 4))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(box.adjusted(2, 2, -2, -2))
        painter.restore()
