"""Looks a photo over off the window's thread, once for each set of marks on it."""

from collections import OrderedDict
from collections.abc import Callable

from PySide6.QtCore import QObject

from annotate.pane.levels import PictureLevels
from capture.desk import errands
from capture.desk.photos.warnings import Looks, looks_of
from capture.desk.shelf import give
from store.evidence import Marked

_REMEMBERED = 300
_About = tuple[str, Marked | None, bool]


class Looking(QObject):
    """Gives the Looks of one photo at a time; an answer about a photo no longer shown is kept."""

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self._known: OrderedDict[_About, Looks] = OrderedDict()
        self._asked: _About | None = None

    def look(
        self,
        photo: str,
        levels: PictureLevels | None,
        marked: Marked | None,
        then: Callable[[Looks], None],
        *,
        seek_marker: bool = True,
    ) -> None:
        """Have a photo looked over; nothing comes where its picture is not at hand."""
        about = self._asked = (photo, marked, seek_marker)
        if (looks := self._known.get(about)) is not None:
            then(looks)
        elif levels is not None:
            result = marked.result if marked is not None else None
            errands.run(
                lambda: looks_of(levels, result, seek_marker=seek_marker),
                lambda looks: self._looked(about, looks, then),
            )

    def _looked(self, about: _About, looks: Looks, then: Callable[[Looks], None]) -> None:
        self._known[about] = looks
        while len(self._known) > _REMEMBERED:
            self._known.popitem(last=False)
        if about == self._asked:
            give(then, looks)
