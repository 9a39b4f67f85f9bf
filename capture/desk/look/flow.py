"""Widgets side by side, going on in the next line where there is no room left."""

from PySide6.QtCore import QPoint, QRect, QSize, Qt
from PySide6.QtWidgets import QLayout, QLayoutItem, QWidget


class Flow(QLayout):
    """A line of verbs that is never cut short: what does not fit goes below."""

    def __init__(self, *widgets: QWidget, gap: int = 8) -> None:
        super().__init__()
        self._items: list[QLayoutItem] = []
        self.setContentsMargins(0, 0, 0, 0)
        self.setSpacing(gap)
        for widget in widgets:
            self.addWidget(widget)

    def addItem(self, item: QLayoutItem) -> None:  # noqa: N802 - Qt's name
        """Take one more."""
        self._items.append(item)

    def count(self) -> int:
        """Return how many there are."""
        return len(self._items)

    def itemAt(self, index: int) -> QLayoutItem | None:  # noqa: N802 - Qt's name
        """Return one, None where there is none."""
        return self._items[index] if 0 <= index < len(self._items) else None

    def takeAt(self, index: int) -> QLayoutItem | None:  # noqa: N802 - Qt's name
        """Let go of one."""
        return self._items.pop(index) if 0 <= index < len(self._items) else None

    def expandingDirections(self) -> Qt.Orientation:  # noqa: N802 - Qt's name
        """Return that it takes no more than it needs."""
        return Qt.Orientation(0)

    def hasHeightForWidth(self) -> bool:  # noqa: N802 - Qt's name
        """Return that its height depends on its width."""
        return True

    def heightForWidth(self, width: int) -> int:  # noqa: N802 - Qt's name
        """Return the height of all lines at a width."""
        return self._flow(QRect(0, 0, width, 0), place=False)

    def setGeometry(self, rect: QRect) -> None:  # noqa: N802 - Qt's name
        """Put each in its place."""
        super().setGeometry(rect)
        self._flow(rect, place=True)

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return room for all in one line."""
        shown = [item.sizeHint() for item in self._items if not item.isEmpty()]
        wide = sum(size.width() for size in shown) + self.spacing() * max(len(shown) - 1, 0)
        return QSize(wide, max((size.height() for size in shown), default=0))

    def minimumSize(self) -> QSize:  # noqa: N802 - Qt's name
        """Return room for the widest alone."""
        sizes = [item.sizeHint() for item in self._items if not item.isEmpty()]
        return QSize(
            max((size.width() for size in sizes), default=0),
            max((size.height() for size in sizes), default=0),
        )

    def _flow(self, rect: QRect, *, place: bool) -> int:
        x, y, high = rect.left(), rect.top(), 0
        for item in self._items:
            if item.isEmpty():  # hidden
                continue
            size = item.sizeHint()
            if x > rect.left() and x + size.width() > rect.left() + rect.width():
                x, y, high = rect.left(), y + high + self.spacing(), 0
            if place:
                item.setGeometry(QRect(QPoint(x, y), size))
            x += size.width() + self.spacing()
            high = max(high, size.height())
        return y + high - rect.top()
