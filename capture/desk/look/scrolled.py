"""A page that is longer than the window."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QScrollArea, QWidget


def scrolled(inside: QWidget) -> QScrollArea:
    """Return an area that scrolls what is inside up and down, and follows the focus."""
    made = QScrollArea()
    made.setWidgetResizable(True)
    made.setFrameShape(QScrollArea.Shape.NoFrame)
    made.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    made.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    made.setWidget(inside)
    return made


def reveal(widget: QWidget) -> None:
    """Scroll so that a widget is in sight: Qt does it for Tab only."""
    above = widget.parentWidget()
    while above is not None and not isinstance(above, QScrollArea):
        above = above.parentWidget()
    if above is not None:
        above.ensureWidgetVisible(widget, 0, 24)
