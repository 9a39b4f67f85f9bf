"""The limit block: 200 pixels high, drawn as an engineering section."""

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from capture.desk.limit import painting
from capture.desk.limit.clauses import capital, fitting, whole
from capture.desk.limit.facts import Facts
from capture.desk.limit.measured import facts_of
from capture.desk.limit.page import Size
from capture.desk.limit.scale import Drawn, drawn
from capture.desk.limit.verdict_words import Said, line_in_words, said_covered, said_of
from capture.desk.look.palette import LIGHT, Palette
from capture.desk.look.signs import paint_sign, paint_slip
from capture.desk.look.type import font
from store.round import Check, Round

HEIGHT = 200
_SIGN = 32.0
_GAP = 24.0
_HEAD_HIGH = 36.0
_LINE, _MOST_LINES = 28.0, 5
_NEXT_TOP = 175.0
_NEXT_HIGH = 25.0


class LimitBlock(QWidget):
    """The verdict by word and sign, the limit as a wall with the value at it, and what is next."""

    def __init__(self, palette: Palette = LIGHT, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._palette = palette
        self._facts: Facts | None = None
        self._said = Said()
        self._drawn: Drawn | None = None
        self.setFixedHeight(HEIGHT)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName("limit")

    @property
    def heading(self) -> str:
        """The verdict's word as it is shown."""
        return self._said.heading

    @property
    def said(self) -> Said:
        """Everything that is said of the verdict."""
        return self._said

    @property
    def line(self) -> Drawn | None:
        """The limit line as it is drawn now, None where there is none."""
        return self._drawn

    def show_check(self, check: Check | None, known: Round | None, *, cover: str = "") -> None:
        """Show a check, nothing, or, in words, why nothing of it may be seen (``cover``)."""
        self._facts = None
        if check is None:
            self._said = Said()
        elif cover:
            self._said = said_covered(cover)
        else:
            self._facts = facts_of(check, known)
            self._said = said_of(check, known, self._facts)
        self._lay_out()
        self.setAccessibleDescription(self.words())
        self.update()

    def wear(self, palette: Palette) -> None:
        """Draw in these colours from now on."""
        self._palette = palette
        self.update()

    def words(self) -> str:
        """Return everything that is drawn, in words."""
        said = self._said
        heading = f"{said.heading}." if said.heading else ""
        line = line_in_words(self._facts) if self._facts else ()
        following = (f"Next: {' '.join(said.following)}",) if said.following else ()
        parts = (heading, *map(whole, said.clauses), *line, *said.agreeing, *following)
        return " ".join(filter(None, parts))

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return the block's own size; it takes all the width there is."""
        return QSize(928, HEIGHT)

    def resizeEvent(self, _event: object) -> None:  # noqa: N802 - Qt's name
        """Lay the line out for the new width."""
        self._lay_out()

    def changeEvent(self, event: object) -> None:  # noqa: N802 - Qt's name
        """Lay the line out again when the type has changed."""
        super().changeEvent(event)  # type: ignore[arg-type] # Qt gives an event
        self._lay_out()

    def _lay_out(self) -> None:
        facts = self._facts
        self._drawn = drawn(facts, float(self.width()), measure) if facts else None

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Draw the verdict, the line and what is next."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._paint_verdict(painter)
        if self._drawn is not None and self._facts is not None:
            painting.paint_line(painter, self._drawn, self._facts.state, self._palette)
        self._paint_next(painter)
        painter.end()

    def _paint_verdict(self, painter: QPainter) -> None:
        said, palette = self._said, self._palette
        x = 0.0
        if said.sign is not None:
            box = QRectF(x, 1.0, _SIGN, _SIGN)
            paint_sign(painter, box, said.sign, palette, suspect=said.suspect)
            x += _SIGN + 16
        if said.waived:
            paint_slip(painter, QRectF(x - 8, 1.0, _SIGN, _SIGN), palette)
            x += _SIGN
        painter.setPen(QColor(palette.ink))
        painter.setFont(font("head", bold=True))
        wide = measure(said.heading, "head", True)
        painter.drawText(QPointF(x, 28.0), said.heading)
        x += wide + _GAP
        painter.setFont(font("body"))
        for number, line in enumerate(self._sentences(x)):
            painter.drawText(QPointF(x, 27.0 + number * _LINE), line)

    def _sentences(self, x: float) -> list[str]:
        """Return the lines of the verdict's sentences, only one above a limit line."""
        clauses = self._said.clauses
        if self._drawn is not None:
            unplaced = tuple(f"{capital(words)}." for words in self._drawn.unplaced)
            return [fitting((*clauses, *unplaced), self.width() - x, _body)]
        return [fitting((clause,), self.width() - x, _body) for clause in clauses][:_MOST_LINES]

    def _paint_next(self, painter: QPainter) -> None:
        said = self._said
        painter.setPen(QColor(self._palette.ink))
        row = QRectF(0.0, _NEXT_TOP, self.width(), _NEXT_HIGH)
        x = 0.0
        if said.following:
            painter.setFont(font("body", bold=True))
            painter.drawText(row, Qt.AlignmentFlag.AlignVCenter, "Next")
            x = measure("Next", "body", True) + 10
        painter.setFont(font("body"))
        text = fitting((*said.following, *said.agreeing), self.width() - x, _body)
        painter.drawText(row.adjusted(x, 0, 0, 0), Qt.AlignmentFlag.AlignVCenter, text)


def measure(text: str, size: Size, bold: bool) -> float:
    """Return the width of a text in pixels."""
    return QFontMetricsF(font(size, bold=bold)).horizontalAdvance(text)


def _body(text: str) -> float:
    return measure(text, "body", False)
