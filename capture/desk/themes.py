"""Which theme is worn: the system's, or the one that was chosen."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication

from capture.desk.desk import Desk
from capture.desk.look.palette import DARK, LIGHT, Palette


def follow_theme(app: QGuiApplication, desk: Desk) -> None:
    """Wear what was chosen, and change with the system where that was chosen."""
    app.styleHints().colorSchemeChanged.connect(lambda _: desk.wear(chosen(desk)))
    desk.wear(chosen(desk))


def chosen(desk: Desk) -> Palette:
    """Return the palette to wear now."""
    if desk.memory.theme == "system":
        dark = QGuiApplication.styleHints().colorScheme() == Qt.ColorScheme.Dark
        return DARK if dark else LIGHT
    return DARK if desk.memory.theme == "dark" else LIGHT
