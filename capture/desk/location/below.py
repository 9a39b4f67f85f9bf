"""Below the photo: the verdict and the limit line, or the grid while readings are missing."""

from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from capture.desk.limit.block import HEIGHT, LimitBlock
from capture.desk.limit.verdict_words import Said
from capture.desk.location.grid_room import GridRoom
from capture.desk.location.grid_view import GridView
from capture.desk.location.question import GivesWay
from capture.desk.look.controls import label
from capture.desk.look.palette import Palette
from store.round import Check, Round

_HEADING, _SENTENCE = 40, 28  # high: the verdict's word, and each sentence beside it from the 2nd
_MOST_SENTENCES = 5
_LINE_ONLY = 176  # high, without the row of what is next


class Below(QWidget):
    """The limit block; a grid that still waits for readings lies where its line will be.

    Where no line is drawn the block keeps no room for one: what is next has its own row below.
    """

    def __init__(self, grid: GridView) -> None:
        super().__init__()
        self._head = QWidget()
        self.limit = LimitBlock(parent=self._head)
        self.room = GridRoom(grid)
        self.holds_grid = self._is_low = False
        self._first = ""
        self._next = GivesWay()  # on one line: a line that wraps asks for room as if it did
        self._next_row = QWidget()
        row = QHBoxLayout(self._next_row)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(10)
        row.addWidget(label("Next", "body", bold=True))
        row.addWidget(self._next, 1)
        self._rows = QVBoxLayout(self)
        self._rows.setContentsMargins(0, 0, 0, 8)
        self._rows.setSpacing(4)
        self._rows.addWidget(self._head)
        self._rows.addWidget(self.room, 1)
        self._rows.addWidget(self._next_row)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        self._share()

    @property
    def next_words(self) -> str:
        """What is said to be next in a row of its own, "" where the block itself says it."""
        return "" if self._next_row.isHidden() else self._next.text

    def show_check(self, check: Check | None, known: Round | None) -> None:
        """Show where a check stands."""
        self.limit.show_check(check, known)
        self._first = ""
        self._share()

    def ask_first(self, words: str) -> None:
        """Say what must be said before anything is read; "": what the check needs is next."""
        self._first = words
        self._share()

    def hold(self, *, grid: bool) -> None:
        """Hold the grid, or let it go."""
        if grid:
            self.room.take()
            self.room.follow()
        else:
            self.room.let_go()
        self.room.setVisible(grid)
        self.holds_grid = grid
        self._share()

    def be_low(self, *, low: bool) -> None:
        """Leave out what is next beside a grid, which shows it too, where the window is low."""
        self._is_low = low
        self._rows.setContentsMargins(0, 0, 0, 0 if low else 8)
        self._rows.setSpacing(0 if low else 4)
        self._share()

    def wear(self, palette: Palette) -> None:
        """Draw in other colours."""
        self.limit.wear(palette)
        self._next.palette_worn = palette
        self._next.update()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Give the block the whole width."""
        super().resizeEvent(event)
        self.limit.setGeometry(0, 0, self.width(), HEIGHT)

    def _share(self) -> None:
        """Cut the block where its line would be, if it draws none."""
        said = self.limit.said
        has_line = self.limit.line is not None and not self.holds_grid
        sentences = min(max(len(said.clauses), 1), _MOST_SENTENCES)
        self._head.setFixedHeight(
            _lined(said, first=self._first) if has_line else _HEADING + _SENTENCE * (sentences - 1)
        )
        following = (f"{self._first}.",) if self._first else said.following
        self._next.set_text(" ".join((*following, *said.agreeing)))
        left_out = self.holds_grid and self._is_low
        own = not has_line or bool(self._first)
        self._next_row.setVisible(own and not left_out and bool(self._next.text))


def _lined(said: Said, *, first: str) -> int:
    """Return the height of a block with its line: no row is kept for what is not said in it."""
    return HEIGHT if (said.following or said.agreeing) and not first else _LINE_ONLY
