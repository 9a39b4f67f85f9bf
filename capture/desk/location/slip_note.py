"""The question about a reading that looks like a slip: it hangs from the box by a notch."""

import re
from collections.abc import Callable

from PySide6.QtCore import QLineF, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from capture.desk.location.slip_scale import SlipScale
from capture.desk.look.controls import Verb, label
from capture.desk.look.palette import LIGHT, Palette
from capture.desk.look.type import font

_NOTCH = 14
_TICKS = 40
_SIZE = re.compile(r"[0-9.]+ [^ ]+(?= away)")
_TORQUE = (
    "A bolt tightened by the wrong scale has the wrong torque. Slacken it, tighten it by the right "
    "scale, and type what that reads; another unit behind the same figure is not taken."
)


class SlipNote(QWidget):
    """What is suspected, the gap as a dimension, and two answers; no corrected number."""

    def __init__(self, again: Callable[[], object], keep: Callable[[], object]) -> None:
        super().__init__()
        self._palette = LIGHT
        self._title = label("", "body", bold=True, wrap=True)
        self._words = label("", "body", wrap=True)
        self._torque = label(_TORQUE, "body", wrap=True)
        self._scale = _Scale()
        self.again = Verb("Read again", "R", primary=True, does=again)
        self.keep = Verb("Keep it", "K", does=keep)
        for verb in (self.again, self.keep):
            verb.setFocusPolicy(Qt.FocusPolicy.TabFocus)
            verb.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        column = QVBoxLayout(self)
        column.setContentsMargins(16, _NOTCH + 5, 16, 5)
        column.setSpacing(3)
        column.addWidget(self._title)
        column.addWidget(self._words)
        column.addWidget(self._torque)
        column.addWidget(self._scale)
        answers = QHBoxLayout()
        answers.setSpacing(8)
        answers.addWidget(self.again)
        answers.addWidget(self.keep)
        column.addLayout(answers)
        column.addWidget(label("Nothing is changed; your answer is kept.", "caption", wrap=True))

    @property
    def text(self) -> str:
        """What is asked."""
        return f"{self._title.text()} {self._words.text()}"

    def ask(self, suspected: tuple[str, ...], scale: SlipScale | None, *, torque: bool) -> None:
        """Show what is suspected; ``torque`` says that a torque was read by the wrong scale."""
        names, gaps = [], []
        for question in suspected:
            gap, _, name = question.rpartition(": ")
            names.append(name)
            gaps.append(gap)
        self._title.setText(" ".join(f"{name[:1].upper()}{name[1:]}" for name in names))
        self._words.setText(" ".join(f"{gap[:1].upper()}{gap[1:]}." for gap in dict.fromkeys(gaps)))
        self._torque.setVisible(torque)
        size = _SIZE.match(gaps[0]) if gaps else None
        self._scale.show_scale(scale, size[0] if size else "the gap")
        self.again.set_words("Do it again" if torque else "Read again")
        self.setAccessibleName(self.text)

    def wear(self, palette: Palette) -> None:
        """Draw in other colours."""
        self._palette = self._scale.palette_worn = palette
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 - Qt's name
        """Draw the note with its notch, which points at the figures."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(QColor(self._palette.ink), 2))
        painter.setBrush(QColor(self._palette.well))
        wide, high, at = self.width() - 2.0, self.height() - 2.0, self.width() * 0.76
        painter.drawPolygon(QPolygonF([
            QPointF(2, _NOTCH), QPointF(at - _NOTCH, _NOTCH), QPointF(at, 2),
            QPointF(at + _NOTCH, _NOTCH), QPointF(wide, _NOTCH), QPointF(wide, high),
            QPointF(2, high),
        ]))  # fmt: skip
        painter.end()


class _Scale(QWidget):
    """The earlier readings as strokes, the one just typed in the accent, the gap between."""

    def __init__(self) -> None:
        super().__init__()
        self.palette_worn = LIGHT
        self._scale: SlipScale | None = None
        self._gap = ""
        self.setFixedHeight(57)

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return room for a line and its dimension."""
        return QSize(240, 57)

    def show_scale(self, scale: SlipScale | None, gap: str) -> None:
        """Show other readings; nothing where there is nothing to compare with."""
        self._scale, self._gap = scale, gap
        self.setVisible(scale is not None)
        if scale is not None:
            self.setAccessibleName(f"the gap to {scale.there_words}, as a line")
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 - Qt's name
        """Draw the line, the strokes and the dimension."""
        if self._scale is None:
            return
        painter = QPainter(self)
        ink = QColor(self.palette_worn.ink)
        wide, base = self.width() - 2.0, 48.0
        painter.setPen(QPen(ink, 2))
        painter.drawLine(QLineF(1, base, wide, base))
        painter.setPen(QPen(QColor(self.palette_worn.edge), 1))
        for tick in range(_TICKS + 1):
            x = 1 + (wide - 1) * tick / _TICKS
            painter.drawLine(QLineF(x, base, x, base + (8 if tick % 5 == 0 else 5)))
        for at in self._scale.there:
            painter.fillRect(QRectF(at * wide - 2, base - 18, 4, 18), ink)
        painter.fillRect(
            QRectF(self._scale.typed * wide - 2, base - 18, 4, 18),
            QColor(self.palette_worn.accent),
        )
        self._dimension(painter, ink, wide, self._scale)
        painter.end()

    def _dimension(self, painter: QPainter, ink: QColor, wide: float, scale: SlipScale) -> None:
        start, end = sorted(each * wide for each in scale.gap)
        painter.setPen(QPen(ink, 1.4))
        y = 18.0
        painter.drawLine(QLineF(start, y - 6, start, y + 8))
        painter.drawLine(QLineF(end, y - 6, end, y + 8))
        painter.setFont(font("caption"))
        words = self._gap
        needs = painter.fontMetrics().horizontalAdvance(words) + 12.0
        middle = (start + end) / 2
        if end - start > needs + 16:
            painter.drawLine(QLineF(start, y, middle - needs / 2, y))
            painter.drawLine(QLineF(middle + needs / 2, y, end, y))
            painter.drawText(
                QRectF(middle - needs / 2, y - 10, needs, 20), Qt.AlignmentFlag.AlignCenter, words
            )
        else:
            painter.drawLine(QLineF(start, y, end, y))
