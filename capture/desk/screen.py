"""What a screen of the work area is."""

from PySide6.QtWidgets import QWidget

from capture.desk.desk import Desk
from capture.desk.look.palette import Palette
from capture.desk.where import Where
from store.round import Round


class Screen(QWidget):
    """One thing the work area can show. It draws from the desk's round and asks the desk to act.

    ``enter`` is called when it is gone to, ``show_round`` when it is shown and the round changed,
    ``leave`` when another one is shown instead. ``wear`` is told of the theme.
    """

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self.desk = desk

    def enter(self, where: Where) -> None:
        """Show what ``where`` says; the desk's round is up to date."""

    def show_round(self, known: Round | None) -> None:
        """Draw again: something was filed."""

    def leave(self) -> None:
        """Let go of what was shown: stop a camera, drop an errand."""

    def wear(self, palette: Palette) -> None:  # noqa: ARG002 - a screen may need it
        """Draw in these colours from now on."""
        self.update()
