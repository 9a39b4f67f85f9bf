"""Points placed on an edge along a curve's normals, with what is known of how well they lie.

Edges are looked for on a halving of the picture at which they are still sharp: finer only adds
noise.
"""

from typing import Final

import numpy as np
from msgspec import Struct

from annotate.pixels.halvings import Pyramid
from annotate.pixels.polar import Array, Edges, Frame, Mask, robust_fit, settle

CLIPPED: Final = 250.0
_SETTLE_RADIUS_PX: Final = 250.0  # near radius at which edges are placed: finer only adds noise
_BLUR_SHARE: Final = 0.15  # of an edge's width, taken as the uncertainty of where in it the rim is
_CLIP_SHARE: Final = 0.7  # of an edge's width
_FLOOR_PX: Final = 0.25  # what tone and sharpening leave on the best of edges


class Placed(Struct, frozen=True):
    """Points on an edge, their standard uncertainty across it, and the share of normals used."""

    points: Array
    sigma_px: float
    seen: float


def place(
    levels: Pyramid, frame: Frame, curve: tuple[Array, Array], smooth: Array, closed: bool
) -> Placed | None:
    """Return the edge along a curve's normals, without what strays from a smooth line."""
    level = levels.for_radius(frame.radius_px, _SETTLE_RADIUS_PX)
    scale = 0.5**level
    points, normals = curve
    at = (points + 0.5) * scale - 0.5
    reach = max(2.0, 0.011 * frame.radius_px * scale)
    edges = settle(levels.levels[level], at, normals, reach, closed)
    good = np.isfinite(edges.offset) & (edges.strength > 0.5 * np.median(edges.strength))
    seen = float(np.isfinite(edges.offset).mean())
    if good.sum() < smooth.shape[1] + 3:
        return None
    spread, good = _strays_out(edges, smooth, good)
    width = float(np.median(edges.width[good]))
    # Where the sensor clips, the edge seems to move into the dark by part of its width.
    clipped = _CLIP_SHARE * width * float(np.mean(edges.brightest[good] >= CLIPPED))
    sigma = float(np.linalg.norm([spread, _FLOOR_PX, _BLUR_SHARE * width, clipped])) / scale
    found = (at + np.nan_to_num(edges.offset)[:, None] * normals)[good]
    return Placed((found + 0.5) / scale - 0.5, sigma, seen)


def _strays_out(edges: Edges, smooth: Array, good: Mask) -> tuple[float, Mask]:
    """Return the spread about a smooth line and which edges keep to it."""
    value = np.where(good, edges.offset, 0)
    line = smooth @ robust_fit(smooth, value, 1.0, np.where(good, edges.strength, 0) ** 2)
    left = np.abs(value - line)
    spread = 1.4826 * float(np.median(left[good]))
    return spread, good & (left < max(3 * spread, 0.5))
