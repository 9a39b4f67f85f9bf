"""Where an edge lies between pixels: half way from dark to light, in LINEAR light.

Optics blur light, not the gamma-coded numbers of a file: in those the half-way level lies well on
the dark side of an edge, and a dark hole measures up to half a pixel too small all round.
"""

import numpy as np
import numpy.typing as npt

from annotate.fit import FitFailed, fit_ellipse, shape_matrix
from annotate.marks import Points, Rim
from annotate.mathematics.orthogonal import Outline, distances

Picture = npt.NDArray[np.uint8]
Array = npt.NDArray[np.float64]
Light = npt.NDArray[np.float32]

_LUMINANCE = 0.2126, 0.7152, 0.0722  # IEC 61966-2-1 (sRGB), linear light
_STEP_PX = 0.25
_REACH_PX = 3.0  # either side of a rim: beyond it may lie a chamfer's other edge
_FARTHEST_PX = 1.5  # that a found rim is moved
_LEAST_CONTRAST = 0.02  # of full light
_NEIGHBOURS = 2  # either side, whose median steadies a rim point


def light_of(grey: npt.ArrayLike) -> Array:
    """Return the linear light, 0 to 1, of sRGB values from 0 to 255 (IEC 61966-2-1)."""
    coded = np.asarray(grey, dtype=np.float64) / 255
    knee = 0.04045  # the standard's
    return np.where(coded <= knee, coded / 12.92, ((coded + 0.055) / 1.055) ** 2.4)


def linear_light(picture: Picture) -> Light:
    """Return the luminance of an sRGB picture in linear light, 0 to 1 (IEC 61966-2-1)."""
    decoded = light_of(np.arange(256))
    if picture.ndim == 2:  # noqa: PLR2004 - grey
        return decoded.astype(np.float32)[picture]
    # Plane by plane and in single precision: a phone's picture would fill the memory.
    light = np.zeros(picture.shape[:2], dtype=np.float32)
    for plane, weight in enumerate(_LUMINANCE):
        light += (weight * decoded).astype(np.float32)[picture[..., plane]]
    return light


def refine_rim(
    picture: Picture, rim: Rim, *, reach_px: float = _REACH_PX, faint: float = 0.0
) -> Rim:
    """Return the rim with its points moved across it to the half-way level in linear light.

    A point without a clear edge within 1.5 px stays where it was. For found rims; a rim placed
    by hand is the hand's. Unchanged where the points are no ellipse. Edges nearer than
    ``reach_px`` either side would be mixed with the rim's. Points whose contrast is less than the
    part ``faint`` of the rim's strongest are left out, up to half of them: beside a highlight on
    the broken edge a wall as light as the face has its half-way level anywhere.
    """
    points = rim.array_px()
    fitted = fit_ellipse(points, rim.sigma_px)
    if rim.placed == "hand" or isinstance(fitted, FitFailed):
        return rim
    centre = np.array([fitted.shape.cx, fitted.shape.cy])
    outward = distances(points, Outline(centre, shape_matrix(fitted.shape)))[1]
    # Only the piece round the rim: of a large photo the whole would fill the memory.
    size = np.array(picture.shape[1::-1])
    margin = _REACH_PX + 2 * _FARTHEST_PX + 2
    left, top = np.clip(points.min(axis=0) - margin, 0, size - 1).astype(int)
    right, below = np.clip(points.max(axis=0) + margin, 0, size - 1).astype(int)
    light = linear_light(picture[top : below + 1, left : right + 1])
    corner = np.array([left, top], np.float64)
    steps, shift = offsets(min(reach_px, _REACH_PX)), np.zeros(len(points))
    # Twice: off the edge, one plateau is cut short and the level comes out wrong.
    for _ in range(2):
        here = points - corner + shift[:, None] * outward
        crossing, contrast = half_way(profiles(light, here, outward, steps), steps)
        further = shift + crossing
        clear = (np.abs(contrast) > _LEAST_CONTRAST) & (np.abs(further) < _FARTHEST_PX)
        shift = np.nan_to_num(_steadied(np.where(clear, further, np.nan)))
    moved = (points + shift[:, None] * outward)[_plain(np.abs(contrast), faint)]
    return Rim(
        which=rim.which,
        points_px=tuple((float(x), float(y)) for x, y in moved),
        sigma_px=rim.sigma_px,
        placed=rim.placed,
        seed=rim.seed,
    )


def _plain(contrast: Array, faint: float) -> npt.NDArray[np.bool_]:
    """Return which points have a part of the strongest contrast, or the better half of them."""
    least = faint * float(np.quantile(contrast, 0.9))
    return np.asarray(contrast >= min(least, float(np.median(contrast))))


def offsets(reach_px: float) -> Array:
    """Return the places along a profile, in px from its middle."""
    return np.arange(-reach_px, reach_px + _STEP_PX / 2, _STEP_PX)


def profiles(light: Light, places: Points, direction: Array, steps: Array) -> Array:
    """Return the light (N, K) along lines through places (N, 2), by K steps in a direction.

    ``direction`` is one unit vector (2,) or one for each place (N, 2).
    """
    return sampled(light, places[:, None] + steps[:, None] * np.atleast_2d(direction)[:, None])


def half_way(lines: Array, steps: Array) -> tuple[Array, Array]:
    """Return where each profile (N, K) crosses half way between its ends, and its contrast.

    The crossing nearest the middle; NaN where there is none. The contrast is positive where the
    profile rises.
    """
    plateau = max(2, len(steps) // 5)
    start, end = np.median(lines[:, :plateau], axis=1), np.median(lines[:, -plateau:], axis=1)
    contrast = end - start
    # Turned so that every profile rises.
    level = ((start + end) / 2 - lines.T).T * -np.where(contrast < 0, -1.0, 1.0)[:, None]
    rises = (level[:, :-1] < 0) & (level[:, 1:] >= 0)
    # The middlemost rise: a speck near an end is not the edge.
    at = np.argmin(np.where(rises, np.abs(steps[:-1] + _STEP_PX / 2), np.inf), axis=1)
    rows = np.arange(len(lines))
    low, high = level[rows, at], level[rows, at + 1]
    found = rises.any(axis=1)
    span = np.where(found, high - low, 1.0)
    crossing: Array = np.where(found, steps[at] - _STEP_PX * low / span, np.nan)
    return crossing, contrast


def sampled(light: Light, places: Array) -> Array:
    """Return the light at places (..., 2) of x, y between pixel centres, bilinearly."""
    height, width = light.shape
    x = np.clip(places[..., 0], 0, width - 1.000001)
    y = np.clip(places[..., 1], 0, height - 1.000001)
    column, row = x.astype(np.intp), y.astype(np.intp)
    right, down = x - column, y - row
    top = light[row, column] * (1 - right) + light[row, column + 1] * right
    bottom = light[row + 1, column] * (1 - right) + light[row + 1, column + 1] * right
    result: Array = top * (1 - down) + bottom * down
    return result


def _steadied(shift: Array) -> Array:
    """Return each point's median with its neighbours round the rim; NaN where none is known."""
    around = np.stack([np.roll(shift, k) for k in range(-_NEIGHBOURS, _NEIGHBOURS + 1)])
    known = np.isfinite(around).any(axis=0)
    result = np.full(len(shift), np.nan)
    result[known] = np.nanmedian(around[:, known], axis=0)
    return result
