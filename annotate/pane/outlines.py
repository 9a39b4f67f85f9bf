"""Rims as paths: fitted when the layer changes, followed while one is dragged, never per frame."""

from itertools import pairwise

import numpy as np
import numpy.typing as npt
from PySide6.QtCore import QPointF
from PySide6.QtGui import QPainterPath, QPolygonF

from annotate.fit import outline_points, shape_matrix
from annotate.marks import Ellipse, Layer, Points, Rim, to_corner_px
from annotate.pane.handles import ring_of
from annotate.pane.rim_fit import RimFit, fit_rim, followed, hours_of, is_seen

# Chords of a circle of 1000 px leave it by 0.01 px: nothing, at any zoom.
_STEPS = 720
_Mask = npt.NDArray[np.bool_]


class RimLines:
    """One rim as it is drawn: paths of what is seen and hidden, and the points left out."""

    def __init__(self, rim: Rim, fit: RimFit | None) -> None:
        self.which, self.fit = rim.which, fit
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
            self.ellipse = followed(
                self.ellipse, rim.points_px, self.fit.kept, form=self.fit.borrowed
            )
        self._draw(rim)

    def _draw(self, rim: Rim) -> None:
        if self.ellipse is None or self.fit is None:
            self.seen, self.hidden = _through(rim), QPainterPath()
            return
        around = outline_points(self.ellipse, _STEPS)
        seen = np.ones(_STEPS, dtype=bool)
        if rim.which != "near":
            # A near rim is all in the face and in sight; of the others shows what has points.
            seen = is_seen(hours_of(around, self.ellipse), self.fit.unseen)
        self.seen, self.hidden = paths_of(around, seen)


class Outlines:
    """The lines of every rim on a layer, by its number on the layer."""

    def __init__(self) -> None:
        self.rims: dict[int, RimLines] = {}
        self._made_from: dict[int, tuple[Rim, Ellipse | None]] = {}

    def update(self, layer: Layer) -> None:
        """Fit what has changed on the layer."""
        near = layer.rim("near")
        near_fit = None if near is None else fit_rim(near)
        form = None if near_fit is None else near_fit.outline
        made: dict[int, RimLines] = {}
        made_from: dict[int, tuple[Rim, Ellipse | None]] = {}
        for k, rim in enumerate(layer.marks):
            if isinstance(rim, Rim):
                made_from[k] = (rim, form)
                same = self._made_from.get(k) == made_from[k]
                made[k] = self.rims[k] if same else RimLines(rim, fit_rim(rim, form))
        self.rims, self._made_from = made, made_from

    def follow(self, layer: Layer, mark_index: int) -> None:
        """Let one rim's outline follow its points as they are dragged."""
        rim = layer.marks[mark_index]
        if isinstance(rim, Rim) and mark_index in self.rims:
            self.rims[mark_index].follow(rim)
            self._made_from.pop(mark_index, None)  # what is drawn is no longer a whole fit


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


def _through(rim: Rim) -> QPainterPath:
    """Return a line from point to point, for points that make no outline (yet)."""
    path = QPainterPath()
    if rim.points_px:
        ring = ring_of(rim.array_px())
        places = scene_points(rim.array_px()[ring.order])
        path.addPolygon(QPolygonF([*places, places[0]] if ring.closed else places))
    return path
