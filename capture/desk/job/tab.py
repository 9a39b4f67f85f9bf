"""The name of a page, with its key; the one that is shown has the accent's edge."""

from collections.abc import Callable

from PySide6.QtCore import QRect, QSize, Qt
from PySide6.QtGui import QColor, QFontMetrics, QKeySequence, QPainter, QPaintEvent, QPen, QShortcut
from PySide6.QtWidgets import QPushButton

from capture.desk.desk import Desk
from capture.desk.look.type import font

TAB_WIDE = 236


class Tab(QPushButton):
    """48 pixels high, its words at the left and its key at the right."""

    def __init__(self, words: str, key: str, desk: Desk, does: Callable[[], object]) -> None:
        super().__init__()
        self._words, self._key, self._desk, self._here = words, key, desk, False
        self.is_compact = False
        self.setProperty("part", "bare")
        self.setAutoDefault(False)
        self.setFixedHeight(48)
        self.setAccessibleName(f"{words} ({key})")
        self._shortcut = QShortcut(QKeySequence(key), self)
        self._shortcut.setContext(Qt.ShortcutContext.WindowShortcut)
        self._shortcut.activated.connect(self.click)
        self.clicked.connect(lambda _=False: does())

    def set_here(self, *, here: bool) -> None:
        """Show whether this page is the one that is shown."""
        self._here = here
        self.setAccessibleDescription("shown now" if here else "")
        self.update()

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return room for the longest name, or for its own where there is little room."""
        if not self.is_compact:
            return QSize(TAB_WIDE, 48)
        wide = QFontMetrics(font(bold=True)).horizontalAdvance(self._words)
        return QSize(16 + wide + 12 + 22 + 14, 48)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Draw the edge, the words and the key."""
        super().paintEvent(event)
        painter, colours = QPainter(self), self._desk.palette
        if self._here:
            painter.fillRect(self.rect(), QColor(colours.well))
            painter.fillRect(0, 0, 6, self.height(), QColor(colours.accent))
            if self.hasFocus():
                painter.setPen(QPen(QColor(colours.accent), 4))
                painter.drawRect(self.rect().adjusted(2, 2, -2, -2))
        painter.setFont(font(bold=self._here))
        painter.setPen(QColor(colours.ink))
        words = QRect(16, 0, self.width() - 56, self.height())
        painter.drawText(words, Qt.AlignmentFlag.AlignVCenter, self._words)
        cap = QRect(self.width() - 36, 13, 22, 22)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(QColor(colours.ink2), 1.2))
        painter.drawRoundedRect(cap, 2, 2)
        painter.setFont(font("caption"))
        painter.drawText(cap, Qt.AlignmentFlag.AlignCenter, self._key)
        painter.end()
