"""Rims as paths: fitted when the layer changes, followed while one is dragged, never per frame."""

from itertools import pairwise

import numpy as np
import numpy.typing as npt
from PySide6.QtCore import QPointF
from PySide6.QtGui import QPainterPath, QPolygonF

from annotate.fit import outline_points, shape_matrix
from annotate.marks import (
    Diameter,
    Ellipse,
    KnownCircle,
    Layer,
    Mark,
    PixelPair,
    Points,
    Rim,
    to_corner_px,
)
from annotate.pane.handles import HAND_SIGMA_PX, ring_of
from annotate.pane.quick_fit import followed
from annotate.pane.rim_fit import RimFit, fit_rim, hours_of, is_seen

# Chords of a circle of 1000 px leave it by 0.04 px: less than a nudge, at any zoom.
_STEPS = 360
_ELLIPTIC = 5  # points that an ellipse takes
_Mask = npt.NDArray[np.bool_]


class RimLines:
    """One round edge as it is drawn: paths of what is seen and hidden, and the points left out."""

    def __init__(self, rim: Rim, fit: RimFit | None, *, whole: bool = False) -> None:
        self.which, self.fit, self._whole = rim.which, fit, whole
        self.ellipse = None if fit is None else fit.outline
        self.left_out: list[QPointF] = []
        if fit is not None:
            left = [p for p, kept in zip(rim.points_px, fit.kept, strict=True) if not kept]
            self.left_out = scene_points(np.array(left).reshape(-1, 2))
        self.seen, self.hidden = QPainterPath(), QPainterPath()
        self._draw(rim)

    def follow(self, rim: Rim) -> None:
        """Let the outline follow points that moved a little, in a millisecond."""
        if self.fit is not None and self.ellipse is not None:
            kept = rim.array_px()[np.array(self.fit.kept)]
            self.ellipse = followed(self.ellipse, kept, keeps_form=self.fit.borrowed)
        self._draw(rim)

    def _draw(self, rim: Rim) -> None:
        if self.ellipse is None or self.fit is None:
            self.seen, self.hidden = _through(rim), QPainterPath()
            return
        around = outline_points(self.ellipse, _STEPS)
        seen = np.ones(_STEPS, dtype=bool)
        if rim.which != "near" and not self._whole:
            # A near rim is all in the face and in sight; of the others shows what has points.
            seen = is_seen(hours_of(around, self.ellipse), self.fit.unseen)
        self.seen, self.hidden = paths_of(around, seen)


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
        """Let one rim's outline follow its points as they are dragged."""
        mark = layer.marks[mark_index]
        if isinstance(mark, Rim):
            self.rims[mark_index].follow(mark)
        elif isinstance(mark, KnownCircle | Diameter):
            self.rounds[mark_index].follow(_as_rim(mark.points_px))
        self._made_from.pop(mark_index, None)  # what is drawn is no longer a whole fit


def round_lines(points_px: tuple[PixelPair, ...]) -> RimLines:
    """Return the outline of a round edge: an ellipse, of fewer than five points a circle."""
    form = None if len(points_px) >= _ELLIPTIC else Ellipse(0, 0, 1, 1, 0)
    rim = _as_rim(points_px)
    return RimLines(rim, fit_rim(rim, form), whole=True)


def scene_points(points: Points) -> list[QPointF]:
    """Return points (N, 2) of the picture as places of the scene."""
    return [QPointF(to_corner_px(x), to_corner_px(y)) for x, y in points.tolist()]


def ellipse_path(ellipse: Ellipse) -> QPainterPath:
    """Return a whole outline as a path of the scene."""
    return paths_of(outline_points(ellipse, _STEPS), np.ones(_STEPS, dtype=bool))[0]


def through(far: Ellipse, near: Ellipse | None) -> tuple[QPainterPath, QPainterPath]:
    """Return the far outline as seen through the near one, and what of it is hidden."""
    around = outline_points(far, _STEPS)
    seen = np.ones(_STEPS, dtype=bool)
    if near is not None:
        local = (around - np.array([near.cx, near.cy])) @ np.linalg.inv(shape_matrix(near))
        seen = np.sum(local**2, axis=1) <= 1
    return paths_of(around, seen)


def paths_of(around: Points, seen: _Mask) -> tuple[QPainterPath, QPainterPath]:
    """Return a closed outline (N, 2) cut into paths of what is seen and what is not.

    Neighbouring pieces share their end, so that no gap shows.
    """
    paths = QPainterPath(), QPainterPath()
    changes = np.flatnonzero(seen != np.roll(seen, 1))
    start = int(changes[0]) if len(changes) else 0
    places = scene_points(np.roll(around, -start, axis=0))
    places.append(places[0])
    ends = [*(changes - start).tolist(), len(around)] if len(changes) else [0, len(around)]
    for first, last in pairwise(ends):
        piece = QPolygonF(places[first : last + 1])
        paths[0 if seen[(start + first) % len(seen)] else 1].addPolygon(piece)
    return paths


def _as_rim(points_px: tuple[PixelPair, ...]) -> Rim:
    # As a back rim: that is one which may borrow its form.
    return Rim("back", points_px, HAND_SIGMA_PX)


def _through(rim: Rim) -> QPainterPath:
    """Return a line from point to point, for points that make no outline (yet)."""
    path = QPainterPath()
    if rim.points_px:
        ring = ring_of(rim.array_px())
        places = scene_points(rim.array_px()[ring.order])
        path.addPolygon(QPolygonF([*places, places[0]] if ring.closed else places))
    return path
