"""The sharpness of what the camera sees now, and the best so far: for focusing by it."""

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

from capture.desk.look.hatch import paint_hatch
from capture.desk.look.palette import Palette
from capture.desk.look.type import LINE, font
from capture.desk.photos.sharpness import WIDE_PX, is_sharp

_MOST_PX = 12.0  # of edge width, at the right end of the scale
_BAR = 24
_STEM = 5


class Focus(QWidget):
    """A scale of edge width: sharp on the left, hatched beyond what is sharp. One stem is now."""

    def __init__(self, palette: Palette) -> None:
        super().__init__()
        self._palette = palette
        self._now: float | None = None
        self._best: float | None = None
        self._live = False
        self.setFixedHeight(LINE["head"] + LINE["body"] + _BAR + 16)
        self.setAccessibleName("sharpness")

    @property
    def words(self) -> str:
        """What it says: "not sharp, edges 7.1 px wide"."""
        if not self._live:
            return ""
        if self._now is None:
            return "no edge in sight"
        return f"{'sharp' if is_sharp(self._now) else 'not sharp'}, {_px(self._now)}"

    def show_width(self, width_px: float | None) -> None:
        """Show the edge width of the newest frame; None: no edge in it."""
        self._live, self._now = True, width_px
        if width_px is not None and (self._best is None or width_px < self._best):
            self._best = width_px
        self.setAccessibleDescription(self.words)
        self.update()

    def clear(self) -> None:
        """Begin anew: another camera, another location."""
        self._live, self._now, self._best = False, None, None
        self.update()

    def wear(self, palette: Palette) -> None:
        """Draw in these colours from now on."""
        self._palette = palette
        self.update()

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return the width of the column it stands in."""
        return QSize(320, self.height())

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 - Qt's name
        """Draw the words, the scale, its hatched end and the stem."""
        if not self._live:
            return
        p, painter = self._palette, QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        top = LINE["head"] + LINE["body"] + 4
        self._write(painter)
        limit = self._x(WIDE_PX)
        beyond = QRectF(limit, top, self.width() - limit, _BAR)
        painter.fillRect(beyond, QColor(p.slab))
        paint_hatch(painter, beyond, p.hatch)
        painter.fillRect(QRectF(limit - 2, top - 4, 4, _BAR + 8), QColor(p.ink))
        painter.fillRect(QRectF(0, top + _BAR, self.width(), 2), QColor(p.ink))
        if self._best is not None:
            painter.fillRect(QRectF(self._x(self._best) - 1, top, 2, _BAR), QColor(p.ink2))
        if self._now is not None:
            x = self._x(self._now) - _STEM / 2
            painter.fillRect(QRectF(x, top - 4, _STEM, _BAR + 8), QColor(p.accent))
        painter.end()

    def _write(self, painter: QPainter) -> None:
        p = self._palette
        painter.setPen(QColor(p.ink))
        painter.setFont(font("head", bold=True))
        left = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
        words = self.words.partition(",")[0]
        painter.drawText(QRectF(0, 0, self.width(), LINE["head"]), left,
                         words[:1].upper() + words[1:])  # fmt: skip
        painter.setFont(font())
        below = QRectF(0, LINE["head"], self.width(), LINE["body"])
        if self._now is not None:
            painter.drawText(below, left, _px(self._now))
        if self._best is not None:
            painter.setPen(QColor(p.ink2))
            right = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
            painter.drawText(below, right, f"best {self._best:.1f} px")

    def _x(self, width_px: float) -> float:
        return min(1.0, width_px / _MOST_PX) * (self.width() - _STEM) + _STEM / 2


def _px(width_px: float) -> str:
    return f"edges {width_px:.1f} px wide" if width_px >= 1 else "edges under 1 px wide"
