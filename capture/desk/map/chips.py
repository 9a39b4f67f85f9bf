"""Locations that have no place yet, below the photo: drag one on, or choose it and point."""

from PySide6.QtCore import QPoint, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFontMetricsF, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QScrollArea, QSizePolicy, QWidget

from capture.desk.desk import Desk
from capture.desk.look.controls import label
from capture.desk.look.type import font
from capture.desk.map.faces import Spotted
from capture.desk.map.stamp import cut
from capture.desk.walk.drawn_lying import draw_lying

_HIGH, _SIGN, _MOST_WORDS = 48, 20.0, 150.0
_DRAG_PX = 8.0


class Chip(QPushButton):
    """One waiting location. A press chooses it; held and moved it is carried.

    ``carried`` and ``dropped`` say where the pointer is on the whole screen.
    """

    carried = Signal(str, QPoint)
    dropped = Signal(str, QPoint)

    def __init__(self, desk: Desk, spot: Spotted) -> None:
        super().__init__()
        self._desk, self.spot = desk, spot
        self._from: QPointF | None = None
        self._carries = False
        self.setCheckable(True)
        self.setAutoDefault(False)
        self.setFont(font())
        self.setFixedHeight(_HIGH)
        self._words = cut(
            f"{spot.number}  {spot.name}", _MOST_WORDS, QFontMetricsF(font()).horizontalAdvance
        )
        self.setAccessibleName(f"{spot.spoken}; not placed yet: press, then point on the photo")
        self.setToolTip(spot.name)

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return room for sign, number and name."""
        wide = QFontMetricsF(font(bold=True)).horizontalAdvance(self._words)
        return QSize(round(wide) + 62, _HIGH)

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Take hold of it."""
        self._from = event.position()
        super().mousePressEvent(event)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Carry it, once the pointer has clearly moved."""
        if self._from is None:
            return
        far = (event.position() - self._from).manhattanLength()
        self._carries = self._carries or far > _DRAG_PX
        if self._carries:
            self.setDown(False)
            self.carried.emit(self.spot.key, event.globalPosition().toPoint())

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Let it go: a press that did not move chooses."""
        carried, self._carries, self._from = self._carries, False, None
        if carried:
            self.setDown(False)
            self.dropped.emit(self.spot.key, event.globalPosition().toPoint())
        else:
            super().mouseReleaseEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 - Qt's name
        """Draw a dashed plate: it is not there yet. The chosen one has the accent round it."""
        colours = self._desk.palette
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        chosen = self.isChecked()
        pen = QPen(QColor(colours.accent if chosen or self.hasFocus() else colours.edge), 2.0)
        if chosen or self.hasFocus():
            pen.setWidthF(4.0)
        if not chosen:
            pen.setDashPattern([3.0, 2.0] if not self.hasFocus() else [2.0, 1.0])
        painter.setPen(pen)
        painter.setBrush(QColor(colours.slab if self.isDown() else colours.sheet))
        half = pen.widthF() / 2
        painter.drawRect(QRectF(self.rect()).adjusted(half, half, -half, -half))
        lies = self.spot.lying
        sign = QRectF(14, (_HIGH - _SIGN) / 2, _SIGN, _SIGN)
        draw_lying(painter, sign, lies, colours)
        painter.setPen(QColor(colours.ink))
        painter.setFont(font(bold=chosen))
        words = QRectF(46, 0, self.width() - 46, self.height())
        painter.drawText(words, Qt.AlignmentFlag.AlignVCenter, self._words)
        painter.end()


class ChipRow(QWidget):
    """All that wait, in walking order; it scrolls sideways and follows the focus.

    ``chosen`` carries a location's id, or "" when the chosen one was pressed again.
    """

    chosen = Signal(str)
    carried = Signal(str, QPoint)
    dropped = Signal(str, QPoint)

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self._chips: list[Chip] = []
        self._inside = QWidget()
        self._line = QHBoxLayout(self._inside)
        self._line.setContentsMargins(0, 0, 0, 0)
        self._line.setSpacing(8)
        self._line.addStretch(1)
        self._area = QScrollArea()
        self._area.setWidget(self._inside)
        self._area.setWidgetResizable(True)
        self._area.setFrameShape(QScrollArea.Shape.NoFrame)
        self._area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._area.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._area.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self._area.setFixedHeight(_HIGH + 16)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(12)
        words = label("Not placed yet, drag on:", "caption")
        words.setFixedHeight(_HIGH)
        row.addWidget(words, 0, Qt.AlignmentFlag.AlignTop)
        row.addWidget(self._area, 1)

    @property
    def chips(self) -> list[Chip]:
        """The chips, in walking order."""
        return self._chips

    def show_spots(self, spots: tuple[Spotted, ...], chosen: str) -> None:
        """Show what waits; ``chosen`` is the id of the one that is being placed."""
        waiting = [spot for spot in spots if spot.at is None]
        if waiting != [chip.spot for chip in self._chips]:
            self._make(waiting)
        for chip in self._chips:
            chip.setChecked(chip.spot.key == chosen)
            if chip.isChecked():
                self._area.ensureWidgetVisible(chip, 24, 0)
        self.setVisible(bool(waiting))

    def _make(self, waiting: list[Spotted]) -> None:
        focused = next((chip.spot.key for chip in self._chips if chip.hasFocus()), "")
        for chip in self._chips:
            self._line.removeWidget(chip)
            chip.hide()
            chip.deleteLater()
        self._chips = [self._chip(spot) for spot in waiting]
        for n, chip in enumerate(self._chips):
            self._line.insertWidget(n, chip, 0, Qt.AlignmentFlag.AlignTop)
            if chip.spot.key == focused:
                chip.setFocus(Qt.FocusReason.OtherFocusReason)

    def _chip(self, spot: Spotted) -> Chip:
        chip = Chip(self._desk, spot)
        chip.clicked.connect(lambda on: self.chosen.emit(spot.key if on else ""))
        chip.carried.connect(self.carried)
        chip.dropped.connect(self.dropped)
        return chip
