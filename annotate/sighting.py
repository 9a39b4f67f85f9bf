"""Everything known of one hole seen in one photo, as priors and residuals for ``infer``.

What is not given has a stated prior (PRIORS below); they are assumptions about ordinary plain
bearings and ordinary cameras, common practice without a source, and every one that was used is
told as a warning and carried into the interval.
"""

from functools import partial
from math import hypot, log, radians
from typing import NamedTuple

import numpy as np

from annotate import holes, infer
from annotate.errors import CannotMeasure
from annotate.fit import FitFailed, fit_ellipse
from annotate.givens import Givens
from annotate.holes import INDEX, NAMES, Array, Camera
from annotate.marks import Ellipse, Layer, Marker, Rim
from annotate.quantity import Quantity

FULL_FRAME_DIAGONAL_MM = hypot(36, 24)
SCALE, WALL, BORE, FAR = "scale", "wall", "curve of the bore", "far diameter"
LENS, BIAS, SIGHT, LOOSE = "lens", "edge of the rims", "line of sight", "no prior"
NEAR_RIM, ARC, BACK = "near rim", "arc of the far rim", "near hole's back edge"

# (mean, standard deviation) of what nobody gave. Lengths in mm or their natural logarithm.
PRIORS = {
    "ln_wall": (log(2.0), 0.4),  # 0.9 to 4.4 mm at 95 %
    "curvature": (0.035, 0.018),  # flat to a bore of 28 mm diameter
    "edge_depth": (0.06, 0.06),  # an edge merely broken, up to a chamfer of 0.2 mm
    "ln_near": (log(4.0), 0.5),
    "ln_ratio": (0.05, 0.45),  # far radius over near radius
    "focal_35mm": (log(45.0), 0.6),
    "distortion": (-0.003, 0.007),  # of the half diagonal, at the corner
    "tilt": (0.0, 0.3),  # people aim at the hole: 35 degrees at two standard deviations
}
_CARD_TURN = radians(3.5)  # a stiff card in a bore rests on its edges
_CARD_HALF = 0.75  # half the card, quiet zone and all, in marker sides
_FEW_PER_CENT_FOCAL = 0.04  # EXIF rounds, and the lens breathes when close
_NEAR_POINTS, _FAR_POINTS = 5, 3
_SIZES = 3.0  # a first guess of the far radius beyond this factor is no guess
_TORN = 6.0  # points off by six times their stated uncertainty are not on that rim


class Prior(NamedTuple):
    """Mean and standard deviation of one unknown, and which line of the budget it belongs to."""

    mean: float
    deviation: float
    source: str


class Sighting(NamedTuple):
    """One photo of one hole, ready for ``infer``: q = (state - mean) / deviation."""

    layer: Layer
    camera: Camera
    near: Rim
    far: Rim
    back: Rim | None
    near_ellipse: Ellipse
    priors: tuple[Prior, ...]
    givens: Givens
    marker: Marker | None
    weights: tuple[Array, Array, Array]
    turn_known: bool
    strain: float = 1.0  # worst rim's misfit over what its points' uncertainty allows

    @property
    def mean(self) -> Array:
        """Return the prior means (P,) in the units of holes.NAMES."""
        return np.array([p.mean for p in self.priors])

    @property
    def deviation(self) -> Array:
        """Return the prior standard deviations (P,)."""
        return np.array([p.deviation for p in self.priors])

    @property
    def priors_on(self) -> Array:
        """Return 1 where an unknown has a prior, else 0."""
        return np.array([0.0 if p.source == LOOSE else 1.0 for p in self.priors])

    @property
    def period(self) -> Array:
        """Return the period of each unknown in q: the bore's axis has no direction, so pi."""
        period = np.zeros(len(NAMES))
        if not self.turn_known:
            period[INDEX["bore_turn"]] = np.pi
        return period

    def state(self, q: Array) -> Array:
        """Return the unknowns (K, P) in the units of holes.NAMES."""
        return np.asarray(self.mean + self.deviation * q)

    def scaled(self) -> bool:
        """Return whether any length fixes the scale, so that millimetres mean something."""
        g = self.givens
        return any(x is not None for x in (g.near_diameter, g.far_diameter, self.marker))


