"""The verbs under a photo, on black: as many as there is room for, the rest behind "More"."""

from collections.abc import Callable

from msgspec import Struct
from PySide6.QtCore import QPoint, QSize, Qt
from PySide6.QtGui import QKeySequence, QResizeEvent, QShortcut
from PySide6.QtWidgets import QHBoxLayout, QMenu, QWidget

from capture.desk.look.controls import Verb, part
from capture.desk.look.palette import FAR_RIM, ON_PHOTO, PLATE
from capture.desk.look.type import font

HEIGHT = 48
_PADDING = 20  # left and right of a verb together
_MORE = "More"
_ON_PLATE = f"""
    QPushButton {{ background: {PLATE}; color: {ON_PHOTO}; border: 2px solid {PLATE};
        padding: 0; min-height: 44px; }}
    QPushButton:focus {{ border: 4px solid {FAR_RIM}; min-height: 40px; }}
    QPushButton:pressed {{ background: #2A2E31; }}
    QPushButton:disabled {{ border: 2px dashed #7F8485; color: #B1B2AE; }}
"""


class Action(Struct, frozen=True, eq=False):
    """Something that can be done with a photo. ``keys`` are Qt key sequences, the first printed."""

    words: str
    keys: tuple[str, ...]
    does: Callable[[], object]


class VerbStrip(QWidget):
    """A row of verbs whose keys work whether they are in the row or behind "More"."""

    def __init__(self) -> None:
        super().__init__()
        part(self, "plate")
        self.setFixedHeight(HEIGHT)
        self.setStyleSheet(_ON_PLATE)
        self._actions: tuple[Action, ...] = ()
        self._shortcuts: list[QShortcut] = []
        self._verbs: list[Verb] = []
        self._more = NarrowVerb(_MORE, does=self._open_more)
        self._more.setAccessibleDescription("what else can be done with this photo")
        self._line = QHBoxLayout(self)
        self._line.setContentsMargins(2, 0, 2, 0)
        self._line.setSpacing(0)
        self._line.addStretch(1)
        self._line.addWidget(self._more)

    def offer(self, actions: tuple[Action, ...]) -> None:
        """Offer these and nothing else; the most wanted come first."""
        if actions == self._actions:
            return
        self._actions = actions
        for shortcut in self._shortcuts:
            shortcut.setEnabled(False)
            shortcut.deleteLater()
        for verb in self._verbs:
            self._line.removeWidget(verb)
            verb.hide()
            verb.deleteLater()
        self._shortcuts = [self._bound(k, action) for action in actions for k in action.keys]
        self._verbs = [NarrowVerb(a.words, key=_printed(a), does=a.does) for a in actions]
        for at, verb in enumerate(self._verbs):
            self._line.insertWidget(at, verb)
        self._share_room()

    @property
    def words(self) -> tuple[str, ...]:
        """What is offered, in the row or behind "More"."""
        return tuple(action.words for action in self._actions)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Put into the row what there is room for."""
        super().resizeEvent(event)
        self._share_room()

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return room for "More" at least; a row gives way."""
        return QSize(self._more.sizeHint().width() + 4, HEIGHT)

    minimumSizeHint = sizeHint  # noqa: N815 - Qt's name

    def _share_room(self) -> None:
        left = self.width() - 4
        wide = [verb.sizeHint().width() for verb in self._verbs]
        whole = sum(wide) <= left
        left -= 0 if whole else self._more.sizeHint().width()
        for verb, needed in zip(self._verbs, wide, strict=True):
            left -= needed
            verb.setVisible(whole or left >= 0)
        self._more.setVisible(not whole)

    def _bound(self, keys: str, action: Action) -> QShortcut:
        shortcut = QShortcut(QKeySequence(keys), self)
        shortcut.setContext(Qt.ShortcutContext.WindowShortcut)
        shortcut.setAutoRepeat(False)
        shortcut.activated.connect(action.does)
        return shortcut

    def _open_more(self) -> None:
        menu = QMenu(self)
        menu.setFont(font())
        for verb, action in zip(self._verbs, self._actions, strict=True):
            if verb.isHidden():
                menu.addAction(f"{action.words}\t{_printed(action)}").triggered.connect(action.does)
        menu.aboutToHide.connect(menu.deleteLater)
        corner = self._more.mapToGlobal(self._more.rect().topLeft())
        menu.popup(corner - QPoint(0, menu.sizeHint().height()))


def _printed(action: Action) -> str:
    return action.keys[0].replace("+", " ") if action.keys else ""


class NarrowVerb(Verb):
    """A verb with less air round it: five of them stand under half a window."""

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return room for the words and the key."""
        return super().sizeHint() - QSize(40 - _PADDING, 0)
