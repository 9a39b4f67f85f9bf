"""The question block: where one is, what is asked, where its limit is from, and the caution."""

from PySide6.QtCore import QRect, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from capture.desk.look.controls import label
from capture.desk.look.palette import LIGHT, Palette
from capture.desk.look.type import LINE, Size, font


class QuestionBlock(QWidget):
    """Captions above, the question in bold, a caution below it where there is one."""

    def __init__(self) -> None:
        super().__init__()
        self._caption = GivesWay("caption", second=True)
        self._source = GivesWay("body", second=True, right=True)
        self._question = label("", "head", bold=True, wrap=True)
        self._question.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
        self._caution = label("", "body", wrap=True)
        captions = self._captions = QBoxLayout(QBoxLayout.Direction.LeftToRight)
        captions.setSpacing(16)
        captions.addWidget(self._caption, 1)
        captions.addWidget(self._source, 1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 8, 0, 0)
        column.setSpacing(0)
        column.addLayout(captions)
        column.addWidget(self._question)
        column.addWidget(self._caution)

    @property
    def text(self) -> str:
        """Everything that is said here."""
        said = (self._caption.text, self._source.text, self._question.text(), self._caution.text())
        return " ".join(each for each in said if each)

    def ask(self, caption: str, source: str, question: str, caution: str) -> None:
        """Show another question."""
        self._caption.set_text(caption)
        self._source.set_text(source)
        self._question.setText(question)
        self._question.setAccessibleName(question)
        self._caution.setText(f"Caution: {caution}" if caution else "")
        self._caution.setVisible(bool(caution))
        self._share()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Share the width anew."""
        super().resizeEvent(event)
        self._share()

    def _share(self) -> None:
        """Put where the limit is from below the rest, where both do not fit side by side."""
        needs = self._caption.sizeHint().width(), self._source.sizeHint().width()
        beside = sum(needs) + 16 <= self.width() or not self._source.text
        ways = QBoxLayout.Direction
        self._captions.setDirection(ways.LeftToRight if beside else ways.TopToBottom)
        self._captions.setSpacing(16 if beside else 0)
        self._captions.setStretch(0, max(1, needs[0]) if beside else 0)
        self._captions.setStretch(1, needs[1] if beside else 0)
        self._source.set_right(right=beside)
        self._source.setVisible(bool(self._source.text))

    def wear(self, palette: Palette) -> None:
        """Draw in other colours."""
        for each in (self._caption, self._source):
            each.palette_worn = palette
            each.update()


class GivesWay(QWidget):
    """A line that ends in an ellipsis where there is no room; whole in the tool tip."""

    def __init__(self, size: Size = "body", *, second: bool = False, right: bool = False) -> None:
        super().__init__()
        self.palette_worn = LIGHT
        self.text = ""
        self._size, self._second, self._right = size, second, right
        self.setFixedHeight(LINE[size])
        self.setFont(font(size))
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)

    def set_text(self, text: str) -> None:
        """Show another text."""
        self.text = text
        self.setToolTip(text)
        self.setAccessibleName(text)
        self.update()

    def set_right(self, *, right: bool) -> None:
        """Draw it at the right end of its room, or at the left."""
        self._right = right
        self.update()

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return the width of the whole text."""
        return QSize(self.fontMetrics().horizontalAdvance(self.text), LINE[self._size])

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 - Qt's name
        """Draw as much as there is room for."""
        painter = QPainter(self)
        painter.setPen(QColor(self.palette_worn.ink2 if self._second else self.palette_worn.ink))
        painter.setFont(font(self._size))
        fitting = painter.fontMetrics().elidedText(
            self.text, Qt.TextElideMode.ElideRight, self.width()
        )
        side = Qt.AlignmentFlag.AlignRight if self._right else Qt.AlignmentFlag.AlignLeft
        painter.drawText(
            QRect(0, 0, self.width(), self.height()), side | Qt.AlignmentFlag.AlignVCenter, fitting
        )
        painter.end()