def prepare(layer: Layer, givens: Givens) -> Sighting:
    """Return the sighting that a layer's rims and the givens describe; raises CannotMeasure."""
    near, far, back = layer.rim("near"), layer.rim("far"), layer.rim("back")
    if near is None or len(near.points_px) < _NEAR_POINTS:
        raise CannotMeasure(
            "the near rim is not marked", "put at least five points round its drilled edge"
        )
    if far is None or len(far.points_px) < _FAR_POINTS:
        raise CannotMeasure(
            "the far rim is not marked", "put at least three points on the arc that is seen"
        )
    fitted = fit_ellipse(near.array_px(), near.sigma_px)
    if isinstance(fitted, FitFailed):
        raise CannotMeasure(f"no ellipse fits the near rim: {fitted.reason}", "mark it again")
    ellipse = fitted.shape
    camera = Camera(layer.width_px, layer.height_px, (ellipse.cx, ellipse.cy))
    marker = next((m for m in layer.marks if isinstance(m, Marker)), None)
    ones = tuple(np.ones(0 if rim is None else len(rim.points_px)) for rim in (near, far, back))
    return Sighting(
        layer, camera, near, far, back, ellipse, _priors(layer, givens, near, far, ellipse),
        givens, marker, (ones[0], ones[1], ones[2]), givens.flat,
    )  # fmt: skip


def residuals(sighting: Sighting, q: Array) -> Array:
    """Return what is left over (K, M), each in its own standard deviation; see ``sources``."""
    s = sighting
    state = s.state(q)
    where = holes.pose(state, s.camera)
    near_mm = np.exp(holes.column(state, "ln_near"))
    px_per_mm = (np.exp(holes.column(state, "ln_size")) / near_mm)[:, None]
    near_bias = holes.column(state, "near_bias")[:, None]
    far_bias = holes.column(state, "far_bias")[:, None]
    near = holes.near_misfit_mm(state, where, s.camera, s.near.array_px())
    far_px = s.far.array_px()
    behind_px = far_px if s.back is None else np.concatenate([far_px, s.back.array_px()])
    x, y = holes.carry_back(state, where, s.camera, behind_px, holes.depths(state)[1])
    far = holes.off_far_mm(state, x[:, : len(far_px)], y[:, : len(far_px)])
    # What is seen of the far rim is seen THROUGH the near hole: inside its back edge.
    through = holes.off_back_mm(state, x[:, : len(far_px)], y[:, : len(far_px)])
    parts = [
        (near * px_per_mm * s.weights[0] - near_bias) / s.near.sigma_px,
        (far * px_per_mm * s.weights[1] - far_bias) / s.far.sigma_px,
        np.maximum(through * px_per_mm, 0) / (1.5 * hypot(s.far.sigma_px, 0.7)),
    ]
    if s.back is not None:
        back = holes.off_back_mm(state, x[:, len(far_px) :], y[:, len(far_px) :])
        parts.append((back * px_per_mm * s.weights[2] - near_bias) / s.back.sigma_px)
    if s.givens.far_diameter is None:
        ratio = holes.column(state, "ln_far") - holes.column(state, "ln_near")
        mean, deviation = PRIORS["ln_ratio"]
        parts.append(((ratio - mean) / deviation)[:, None])
    if s.marker is not None:
        parts.append(_marker_residuals(s, state, where))
    return np.concatenate(parts, axis=1)


def sources(sighting: Sighting) -> list[str]:
    """Return the budget line of each residual, in the order of ``residuals``."""
    s = sighting
    names = [NEAR_RIM] * len(s.near.points_px) + [ARC] * len(s.far.points_px)
    names += [SIGHT] * len(s.far.points_px)
    names += [BACK] * (0 if s.back is None else len(s.back.points_px))
    names += [FAR] * (s.givens.far_diameter is None)
    return names + [SCALE, SIGHT, SIGHT] * (s.marker is not None)


