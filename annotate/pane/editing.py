"""What is being done to a layer: the active handle, a drag, a draft. No Qt, no arithmetic of sizes.

The canvas tells where the pointer is, in pixels of the picture; this says what the layer is then.
A finished edit is a new layer; what is kept of the old one (undo) is the canvas's business.
"""

from math import hypot
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from annotate.errors import BadMark
from annotate.marks import Chessboard, FarOutline, FarUnseen, Layer, Mark, Marker, PixelPair, Rim
from annotate.pane.handles import bent, handle_points, inside, moved, rim_handles

_CYCLED: Final = {"near": 0, "far": 1, "back": 3}  # rims first, the other marks between


class Active(Struct, frozen=True):
    """The handle that keys and pointer act on: number ``handle`` of ``count`` on one mark."""

    mark_index: int
    handle: int
    count: int
    mark: Mark

    @property
    def name(self) -> str:
        """What it belongs to ("near rim", "distance")."""
        if isinstance(self.mark, Rim):
            return f"{self.mark.which} rim"
        return str(type(self.mark).__struct_config__.tag)

    @property
    def words(self) -> str:
        """Which handle it is ("handle 3 of 8 on the far rim")."""
        return f"handle {self.handle + 1} of {self.count} on the {self.name}"


class Editing:
    """A layer in work. Everything that changes it returns the new layer, or None for no change."""

    def __init__(self, layer: Layer) -> None:
        self.layer = layer
        self.draft_layer = layer  # the layer as it looks during a drag
        self._at: tuple[int, int] | None = None  # mark, handle
        self._held: PixelPair | None = None  # where the pointer took hold of the handle
        self._chosen: dict[int, tuple[int, ...]] = {}  # handles of rims, for as long as they last

    def take(self, layer: Layer) -> None:
        """Let another layer be the one in work; the active handle stays if it still exists."""
        self.layer = self.draft_layer = layer
        self._held = None
        self._chosen = {
            k: chosen for k, chosen in self._chosen.items() if _points_of(layer, k) > max(chosen)
        }
        if self._at is not None and self._at[1] >= len(self.handles(self._at[0])):
            self._at = None

    def forget(self, layer: Layer) -> None:
        """Let a layer of another picture be the one in work."""
        self._at, self._chosen = None, {}
        self.take(layer)

    @property
    def active(self) -> Active | None:
        """The active handle, or None."""
        if self._at is None:
            return None
        mark, handle = self._at
        return Active(mark, handle, len(self.handles(mark)), self.draft_layer.marks[mark])

    @property
    def active_px(self) -> PixelPair | None:
        """Where the active handle is."""
        return None if self._at is None else self.handles(self._at[0])[self._at[1]]

    @property
    def dragging(self) -> bool:
        """Whether the active handle is being dragged."""
        return self._held is not None

    def handles(self, mark_index: int) -> tuple[PixelPair, ...]:
        """Return where a mark's handles are, in the layer as it looks now."""
        if not 0 <= mark_index < len(self.draft_layer.marks):
            return ()
        mark = self.draft_layer.marks[mark_index]
        if isinstance(mark, Marker | Chessboard):
            return mark.corners_px[:1]  # to be chosen and taken off, not to be moved
        if not isinstance(mark, Rim):
            return handle_points(mark)
        return tuple(mark.points_px[k] for k in self._rim_points(mark_index, mark))

    def shows_handles(self, mark_index: int) -> bool:
        """Tell whether a mark's handles are to be seen: some marks' only while they are active."""
        mark = self.draft_layer.marks[mark_index]
        is_back = isinstance(mark, Rim) and mark.which == "back"
        if isinstance(mark, Marker | Chessboard):
            return False  # the pointer takes hold of none: its corners were found
        return not is_back or (self._at is not None and self._at[0] == mark_index)

    def activate(self, mark_index: int, handle: int) -> None:
        """Make a handle the active one, if there is such a handle."""
        if 0 <= handle < len(self.handles(mark_index)):
            self._at = (mark_index, handle)

    def deactivate(self) -> None:
        """Let no handle be active."""
        self._at = self._held = None
        self.draft_layer = self.layer

    def nearest(self, at: PixelPair, within_px: float) -> tuple[int, int] | None:
        """Return mark and handle nearest to a place; of equals the active one."""
        best: tuple[float, bool, int, int] | None = None
        for k in range(len(self.layer.marks)):
            if not self.shows_handles(k):
                continue
            for h, (x, y) in enumerate(self.handles(k)):
                found = (hypot(x - at[0], y - at[1]), (k, h) != self._at, k, h)
                if found[0] <= within_px and (best is None or found < best):
                    best = found
        return None if best is None else (best[2], best[3])

    def step_handle(self, step: int) -> bool:
        """Make the next handle of the same mark active, the first of all if none is; else False."""
        if self._at is None:
            order = self._order()
            if not order:
                return False
            count = len(self.handles(order[0]))
            self._at = (order[0], 0 if step > 0 else count - 1)
            return True
        mark, handle = self._at
        self._at = (mark, (handle + step) % len(self.handles(mark)))
        return True

    def step_mark(self) -> bool:
        """Make the first handle of the next mark active (near rim, far rim, the others)."""
        order = self._order()
        if not order:
            return False
        here = self._at[0] if self._at is not None else None
        following = (order.index(here) + 1) % len(order) if here in order else 0
        self._at = (order[following], 0)
        return True

    def hold(self, at: PixelPair) -> None:
        """Begin to drag the active handle, taken hold of at a place near it."""
        self._held = at if self._at is not None else None

    def drag(self, at: PixelPair) -> None:
        """Move the held handle as far as the pointer has moved since it took hold."""
        if self._held is None or self._at is None:
            return
        self.draft_layer = self.layer
        by = (at[0] - self._held[0], at[1] - self._held[1])
        self.draft_layer = self._shifted(by) or self.layer

    def drop(self) -> Layer | None:
        """End the drag: return the layer it made, None if nothing moved."""
        made, self._held = self.draft_layer, None
        return made if made != self.layer else None

    def nudged(self, by: PixelPair) -> Layer | None:
        """Return the layer with the active handle moved by (x, y) px."""
        return self._shifted(by)

    def without_active(self) -> Layer | None:
        """Return the layer without the active mark."""
        if self._at is None:
            return None
        gone = self._at[0]
        self._chosen = {}  # the marks behind it move up
        marks = self.layer.marks
        return replace(self.layer, marks=(*marks[:gone], *marks[gone + 1 :]))

    def _shifted(self, by: PixelPair) -> Layer | None:
        if self._at is None:
            return None
        index, handle = self._at
        mark = self.draft_layer.marks[index]
        here = self.handles(index)[handle]
        to = inside(self.layer, (here[0] + by[0], here[1] + by[1]))
        by = (to[0] - here[0], to[1] - here[1])
        try:
            changed: Mark = (
                self._bent(mark, index, handle, by)
                if isinstance(mark, Rim)
                else moved(mark, handle, to)
            )
        except BadMark:
            return None  # two ends on one another: the drag shows the mark as it was
        marks = self.layer.marks
        return replace(self.layer, marks=(*marks[:index], changed, *marks[index + 1 :]))

    def _bent(self, rim: Rim, index: int, handle: int, by: PixelPair) -> Rim:
        """Return the rim with a handle moved; points carried past the border stay on it."""
        after = bent(rim, self._rim_points(index, rim), handle, by)
        return replace(after, points_px=tuple(inside(self.layer, p) for p in after.points_px))

    def _order(self) -> list[int]:
        """Return the marks with handles: near rim, far rim, all others, the back rim."""

        def place(k: int) -> tuple[int, int]:
            mark = self.layer.marks[k]
            return (_CYCLED[mark.which] if isinstance(mark, Rim) else 2), k

        return sorted((k for k in range(len(self.layer.marks)) if self.handles(k)), key=place)

    def _rim_points(self, index: int, rim: Rim) -> tuple[int, ...]:
        """Return which points carry handles; chosen once, for they must not jump in a drag."""
        if index not in self._chosen:
            self._chosen[index] = rim_handles(rim)
        return self._chosen[index]


