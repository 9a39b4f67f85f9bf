"""Pins on a picture: stamped numbers with a short leader to their place."""

from collections.abc import Sequence

from msgspec.structs import replace
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainterPath, QPen, QTransform

from annotate.marks import Point
from annotate.pane.ink import ACCENT, LABEL, NEAR, Ink
from annotate.pane.pins import laid_out
from annotate.pane.shown import Pin
from annotate.pane.view import scene_of

_FOOT_PX = 4.0
_TARGET_PX = 48.0  # least height of what a finger is to hit
_CURRENT_PX = 3.0


class PinBoard:
    """The pins, which of them is active, and where their plates stand.

    Plates are laid out when the zoom or a pin changes, not when the picture is moved.
    """

    def __init__(self) -> None:
        self.pins: tuple[Pin, ...] = ()
        self.movable = False
        self.active: int | None = None
        self._boxes: list[QRectF] = []  # relative to the pin's place on the screen
        self._laid_for: tuple[float, float] | None = None  # zoom, height of the type

    def set_pins(self, pins: Sequence[Pin], *, movable: bool) -> None:
        """Take other pins; the active one stays active if its text is still there."""
        was = None if self.active is None else self.pins[self.active].text
        self.pins, self.movable = tuple(pins), movable
        self.active = next((k for k, p in enumerate(self.pins) if p.text == was), None)
        self._laid_for = None

    def step(self, step: int) -> bool:
        """Make the next pin active; False, and none active, past the last."""
        if self.active is None:
            following = 0 if step > 0 else len(self.pins) - 1
        else:
            following = self.active + step
        self.active = following if 0 <= following < len(self.pins) else None
        return self.active is not None

    def move(self, k: int, to: Point) -> None:
        """Put a pin somewhere else; its plate goes along until the pins are set anew."""
        self.pins = (*self.pins[:k], replace(self.pins[k], at=to), *self.pins[k + 1 :])

    def hit(self, at: QPointF, to_screen: QTransform) -> int | None:
        """Return the pin nearest to a place of the screen that lies on its plate or its foot.

        Both are 48 px targets, however small they are drawn.
        """
        best: tuple[float, int] | None = None
        for k in range(min(len(self.pins), len(self._boxes))):
            foot = to_screen.map(scene_of(self.pins[k].at))
            for box in (self._boxes[k].translated(foot), QRectF(foot, foot)):
                more = max(0.0, (_TARGET_PX - box.height()) / 2)
                if box.adjusted(-more, -more, more, more).contains(at):
                    off = (nearest(box, at) - at).manhattanLength()
                    best = min(best or (off, k), (off, k))
        return None if best is None else best[1]

    def draw(self, ink: Ink) -> None:
        """Draw leaders, feet and plates."""
        self._lay_out(ink)
        feet = [ink.to_screen.map(scene_of(pin.at)) for pin in self.pins]
        lines = QPainterPath()
        for foot, box in zip(feet, self._boxes, strict=True):
            plate = box.translated(foot)
            lines.moveTo(foot)
            lines.lineTo(nearest(plate, foot))
            lines.addEllipse(foot, _FOOT_PX, _FOOT_PX)
        ink.stroke(lines, NEAR, width=1.5)
        for k, (foot, box) in enumerate(zip(feet, self._boxes, strict=True)):
            self._draw_plate(ink, k, box.translated(foot))

    def _draw_plate(self, ink: Ink, k: int, plate: QRectF) -> None:
        pin = self.pins[k]
        ink.plate(plate, pin.text)
        ink.painter.setBrush(Qt.BrushStyle.NoBrush)
        if pin.dashed:
            ink.painter.setPen(QPen(QColor(LABEL), 1.5, Qt.PenStyle.DashLine))
            ink.painter.drawRect(plate)
        if pin.ringed:
            ink.painter.setPen(QPen(QColor(ACCENT), _CURRENT_PX))
            ink.painter.drawRect(plate)
        if k == self.active:
            path = QPainterPath()
            path.addRect(plate.adjusted(-6, -6, 6, 6))
            ink.stroke(path, ACCENT, width=4.0)

    def _lay_out(self, ink: Ink) -> None:
        now = (ink.to_screen.m11(), ink.metrics.height())
        if self._laid_for == now:
            return
        self._laid_for = now
        feet = [ink.to_screen.map(scene_of(pin.at)) for pin in self.pins]
        boxes = laid_out(
            [(f.x(), f.y()) for f in feet], [ink.plate_size(pin.text) for pin in self.pins]
        )
        self._boxes = [
            QRectF(b.left, b.top, b.width, b.height).translated(-f)
            for f, b in zip(feet, boxes, strict=True)
        ]


def nearest(box: QRectF, at: QPointF) -> QPointF:
    """Return the place of a rectangle nearest to another place."""
    return QPointF(
        min(max(at.x(), box.left()), box.right()), min(max(at.y(), box.top()), box.bottom())
    )
