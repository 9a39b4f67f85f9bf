"""A page in a scrolling area that gives way as far as its parts do, before anything scrolls."""

from PySide6.QtWidgets import QSizePolicy, QVBoxLayout, QWidget


class ShrinkingPage(QWidget):
    """Asks a scrolling area for the least height it can do with, not for the one it would like."""

    def heightForWidth(self, wide: int) -> int:  # noqa: N802 - Qt's name
        """Return the least height at a width, in pixels."""
        made = self.layout()
        return made.totalMinimumHeightForWidth(wide) if made is not None else 0


class GivesRoom(QWidget):
    """Holds a picture, and takes the height that is left: what it would like pushes nothing off."""

    def __init__(self, held: QWidget, least_high: int) -> None:
        super().__init__()
        self.setMinimumHeight(least_high)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Ignored)
        room = QVBoxLayout(self)
        room.setContentsMargins(0, 0, 0, 0)
        room.addWidget(held)

    def hasHeightForWidth(self) -> bool:  # noqa: N802 - Qt's name
        """Return that it asks for no height of its own."""
        return False