def starts(sighting: Sighting) -> Array:
    """Return states to start from (K, P) as q: both tilts the near rim allows, bore directions."""
    s, e = sighting, sighting.near_ellipse
    flattening = min(max(1 - (e.semi_minor / e.semi_major) ** 2, 0.0), 0.5) ** 0.5
    across = radians(e.angle_deg + 90)
    turns = [0.0] if s.turn_known else [0.0, np.pi / 4, np.pi / 2, -np.pi / 4]
    found = []
    for side in (1, -1):
        for turn in turns:
            for outward in _outward(s):
                state = s.mean.copy()
                state[INDEX["tilt_x"]] = side * flattening * np.cos(across)
                state[INDEX["tilt_y"]] = side * flattening * np.sin(across)
                state[INDEX["bore_turn"]] = turn
                found.append(_with_far(s, state, outward))
    return np.asarray((np.array(found) - s.mean) / s.deviation)


def settle(sighting: Sighting) -> tuple[Sighting, infer.Modes]:
    """Return the sighting with its weights set at the best fit, and the best fits.

    Weights: pixels per millimetre across each rim at each point, and less for a point further
    off than the others (the fit is repeated once with them; Huber's idea, limit 2.5).
    """
    s = sighting
    q = starts(s)
    loose = np.ones(len(NAMES))
    modes = infer.find_modes(partial(residuals, s), q, s.priors_on, loose)
    if len(modes.q) == 0:
        raise CannotMeasure("no pair of holes fits these rims", "mark both rims again")
    for _ in range(2):
        s = _weighted(s, modes.q[:1])
        modes = infer.find_modes(partial(residuals, s), modes.q, s.priors_on, loose)
    if s.strain > _TORN:
        raise CannotMeasure(
            "no pair of round holes with these lengths fits the rims",
            "check the typed diameters, and that each point lies on the rim it is meant for",
        )
    return s, modes


def _weighted(s: Sighting, q: Array) -> Sighting:
    state = s.state(q)
    where = holes.pose(state, s.camera)
    px_per_mm = float(np.exp(state[0, INDEX["ln_size"]] - state[0, INDEX["ln_near"]]))
    biases = (state[0, INDEX["near_bias"]], state[0, INDEX["far_bias"]], 0.0)
    rims = (s.near, s.far, s.back)
    misfits = (holes.near_misfit_mm, holes.far_misfit_mm, holes.back_misfit_mm)
    weights, strain = [], 1.0
    for rim, misfit, bias in zip(rims, misfits, biases, strict=True):
        if rim is None:
            weights.append(np.ones(0))
            continue
        points = rim.array_px()
        here, right, down = (
            misfit(state, where, s.camera, points + np.array(step))[0]
            for step in ((0.0, 0.0), (1.0, 0.0), (0.0, 1.0))
        )
        slope = np.hypot(right - here, down - here) * px_per_mm
        off = np.abs(here * px_per_mm / slope - bias) / rim.sigma_px
        # Points worse than stated: believe their scatter (1.4826 x median = sigma if normal).
        level = max(1.0, 1.4826 * float(np.median(off)))
        strain = max(strain, level)
        weights.append(np.minimum(1.0, 2.5 * level / np.maximum(off, 1e-9)) ** 0.5 / slope / level)
    return s._replace(weights=(weights[0], weights[1], weights[2]), strain=strain)


