"""The round edges of a layer: fitted when the layer changes, followed while one is dragged."""

import numpy as np

from annotate.marks import Diameter, Ellipse, KnownCircle, Layer, Mark, PixelPair, Points, Rim
from annotate.pane.handles import HAND_SIGMA_PX, ring_of
from annotate.pane.quick_fit import followed
from annotate.pane.rim_fit import RimFit, fit_rim
from annotate.pane.shown import Shown
from annotate.pane.trace import Trace

_ELLIPTIC = 5  # points that an ellipse takes


class RimLines:
    """One round edge as it is drawn: its outline, or a line from point to point where it has none.

    ``left_out_px`` are the points that the fit did without.
    """

    def __init__(self, rim: Rim, fit: RimFit | None, *, whole: bool = False) -> None:
        self.which, self.fit, self._whole = rim.which, fit, whole
        self.trace: Trace | None = None
        self.points_px: Points = np.empty((0, 2))
        self.left_out_px: tuple[PixelPair, ...] = ()
        if fit is None:
            self.points_px = _joined(rim)
            return
        points = zip(rim.points_px, fit.kept, strict=True)
        self.left_out_px = tuple(p for p, kept in points if not kept)
        self._draw(fit.outline, fit)

    def follow(self, rim: Rim) -> None:
        """Let the outline follow points that moved a little, in about a millisecond."""
        if self.trace is None or self.fit is None:
            self.points_px = _joined(rim)
            return
        kept = rim.array_px()[np.array(self.fit.kept)]
        now = followed(self.trace.ellipse, kept, keeps_form=self.fit.borrowed)
        self._draw(now, self.fit)

    def _draw(self, ellipse: Ellipse, fit: RimFit) -> None:
        # A near rim is all in the face and in sight; of the others shows what has points.
        all_seen = self._whole or self.which == "near"
        self.trace = Trace(ellipse, unseen=() if all_seen else fit.unseen)


class Outlines:
    """The lines of every rim, and of every other round edge, by its number on the layer."""

    def __init__(self) -> None:
        self.rims: dict[int, RimLines] = {}
        self.rounds: dict[int, RimLines] = {}
        self.form: Ellipse | None = None  # of the near rim
        self._made_from: dict[int, tuple[Mark, Ellipse | None]] = {}

    def update(self, layer: Layer) -> None:
        """Fit what has changed on the layer."""
        near = layer.rim("near")
        near_fit = None if near is None else fit_rim(near)
        self.form = None if near_fit is None else near_fit.outline
        before = self.rims | self.rounds
        self.rims, self.rounds = {}, {}
        made_from = {k: (mark, self.form) for k, mark in enumerate(layer.marks)}
        for k, mark in enumerate(layer.marks):
            same = self._made_from.get(k) == made_from[k]
            if isinstance(mark, Rim):
                self.rims[k] = before[k] if same else RimLines(mark, fit_rim(mark, self.form))
            elif isinstance(mark, KnownCircle | Diameter):
                self.rounds[k] = before[k] if same else round_lines(mark.points_px)
        self._made_from = made_from

    def follow(self, layer: Layer, mark_index: int) -> None:
        """Let one edge's outline follow its points as they are dragged."""
        mark = layer.marks[mark_index]
        if isinstance(mark, Rim):
            self.rims[mark_index].follow(mark)
        elif isinstance(mark, KnownCircle | Diameter):
            self.rounds[mark_index].follow(_as_rim(mark.points_px))
        self._made_from.pop(mark_index, None)  # what is drawn is no longer a whole fit


class ShownLines:
    """Accepted outlines as they are drawn; the far one counts as seen inside the near one."""

    def __init__(self, shown: Shown) -> None:
        self.shown = shown
        self.near = None if shown.near is None else Trace(shown.near)
        self.far = None if shown.far is None else Trace(shown.far, through=shown.near)
        pair = (shown.other_near, shown.other_far)
        self.others = [Trace(other) if other is not None else None for other in pair]


def round_lines(points_px: tuple[PixelPair, ...]) -> RimLines:
    """Return the outline of a round edge: an ellipse, of fewer than five points a circle."""
    form = None if len(points_px) >= _ELLIPTIC else Ellipse(0, 0, 1, 1, 0)
    rim = _as_rim(points_px)
    return RimLines(rim, fit_rim(rim, form), whole=True)


def _as_rim(points_px: tuple[PixelPair, ...]) -> Rim:
    # As a back rim: that is one which may borrow its form.
    return Rim("back", points_px, HAND_SIGMA_PX)


def _joined(rim: Rim) -> Points:
    """Return the points in order round the edge, the first again at the end of a closed one."""
    points = rim.array_px()
    if not len(points):
        return points
    ring = ring_of(points)
    edge = points[ring.order]
    return np.vstack([edge, edge[:1]]) if ring.closed else edge
