"""A verb with less air round it, where several stand in one row."""

from PySide6.QtCore import QSize

from capture.desk.look.controls import Verb
from capture.desk.look.type import font

_LESS_AIR = 24


class NarrowVerb(Verb):
    """As a verb, but for its width."""

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return room for the words and the key."""
        return super().sizeHint() - QSize(_LESS_AIR, 0)


def be_primary(verb: Verb, *, primary: bool) -> None:
    """Dress a verb as the one thing that is meant to be done here, or as any other."""
    verb.setProperty("part", "primary" if primary else "plain")
    verb.setFont(font("body", bold=primary))
    verb.style().unpolish(verb)
    verb.style().polish(verb)
    verb.updateGeometry()
