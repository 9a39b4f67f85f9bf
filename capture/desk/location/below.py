"""Below the photo: the verdict and the limit line, or the grid while readings are missing."""

from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from capture.desk.limit.block import HEIGHT, LimitBlock
from capture.desk.location.grid_view import GridView
from capture.desk.look.controls import part
from store.round import Check, Round

_BEFORE_NEXT = 110  # high, between the heading and what is next
_BELOW_HEADING = 60  # two lines of words beside the heading


class Below(QWidget):
    """The limit block; a grid that still waits for readings lies where its line will be."""

    def __init__(self, grid: GridView) -> None:
        super().__init__()
        self.limit = LimitBlock(parent=self)
        self.grid = grid
        # What is next is said by the grid itself, where it needs the room of those words.
        self._cover = part(QWidget(self), "work")
        self._cover.hide()
        self.holds_grid = False
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setFixedHeight(HEIGHT)

    def show_check(self, check: Check | None, known: Round | None) -> None:
        """Show where a check stands."""
        self.limit.show_check(check, known)
        self._lay_out()

    def hold(self, *, grid: bool) -> None:
        """Hold the grid, or let it go."""
        self.holds_grid = grid
        if grid:
            self.grid.setParent(self)
            self.grid.show()
            self.grid.raise_()
        self._lay_out()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Give both the whole width."""
        super().resizeEvent(event)
        self._lay_out()

    def _lay_out(self) -> None:
        self.limit.setGeometry(0, 0, self.width(), HEIGHT)
        bare = self.limit.line is None and not self.limit.said.following
        high, needs = _BELOW_HEADING if bare else HEIGHT, 0
        if self.holds_grid:
            needs = self.grid.sizeHint().height()
            high = max(HEIGHT, _BELOW_HEADING + needs)
            self._cover.setGeometry(0, _BELOW_HEADING, self.width(), high - _BELOW_HEADING)
            self.grid.setGeometry(0, _BELOW_HEADING, self.width(), needs)
        self._cover.setVisible(self.holds_grid and needs > _BEFORE_NEXT)
        if self.height() != high:
            self.setFixedHeight(high)
