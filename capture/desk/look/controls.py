"""Small controls that every screen uses: labels of the four sizes, a rule, a verb with its key."""

from collections.abc import Callable

from PySide6.QtCore import QPoint, QRect, QSize, Qt
from PySide6.QtGui import QColor, QKeySequence, QPainter, QPaintEvent, QPen, QShortcut
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSizePolicy,
    QWidget,
)

from capture.desk.look.type import Size, font

VERB_HEIGHT = 48


def label(text: str = "", size: Size = "body", *, bold: bool = False, wrap: bool = False) -> QLabel:
    """Return a label; captions are in the second ink."""
    made = QLabel(text)
    made.setFont(font(size, bold=bold))
    made.setWordWrap(wrap)
    made.setTextFormat(Qt.TextFormat.PlainText)
    if size == "caption" and not bold:
        made.setProperty("part", "caption")
    return made


def rule() -> QFrame:
    """Return a thin line across."""
    made = QFrame()
    made.setProperty("part", "rule")
    return made


def part(widget: QWidget, name: str) -> QWidget:
    """Give a widget its part in the style sheet, and a background; return it."""
    widget.setProperty("part", name)
    widget.setAttribute(Qt.WidgetAttribute.WA_StyledBackground, on=True)
    return widget


class KeyCap(QLabel):
    """The key that fires a verb, printed beside it."""

    def __init__(self, key: str) -> None:
        super().__init__(key)
        self.setFont(font("caption"))
        self.setContentsMargins(6, 1, 6, 1)
        self.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Draw the cap in the colour of its text."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(QColor(self.palette().color(self.foregroundRole())), 1.2))
        painter.drawRoundedRect(self.rect().adjusted(1, 1, -1, -1), 2, 2)
        painter.end()
        super().paintEvent(event)


class Verb(QPushButton):
    """A button that names what it does, with its key printed on it.

    ``shortcut`` is a Qt key sequence, active in the window the button is in while the button is
    shown and enabled; ``primary`` is the one thing that is meant to be done here.
    """

    def __init__(
        self,
        text: str,
        shortcut: str = "",
        *,
        key: str = "",
        primary: bool = False,
        bare: bool = False,
        does: Callable[[], object] | None = None,
    ) -> None:
        super().__init__()
        self._words, self._key = text, key or shortcut.replace("+", " ")
        self.setFont(font("body", bold=primary))
        self.setAccessibleName(f"{text} ({self._key})" if self._key else text)
        self.setProperty("part", "primary" if primary else "bare" if bare else "plain")
        self.setMinimumHeight(VERB_HEIGHT)
        self.setAutoDefault(False)
        if shortcut:
            self._shortcut = QShortcut(QKeySequence(shortcut), self)
            self._shortcut.setContext(Qt.ShortcutContext.WindowShortcut)
            self._shortcut.setAutoRepeat(False)
            self._shortcut.activated.connect(self._press)
        if does is not None:
            self.clicked.connect(lambda _=False: does())

    def set_words(self, text: str) -> None:
        """Name another thing that it does."""
        self._words = text
        self.setAccessibleName(f"{text} ({self._key})" if self._key else text)
        self.updateGeometry()
        self.update()

    def words(self) -> str:
        """Return what it says it does."""
        return self._words

    def _press(self) -> None:
        if self.isEnabled() and self.isVisible():
            self.click()

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return room for the words and the key."""
        self.ensurePolished()
        wide = self.fontMetrics().horizontalAdvance(self._words) + 40
        return QSize(wide + (self._cap_width() + 12 if self._key else 0), VERB_HEIGHT)

    def minimumSizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return the same: a verb that is cut short says something else."""
        return self.sizeHint()

    def _cap_width(self) -> int:
        from PySide6.QtGui import QFontMetrics  # noqa: PLC0415 - beside its use

        return QFontMetrics(font("caption")).horizontalAdvance(self._key) + 14

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Draw the button, then the words and the key cap."""
        super().paintEvent(event)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        colour = self.palette().color(self.foregroundRole())
        painter.setPen(colour)
        painter.setFont(self.font())
        words = self.fontMetrics().horizontalAdvance(self._words)
        cap = self._cap_width() if self._key else 0
        x = (self.width() - words - (cap + 12 if cap else 0)) // 2
        painter.drawText(
            QRect(QPoint(x, 0), QSize(words + 4, self.height())),
            Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft,
            self._words,
        )
        if cap:
            box = QRect(x + words + 12, (self.height() - 22) // 2, cap, 22)
            painter.setPen(QPen(colour, 1.2))
            painter.drawRoundedRect(box, 2, 2)
            painter.setFont(font("caption"))
            painter.drawText(box, Qt.AlignmentFlag.AlignCenter, self._key)
        painter.end()


def row(*widgets: QWidget | int, gap: int = 16) -> QHBoxLayout:
    """Return widgets side by side; a number is a stretch."""
    made = QHBoxLayout()
    made.setContentsMargins(0, 0, 0, 0)
    made.setSpacing(gap)
    for each in widgets:
        if isinstance(each, int):
            made.addStretch(each)
        else:
            made.addWidget(each)
    return made
