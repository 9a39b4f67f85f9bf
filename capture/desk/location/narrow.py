"""A verb with less air round it, where several stand in one row."""

from PySide6.QtCore import QSize

from capture.desk.look.controls import Verb

_LESS_AIR = 24


class NarrowVerb(Verb):
    """As a verb, but for its width."""

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return room for the words and the key."""
        return super().sizeHint() - QSize(_LESS_AIR, 0)
