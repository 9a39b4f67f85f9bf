"""A picture with its marks: the layer, its undo stack and the tool in hand. No events."""

from typing import Literal, get_args

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QUndoStack
from PySide6.QtWidgets import QWidget

from annotate.errors import BadMark
from annotate.marks import FarUnseen, Layer, Mark, PixelPair, Rim
from annotate.pane.drawing import named_rims
from annotate.pane.editing import Active, Editing, with_rims
from annotate.pane.editing import with_mark as layer_with
from annotate.pane.levels import PictureLevels
from annotate.pane.outlines import Outlines, RimLines, ShownLines, round_lines
from annotate.pane.rim_fit import RimFit, fit_rim
from annotate.pane.shown import Shown
from annotate.pane.tools import Draft, Tool, Unsized, Wordless, note_of
from annotate.pane.undo import LayerEdit
from annotate.pane.view import ZoomView, point_of
from annotate.quantity import Quantity

_CURSORS = (Qt.CursorShape.ArrowCursor, Qt.CursorShape.CrossCursor)
_KEYS = "Tab takes a handle, X the other rim, Esc lets go; + and - enlarge, 0 shows all"


class MarkedView(ZoomView):
    """Holds the layer of one photo and makes every change to it a step that can be undone.

    ``layer_changed`` carries the new Layer after each finished edit, undo and redo.
    ``length_wanted`` carries an Unsized scale that waits for ``give_length``; ``words_wanted``
    the Point of a note that waits for ``give_words``. ``refused`` says in a sentence why a tool
    could not finish and what to do.
    """

    layer_changed = Signal(object)
    tool_changed = Signal(str)
    active_changed = Signal(object)
    length_wanted = Signal(object)
    words_wanted = Signal(object)
    refused = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._editing = Editing(Layer(width_px=1, height_px=1))
        self._outlines = Outlines()
        self._undo = QUndoStack(self)
        self._draft: Draft | None = None
        self._preview: RimLines | None = None
        self._waiting: Unsized | Wordless | None = None
        self._shown: ShownLines | None = None
        self._labels: dict[int, str] = {}
        self._told: Active | None = None

    def set_picture(self, levels: PictureLevels | None) -> None:
        """Show another picture, without marks."""
        super().set_picture(levels)
        size = self.picture_area().size().toSize().expandedTo(QSize(1, 1))
        self._shown = None
        self.set_layer(Layer(width_px=size.width(), height_px=size.height()))

    def set_layer(self, layer: Layer) -> None:
        """Show another layer; the undo stack begins anew, a tool is put away, nobody is told.

        Raises ValueError for the layer of a picture of another size than the one shown.
        """
        size = self.picture_area().size().toSize()
        if not size.isEmpty() and size != QSize(layer.width_px, layer.height_px):
            raise ValueError("this layer is of a picture of another size: set the picture first")
        self.start_tool("")
        self._undo.clear()
        self._labels.clear()
        self._editing.forget(layer)
        self._refreshed()

    def layer(self) -> Layer:
        """Return the layer with all finished edits."""
        return self._editing.layer

    @property
    def undo_stack(self) -> QUndoStack:
        """The steps of this layer, without a limit."""
        return self._undo

    @property
    def active(self) -> Active | None:
        """The active handle."""
        return self._editing.active

    def rim_fit(self, which: Literal["near", "far", "back"]) -> RimFit | None:
        """Return how the points of a rim follow its outline, for a FitStrip; None without one."""
        fits = [r.fit for r in self._outlines.rims.values() if r.which == which]
        return fits[-1] if fits else None

    @property
    def tool(self) -> Tool:
        """The tool in hand, "" for none."""
        return "" if self._draft is None else self._draft.tool

    def set_rims(self, *marks: Rim | FarUnseen) -> None:
        """Put rims that were found on the layer, in one step, with handles.

        Each replaces what was there of its kind; with a near rim the old back rim goes too.
        """
        self._edit(with_rims(self.layer(), *marks), "rims found")

    def set_shown(self, shown: Shown | None) -> None:
        """Show accepted outlines in place of the layer's rims, or (None) let them be placed again.

        While they are shown no handle can be moved; the tools still work.
        """
        self._shown = None if shown is None else ShownLines(shown)
        if shown is not None:
            self._editing.deactivate()
        self._refreshed()

    def zoom_to_rims(self, share: float = 0.6) -> None:
        """Show the rims so that they take this share of the view; nothing without rims."""
        box, room = QRectF(), self.viewport().rect()
        for _, trace in named_rims(self._shown, self._outlines):
            (left, top), (right, bottom) = trace.scene.min(axis=0), trace.scene.max(axis=0)
            box = box.united(QRectF(left, top, right - left, bottom - top))
        if not box.isEmpty():
            zoom = min(room.width() / box.width(), room.height() / box.height())
            self.zoom_to(point_of(box.center()), share * zoom)

    def set_label_of(self, mark_index: int, text: str) -> None:
        """Write words beside a mark, "" for none: forgotten when a mark is added or removed."""
        self._labels[mark_index] = text
        self.viewport().update()

    def start_tool(self, tool: Tool) -> None:
        """Take a tool in hand, "" to put it away; raises ValueError for an unknown one."""
        if tool not in get_args(Tool):
            raise ValueError(f"unknown tool {tool!r}")
        before, self._waiting = self.tool, None
        self._draw_on(Draft(tool) if tool else None)
        self._editing.deactivate()
        self.viewport().setCursor(_CURSORS[bool(tool)])
        self._refreshed()
        if tool != before:
            self.tool_changed.emit(tool)

    def finish_tool(self) -> None:
        """Make the mark of the points placed so far, or say through ``refused`` why not."""
        if self._draft is None or self._waiting is not None:
            return
        try:
            made = self._draft.made()
        except BadMark as refusal:
            if self._draft.complete:
                self._draw_on(self._draft.without_last())
            self.refused.emit(str(refusal))
            return
        if isinstance(made, Unsized):
            self._waiting = made
            self.length_wanted.emit(made)
        elif isinstance(made, Wordless):
            self._waiting = made
            self.words_wanted.emit(made.at)
        else:
            self._finished(made)

    def give_length(self, length: Quantity | None) -> None:
        """Give the scale that waits its length; None drops it. Raises BadMark for 0 or less."""
        if isinstance(self._waiting, Unsized):
            self._answered(None if length is None else self._waiting.sized(length))

    def give_words(self, words: str | None) -> None:
        """Give the note that waits its words; None drops it. Raises BadMark for no words."""
        if isinstance(self._waiting, Wordless):
            self._answered(None if words is None else note_of(self._waiting, words))

    def place(self, at: PixelPair, within_px: float) -> None:
        """Add a point with the tool in hand; within a distance of the first one it finishes."""
        if self._draft is None or self._waiting is not None:
            return
        if self._draft.closes_at(at, within_px):
            self.finish_tool()
            return
        self._draw_on(self._draft.with_point(at))
        if self._draft.complete:
            self.finish_tool()

    def take_back(self) -> bool:
        """Take back the draft's last point; False if there is none."""
        if self._draft is None or not self._draft.points_px:
            return False
        self._waiting = None
        self._draw_on(self._draft.without_last())
        return True

    def undo(self) -> None:
        """Take back a point of the tool in hand, else the last step."""
        if not self.take_back():
            self._undo.undo()

    def redo(self) -> None:
        """Do the last step again that was undone."""
        self._undo.redo()

    def remove_active(self) -> None:
        """Take the active mark off the layer."""
        without = self._editing.without_active()
        self._editing.deactivate()
        self._edit(without, "mark removed")

    def _draw_on(self, draft: Draft | None) -> None:
        """Go on with a draft, and show the outline through it as soon as it has one."""
        self._draft, self._preview = draft, None
        if draft is not None and not draft.missing:
            if draft.tool in {"near rim", "far rim"}:
                rim = draft.made()
                form = self._outlines.form
                self._preview = RimLines(rim, fit_rim(rim, form)) if isinstance(rim, Rim) else None
            elif draft.tool in {"circle", "diameter"}:
                self._preview = round_lines(draft.points_px)
        self.viewport().update()

    def _answered(self, mark: Mark | None) -> None:
        if mark is None:
            self.start_tool("")
        else:
            self._finished(mark)

    def _finished(self, mark: Mark) -> None:
        self.start_tool("")
        self._edit(layer_with(self.layer(), mark), "mark placed")

    def _edit(self, after: Layer | None, words: str, series: tuple[int, ...] = ()) -> None:
        before = self.layer()
        if after is not None and after != before:
            self._undo.push(LayerEdit(self._take, before, after, words=words, series=series))

    def _take(self, layer: Layer) -> None:
        if len(layer.marks) != len(self._editing.layer.marks):
            self._labels.clear()  # their numbers no longer mean the same marks
        self._editing.take(layer)
        self._refreshed()
        self.layer_changed.emit(layer)

    def _refreshed(self) -> None:
        """Fit and draw anew what changed, and tell of the active handle if it is another."""
        self._outlines.update(self._editing.draft_layer)
        active = self._editing.active
        if active != self._told:
            self._told = active
            self.active_changed.emit(active)
            self.setAccessibleDescription(_KEYS if active is None else active.words)
        self.viewport().update()
