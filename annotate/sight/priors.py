"""What is known of a sighting before its rims are marked: typed, read from the file, or assumed.

What is not given has a stated prior (ASSUMED below): assumptions about ordinary plain bearings
and ordinary cameras, common practice without a source. Every one that was used is told as a
warning or as a line of the budget, and carried into the interval.

No edge is without a break (ISO 13715): a drill's burr is taken off by a few hundredths of a
millimetre. Where the break is dark the far rim is seen at its outer border, where it is as light as
the metal round it at the drilled circle: on average at three quarters, and anything between. A
chamfer may be anything from a broken edge to most of a millimetre, so its depth is spread by a
factor. Where the lens is unknown, the hole's size in the picture ties focal length to distance, and
nobody photographs a hole from nearer than a lens focuses or from across the room.
"""

from math import hypot, log
from typing import NamedTuple

import numpy as np
from msgspec import UNSET

from annotate.givens import Givens
from annotate.holes import NAMES
from annotate.marks import Ellipse, Layer
from annotate.optics.profile import LensProfile
from annotate.quantity import Quantity

FULL_FRAME_DIAGONAL_MM = hypot(36, 24)
SCALE, WALL, BORE, FAR = "scale", "wall", "curve of the bore", "far diameter"
LENS, SIGHT, LOOSE = "lens", "line of sight", "no prior"
EDGE = "broken edge of the far hole"
NEAR_RIM, ARC, BACK = "near rim", "arc of the far rim", "near hole's back edge"

# (mean, standard deviation) of what nobody gave. Lengths in mm or their natural logarithm.
ASSUMED = {
    "ln_wall": (log(2.0), 0.4),  # 0.9 to 4.4 mm at 95 %
    "curvature": (0.035, 0.018),  # flat to a bore of 28 mm diameter
    "ln_depth": (log(0.08), 1.1),  # mm: an edge merely broken, up to a chamfer of 0.7 mm
    "ln_steep": (0.0, 0.3),  # depth of a chamfer per width: 29 to 61 degrees at 95 %
    "ln_near": (log(4.0), 0.5),
    "ln_ratio": (0.05, 0.45),  # far radius over near radius
    "focal_35mm": (log(45.0), 0.6),
    "ln_distance": (log(130.0), 0.6),  # 4 to 42 cm at 95 %: a lens focuses no nearer
    "edge_break": (0.03, 0.025),  # mm, of the far hole: how far outside it the rim is seen
    "distortion": (-0.003, 0.007),  # of the half diagonal, at the corner
    "tilt": (0.0, 0.3),  # people aim at the hole: 35 degrees at two standard deviations
}
_FEW_PER_CENT_FOCAL = 0.04  # EXIF rounds, and the lens breathes when close


class Prior(NamedTuple):
    """Mean and standard deviation of one unknown, and which line of the budget it belongs to."""

    mean: float
    deviation: float
    source: str


def priors_of(
    layer: Layer, givens: Givens, ellipse: Ellipse, lens: LensProfile | None = None
) -> tuple[Prior, ...]:
    """Return the prior of every unknown, in the order of holes.NAMES.

    With a profile the layer is the straightened one, and the lens is what the profile says of it.
    """
    size = ellipse.semi_major
    radius = _ln_radius(givens.near_diameter) or ASSUMED["ln_near"]
    reach = 1.3 * np.exp(radius[0])
    table = {
        "centre_u": Prior(0.0, 0.3 * size, LOOSE),
        "centre_v": Prior(0.0, 0.3 * size, LOOSE),
        "ln_size": Prior(log(size), 0.3, LOOSE),
        "tilt_x": Prior(*ASSUMED["tilt"], SIGHT),
        "tilt_y": Prior(*ASSUMED["tilt"], SIGHT),
        "bore_turn": Prior(0.0, 1.0, BORE if givens.flat else LOOSE),
        "curvature": Prior(*curvature(givens), BORE),
        "ln_depth": Prior(*_depth(layer, radius), WALL),
        "ln_wall": Prior(*(_ln(givens.wall) or ASSUMED["ln_wall"]), WALL),
        "edge_break": Prior(*_edge_break(layer), EDGE),
        "far_x": Prior(0.0, reach, ARC),
        "far_y": Prior(0.0, reach, ARC),
        "ln_far": Prior(*_far_prior(givens, radius)),
        "ln_near": Prior(*radius, SCALE),
        **(_assumed_lens(layer) if lens is None else _measured_lens(lens)),
    }
    return tuple(table[name] for name in NAMES)


