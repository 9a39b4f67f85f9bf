"""A row of a list: what it says, and how it is drawn."""

from typing import NamedTuple

from PySide6.QtCore import QRect, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetrics, QPainter, QPen

from capture.desk.look.palette import Palette
from capture.desk.look.signs import paint_sign
from capture.desk.look.type import font
from store.attempt import Standing

ONE, TWO = 48, 64  # height with one line and with two
CLOSE = 48  # with two where there is little room
_LINES = 44  # of which the words take
_INDENT, _BAR, _BOX = 28, 6, 22


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


def paint_row(painter: QPainter, area: QRect, row: Row, colours: Palette, *, current: bool) -> None:
    """Draw a row: bar and ground of the current one, tick, sign, the two lines, the right."""
    painter.save()
    if current:
        painter.fillRect(area, QColor(colours.well))
        painter.fillRect(area.left(), area.top(), _BAR, area.height(), QColor(colours.accent))
    painter.setPen(QPen(QColor(colours.rule), 1))
    painter.drawLine(area.bottomLeft(), area.bottomRight())
    left = area.left() + 20 + _INDENT * row.level
    if row.ticked is not None:
        _tick(painter, QRect(left, area.center().y() - _BOX // 2, _BOX, _BOX), row, colours)
        left += _BOX + 14
    if row.state is not None:
        paint_sign(painter, QRectF(left, area.center().y() - 10, 20, 20), row.state, colours)
        left += 32
    words = QRect(left, area.top(), area.right() - 16 - left, area.height())
    _lines(painter, words, row, colours)
    painter.restore()


def is_cut(row: Row, width: int) -> bool:
    """Return whether a row says more than there is room for in a width."""
    left = 20 + _INDENT * row.level + (0 if row.state is None else 32)
    room = width - left - 16
    caption = QFontMetrics(font("caption"))
    right = caption.horizontalAdvance(row.right) + 18 if row.right else 0
    title = QFontMetrics(font("body", bold=row.bold)).horizontalAdvance(row.title)
    return title + right > room or caption.horizontalAdvance(row.below) > room


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
    top = area.top() + (area.height() - _LINES) // 2
    upper = QRect(area.left(), top, area.width(), 24) if row.below else area
    wide = _right(painter, upper, row, colours)
    painter.setPen(QColor(colours.ink))
    painter.setFont(font("body", bold=row.bold))
    _elided(painter, upper.adjusted(0, 0, -wide, 0), row.title)
    if row.below:
        painter.setPen(QColor(colours.ink2))
        painter.setFont(font("caption"))
        _elided(painter, QRect(area.left(), top + 24, area.width(), 20), row.below)


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
