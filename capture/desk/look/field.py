"""Fields of a form: the label above, the box, and below it what is wrong with what it holds."""

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QColor, QFontMetrics, QKeyEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import (
    QButtonGroup,
    QComboBox,
    QHBoxLayout,
    QLineEdit,
    QPlainTextEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from capture.desk.look.controls import label
from capture.desk.look.type import font

_HIGH = 48
_HALF = 290  # the width of half a form where it is narrowest
_NO_ARROW = (
    "QComboBox::drop-down { border: none; width: 36px; } QComboBox::down-arrow { image: none; }"
)


class Field(QWidget):
    """One thing that is asked for. ``text`` is what it holds; nothing is lost on a refusal."""

    edited = Signal()
    is_wide = False  # whether it takes the whole width of a form

    def __init__(self, words: str, box: QWidget, hint: str = "") -> None:
        super().__init__()
        self.box = box
        self._words = words
        self._error = label("", "caption", bold=True, wrap=True)
        self._error.hide()
        self._head = head = label(words, "caption", wrap=True)
        head.setBuddy(box)
        box.setAccessibleName(words)
        box.setAccessibleDescription(hint)
        self.setFocusProxy(box)
        line = QVBoxLayout(self)
        line.setContentsMargins(0, 0, 0, 0)
        line.setSpacing(4)
        line.addWidget(head)
        line.addWidget(box)
        line.addWidget(self._error)
        self._hint = label(hint, "caption", wrap=True) if hint else None
        if self._hint is not None:
            line.addWidget(self._hint)

    @property
    def words(self) -> str:
        """What stands above the box."""
        return self._words

    @property
    def error(self) -> str:
        """What is wrong with what it holds, empty if nothing is known to be."""
        return self._error.text() if not self._error.isHidden() else ""

    def set_error(self, sentence: str) -> None:
        """Say below the box what is wrong; an empty sentence takes it away."""
        self._error.setText(sentence)
        self._error.setVisible(bool(sentence))
        if self._hint is not None:
            self._hint.setVisible(not sentence)
        self.box.setAccessibleDescription(sentence or (self._hint.text() if self._hint else ""))

    def text(self) -> str:
        """Return what it holds: nothing, as long as it is no field of some kind."""
        return ""

    def set_text(self, text: str) -> None:
        """Hold another text."""

    def _changed(self) -> None:
        self.set_error("")
        self.edited.emit()


class LineField(Field):
    """One line of text."""

    def __init__(self, words: str, hint: str = "", text: str = "") -> None:
        box = QLineEdit(text)
        box.setFont(font())
        super().__init__(words, box, hint)
        self._box = box
        box.textEdited.connect(lambda _: self._changed())

    def text(self) -> str:
        """Return the line, without spaces around it."""
        return self._box.text().strip()

    def set_text(self, text: str) -> None:
        """Hold another line."""
        self._box.setText(text)


class WordsField(Field):
    """Several lines; Tab leaves the box, as it leaves every other."""

    is_wide = True

    def __init__(self, words: str, hint: str = "", lines: int = 3) -> None:
        box = QPlainTextEdit()
        box.setFont(font())
        box.setTabChangesFocus(True)
        box.setFixedHeight(24 * lines + 24)
        super().__init__(words, box, hint)
        self._box = box
        box.textChanged.connect(self._changed)

    def text(self) -> str:
        """Return the lines."""
        return self._box.toPlainText().strip()

    def set_text(self, text: str) -> None:
        """Hold other lines."""
        self._box.setPlainText(text)


class SideBySide(QWidget):
    """A few words of which one holds; the arrow keys go from one to the next."""

    chosen = Signal(str)

    def __init__(self, choices: Sequence[tuple[str, str]]) -> None:
        super().__init__()
        self._values = [value for value, _ in choices]
        self._group = QButtonGroup(self)
        line = QHBoxLayout(self)
        line.setContentsMargins(0, 0, 0, 0)
        line.setSpacing(0)
        for number, (_, words) in enumerate(choices):
            button = QPushButton(words)
            button.setFont(font())
            button.setCheckable(True)
            button.setAutoDefault(False)
            button.setFixedHeight(_HIGH)  # the chosen one has a thicker lower edge
            bold = QFontMetrics(font(bold=True)).horizontalAdvance(words)
            button.setMinimumWidth(bold + 38)  # the chosen one is bold
            self._group.addButton(button, number)
            line.addWidget(button, 1)
        self._group.button(0).setChecked(True)
        self.setFocusProxy(self._group.button(0))
        self._group.idClicked.connect(lambda number: self.chosen.emit(self._values[number]))

    def least_width(self) -> int:
        """Return the width in which no choice is cut short: all are as wide as the longest."""
        return max(each.minimumWidth() for each in self._group.buttons()) * len(self._values)

    def value(self) -> str:
        """Return the one that holds."""
        return self._values[self._group.checkedId()]

    def choose(self, value: str) -> None:
        """Let another one hold."""
        if value in self._values:
            self._group.button(self._values.index(value)).setChecked(True)

    def setAccessibleName(self, name: str) -> None:  # noqa: N802 - Qt's name
        """Name the buttons too: each says what it is a choice of."""
        super().setAccessibleName(name)
        for button in self._group.buttons():
            button.setAccessibleName(f"{name}: {button.text()}")


class ChoiceField(Field):
    """One of a few words, all of them in sight."""

    def __init__(self, words: str, choices: Sequence[tuple[str, str]], hint: str = "") -> None:
        box = SideBySide(choices)
        self.is_wide = box.least_width() > _HALF
        super().__init__(words, box, hint)
        self._box = box
        box.chosen.connect(lambda _: self._changed())

    def text(self) -> str:
        """Return the value that is chosen."""
        return self._box.value()

    def set_text(self, text: str) -> None:
        """Choose another."""
        self._box.choose(text)


class _Picked(QComboBox):
    """A list that opens below; the wheel does not change what nobody looks at."""

    def __init__(self) -> None:
        super().__init__()
        self.setStyleSheet(_NO_ARROW)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Draw the arrow in the ink of the words: the style's own is hardly seen."""
        super().paintEvent(event)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(QColor(self.palette().color(self.foregroundRole())), 2.2))
        x, y = self.width() - 22, self.height() // 2
        painter.drawLine(x - 6, y - 3, x, y + 3)
        painter.drawLine(x, y + 3, x + 6, y - 3)
        painter.end()

    def wheelEvent(self, event: object) -> None:  # noqa: N802 - Qt's name
        """Let the page scroll instead."""
        event.ignore()  # type: ignore[attr-defined] # a QWheelEvent

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Leave Return to the readings: the list opens with Space."""
        if event.key() in {Qt.Key.Key_Return, Qt.Key.Key_Enter}:
            event.ignore()
            return
        super().keyPressEvent(event)


class PickField(Field):
    """One of many words, in a list that opens."""

    def __init__(self, words: str, choices: Sequence[tuple[str, str]] = (), hint: str = "") -> None:
        box = _Picked()
        box.setFont(font())
        box.view().setFont(font())
        box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        box.setMinimumContentsLength(8)
        super().__init__(words, box, hint)
        self._box = box
        self.offer(choices)
        box.activated.connect(lambda _: self._changed())

    def offer(self, choices: Sequence[tuple[str, str]]) -> None:
        """Offer other words; what was picked stays picked if it is still there."""
        before = self.text()
        self._box.clear()
        for value, words in choices:
            self._box.addItem(words, value)
        self.set_text(before)

    def text(self) -> str:
        """Return the value that is picked, empty if there is none."""
        return str(self._box.currentData() or "")

    def set_text(self, text: str) -> None:
        """Pick another; the first where it is not there."""
        self._box.setCurrentIndex(max(self._box.findData(text), 0))