def _assumed_lens(layer: Layer) -> dict[str, Prior]:
    diagonal = hypot(layer.width_px, layer.height_px)
    known_lens = layer.focal_35mm is not None
    focal = (log(layer.focal_35mm), _FEW_PER_CENT_FOCAL) if layer.focal_35mm else None
    ln_focal, ln_focal_u = focal or ASSUMED["focal_35mm"]
    axis_u = (0.012 if known_lens else 0.06) * diagonal
    return {
        "ln_focal": Prior(ln_focal + log(diagonal / FULL_FRAME_DIAGONAL_MM), ln_focal_u, LENS),
        "distortion": Prior(*ASSUMED["distortion"], LENS),
        "axis_u": Prior(0.0, axis_u, LENS),
        "axis_v": Prior(0.0, axis_u, LENS),
    }


def _measured_lens(lens: LensProfile) -> dict[str, Prior]:
    axis_u = max(lens.u_centre_px, 1e-3)
    return {
        "ln_focal": Prior(log(lens.focal_px), max(lens.u_focal_px / lens.focal_px, 1e-5), LENS),
        "distortion": Prior(0.0, max(lens.u_barrel, 1e-6), LENS),
        "axis_u": Prior(lens.cx - (lens.width_px - 1) / 2, axis_u, LENS),
        "axis_v": Prior(lens.cy - (lens.height_px - 1) / 2, axis_u, LENS),
    }


def _far_prior(givens: Givens, near: tuple[float, float]) -> tuple[float, float, str]:
    known = _ln_radius(givens.far_diameter)
    return (*known, FAR) if known else (near[0] + ASSUMED["ln_ratio"][0], 0.5, LOOSE)


def _depth(layer: Layer, radius: tuple[float, float]) -> tuple[float, float]:
    """Return how deep the near rim lies, as ln mm: of a chamfer that shows, about its width."""
    near = layer.rim("near")
    if near is None or near.chamfer is UNSET:
        return ASSUMED["ln_depth"]
    ln_steep, u_steep = ASSUMED["ln_steep"]
    return ln_steep + radius[0] + log(near.chamfer), hypot(u_steep, radius[1])


def _edge_break(layer: Layer) -> tuple[float, float]:
    """Return the prior of where a broken edge is seen: a hand sees past the break."""
    far = layer.rim("far")
    mean, deviation = ASSUMED["edge_break"]
    return (mean, deviation) if far is not None and far.placed == "found" else (0.0, deviation / 2)


def curvature(givens: Givens) -> tuple[float, float]:
    """Return mean and standard deviation of the face's curvature, in 1/mm."""
    if givens.flat:
        return 0.0, 1e-6
    if givens.bore_diameter is None:
        return ASSUMED["curvature"]
    bore = givens.bore_diameter.to("mm")
    return 2 / bore.value, max(2 * bore.u / bore.value**2, 1e-6)


def _ln(length: Quantity | None) -> tuple[float, float] | None:
    if length is None:
        return None
    mm = length.to("mm")
    return log(mm.value), max(mm.u / mm.value, 1e-5)


def _ln_radius(diameter: Quantity | None) -> tuple[float, float] | None:
    known = _ln(diameter)
    return None if known is None else (known[0] - log(2), known[1])
