"""A near rim's ring -> sub-pixel points on it."""

from typing import Final

import numpy as np
from msgspec.structs import replace

from annotate.marks import Point, Rim
from annotate.near_edges.follow import curve_px
from annotate.near_edges.rings import Ring
from annotate.pixels.halvings import Pyramid
from annotate.pixels.placing import Placed, place
from annotate.pixels.polar import harmonics
from annotate.pixels.rim_points import as_rim

_POINTS: Final = 120
_WHOLE: Final = 0.75  # share of the near rim that must lie in the picture


def ring_rim(levels: Pyramid, ring: Ring, click: Point | None) -> Rim | None:
    """Return sub-pixel points on a ring, or None if too little of it is in the picture."""
    phi = 2 * np.pi * np.arange(360) / 360
    points, normals = curve_px(ring, phi)
    placed = place(levels, ring.frame, (points, normals), harmonics(phi, 3), closed=True)
    if placed is None or placed.seen < _WHOLE:
        return None
    sure = Placed(placed.points, float(np.hypot(placed.sigma_px, ring.doubt_px)), placed.seen)
    rim = as_rim("near", sure, _POINTS, click)
    return replace(rim, chamfer=ring.chamfer) if ring.chamfer > 0 else rim
