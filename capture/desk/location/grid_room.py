"""The room of a grid: as high as all of it; where there is no room it follows the hand."""

from PySide6.QtCore import QSize, Qt
from PySide6.QtWidgets import QScrollArea, QSizePolicy

from capture.desk.location.grid_view import GridView


class GridRoom(QScrollArea):
    """Shows all rows where it can, two of them at least; the next spot is always in sight."""

    def __init__(self, grid: GridView) -> None:
        super().__init__()
        self._grid = grid
        self.setWidgetResizable(True)
        self.setFrameShape(QScrollArea.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)

    def take(self) -> None:
        """Hold the grid."""
        if self.widget() is not self._grid:
            self.setWidget(self._grid)
        self._grid.show()

    def let_go(self) -> None:
        """Hold it no longer."""
        if self.widget() is self._grid:
            self.takeWidget()

    def follow(self) -> None:
        """Bring the next spot into sight, with the headings where it is in the first row."""
        self.updateGeometry()
        here = self._grid.here
        if here is not None:
            cell = self._grid.cell_rect(here).toAlignedRect()
            self.ensureVisible(cell.center().x(), cell.top(), 0, cell.height())
            self.ensureVisible(cell.center().x(), cell.bottom(), 0, 0)

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return what the whole grid needs."""
        return self._grid.sizeHint()

    def minimumSizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return the least of it that is to be seen."""
        return QSize(self._grid.sizeHint().width(), self._grid.least_high)
