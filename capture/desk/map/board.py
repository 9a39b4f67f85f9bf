"""The stamps of the locations on a photo: drawn, hit, laid out when the view changes."""

from functools import lru_cache

from PySide6.QtCore import QPointF, QRectF, QSizeF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPainterPath, QPen, QTransform

from annotate.marks import Point
from annotate.pane.ink import NEAR, Ink
from annotate.pane.pin_board import PinBoard, nearest
from annotate.pane.shown import Pin
from annotate.pane.view import scene_of
from capture.desk.look.palette import DARK, FAR_RIM, ON_PHOTO, PLATE
from capture.desk.look.signs import paint_slip
from capture.desk.look.type import font
from capture.desk.map.faces import Spotted
from capture.desk.map.leaders import CLEAR_PX, Box, Plate, laid_out
from capture.desk.map.stamp import (
    HIGH,
    MARGIN,
    ROOMY,
    SIGN,
    SLIP,
    SLIP_WIDE,
    kept_clear,
    stamp_wide,
)
from capture.desk.walk.drawn_lying import draw_lying

_RING = 9.0  # round the place itself
_TARGET = 48.0
_CURRENT = 4.0


class PlateBoard(PinBoard):
    """Each location is its number stamped on the metal, with its sign, on a short leader.

    A stamp is dark on any photo and in both themes, and lies on no hole. ``crowded``: not all
    found room well clear of the holes: a list should stand beside the photo. ``dormant``: nothing
    can be hit while a place is being pointed out.
    """

    def __init__(self) -> None:
        super().__init__()
        self.crowded = False
        self.dormant = False
        self._spots: tuple[Spotted, ...] = ()
        self._rects: list[QRectF | None] = []  # relative to the place on the screen
        self._key: tuple[float, ...] = ()
        self._room, self._area = QSizeF(), QRectF()

    def show_spots(self, spots: tuple[Spotted, ...], here: str) -> None:
        """Show these locations; ``here`` is the one that the round stands at."""
        placed = tuple(spot for spot in spots if spot.at is not None)
        self._spots = placed
        self.set_pins(
            [
                Pin(spot.at or Point(0, 0), str(spot.number), ringed=spot.key == here,
                    dashed=spot.hidden)
                for spot in placed
            ],
            movable=True,
        )  # fmt: skip
        self._key = ()

    @property
    def spots(self) -> tuple[Spotted, ...]:
        """What is shown."""
        return self._spots

    def lay_out(self, to_screen: QTransform, room: QSizeF, area: QRectF) -> None:
        """Give each stamp its place, if the view or what is shown has changed.

        ``area`` is the picture's, in the scene: no stamp lies off it, and how near to a place one
        may come goes by its height on the screen.
        """
        key: tuple[float, ...] = (
            to_screen.m11(), to_screen.dx(), to_screen.dy(), room.width(), room.height(),
            area.width(), area.height(),
        )  # fmt: skip
        if key == self._key:
            return
        self._key, self._room, self._area = key, room, area
        whole = QRectF(QPointF(), room)
        feet = [to_screen.map(scene_of(pin.at)) for pin in self.pins]
        seen = [n for n, foot in enumerate(feet) if whole.contains(foot)]
        photo = to_screen.mapRect(area)
        free = photo.intersected(whole)
        box = Box(free.left(), free.top(), free.width(), free.height())
        places = [(feet[n].x(), feet[n].y()) for n in seen]
        found = self._fitted(places, seen, box, photo.height())
        self._rects = [None] * len(feet)
        for n, plate in zip(seen, found, strict=True):
            self._rects[n] = _rect(plate).translated(-feet[n]) if plate else None

    def _fitted(
        self, places: list[tuple[float, float]], seen: list[int], room: Box, high: float
    ) -> tuple[Plate | None, ...]:
        """Return the stamps as far from their places as all find room, else as many as do."""
        sizes = [(stamp_wide(self._spots[n], _bold), HIGH) for n in seen]
        for tier, clear in enumerate(kept_clear(high)):
            found = laid_out(places, sizes, room, whole=True, clear=clear)
            if all(found):
                self.crowded = tier >= ROOMY
                return found
        self.crowded = True
        return laid_out(places, sizes, room, clear=CLEAR_PX)

    def plate_of(self, number: int, to_screen: QTransform) -> QRectF | None:
        """Return where the plate of a location is on the screen, None where it has none."""
        for n, pin in enumerate(self.pins):
            if pin.text == str(number) and n < len(self._rects):
                rect = self._rects[n]
                return rect.translated(to_screen.map(scene_of(pin.at))) if rect else None
        return None

    def hit(self, at: QPointF, to_screen: QTransform) -> int | None:
        """Return the location whose plate or place lies nearest to a place of the screen."""
        if self.dormant:
            return None
        best: tuple[float, int] | None = None
        for n, pin in enumerate(self.pins[: len(self._rects)]):
            foot = to_screen.map(scene_of(pin.at))
            rect = self._rects[n]
            boxes = [QRectF(foot, foot)] + ([rect.translated(foot)] if rect is not None else [])
            for box in boxes:
                more = max(0.0, (_TARGET - box.height()) / 2)
                if box.adjusted(-more, -more, more, more).contains(at):
                    off = (nearest(box, at) - at).manhattanLength()
                    best = min(best or (off, n), (off, n))
        return None if best is None else best[1]

    def draw(self, ink: Ink) -> None:
        """Draw rings, leaders and stamps."""
        self.lay_out(ink.to_screen, self._room, self._area)
        feet = [ink.to_screen.map(scene_of(pin.at)) for pin in self.pins]
        lines = QPainterPath()
        for foot, rect in zip(feet, self._rects, strict=True):
            lines.addEllipse(foot, _RING, _RING)
            if rect is not None:
                end = nearest(rect.translated(foot), foot)
                away = end - foot
                length = max(1e-9, (away.x() ** 2 + away.y() ** 2) ** 0.5)
                lines.moveTo(foot + away * (_RING / length))
                lines.lineTo(end)
        ink.stroke(lines, NEAR, width=2.0)
        for n, (foot, rect) in enumerate(zip(feet, self._rects, strict=True)):
            if rect is not None:
                self._draw(ink.painter, n, rect.translated(foot))
            if n == self.active:
                self._draw_focus(ink, foot, rect)

    def _draw(self, painter: QPainter, n: int, plate: QRectF) -> None:
        pin, lies = self.pins[n], self._spots[n].lying
        painter.fillRect(plate, QColor(PLATE))
        pen = QPen(QColor(FAR_RIM if pin.ringed else ON_PHOTO), 1.5)
        if pin.ringed:
            pen.setWidthF(_CURRENT)
        elif pin.dashed:
            pen.setDashPattern([3.0, 2.0])
        pen.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
        painter.setPen(pen)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        half = pen.widthF() / 2
        painter.drawRect(plate.adjusted(half, half, -half, -half))
        painter.setPen(QColor(ON_PHOTO))
        painter.setFont(font(bold=True))
        words = plate.adjusted(MARGIN, 0, 0, 0)
        flags = Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft
        painter.drawText(words, flags, pin.text)
        x, y = plate.right() - MARGIN, plate.center().y()
        if lies.waived:
            paint_slip(painter, QRectF(x - SLIP, y - SLIP / 2, SLIP, SLIP), DARK)
            x -= SLIP_WIDE
        sign = QRectF(x - SIGN, y - SIGN / 2, SIGN, SIGN)
        draw_lying(painter, sign, lies, DARK)

    def _draw_focus(self, ink: Ink, foot: QPointF, rect: QRectF | None) -> None:
        path = QPainterPath()
        path.addEllipse(foot, _RING + 6, _RING + 6)
        if rect is not None:
            path.addRect(rect.translated(foot).adjusted(-5, -5, 5, 5))
        ink.stroke(path, FAR_RIM, width=4.0)


def _rect(plate: Plate) -> QRectF:
    return QRectF(plate.box.left, plate.box.top, plate.box.width, plate.box.height)


@lru_cache(maxsize=1)
def _metrics() -> QFontMetricsF:
    return QFontMetricsF(font(bold=True))


def _bold(text: str) -> float:
    return _metrics().horizontalAdvance(text)