def with_mark(layer: Layer, *marks: Mark) -> Layer:
    """Return the layer with these marks; a rim replaces the one of its kind.

    A far rim, the far opening drawn by its corners and the word that none is seen replace each
    other: a layer says one thing of the far hole.
    """
    kinds = {_kind(mark) for mark in marks} - {None}
    stay = [mark for mark in layer.marks if _kind(mark) not in kinds]
    return replace(layer, marks=(*stay, *marks))


def _kind(mark: Mark) -> str | None:
    if isinstance(mark, FarUnseen | FarOutline):
        return "far"
    return mark.which if isinstance(mark, Rim) else None


def _points_of(layer: Layer, k: int) -> int:
    """Return how many points the rim at this place on the layer has, 0 if it is none."""
    mark = layer.marks[k] if k < len(layer.marks) else None
    return len(mark.points_px) if isinstance(mark, Rim) else 0


def with_rims(layer: Layer, *rims: Rim | FarUnseen) -> Layer:
    """Return the layer with rims that were found; a back rim goes with the near one it was of."""
    kinds = {_kind(rim) for rim in rims}
    if "near" in kinds and "back" not in kinds:
        layer = replace(layer, marks=tuple(m for m in layer.marks if _kind(m) != "back"))
    return with_mark(layer, *rims)
