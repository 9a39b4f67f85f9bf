"""The plates of the locations on a photo: drawn, hit, laid out when the view changes."""

from functools import lru_cache

from PySide6.QtCore import QPointF, QRectF, QSizeF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPainterPath, QPen, QTransform

from annotate.marks import Point
from annotate.pane.ink import NEAR, Ink
from annotate.pane.pin_board import PinBoard, nearest
from annotate.pane.shown import Pin
from annotate.pane.view import scene_of
from capture.desk.look.palette import LIGHT, Palette
from capture.desk.look.signs import paint_sign, paint_slip
from capture.desk.look.type import Size, font
from capture.desk.map.faces import Spotted
from capture.desk.map.leaders import Box, Plate, laid_out
from capture.desk.map.plate_words import (
    LESS_WIDE,
    MARGIN,
    MOST_WIDE,
    SIGN,
    STAMP_SIGN,
    TEXT_LEFT,
    Plated,
    plated,
    stamped,
)

_RING = 9.0  # round the place itself
_TARGET = 48.0
_CURRENT = 4.0
_SLIP = 18.0
# How wide the plates may be, and how much of the metal round each place stays in sight.
_TIERS = ((MOST_WIDE, 46.0), (MOST_WIDE, 34.0), (LESS_WIDE, 46.0), (LESS_WIDE, 28.0))


class PlateBoard(PinBoard):
    """Pins with plates. Where not all plates find room, all are stamps with the number only.

    ``crowded`` says so, for a list to stand beside the photo. ``dormant``: nothing can be hit
    while a place is being pointed out.
    """

    def __init__(self) -> None:
        super().__init__()
        self.palette: Palette = LIGHT
        self.crowded = False
        self.dormant = False
        self._spots: tuple[Spotted, ...] = ()
        self._plated: list[Plated] = []
        self._rects: list[QRectF | None] = []  # relative to the place on the screen
        self._key: tuple[float, ...] = ()
        self._room = QSizeF()

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

    def lay_out(self, to_screen: QTransform, room: QSizeF) -> None:
        """Give each plate its place, if the view or what is shown has changed."""
        key: tuple[float, ...] = (
            to_screen.m11(), to_screen.dx(), to_screen.dy(), room.width(), room.height(),
            self.dormant,
        )  # fmt: skip
        if key == self._key:
            return
        self._key, self._room = key, room
        whole = QRectF(QPointF(), room)
        feet = [to_screen.map(scene_of(pin.at)) for pin in self.pins]
        seen = [n for n, foot in enumerate(feet) if whole.contains(foot)]
        box = Box(0, 0, room.width(), room.height())
        words, found = self._fitted(seen, [(feet[n].x(), feet[n].y()) for n in seen], box)
        self._rects = [None] * len(feet)
        self._plated = [Plated("", "", "", 0, 0)] * len(feet)
        for n, said, plate in zip(seen, words, found, strict=True):
            self._plated[n] = said
            self._rects[n] = _rect(plate).translated(-feet[n]) if plate else None

    def _fitted(
        self, seen: list[int], places: list[tuple[float, float]], room: Box
    ) -> tuple[list[Plated], tuple[Plate | None, ...]]:
        """Return the widest plates that all find room, else stamps."""
        spots = [self._spots[n] for n in seen]
        if not self.dormant:
            for most, clear in _TIERS:
                full = [plated(spot, _body, _bold, _caption, most) for spot in spots]
                sizes = [(each.width, each.height) for each in full]
                found = laid_out(places, sizes, room, whole=True, clear=clear)
                self.crowded = any(plate is None for plate in found)
                if not self.crowded:
                    return full, found
        stamps = [stamped(spot, _stamp) for spot in spots]
        return stamps, laid_out(places, [(s.width, s.height) for s in stamps], room)

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
        """Draw rings, leaders and plates."""
        self.lay_out(ink.to_screen, self._room)
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
        pin, colours = self.pins[n], self.palette
        painter.fillRect(plate, QColor(colours.sheet))
        pen = QPen(QColor(colours.accent if pin.ringed else colours.ink), 2.0)
        if pin.ringed:
            pen.setWidthF(_CURRENT)
        elif pin.dashed:
            pen.setDashPattern([3.0, 2.0])
        pen.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
        painter.setPen(pen)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        half = pen.widthF() / 2
        painter.drawRect(plate.adjusted(half, half, -half, -half))
        if self._plated[n].word:
            self._write(painter, n, plate)
        else:
            self._stamp(painter, n, plate)

    def _write(self, painter: QPainter, n: int, plate: QRectF) -> None:
        words, lies, colours = self._plated[n], self._spots[n].lying, self.palette
        sign = QRectF(plate.left() + 11, plate.center().y() - SIGN / 2, SIGN, SIGN)
        paint_sign(painter, sign, lies.state, colours, suspect=lies.suspect)
        x, room = plate.left() + TEXT_LEFT, plate.width() - TEXT_LEFT
        painter.setPen(QColor(colours.ink))
        painter.setFont(font())
        flag = Qt.AlignmentFlag.AlignVCenter
        painter.drawText(QRectF(x, plate.top() + 3, room, 25), flag, words.top)
        low = QRectF(x, plate.top() + 27, room, 20)
        painter.setFont(font("caption", bold=True))
        painter.drawText(low, flag, words.word)
        low.adjust(_bold(words.word) + 8, 0, 0, 0)
        painter.setPen(QColor(colours.ink2))
        painter.setFont(font("caption"))
        painter.drawText(low, flag, words.value)
        if lies.waived:
            slip = QRectF(plate.right() - _SLIP - 3, plate.top() + 3, _SLIP, _SLIP)
            paint_slip(painter, slip, colours)

    def _stamp(self, painter: QPainter, n: int, plate: QRectF) -> None:
        lies, colours = self._spots[n].lying, self.palette
        sign = QRectF(
            plate.left() + MARGIN, plate.center().y() - STAMP_SIGN / 2, STAMP_SIGN, STAMP_SIGN
        )
        paint_sign(painter, sign, lies.state, colours, suspect=lies.suspect)
        painter.setPen(QColor(colours.ink))
        painter.setFont(font(bold=True))
        right = plate.adjusted(0, 0, -MARGIN, 0)
        flags = Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignRight
        painter.drawText(right, flags, self._plated[n].top)

    def _draw_focus(self, ink: Ink, foot: QPointF, rect: QRectF | None) -> None:
        path = QPainterPath()
        path.addEllipse(foot, _RING + 6, _RING + 6)
        if rect is not None:
            path.addRect(rect.translated(foot).adjusted(-5, -5, 5, 5))
        ink.stroke(path, self.palette.accent, width=4.0)


def _rect(plate: Plate) -> QRectF:
    return QRectF(plate.box.left, plate.box.top, plate.box.width, plate.box.height)


@lru_cache(maxsize=8)
def _metrics(size: Size, *, bold: bool = False) -> QFontMetricsF:
    return QFontMetricsF(font(size, bold=bold))


def _body(text: str) -> float:
    return _metrics("body").horizontalAdvance(text)


def _stamp(text: str) -> float:
    return _metrics("body", bold=True).horizontalAdvance(text)


def _bold(text: str) -> float:
    return _metrics("caption", bold=True).horizontalAdvance(text)


def _caption(text: str) -> float:
    return _metrics("caption").horizontalAdvance(text)
