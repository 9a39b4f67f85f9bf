"""Points placed on an edge along a curve's normals, with what is known of how well they lie.

Edges are looked for on a halving of the picture at which they are still sharp: finer only adds
noise.
"""

from typing import Final

import numpy as np
from msgspec import Struct

from annotate.pixels.coded_edge import CLIPPED, Shift, clipped_shift, shift
from annotate.pixels.halvings import Pyramid
from annotate.pixels.polar import (
    SLOPE_BLUR_PX,
    Array,
    Edges,
    Frame,
    Image,
    Mask,
    Picture,
    robust_fit,
    settle,
)

_SETTLE_RADIUS_PX: Final = 250.0  # near radius at which edges are placed: finer only adds noise
_BLUR_SHARE: Final = 0.15  # of an edge's width, taken as the uncertainty of where in it the rim is
_CLIP_SHARE: Final = 0.7  # of an edge's width
_SOME: Final = 0.05  # of an edge: less is specks
_NORMALS: Final = 120
_FLOOR_PX: Final = 0.25  # what tone and sharpening leave on the best of edges


class Placed(Struct, frozen=True):
    """Points on an edge, their standard uncertainty across it, and the share of normals used."""

    points: Array
    sigma_px: float
    seen: float


def place(
    levels: Pyramid,
    frame: Frame,
    curve: tuple[Array, Array],
    smooth: Array,
    closed: bool,
    tones: tuple[float, float] | None = None,
) -> Placed | None:
    """Return the edge along a curve's normals, without what strays from a smooth line.

    With the grey values inside and outside as ``tones`` it is where the light's edge is, not the
    file's; without, it is left where the file's values are steepest.
    """
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
    clipped = float(np.mean(edges.brightest[good] >= CLIPPED))
    # Where the sensor clips, the edge seems to move into the dark by part of its width.
    moved = Shift(0.0, _CLIP_SHARE * width * clipped)
    if tones is not None:
        picture = levels.levels[level]
        moved = _moved(tones, width, clipped, (picture, frame.scaled(scale), reach))
    sigma = float(np.linalg.norm([spread, _FLOOR_PX, _BLUR_SHARE * width, moved.sigma_px])) / scale
    found = (at + (np.nan_to_num(edges.offset) + moved.px)[:, None] * normals)[good]
    return Placed((found + 0.5) / scale - 0.5, sigma, seen)


def _moved(
    tones: tuple[float, float],
    width: float,
    clipped: float,
    where: tuple[Image | Picture, Frame, float],
) -> Shift:
    """Return how far outward the edge of the light lies from that of the file's values.

    ``clipped``: the share of the edge along which the sensor was full.
    """
    dark, bright = sorted(tones)
    plain, cut = shift(dark, bright, width, SLOPE_BLUR_PX), Shift(0.0, 0.0)
    if clipped > _SOME:
        cut = clipped_shift(dark, width, _blur_round(*where) or width, SLOPE_BLUR_PX)
    px = (1 - clipped) * plain.px + clipped * cut.px
    return Shift(px if tones[0] < tones[1] else -px, clipped * cut.sigma_px)


def _blur_round(picture: Image | Picture, frame: Frame, reach: float) -> float:
    """Return the blur of the picture in px: that of the sharpest quarter of the near rim, or 0.

    A chamfer and a shadow make the rest look wider.
    """
    phi = 2 * np.pi * np.arange(_NORMALS) / _NORMALS
    unit = np.stack([np.cos(phi), np.sin(phi)], axis=-1)
    normals = unit @ np.linalg.inv(frame.matrix)
    normals /= np.hypot(normals[:, 0], normals[:, 1])[:, None]
    width = settle(picture, frame.to_px(unit), normals, reach, closed=True).width
    known = width[np.isfinite(width)]
    return float(np.quantile(known, 0.25)) if len(known) else 0.0


def _strays_out(edges: Edges, smooth: Array, good: Mask) -> tuple[float, Mask]:
    """Return the spread about a smooth line and which edges keep to it."""
    value = np.where(good, edges.offset, 0)
    line = smooth @ robust_fit(smooth, value, 1.0, np.where(good, edges.strength, 0) ** 2)
    left = np.abs(value - line)
    spread = 1.4826 * float(np.median(left[good]))
    return spread, good & (left < max(3 * spread, 0.5))
