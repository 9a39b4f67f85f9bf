"""The one location that is in hand, in a line under the photo: name, word and value."""

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from capture.desk.desk import Desk
from capture.desk.look.type import font
from capture.desk.map.faces import Spotted
from capture.desk.map.stamp import cut
from capture.desk.walk.drawn_lying import draw_lying

_HIGH, _SIGN, _GAP = 30, 22.0, 10.0


class SpotLine(QWidget):
    """Empty while no location is in hand; what stands on the photo are numbers and signs."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self.spot: Spotted | None = None
        self.setFixedHeight(_HIGH)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)

    def show_spot(self, spot: Spotted | None) -> None:
        """Say how a location lies, or nothing."""
        self.spot = spot
        self.setAccessibleName(spot.spoken if spot else "")
        self.update()

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return its height; it takes the width that it is given."""
        return QSize(200, _HIGH)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 - Qt's name
        """Draw sign, number and name, word and value, as much as there is room for."""
        if self.spot is None:
            return
        lies, colours = self.spot.lying, self._desk.palette
        painter = QPainter(self)
        sign = QRectF(0, (_HIGH - _SIGN) / 2, _SIGN, _SIGN)
        draw_lying(painter, sign, lies, colours)
        x = _SIGN + _GAP
        said = (
            (f"{self.spot.number}  {self.spot.name}", False, colours.ink),
            (lies.word, True, colours.ink),
            ("gauge suspect" if lies.suspect else "", True, colours.ink),
            ("waived" if lies.waived else "", False, colours.ink2),
            (next(iter(lies.values), ""), False, colours.ink2),
        )
        for text, bold, ink in said:
            if not text or x > self.width():
                continue
            face = font(bold=bold)
            metrics = QFontMetricsF(face)
            painter.setFont(face)
            painter.setPen(QColor(ink))
            words = cut(text, self.width() - x, metrics.horizontalAdvance)
            box = QRectF(x, 0, self.width() - x, _HIGH)
            painter.drawText(box, Qt.AlignmentFlag.AlignVCenter, words)
            x += metrics.horizontalAdvance(words) + _GAP
        painter.end()
