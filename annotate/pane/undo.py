"""One step of the undo stack: the layer before and after it."""

from collections.abc import Callable

from PySide6.QtGui import QUndoCommand

from annotate.marks import Layer

_MERGES, _STANDS_ALONE = 1, -1


class LayerEdit(QUndoCommand):
    """Puts one layer in the place of another. Steps with the same ``series`` become one step."""

    def __init__(
        self,
        take: Callable[[Layer], None],
        before: Layer,
        after: Layer,
        *,
        words: str,
        series: tuple[int, ...] = (),
    ) -> None:
        super().__init__(words)
        self._take = take
        self._before, self.after, self.series = before, after, series

    def redo(self) -> None:
        """Put the layer after the step in place; the stack also calls this on a new step."""
        self._take(self.after)

    def undo(self) -> None:
        """Put the layer before the step back."""
        self._take(self._before)

    def id(self) -> int:
        """Return Qt's mark for steps that may be merged."""
        return _MERGES if self.series else _STANDS_ALONE

    def mergeWith(self, other: QUndoCommand) -> bool:  # noqa: N802 - Qt's name
        """Take a later step of the same series into this one."""
        if not (isinstance(other, LayerEdit) and other.series == self.series):
            return False
        self.after = other.after
        return True