def _priors(
    layer: Layer, givens: Givens, near: Rim, far: Rim, ellipse: Ellipse
) -> tuple[Prior, ...]:
    diagonal = hypot(layer.width_px, layer.height_px)
    size = ellipse.semi_major
    radius = _ln_radius(givens.near_diameter) or PRIORS["ln_near"]
    known_lens = layer.focal_35mm is not None
    focal = (log(layer.focal_35mm), _FEW_PER_CENT_FOCAL) if layer.focal_35mm else None
    ln_focal, ln_focal_u = focal or PRIORS["focal_35mm"]
    axis_u = (0.012 if known_lens else 0.06) * diagonal
    reach = 1.3 * np.exp(radius[0])
    table = {
        "centre_u": Prior(0.0, 0.3 * size, LOOSE),
        "centre_v": Prior(0.0, 0.3 * size, LOOSE),
        "ln_size": Prior(log(size), 0.3, LOOSE),
        "tilt_x": Prior(*PRIORS["tilt"], SIGHT),
        "tilt_y": Prior(*PRIORS["tilt"], SIGHT),
        "bore_turn": Prior(0.0, 1.0, BORE if givens.flat else LOOSE),
        "curvature": Prior(*_curvature(givens), BORE),
        "edge_depth": Prior(*PRIORS["edge_depth"], WALL),
        "ln_wall": Prior(*(_ln(givens.wall) or PRIORS["ln_wall"]), WALL),
        "far_x": Prior(0.0, reach, ARC),
        "far_y": Prior(0.0, reach, ARC),
        "ln_far": Prior(*_far_prior(givens, radius)),
        "ln_near": Prior(*radius, SCALE),
        "ln_focal": Prior(ln_focal + log(diagonal / FULL_FRAME_DIAGONAL_MM), ln_focal_u, LENS),
        "distortion": Prior(*PRIORS["distortion"], LENS),
        "axis_u": Prior(0.0, axis_u, LENS),
        "axis_v": Prior(0.0, axis_u, LENS),
        "near_bias": Prior(0.0, _bias(near), BIAS),
        "far_bias": Prior(0.0, _bias(far), BIAS),
    }
    return tuple(table[name] for name in NAMES)


def _bias(rim: Rim) -> float:
    """Return how far a whole rim may lie off its edge, in px: blur and the tone curve do that."""
    return max(0.3, 0.5 * rim.sigma_px)


def _far_prior(givens: Givens, near: tuple[float, float]) -> tuple[float, float, str]:
    known = _ln_radius(givens.far_diameter)
    return (*known, FAR) if known else (near[0] + PRIORS["ln_ratio"][0], 0.5, LOOSE)


def _curvature(givens: Givens) -> tuple[float, float]:
    if givens.flat:
        return 0.0, 1e-6
    if givens.bore_diameter is None:
        return PRIORS["curvature"]
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


def _outward(s: Sighting) -> list[Array]:
    """Return directions in the picture in which the far hole may lie seen from its arc."""
    points = s.far.array_px()
    chord = points[-1] - points[0]
    if s.near.seed is not None:
        inside = np.array([s.near.seed.x_px, s.near.seed.y_px]) - points.mean(axis=0)
        return [inside / max(float(np.linalg.norm(inside)), 1e-9)]
    normal = np.array([-chord[1], chord[0]]) / max(float(np.linalg.norm(chord)), 1e-9)
    return [normal, -normal]


def _with_far(s: Sighting, state: Array, outward: Array) -> Array:
    """Return ``state`` with the far hole where its arc puts it, for this tilt."""
    sets = state[None]
    where = holes.pose(sets, s.camera)
    x, y = holes.carry_back(sets, where, s.camera, s.far.array_px(), holes.depths(sets)[1])
    points = np.nan_to_num(np.stack([x[0], y[0]], axis=1))
    middle, towards = points.mean(axis=0), outward * np.array([1.0, -1.0])
    radius = float(np.exp(state[INDEX["ln_far"]]))
    centre, r = _algebraic_circle(points, radius)
    if s.givens.far_diameter is not None or not 1 / _SIZES < r / radius < _SIZES:
        centre, r = middle + towards * radius, radius
    elif np.dot(centre - middle, towards) < 0 and len(_outward(s)) > 1:
        centre = 2 * middle - centre
    out = state.copy()
    out[INDEX["far_x"]], out[INDEX["far_y"]] = centre
    out[INDEX["ln_far"]] = log(r)
    return out


