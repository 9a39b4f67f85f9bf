"""Where the screens lie, one of them in sight: scrolled where the window is too small for it."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QScrollArea, QSizePolicy, QStackedWidget, QWidget

from capture.desk.look.scrolled import scrolled


class WorkArea(QStackedWidget):
    """The screens. Each is as large as there is room, but no smaller than it can be."""

    def __init__(self) -> None:
        super().__init__()
        self._areas: dict[QWidget, QScrollArea] = {}
        # What a page needs is the page's own affair: the window may be smaller than the largest.
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)
        self.setMinimumSize(1, 1)

    def take(self, screen: QWidget) -> None:
        """Have one more screen."""
        area = scrolled(screen)
        area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAsNeeded)
        self._areas[screen] = area
        self.addWidget(area)

    def turn(self, screen: QWidget) -> None:
        """Show this one of them."""
        self.setCurrentWidget(self._areas[screen])

    def current(self) -> QWidget | None:
        """Return the screen that is shown, None before there is any."""
        area = self.currentWidget()
        return area.widget() if isinstance(area, QScrollArea) else None
