"""A list that is drawn row by row and heard item by item: arrows move, Space or a press goes."""

from collections.abc import Sequence
from typing import Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QAbstractItemView, QFrame, QListView

from capture.desk.look.type import font
from capture.desk.walk.spoken_model import Index, SpokenModel

_RETURNS = frozenset({Qt.Key.Key_Return, Qt.Key.Key_Enter})


class SpokenList(QListView):
    """What the round, the section and the lines of a hold point share."""

    pressed_at = Signal(object)  # the item

    def __init__(self, name: str) -> None:
        super().__init__()
        self.spoken = SpokenModel()
        self.setModel(self.spoken)
        self.setAccessibleName(name)
        self.setFont(font())
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setStyleSheet("QListView { border: none; background: transparent; }")
        self.setSelectionMode(QAbstractItemView.SelectionMode.NoSelection)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setResizeMode(QListView.ResizeMode.Adjust)
        self.clicked.connect(self.press)

    @property
    def items(self) -> list[Any]:
        """What is shown."""
        return self.spoken.items

    def show_items(self, items: Sequence[Any]) -> None:
        """Show these; the cursor and what can be seen stay where they were."""
        at = self.currentIndex()
        cursor = self.items[at.row()].key if at.isValid() else ""
        scrolled = self.verticalScrollBar().value()
        if self.spoken.show(items):
            self.scheduleDelayedItemsLayout()
        else:
            self.setCurrentIndex(self.spoken.find(cursor))
            self.doItemsLayout()
            self.verticalScrollBar().setValue(scrolled)
        self.viewport().update()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Move the cursor; Space goes. Return, letters and figures are left to the screen."""
        if event.key() == Qt.Key.Key_Space:
            self.press(self.currentIndex())
        elif event.text().strip() or event.key() in _RETURNS:
            event.ignore()
        else:
            super().keyPressEvent(event)

    def press(self, index: Index) -> None:
        """Do what a press on this item does."""
        if index.isValid():
            self.pressed_at.emit(self.items[index.row()])