def _algebraic_circle(points: Array, fallback: float) -> tuple[Array, float]:
    """Return a rough centre and radius (a start only: algebraic fits are biased on short arcs)."""
    middle = points.mean(axis=0)
    local = points - middle
    columns = np.column_stack([2 * local, np.ones(len(local))])
    answer, _, rank, _ = np.linalg.lstsq(columns, np.sum(local**2, axis=1), rcond=1e-9)
    squared = answer[2] + answer[0] ** 2 + answer[1] ** 2
    if rank < columns.shape[1] or squared <= 0:
        return middle, fallback * 100
    return middle + answer[:2], float(np.sqrt(squared))


def _marker_residuals(s: Sighting, state: Array, where: holes.Pose) -> Array:
    """Return scale and two turns (K, 3) of the card against the face it lies on.

    A stiff card in a bore is a chord: it floats by its own sagitta, and is turned round the bore
    by as much as it lies beside the hole.
    """
    assert s.marker is not None  # noqa: S101 - the caller asked
    normal, middle = _card_plane(s, s.marker, state)
    turned = np.einsum("kij,kj->ki", where.turn, normal)
    corners = np.asarray(s.marker.corners_px).mean(axis=0)[None]
    x, y = holes.carry_back(state, where, s.camera, corners, np.zeros(len(state)))
    turn, curve = holes.column(state, "bore_turn"), holes.column(state, "curvature")
    y_bore = -np.sin(turn) * x[:, 0] + np.cos(turn) * y[:, 0]
    lean = np.clip(curve * y_bore, -0.95, 0.95)
    in_hole_frame = np.einsum("kij,kj->ki", where.turn, middle) + where.camera_mm
    height = np.sum(turned * in_hole_frame, axis=1) / turned[:, 2]
    floating = np.abs(curve) * (_CARD_HALF * s.marker.side.to("mm").value) ** 2 / 2
    return np.stack(
        [
            (height + curve * y_bore**2 / 2 - floating) / np.hypot(0.6 * floating, 0.3),
            (turned[:, 0] - np.sin(turn) * lean) / _CARD_TURN,
            (turned[:, 1] + np.cos(turn) * lean) / _CARD_TURN,
        ],
        axis=1,
    )


def _card_plane(s: Sighting, marker: Marker, state: Array) -> tuple[Array, Array]:
    """Return the card's normal towards the camera and its middle (K, 3), camera axes, mm.

    From the homography of its four corners (Zhang, IEEE PAMI 22 (2000) 1330-1334, section 3.1).
    """
    half = marker.side.to("mm").value / 2
    square = half * np.array([[-1.0, 1.0], [1.0, 1.0], [1.0, -1.0], [-1.0, -1.0]])
    axis_px = np.array([(s.camera.width_px - 1) / 2, (s.camera.height_px - 1) / 2])
    homography = square_homography(square, np.asarray(marker.corners_px) - axis_px)
    focal = np.exp(holes.column(state, "ln_focal"))[:, None, None]
    columns = homography[None] / np.concatenate([focal, focal, np.ones_like(focal)], axis=1)
    first, second, middle = columns[..., 0], columns[..., 1], columns[..., 2]
    lengths = np.linalg.norm(first, axis=1) * np.linalg.norm(second, axis=1)
    middle = middle / np.sqrt(lengths)[:, None]
    middle = middle * np.sign(middle[:, 2:])
    normal = np.cross(first, second)
    normal = normal / np.linalg.norm(normal, axis=1, keepdims=True)
    return -normal * np.sign(np.sum(normal * middle, axis=1, keepdims=True)), middle


def square_homography(square: Array, picture: Array) -> Array:
    """Return the 3x3 homography that takes four points of a plane to four of the picture."""
    rows = []
    for (x, y), (u, v) in zip(square, picture, strict=True):
        rows.append([x, y, 1, 0, 0, 0, -u * x, -u * y])
        rows.append([0, 0, 0, x, y, 1, -v * x, -v * y])
    answer = np.linalg.solve(np.array(rows), picture.reshape(-1))
    return np.asarray(np.append(answer, 1.0).reshape(3, 3))
