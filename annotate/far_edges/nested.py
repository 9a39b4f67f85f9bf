"""How arcs inside a near rim lie to each other: inside, outside, round one another, softer."""

from typing import Final

import numpy as np

from annotate.far_edges.arcs import Arc, piece_of
from annotate.far_edges.rough_arcs import INNER
from annotate.pixels.polar import Array

Circle = tuple[float, float, float]  # x, y, radius in near radii

BESIDE: Final = 0.04  # near radii off an edge within which an arc is a part of it
ON_IT: Final = 0.02  # near radii from a circle within which an arc runs along it
_HALF: Final = 0.5  # share of an arc's piece that tells where it lies
_SOFT: Final = 1.6  # times the width of the sharpest edge
_SOFTER_PX: Final = 0.7  # of the patch: a sample across an edge
_NO_WIDTH: Final = 8.0  # grey values across an edge, below which grain gives it any width
_TELLS: Final = 0.12  # worth of an arc that is an edge of something
_ROUND: Final = 360  # places on a circle


def circle_of(arc: Arc) -> Circle:
    """Return the circle of an arc."""
    return arc.x, arc.y, arc.radius


def within(arc: Arc, circle: Circle) -> float:
    """Return the share of the piece of an arc that lies plainly inside a circle."""
    return float(np.mean(_beyond(arc, circle) < -ON_IT))


def outside(arc: Arc, circle: Circle) -> float:
    """Return the share of the piece of an arc that lies plainly outside a circle."""
    return float(np.mean(_beyond(arc, circle) > ON_IT))


def off(arc: Arc, circle: Circle) -> float:
    """Return how far, in near radii, a circle runs from the piece of an arc, at the median."""
    return float(np.median(np.abs(_beyond(arc, circle))))


def shown(arc: Arc, front: Circle | None) -> float:
    """Return how much of an arc's circle shows, as a share of what is neither hidden nor cut off.

    It could show inside the near rim, and inside the edge ``front`` of that hole's other end.
    """
    t = arc.start + 2 * np.pi * np.arange(_ROUND) / _ROUND
    x, y = arc.x + arc.radius * np.cos(t), arc.y + arc.radius * np.sin(t)
    could = np.hypot(x, y) < INNER
    if front is not None:
        could &= np.hypot(x - front[0], y - front[1]) < front[2]
    return min(1.0, arc.sweep / (2 * np.pi * max(float(could.mean()), 1 / _ROUND)))


def is_farther_out(arc: Arc, other: Arc) -> bool:
    """Return whether another arc's piece lies inside an arc's circle, but not the arc's in it."""
    return within(other, circle_of(arc)) > _HALF and within(arc, circle_of(other)) < _HALF


def sharp(some: list[Arc], found: list[Arc]) -> list[Arc]:
    """Return some of the arcs found without those much softer than the sharpest edge of all.

    Edges of metal are as sharp as the lens shows them; a shadow's is softer, for a lamp has a size.
    """
    sharpest = min((arc.width for arc in plain_edges(found)), default=np.inf)
    return [arc for arc in some if arc.width < _SOFT * sharpest + _SOFTER_PX]


def plain_edges(found: list[Arc]) -> list[Arc]:
    """Return those of the arcs that tell how sharp an edge may look."""
    return [arc for arc in found if arc.worth > _TELLS and abs(arc.contrast) > _NO_WIDTH]


def _beyond(arc: Arc, circle: Circle) -> Array:
    """Return how far the points of an arc's piece lie outside a circle, in near radii."""
    x, y, radius = circle
    points = piece_of(arc)
    return np.asarray(np.hypot(points[:, 0] - x, points[:, 1] - y) - radius)
