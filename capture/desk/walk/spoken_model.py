"""A list of frozen items that say themselves: for a view that draws them and a screen reader."""

from collections.abc import Sequence
from typing import Any

from PySide6.QtCore import QAbstractListModel, QModelIndex, QPersistentModelIndex, Qt

Index = QModelIndex | QPersistentModelIndex
_SAID = frozenset({
    Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole, Qt.ItemDataRole.ToolTipRole,
})  # fmt: skip


class SpokenModel(QAbstractListModel):
    """Items with a ``key`` that tells them apart and ``spoken``, what is said of them."""

    def __init__(self) -> None:
        super().__init__()
        self.items: list[Any] = []

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: N802, B008 - Qt's own
        """Return how many items there are."""
        return 0 if parent.isValid() else len(self.items)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """Return what is said of an item."""
        if index.isValid() and role in _SAID:
            return self.items[index.row()].spoken
        return None

    def show(self, items: Sequence[Any]) -> bool:
        """Show other items; return whether they are the same ones, perhaps with other words."""
        if [item.key for item in items] == [item.key for item in self.items]:
            self.items = list(items)
            if self.items:
                self.dataChanged.emit(self.index(0), self.index(len(self.items) - 1))
            return True
        self.beginResetModel()
        self.items = list(items)
        self.endResetModel()
        return False

    def find(self, key: str) -> QModelIndex:
        """Return the index of the item with this key, an invalid one if there is none."""
        at = next((n for n, item in enumerate(self.items) if item.key == key), -1)
        return self.index(at) if at >= 0 else QModelIndex()
