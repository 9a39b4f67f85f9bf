"""A large verb: what it does, a line about it, and its key."""

from collections.abc import Callable

from PySide6.QtCore import QRect, QSize, Qt
from PySide6.QtGui import QColor, QFontMetrics, QKeySequence, QPainter, QPaintEvent, QPen, QShortcut
from PySide6.QtWidgets import QPushButton, QSizePolicy

from capture.desk.look.palette import LIGHT, Palette
from capture.desk.look.type import font

_INSET = 24


class Choice(QPushButton):
    """A button of two lines, as wide as its place. ``primary`` is what is most likely wanted."""

    def __init__(
        self,
        title: str,
        about: str,
        shortcut: str,
        *,
        primary: bool = False,
        high: int = 80,
        does: Callable[[], object],
    ) -> None:
        super().__init__()
        self.colours: Palette = LIGHT
        self._title, self._about, self._key = title, about, shortcut.replace("+", " ")
        self._primary = primary
        self.setProperty("part", "primary" if primary else "bare")
        self.setAutoDefault(False)
        self.setFixedHeight(high)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self._name()
        self._shortcut = QShortcut(QKeySequence(shortcut), self)
        self._shortcut.setContext(Qt.ShortcutContext.WindowShortcut)
        self._shortcut.setAutoRepeat(False)
        self._shortcut.activated.connect(self._press)
        self.clicked.connect(lambda _=False: does())

    def set_about(self, about: str) -> None:
        """Say something else about it."""
        self._about = about
        self._name()
        self.update()

    @property
    def about(self) -> str:
        """The line about it."""
        return self._about

    def wear(self, palette: Palette) -> None:
        """Draw in these colours from now on."""
        self.colours = palette
        self.update()

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return room for a line of some length; it takes the width that it is given."""
        return QSize(320, self.height())

    def _name(self) -> None:
        self.setAccessibleName(f"{self._title} ({self._key})")
        self.setAccessibleDescription(self._about)
        self.setToolTip(self._about)

    def _press(self) -> None:
        if self.isEnabled() and self.isVisible():
            self.click()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Draw the button, its two lines, its key, and a rule under what is not primary."""
        super().paintEvent(event)
        painter = QPainter(self)
        colours = self.colours
        ink = QColor(colours.on_accent if self._primary else colours.ink)
        below = ink if self._primary else QColor(colours.ink2)
        if not self.isEnabled():
            ink = below = QColor(colours.ink2)
        cap = self._cap(painter, ink)
        top = (self.height() - 46) // 2
        room = cap - 16 - _INSET
        for y, high, size, bold, colour, words in (
            (top, 26, "body", True, ink, self._title),
            (top + 26, 20, "caption", False, below, self._about),
        ):
            painter.setFont(font(size, bold=bold))  # type: ignore[arg-type] # one of the sizes
            painter.setPen(colour)
            fitting = painter.fontMetrics().elidedText(words, Qt.TextElideMode.ElideRight, room)
            box = QRect(_INSET, y, room, high)
            painter.drawText(
                box, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft, fitting
            )
        if not self._primary and not self.hasFocus():
            painter.setPen(QPen(QColor(colours.rule), 1))
            painter.drawLine(0, self.height() - 1, self.width(), self.height() - 1)
        painter.end()

    def _cap(self, painter: QPainter, ink: QColor) -> int:
        """Draw the key at the right end; return where it begins."""
        wide = QFontMetrics(font("caption")).horizontalAdvance(self._key) + 14
        box = QRect(self.width() - _INSET - wide, (self.height() - 22) // 2, wide, 22)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(ink, 1.2))
        painter.drawRoundedRect(box, 2, 2)
        painter.setFont(font("caption"))
        painter.drawText(box, Qt.AlignmentFlag.AlignCenter, self._key)
        return box.left()
