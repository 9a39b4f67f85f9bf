"""A round outline as points on the screen: as many as the eye can tell, and only those in view."""

from itertools import pairwise
from math import pi, sqrt
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

from annotate.fit import outline_points, shape_matrix
from annotate.marks import Ellipse, Points, to_corner_px
from annotate.pane.rim_fit import hours_of, is_seen

Mask: TypeAlias = npt.NDArray[np.bool_]

_STEPS = 720  # chords of a circle of 1000 px leave it by 0.01 px
_ROUGH_PX = 0.1  # of the screen, by which a chord may leave the outline
_HOURS = 72  # places round it for words


class Trace:
    """A closed outline in scene coordinates, and which of its places are seen."""

    def __init__(
        self,
        ellipse: Ellipse,
        *,
        unseen: tuple[tuple[float, float], ...] = (),
        through: Ellipse | None = None,
    ) -> None:
        """Hidden are the spans ``unseen`` (hours), and what lies outside ``through``."""
        around = outline_points(ellipse, _STEPS)
        hours = hours_of(around, ellipse)
        self.ellipse = ellipse
        self.seen: Mask = is_seen(hours, unseen)
        if through is not None:
            self.seen &= _inside(around, through)
        self.scene: Points = to_corner_px(0.0) + around
        turned = np.argsort(hours)
        self._by_hour = turned[np.arange(_HOURS) * _STEPS // _HOURS]

    @property
    def all_seen(self) -> bool:
        """Whether none of it is hidden."""
        return bool(self.seen.all())

    def round_the_clock(self) -> Points:
        """Return places (N, 2) of the scene about evenly round it, clockwise from 12."""
        return self.scene[self._by_hour]

    def pieces(
        self, zoom: float, view: tuple[float, float, float, float]
    ) -> list[tuple[Points, bool]]:
        """Return the pieces (N, 2) that run through a view, and whether each is seen.

        ``view`` is left, top, right, bottom in the scene. Neighbouring pieces share their end, so
        that no gap shows.
        """
        stride = _stride(self.ellipse.semi_major * zoom)
        around, seen = self.scene[::stride], self.seen[::stride]
        # A chord beyond the view may still cross its corner: keep one outside on each side.
        reach = 2 * float(np.abs(np.diff(around, axis=0)).max())
        left, top, right, bottom = view
        x, y = around.T
        across = (x > left - reach) & (x < right + reach)
        near = across & (y > top - reach) & (y < bottom + reach)
        kind = np.where(near, np.where(seen, 1, 2), 0)
        changes = np.flatnonzero(kind != np.roll(kind, 1))
        start = int(changes[0]) if len(changes) else 0
        turned = np.roll(around, -start, axis=0)
        closed = np.vstack([turned, turned[:1]])
        ends = [*(changes - start).tolist(), len(around)] if len(changes) else [0, len(around)]
        spans = ((first, last, kind[(start + first) % len(kind)]) for first, last in pairwise(ends))
        return [(closed[first : last + 1], k == 1) for first, last, k in spans if k]


def _stride(radius_px: float) -> int:
    """Return how many steps one chord may take on a circle this large on the screen."""
    most = _STEPS / pi * sqrt(2 * _ROUGH_PX / max(radius_px, 1.0))
    return max(k for k in (1, 2, 3, 4, 6, 8, 12) if k <= max(most, 1.0))


def _inside(points: Points, ellipse: Ellipse) -> Mask:
    local = (points - np.array([ellipse.cx, ellipse.cy])) @ np.linalg.inv(shape_matrix(ellipse))
    result: Mask = np.sum(local**2, axis=1) <= 1
    return result
