"""Every printed edge of a target, module by module: what shows best how a face lies.

A marker's four corners are all that is kept of it, and a tenth of a pixel on them turns the face by
a quarter of a degree. Between black and white modules of one print lie 40 to 150 edges more, each
found a few hundredths of a pixel well along its own length. Each says where it lies across itself
only. What blur, exposure and a tone curve do to black and white alike moves all of them by one
amount towards the black: it is an unknown beside the face's (``face_fit``), and edges with white on
either side tell it. Derivation: written out here; no outside source.
"""

from typing import Final, NamedTuple

import numpy as np
import numpy.typing as npt
from msgspec import structs

from annotate.marks import Chessboard, Marker, Points
from annotate.optics.homography import full, homography, mapped, normaliser
from annotate.optics.lens import View, board_points
from annotate.own_targets import MODULES, cells
from annotate.pixels.half_light import (
    Light,
    Picture,
    half_way,
    linear_light,
    offsets,
    profiles,
    sampled,
)
from annotate.scale import Scale, Seen

Array = npt.NDArray[np.float64]
Mask = npt.NDArray[np.bool_]

# Standard uncertainty of one module's edge across itself: what a printer and paper leave, at least.
# Rendered pictures show 0.02 to 0.05; common practice for prints, no source.
LEAST_SIGMA_PX: Final = 0.06
_ALONG: Final = np.linspace(0.2, 0.8, 11)  # of a module: clear of its ends, which blur rounds
_REACH: Final = 0.42  # modules either side
_LEAST_MODULE_PX: Final = 5.0  # smaller ones run into each other
_LEAST_CONTRAST: Final = 0.3  # of the print's own
_FAR: Final = 4.0  # scatters from the rest: a speck, a glint
_LEAST_SCATTER_PX: Final = 0.02
_ALIKE: Final = 1.5  # errors of neighbouring edges go together: more than their scatter shows
_CROOKED_PX: Final = 0.3  # scatter of a print that is torn, bent, or badly lit
_ENOUGH: Final = 0.6  # of the edges
_FEWEST: Final = 24
_STEP: Final = 1e-5


class _Print(NamedTuple):
    """A target's modules and the homography from mm on it to the picture, by its corners."""

    black: Mask  # (rows, columns), a ring of white round a marker
    module_mm: float
    first: float  # x and y of the first module's corner, in modules
    to_px: Array


def with_printed_edges(scale: Scale, picture: Picture, target: Marker | Chessboard) -> Scale:
    """Return the scale with every printed edge in place of the target's corners.

    As it was where edges are too close together, too few or too scattered to be better than those.
    """
    light, corner = _piece(picture, np.asarray(target.corners_px, np.float64))
    print_ = _print_of(target, light, corner)
    if print_ is None:
        return scale
    seen = _edges(print_, light, corner)
    if seen is None:
        return scale
    least = max(_FEWEST, _ENOUGH * _edge_count(print_.black))
    for _ in range(2):
        if len(seen.points_px) < least:
            return scale
        left = left_over_px(seen, scale.view)
        scatter = max(1.4826 * float(np.median(np.abs(left))), _LEAST_SCATTER_PX)
        seen = _kept(seen, np.abs(left) < _FAR * scatter)
    if len(seen.points_px) < least or scatter > _CROOKED_PX:
        return scale
    sigma = max(LEAST_SIGMA_PX, _ALIKE * scatter)
    return structs.replace(scale, seen=structs.replace(seen, sigma_px=sigma))


def left_over_px(seen: Seen, view: View) -> Array:
    """Return how far (N,) in px edges lie from the best plane print, its growth and barrel free."""
    normals = seen.across
    if normals is None:
        raise ValueError("only edges are compared across themselves")
    T, U = normaliser(seen.places_mm), normaliser(seen.points_px)
    places = mapped(T, seen.places_mm)
    size = float(1 / U[0, 0])
    start = U @ homography(seen.places_mm, seen.points_px) @ np.linalg.inv(T)
    unknown = np.concatenate([(start / start[2, 2]).ravel()[:8], [0.0, 0.0]])

    def off(q: Array) -> Array:
        there = mapped(full(q[:8]), places)
        straight = mapped(U, view.straight(seen.points_px, view.barrel_median + 0.01 * q[9]))
        across = np.sum((straight - there) * normals, axis=1) * size
        # The barrel is weakly held: a small print hardly tells it.
        return np.append(across + q[8], 0.1 * q[9])

    for _ in range(4):
        now = off(unknown)
        slope = np.stack([(off(unknown + step) - now) / _STEP for step in _STEP * np.eye(10)], 1)
        unknown = unknown - np.linalg.lstsq(slope, now, rcond=None)[0]
    return off(unknown)[:-1]


