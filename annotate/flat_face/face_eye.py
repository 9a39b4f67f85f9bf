"""A camera before a flat face with holes: how far off its circle a point is seen.

Sight lines are carried to the plane of their edge, where the distance from a circle is left over:
exact for any tilt, no curve is projected. Derivation: written out here; no outside source.
"""

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from annotate.flat_face.face_pose import Pose
from annotate.marks import Points
from annotate.optics.lens import View, unbarrelled

Array = npt.NDArray[np.float64]


class Ring(NamedTuple):
    """Points (N, 2) in px on one edge of a hole; ``deep``: the lower edge of a chamfer.

    ``found``: by the program, so that some of its points may lie on another edge.
    """

    points_px: Points
    sigma_px: float
    hole: int
    deep: bool
    found: bool


class Guess(NamedTuple):
    """Where a fit of one hole begins: centre and radius in mm, width of its chamfer."""

    x: float
    y: float
    radius: float
    chamfer: float
    mm_per_px: float


class Hole(NamedTuple):
    """One hole: its drilled edge's centre, radius and depth, and its chamfer's width, 0: none."""

    x: float
    y: float
    radius: float
    depth: float
    chamfer: float


class Eye(NamedTuple):
    """A camera, the plane of the print before it, and the holes ``paper_mm`` behind that plane."""

    view: View
    focal_px: float
    axis_px: Array
    barrel: float
    plane: Pose
    paper_mm: float
    holes: tuple[Hole, ...]

    def straight(self, points_px: Points) -> Array:
        """Return points (N, 2) freed of what the lens does."""
        if self.view.profile is not None:
            points_px = self.view.profile.straighten(points_px)
        return unbarrelled(points_px, self.barrel, self.axis_px, self.view.half_diagonal_px())

    def print_px(self, places_mm: Points) -> Array:
        """Return where places (N, 2) of the print would be seen without distortion."""
        plane = self.plane
        at = plane.origin + places_mm[:, :1] * plane.x + places_mm[:, 1:] * plane.y
        return np.asarray(self.focal_px * at[:, :2] / at[:, 2:] + self.axis_px)

    def off_mm(self, ring: Ring, points_px: Points) -> Array:
        """Return how far outside a ring's circle each point lies, (N,) in mm."""
        plane, hole = self.plane, self.holes[ring.hole]
        below = self.paper_mm + (hole.depth if ring.deep else 0.0)
        sight = np.ones((len(points_px), 3))
        sight[:, :2] = (self.straight(points_px) - self.axis_px) / self.focal_px
        reach = (plane.away @ plane.origin + below) / (sight @ plane.away)
        at = reach[:, None] * sight - plane.origin
        size = hole.radius if ring.deep else hole.radius + hole.chamfer
        return np.asarray(np.hypot(at @ plane.x - hole.x, at @ plane.y - hole.y) - size)
