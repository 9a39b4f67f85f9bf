"""A rim unrolled, 12 o'clock to 12: how far each of its points lies off the outline."""

from typing import Final, NamedTuple

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from annotate.pane.rim_fit import RimFit

_HOURS: Final = (0, 3, 6, 9, 12)
_DOT_PX: Final = 3.5
_MANY = 60  # points that would run into one another as large dots
_CROSS_PX: Final = 4.0
_HATCH_PX: Final = 9.0
_PAD_PX: Final = 10.0  # left and right of the first and the last 12
_LEAST_RANGE: Final = 2.5  # times the band, from the middle to the edge


class StripColours(NamedTuple):
    """The strip's colours, as "#rrggbb"; those of a dark window unless told otherwise."""

    well: str = "#0b0c0d"
    band: str = "#2a2e31"
    ink: str = "#eceae4"
    edge: str = "#7f8485"
    dot: str = "#6cc0f0"
    hatch: str = "#8a8e8e"


class FitStrip(QWidget):
    """Dots are residuals, crosses points left out, the band a pixel or the scatter to each side.

    Outside is up. Hatched is what is not seen. The rim's own words (``RimFit.words``) are the
    widget's accessible description; the owner writes them beneath.
    """

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._fit: RimFit | None = None
        self._colours = StripColours()
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName("how the points follow the rim")

    def show_fit(self, fit: RimFit | None, name: str = "") -> None:
        """Show a rim's residuals, or an empty strip; ``name`` is what the owner calls the rim."""
        self._fit = fit
        name = name or ("rim" if fit is None else f"{fit.which} rim")
        self.setAccessibleName(f"how the points follow the {name}")
        told = "no outline yet" if fit is None else f"{fit.count_words}. {fit.words}"
        self.setAccessibleDescription(told)
        self.update()

    def wear(self, colours: StripColours) -> None:
        """Take other colours."""
        self._colours = colours
        self.update()

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return the size it would like: 352 wide, and high enough for the figures."""
        return QSize(352, 64 + self.fontMetrics().height() + 6)

    def minimumSizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return the least size that can be read."""
        return QSize(200, self.sizeHint().height())

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint band, hatch, residuals and the hours beneath."""
        del event
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        plot = QRectF(self.rect()).adjusted(1, 1, -1, -(self.fontMetrics().height() + 6))
        painter.fillRect(self.rect(), QColor(self._colours.well))
        if self._fit is not None:
            self._draw_fit(painter, plot, self._fit)
        self._draw_hours(painter, plot)
        painter.setPen(QPen(QColor(self._colours.edge), 1))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5))
        painter.end()

    def _draw_fit(self, painter: QPainter, plot: QRectF, fit: RimFit) -> None:
        per_px = plot.height() / 2 / (_LEAST_RANGE * fit.band_px)
        middle = plot.center().y()
        band = QRectF(plot.left(), middle - fit.band_px * per_px, plot.width(), 0)
        band.setHeight(2 * fit.band_px * per_px)
        painter.fillRect(band, QColor(self._colours.band))
        painter.setPen(QPen(QColor(self._colours.edge), 1))
        painter.drawLine(QPointF(plot.left(), middle), QPointF(plot.right(), middle))
        for start, end in fit.unseen:
            for piece in _pieces(start, end):
                self._draw_unseen(painter, plot, *piece)
        for hour, off, kept in zip(fit.hours, fit.residuals_px, fit.kept, strict=True):
            # What is off the strip is shown at its edge: that it is far off is all there is to see.
            high = min(max(middle - off * per_px, plot.top() + 6), plot.bottom() - 6)
            size = _DOT_PX if len(fit.hours) <= _MANY else _DOT_PX / 2
            self._draw_point(painter, QPointF(_x(plot, hour), high), kept=kept, size=size)

    def _draw_point(self, painter: QPainter, at: QPointF, *, kept: bool, size: float) -> None:
        if kept:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(QColor(self._colours.dot))
            painter.drawEllipse(at, size, size)
            return
        painter.setPen(QPen(QColor(self._colours.ink), 2))
        for way in (1, -1):
            arm = QPointF(_CROSS_PX, way * _CROSS_PX)
            painter.drawLine(at - arm, at + arm)

    def _draw_unseen(self, painter: QPainter, plot: QRectF, start: float, end: float) -> None:
        area = QRectF(_x(plot, start), plot.top(), _x(plot, end) - _x(plot, start), plot.height())
        lines = QPainterPath()
        at = area.left() - area.height() - area.left() % _HATCH_PX
        while at < area.right():
            lines.moveTo(at, area.bottom())
            lines.lineTo(at + area.height(), area.top())
            at += _HATCH_PX
        painter.save()
        painter.setClipRect(area)
        painter.setPen(QPen(QColor(self._colours.hatch), 1))
        painter.drawPath(lines)
        painter.restore()
        words = "not seen"
        wide = self.fontMetrics().horizontalAdvance(words) + 16
        if area.width() > wide:
            plate = QRectF(0, 0, wide, self.fontMetrics().height() + 6)
            plate.moveCenter(area.center())
            painter.fillRect(plate, QColor(self._colours.well))
            painter.setPen(QColor(self._colours.ink))
            painter.drawText(plate, Qt.AlignmentFlag.AlignCenter, words)

    def _draw_hours(self, painter: QPainter, plot: QRectF) -> None:
        painter.setFont(self.font())
        high = self.fontMetrics().height() + 4
        for hour in _HOURS:
            x = _x(plot, hour)
            painter.setPen(QPen(QColor(self._colours.edge), 1.5))
            painter.drawLine(QPointF(x, plot.bottom()), QPointF(x, plot.bottom() - 6))
            painter.setPen(QColor(self._colours.ink))
            text = str(hour or 12)
            wide = self.fontMetrics().horizontalAdvance(text)
            left = min(max(x - wide / 2, plot.left() + 4), plot.right() - 4 - wide)
            box = QRectF(left, plot.bottom() + 1, wide + 2, high)
            painter.drawText(box, Qt.AlignmentFlag.AlignLeft, text)


def _pieces(start: float, end: float) -> list[tuple[float, float]]:
    """Return a span of hours as spans of the strip: over 12 it is cut in two."""
    return [(start, end)] if start <= end else [(start, 12.0), (0.0, end)]


def _x(plot: QRectF, hour: float) -> float:
    return plot.left() + _PAD_PX + hour / 12 * (plot.width() - 2 * _PAD_PX)