def _piece(picture: Picture, corners: Points) -> tuple[Light, Points]:
    """Return the linear light round a target, and where that piece begins in the picture."""
    size = np.array(picture.shape[1::-1])
    margin = 0.35 * float(np.ptp(corners, axis=0).max()) + 8
    low = np.clip(np.floor(corners.min(axis=0) - margin), 0, size - 1).astype(int)
    high = np.clip(np.ceil(corners.max(axis=0) + margin), 0, size - 1).astype(int)
    light = linear_light(picture[low[1] : high[1] + 1, low[0] : high[0] + 1])
    return light, low.astype(np.float64)


def _print_of(target: Marker | Chessboard, light: Light, corner: Points) -> _Print | None:
    seen = np.asarray(target.corners_px, dtype=np.float64)
    if isinstance(target, Marker):
        modules = MODULES[target.dictionary[0]]
        module = target.side.to("mm").value / modules
        square = modules * module * np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
        rows = cells(target.dictionary, target.identifier)
        white = [[shade == "1" for shade in row] for row in rows]
        black = np.pad(~np.array(white), 1, constant_values=False)
        found = _Print(black, module, -1.0, homography(square, seen))
    else:
        module = target.square.to("mm").value
        down, right = np.indices((target.inner_rows + 1, target.inner_columns + 1))
        to_px = homography(board_points(target), seen)
        black = (down + right) % 2 == 0
        found = _Print(black, module, -1.0, to_px)
        shades = _shades(found, light, corner)
        if shades[black].mean() > shades[~black].mean():
            found = found._replace(black=~black)
    middle = np.array(found.black.shape[::-1]) / 2 + found.first
    ends = mapped(found.to_px, module * (middle + np.array([[0, 0], [1, 0], [0, 1]])))
    if min(np.linalg.norm(ends[1:] - ends[0], axis=1)) < _LEAST_MODULE_PX:
        return None
    return found


def _shades(print_: _Print, light: Light, corner: Points) -> Array:
    """Return the light in the middle of each module, (rows, columns)."""
    rows, columns = print_.black.shape
    x, y = np.meshgrid(np.arange(columns) + 0.5, np.arange(rows) + 0.5)
    places = print_.module_mm * (np.column_stack([x.ravel(), y.ravel()]) + print_.first)
    return sampled(light, mapped(print_.to_px, places) - corner).reshape(rows, columns)


def _edge_count(black: Mask) -> int:
    return int(np.sum(black[:, 1:] != black[:, :-1]) + np.sum(black[1:] != black[:-1]))


def _edges(print_: _Print, light: Light, corner: Points) -> Seen | None:
    """Return where each edge between a black and a white module lies."""
    shades = _shades(print_, light, corner)
    contrast = float(np.median(shades[~print_.black]) - np.median(shades[print_.black]))
    if contrast <= 0:
        return None
    points, places, across = [], [], []
    for axis in (0, 1):  # edges met going right, then going down
        black = print_.black if axis == 0 else print_.black.T
        for line, k in np.argwhere(black[:, 1:] != black[:, :-1]):
            at = np.column_stack([np.full(len(_ALONG), k + 1.0), line + _ALONG]) + print_.first
            beyond = at + np.array([0.5, 0.0])
            at, beyond = (at, beyond) if axis == 0 else (at[:, ::-1], beyond[:, ::-1])
            here, there = (mapped(print_.to_px, print_.module_mm * one) for one in (at, beyond))
            along = here[-1] - here[0]
            normal = np.array([along[1], -along[0]]) / np.linalg.norm(along)
            ahead = there[len(_ALONG) // 2] - here[len(_ALONG) // 2]
            half = float(normal @ ahead)  # half a module, across
            # Towards the white side.
            normal = normal * np.sign(half) * (1 if black[line, k] else -1)
            steps = offsets(float(np.clip(2 * abs(half) * _REACH, 2.0, 6.0)))
            crossing, rise = half_way(profiles(light, here - corner, normal, steps), steps)
            clear = np.isfinite(crossing) & (rise > _LEAST_CONTRAST * contrast)
            if clear.sum() < len(_ALONG) / 2:
                continue
            points.append(here.mean(axis=0) + float(np.median(crossing[clear])) * normal)
            places.append(print_.module_mm * at.mean(axis=0))
            across.append(normal)
    if not points:
        return None
    return Seen(np.array(points), np.array(places), LEAST_SIGMA_PX, np.array(across))


def _kept(seen: Seen, kept: Mask) -> Seen:
    across = None if seen.across is None else seen.across[kept]
    return Seen(seen.points_px[kept], seen.places_mm[kept], seen.sigma_px, across)
