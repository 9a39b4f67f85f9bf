"""The lines of a hold point: photo, sign, name, what was found, and the key that goes there."""

from PySide6.QtCore import QRect, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetrics, QImage, QPainter, QPen, QResizeEvent
from PySide6.QtWidgets import QStyle, QStyledItemDelegate, QStyleOptionViewItem

from capture.desk.desk import Desk
from capture.desk.hold.groups import Group
from capture.desk.look.palette import Palette
from capture.desk.look.signs import paint_sign
from capture.desk.look.type import font
from capture.desk.shelf import shelf_of
from capture.desk.walk.drawn_lying import draw_small_cover
from capture.desk.walk.slim_bar import SlimBar
from capture.desk.walk.spoken_list import SpokenList
from capture.desk.walk.spoken_model import Index

KEYS = 9
_LEAST = 5  # lines that are in sight however low the window is
_WIDE, _NARROW = 56, 100  # the height of a line; where there is less width its words stand below
_PHOTO = QSize(76, 48)
_SIGN, _TEXT, _GO = 128, 164, 124
_WIDE_FROM = 820
_SHARE = 0.46  # of the room for words, for the name


class LineList(SpokenList):
    """One line for each location; Space, a press or its figure goes there."""

    def __init__(self, desk: Desk) -> None:
        super().__init__("what is unproven")
        self.desk = desk
        self.inset = 0  # what is left free on the right, for the scroll bar too
        self._photos: dict[str, QImage] = {}
        self.setItemDelegate(_Drawn(self))
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.slim_bar = SlimBar(self)
        self.verticalScrollBar().setSingleStep(24)

    @property
    def is_wide(self) -> bool:
        """Whether what was found has room beside the name."""
        return self.viewport().width() >= _WIDE_FROM

    def line_height(self) -> int:
        """Return how high one line is."""
        return _WIDE if self.is_wide else _NARROW

    def photo_of(self, line: Group) -> QImage | None:
        """Return the small photo of a line if it is there; ask for it if it is not."""
        taken = line.photo
        if taken is None:
            return None
        if taken.photo not in self._photos:
            self._photos[taken.photo] = QImage()
            size = _PHOTO
            shelf_of(self.desk).thumbnail(
                taken, size.width(), size.height(),
                lambda image: self._take(taken.photo, image),
            )  # fmt: skip
        photo = self._photos[taken.photo]
        return None if photo.isNull() else photo

    def show_lines(self, lines: list[Group]) -> None:
        """Show these lines; a list without any is not there."""
        self.show_items(lines)
        self.setVisible(bool(lines))
        self._fit()

    def _fit(self) -> None:
        """Be as high as the lines are if there is room, and scroll where there is not."""
        high = _WIDE if self.is_wide else _NARROW
        self.setMinimumHeight(high * min(len(self.items), _LEAST))
        self.setMaximumHeight(high * len(self.items) + 2)

    def _take(self, photo: str, image: QImage) -> None:
        self._photos[photo] = image
        self.viewport().update()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Lay out again: lines are higher where there is less width."""
        super().resizeEvent(event)
        self.slim_bar.stay()
        self._fit()
        self.scheduleDelayedItemsLayout()


class _Drawn(QStyledItemDelegate):
    """Draws a line."""

    def __init__(self, lines: LineList) -> None:
        super().__init__(lines)
        self._lines = lines

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:  # noqa: ARG002, N802 - Qt's own
        """Return how much room a line takes."""
        return QSize(100, self._lines.line_height())

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        """Draw photo, sign, words and the button; a rule below."""
        lines = self._lines
        box = QRect(option.rect).adjusted(0, 0, -lines.inset, 0)
        line, colours = lines.items[index.row()], lines.desk.palette
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(box.left(), box.bottom(), box.width(), 1, QColor(colours.rule))
        self._draw_signs(painter, box, line, colours)
        _draw_words(painter, box, line, colours, wide=lines.is_wide)
        key = str(index.row() + 1) if index.row() < KEYS else ""
        button = QRect(box.right() - _GO, box.center().y() - 24, _GO, 48)
        focused = bool(option.state & QStyle.StateFlag.State_HasFocus)
        _draw_button(painter, button, key, colours, focused=focused)
        painter.restore()

    def _draw_signs(self, painter: QPainter, box: QRect, line: Group, colours: Palette) -> None:
        middle = box.center().y()
        frame = QRect(
            box.left() + 1, middle - _PHOTO.height() // 2, _PHOTO.width(), _PHOTO.height()
        )
        photo = self._lines.photo_of(line)
        if photo is not None:
            painter.drawImage(frame, photo)
        elif line.number:
            pen = QPen(QColor(colours.edge), 1.5)
            pen.setDashPattern([4, 3])
            painter.setPen(pen)
            painter.drawRect(frame)
            painter.setPen(QColor(colours.ink2))
            painter.setFont(font("caption"))
            words = "no photo" if line.photo is None else ""  # one that is coming is awaited
            painter.drawText(frame, Qt.AlignmentFlag.AlignCenter, words)
        if line.number:
            square = QRectF(_SIGN - 14, middle - 14, 28, 28)
            paint_sign(painter, square, line.state, colours, suspect=line.suspect)
        else:
            draw_small_cover(painter, QRectF(_SIGN - 16, middle - 9, 32, 18), colours)


def _draw_words(
    painter: QPainter, box: QRect, line: Group, colours: Palette, *, wide: bool
) -> None:
    room = box.width() - _TEXT - _GO - 24
    name = round(room * _SHARE) if wide else room
    top = box.center().y() - (46 if wide else 90) // 2
    ink, ink2 = QColor(colours.ink), QColor(colours.ink2)
    _write(painter, QRect(_TEXT, top, name, 24), line.heading, ink, bold=True)
    second = QRect(_TEXT, top + 25, name, 20)
    face = font("caption", bold=True)
    painter.setFont(face)
    painter.setPen(ink)
    painter.drawText(second, Qt.AlignmentFlag.AlignVCenter, line.word)
    rest = second.adjusted(QFontMetrics(face).horizontalAdvance(line.word) + 8, 0, 0, 0)
    _write(painter, rest, "gauge suspect" if line.suspect else line.question, ink2, small=True)
    found = QRect(_TEXT, top + 47, room, 24)
    if wide:
        found = QRect(_TEXT + name + 24, top, room - name - 24, 24 if line.after else 46)
    _write(painter, found, line.detail, ink, wraps=wide and not line.after)
    _write(painter, found.translated(0, 24 if wide else 23), line.after, ink2, small=True)


def _write(
    painter: QPainter,
    box: QRect,
    text: str,
    ink: QColor,
    *,
    bold: bool = False,
    small: bool = False,
    wraps: bool = False,
) -> None:
    """Write in one line; smaller, and in two where it ``wraps``, if one is too short for it."""
    large = QFontMetrics(font("body", bold=bold)).horizontalAdvance(text) <= box.width()
    painter.setFont(font("caption" if small or not (large or bold) else "body", bold=bold))
    painter.setPen(ink)
    metrics = painter.fontMetrics()
    flags = Qt.AlignmentFlag.AlignVCenter
    if wraps and metrics.horizontalAdvance(text) > box.width():
        painter.drawText(box, flags | Qt.TextFlag.TextWordWrap, text)
        return
    cut = Qt.TextElideMode.ElideMiddle if bold else Qt.TextElideMode.ElideRight
    shown = metrics.elidedText(text, cut, max(0, box.width()))
    painter.drawText(box, flags, shown)


def _draw_button(
    painter: QPainter, box: QRect, key: str, colours: Palette, *, focused: bool
) -> None:
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(QColor(colours.accent if focused else colours.edge), 4 if focused else 2))
    painter.drawRect(box.adjusted(2, 2, -2, -2))
    painter.setPen(QColor(colours.ink))
    painter.setFont(font())
    words = "Go to it"
    wide = painter.fontMetrics().horizontalAdvance(words)
    left = box.left() + (box.width() - wide - (32 if key else 0)) // 2
    line = QRect(left, box.top(), wide + 2, box.height())
    painter.drawText(line, Qt.AlignmentFlag.AlignVCenter, words)
    if key:
        cap = QRect(left + wide + 10, box.center().y() - 10, 22, 22)
        painter.setPen(QPen(QColor(colours.ink), 1.2))
        painter.drawRoundedRect(cap, 2, 2)
        painter.setFont(font("caption"))
        painter.drawText(cap, Qt.AlignmentFlag.AlignCenter, key)
