"""What a printed marker lying beside a hole says of the scale and of the camera's lean."""

from math import radians

import numpy as np

from annotate import holes
from annotate.givens import Givens
from annotate.holes import Array, Camera
from annotate.marks import Marker
from annotate.optics.homography import homography
from annotate.own_targets import PIECE_SIDES
from annotate.quantity import Quantity
from annotate.sight.priors import curvature

_TURN = radians(3.5)  # a stiff card in a bore rests on its edges (common practice, no source)
_HALF = PIECE_SIDES / 2  # half the card, white border and all, in marker sides
# What is not known of how high it floats: a part of that, and in mm how flat it lies anywhere.
_PART_U, _LYING_U_MM = 0.6, 0.3
_TWO_SIGMA = 1.96


def floats_mm(side: Quantity, givens: Givens) -> tuple[float, float]:
    """Return how high a stiff card floats above a bore's metal, likely and at most (97.5 %), in mm.

    Its sagitta, as ``residuals`` takes it before anything is seen; 0 and 0 on a flat face.
    """
    if givens.flat:
        return 0.0, 0.0
    curve, curve_u = curvature(givens)
    likely = float(_floating(side.to("mm").value, np.array(curve)))
    doubt = np.hypot(_doubt_mm(np.array(likely)), likely * curve_u / curve)
    return likely, likely + _TWO_SIGMA * float(doubt)


def _floating(side_mm: float, curve: Array) -> Array:
    """Return the card's sagitta in mm, by the parabola with the bore's curvature (1/mm)."""
    return np.asarray(np.abs(curve) * (_HALF * side_mm) ** 2 / 2)


def _doubt_mm(floating: Array) -> Array:
    return np.asarray(np.hypot(_PART_U * floating, _LYING_U_MM))


def residuals(marker: Marker, camera: Camera, state: Array, where: holes.Pose) -> Array:
    """Return scale and two turns (K, 3) of the card against the face it lies on.

    A stiff card in a bore is a chord: it floats by its own sagitta, and is turned round the bore
    by as much as it lies beside the hole.
    """
    normal, middle = _plane(marker, camera, state)
    turned = np.einsum("kij,kj->ki", where.turn, normal)
    corners = np.asarray(marker.corners_px).mean(axis=0)[None]
    x, y = holes.carry_back(state, where, camera, corners, np.zeros(len(state)))
    turn, curve = holes.column(state, "bore_turn"), holes.column(state, "curvature")
    y_bore = -np.sin(turn) * x[:, 0] + np.cos(turn) * y[:, 0]
    lean = np.clip(curve * y_bore, -0.95, 0.95)
    in_hole_frame = np.einsum("kij,kj->ki", where.turn, middle) + where.camera_mm
    height = np.sum(turned * in_hole_frame, axis=1) / turned[:, 2]
    floating = _floating(marker.side.to("mm").value, curve)
    return np.stack(
        [
            (height + curve * y_bore**2 / 2 - floating) / _doubt_mm(floating),
            (turned[:, 0] - np.sin(turn) * lean) / _TURN,
            (turned[:, 1] + np.cos(turn) * lean) / _TURN,
        ],
        axis=1,
    )


def _plane(marker: Marker, camera: Camera, state: Array) -> tuple[Array, Array]:
    """Return the card's normal towards the camera and its middle (K, 3), camera axes, mm.

    From the homography of its four corners (Zhang, IEEE PAMI 22 (2000) 1330-1334, section 3.1).
    """
    half = marker.side.to("mm").value / 2
    square = half * np.array([[-1.0, 1.0], [1.0, 1.0], [1.0, -1.0], [-1.0, -1.0]])
    axis_px = np.array([(camera.width_px - 1) / 2, (camera.height_px - 1) / 2])
    to_picture = homography(square, np.asarray(marker.corners_px) - axis_px)
    focal = np.exp(holes.column(state, "ln_focal"))[:, None, None]
    columns = to_picture[None] / np.concatenate([focal, focal, np.ones_like(focal)], axis=1)
    first, second, middle = columns[..., 0], columns[..., 1], columns[..., 2]
    lengths = np.linalg.norm(first, axis=1) * np.linalg.norm(second, axis=1)
    middle = middle / np.sqrt(lengths)[:, None]
    middle = middle * np.sign(middle[:, 2:])
    normal = np.cross(first, second)
    normal = normal / np.linalg.norm(normal, axis=1, keepdims=True)
    return -normal * np.sign(np.sum(normal * middle, axis=1, keepdims=True)), middle
