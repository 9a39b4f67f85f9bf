"""A narrow scroll bar that lies over what it scrolls: a cover goes on to the window's edge."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QAbstractScrollArea, QScrollBar

_WIDE = 10
_STYLE = f"""
QScrollBar:vertical {{ background: transparent; width: {_WIDE}px; margin: 0; }}
QScrollBar::handle:vertical {{ margin: 2px; min-height: 48px; }}
"""


class SlimBar(QScrollBar):
    """Shows and moves the area's own vertical bar, which is hidden."""

    def __init__(self, area: QAbstractScrollArea) -> None:
        super().__init__(Qt.Orientation.Vertical, area)
        self._area = area
        area.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._own = own = area.verticalScrollBar()
        self.setStyleSheet(_STYLE)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        own.rangeChanged.connect(self._take_range)
        own.valueChanged.connect(self.setValue)
        self.valueChanged.connect(own.setValue)
        self._take_range(own.minimum(), own.maximum())

    def stay(self) -> None:
        """Lie at the right edge; to be told when the area has changed its size."""
        self.setGeometry(self._area.width() - _WIDE, 0, _WIDE, self._area.height())
        self._take_range(self._own.minimum(), self._own.maximum())

    def _take_range(self, low: int, high: int) -> None:
        self.setRange(low, high)
        self.setPageStep(self._own.pageStep())
        self.setSingleStep(self._own.singleStep())
        self.setValue(self._own.value())
        self.setVisible(high > low)
