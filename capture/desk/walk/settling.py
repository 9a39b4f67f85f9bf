"""The one thing that moves: a cover sits down when the last prop under it goes."""

from collections.abc import Sequence

from PySide6.QtCore import QObject, QVariantAnimation, Signal
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QApplication, QStyle

from capture.desk.walk.row import HoldRow, Row

_MS = 120


def motion_is_wanted() -> bool:
    """Return whether something may move: not if the desktop asks for less, nor unseen."""
    if QGuiApplication.platformName() in {"offscreen", "minimal"}:
        return False
    style = QApplication.style()
    return bool(style.styleHint(QStyle.StyleHint.SH_Widget_Animation_Duration))


class Settling(QObject):
    """How high each cover stands off its face, in pixels. ``moves`` turns the motion on or off."""

    moved = Signal()

    def __init__(self, gap: int, parent: QObject) -> None:
        super().__init__(parent)
        self._gap = gap
        self.moves = motion_is_wanted()
        self._falling: dict[str, QVariantAnimation] = {}

    def lift_of(self, row: Row) -> float:
        """Return the gap under the face, 0 for what sits."""
        if not isinstance(row, HoldRow):
            return 0.0
        if row.props:
            return float(self._gap)
        falling = self._falling.get(row.key)
        return float(falling.currentValue()) if falling is not None else 0.0

    def expect(self, before: Sequence[Row], after: Sequence[Row]) -> None:
        """Let those covers fall whose last prop went between two pictures of the round."""
        held = {row.key for row in before if isinstance(row, HoldRow) and row.props}
        for row in after:
            if isinstance(row, HoldRow) and row.key in held and not row.props and self.moves:
                self._fall(row.key)

    def _fall(self, key: str) -> None:
        falling = QVariantAnimation(self)
        falling.setStartValue(float(self._gap))
        falling.setEndValue(0.0)
        falling.setDuration(_MS)
        falling.valueChanged.connect(lambda _: self.moved.emit())
        falling.finished.connect(lambda: self._falling.pop(key, None))
        self._falling[key] = falling
        falling.start()
