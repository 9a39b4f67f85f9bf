"""The foot of a new job: back, where its book goes, and the one verb that begins it."""

from collections.abc import Callable
from pathlib import Path

from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from capture.desk.look.controls import Verb, label
from capture.desk.start.folder import short_path


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
        self.elsewhere = Verb("Other folder", "Ctrl+D", does=elsewhere)
        self.begin = Verb("Start at the first location", "Ctrl+Return", primary=True, does=begin)
        self._goes_in = label("", "caption", wrap=True)
        self._goes_in.setAccessibleName("where the book goes")
        self._fault = label("", "caption", bold=True, wrap=True)
        self._fault.hide()
        words = QVBoxLayout()
        words.setSpacing(2)
        words.addWidget(self._goes_in)
        words.addWidget(self._fault)
        across = QHBoxLayout(self)
        across.setContentsMargins(24, 12, 24, 16)
        across.setSpacing(16)
        across.addWidget(self.back)
        across.addWidget(self.elsewhere)
        across.addLayout(words, 1)
        across.addWidget(self.begin)

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
