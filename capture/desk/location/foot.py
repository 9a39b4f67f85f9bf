"""The row below everything: undo, history, zero and doubt, and who is measuring."""

from collections.abc import Callable
from typing import NamedTuple

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QWidget

from capture.desk.location.narrow import NarrowVerb
from capture.desk.location.question import GivesWay

_LONGEST = 16  # letters of a name that the row has room for in the smallest window


class Does(NamedTuple):
    """What the verbs of the row do."""

    undo: Callable[[], object]
    history: Callable[[], object]
    more: Callable[[], object]
    who: Callable[[], object]


class FootRow(QWidget):
    """Verbs whose keys work while the box has the focus: they have Ctrl in them."""

    def __init__(self, does: Does) -> None:
        super().__init__()
        self.undo = NarrowVerb("Undo", "Ctrl+Z", bare=True, does=does.undo)
        self.history = NarrowVerb("History", "Ctrl+H", bare=True, does=does.history)
        self.more = NarrowVerb("Zero, doubt, when", "F10", bare=True, does=does.more)
        self.who = NarrowVerb("", "Ctrl+U", bare=True, does=does.who)
        self.devices = GivesWay("caption", second=True, right=True)
        line = QHBoxLayout(self)
        line.setContentsMargins(0, 0, 0, 0)
        line.setSpacing(0)
        for verb in (self.undo, self.history, self.more):
            verb.setFocusPolicy(Qt.FocusPolicy.TabFocus)
            line.addWidget(verb)
        line.addWidget(self.devices, 1)
        line.addSpacing(8)
        self.who.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        line.addWidget(self.who)

    def say(self, by: str, *, undo: bool, more: bool, devices: str) -> None:
        """Say who measures, whether there is anything to undo, and what is connected."""
        self.who.set_words(by if len(by) <= _LONGEST else f"{by[: _LONGEST - 1]}\u2026")
        self.who.setAccessibleName(f"{by} measures; say who else does (Ctrl U)")
        self.undo.setEnabled(undo)
        self.more.setEnabled(more)
        self.devices.set_text(devices)
