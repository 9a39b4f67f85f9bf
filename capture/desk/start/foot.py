"""The foot of a new job: back, where its book goes, and the one verb that begins it."""

from collections.abc import Callable
from pathlib import Path

from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QGridLayout, QVBoxLayout, QWidget

from capture.desk.look.controls import Verb, label
from capture.desk.start.folder import short_path

_NARROW = 880


class Foot(QWidget):
    """Back on the left, begin on the right, the folder between them."""

    def __init__(
        self,
        *,
        back: Callable[[], object],
        elsewhere: Callable[[], object],
        begin: Callable[[], object],
    ) -> None:
        super().__init__()
        self.back = Verb("Back", "Esc", does=back)
        self.elsewhere = Verb("Other folder", does=elsewhere)
        self.begin = Verb("Start at the first location", "Ctrl+Return", primary=True, does=begin)
        self._goes_in = label("", "caption", wrap=True)
        self._goes_in.setAccessibleName("where the book goes")
        self._fault = label("", "caption", bold=True, wrap=True)
        self._fault.hide()
        self._words = QVBoxLayout()
        self._words.setSpacing(2)
        self._words.addWidget(self._goes_in)
        self._words.addWidget(self._fault)
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(24, 12, 24, 16)
        self._grid.setHorizontalSpacing(16)
        self._grid.setVerticalSpacing(8)
        self._grid.setColumnStretch(2, 1)
        self._grid.addWidget(self.back, 1, 0)
        self._grid.addWidget(self.elsewhere, 1, 1)
        self._grid.addWidget(self.begin, 1, 3)
        self._narrow: bool | None = None
        self._place(narrow=False)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Put the words on a line of their own where the verbs need the width."""
        super().resizeEvent(event)
        self._place(narrow=event.size().width() < _NARROW)

    def _place(self, *, narrow: bool) -> None:
        if narrow == self._narrow:
            return
        self._narrow = narrow
        self._grid.removeItem(self._words)
        if narrow:
            self._grid.addLayout(self._words, 0, 0, 1, 4)
        else:
            self._grid.addLayout(self._words, 1, 2)

    def show_root(self, root: Path) -> None:
        """Say where the book goes."""
        self.show_fault("")
        self._goes_in.setText(f"The book goes in {short_path(root)}")
        self._goes_in.setToolTip(str(root))

    def show_fault(self, sentence: str) -> None:
        """Say why it can't go there."""
        self._fault.setText(sentence)
        self._fault.setVisible(bool(sentence))

    @property
    def fault(self) -> str:
        """Why it can't go there, empty if it can."""
        return self._fault.text()
