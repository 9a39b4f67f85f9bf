"""Everything known of one hole seen in one photo, as priors and residuals for ``infer``."""

from functools import partial
from math import hypot, log, radians
from typing import NamedTuple

import numpy as np

from annotate import card, holes, infer, rim_noise
from annotate.condense import MOST, condensed
from annotate.errors import CannotMeasure
from annotate.fit import FitFailed, fit_ellipse
from annotate.givens import Givens
from annotate.holes import INDEX, NAMES, Array, Camera
from annotate.marks import Ellipse, FarUnseen, Layer, Marker, Rim
from annotate.priors import (
    ARC,
    ASSUMED,
    BACK,
    FAR,
    LENS,
    LOOSE,
    NEAR_RIM,
    SCALE,
    SIGHT,
    Prior,
    priors_of,
)  # fmt: skip
from annotate.profile import LensProfile

NO_SCALE = "no length was given: type the near or far diameter, or put a printed marker in"
_NEAR_POINTS, _FAR_POINTS = 5, 3
_SIZES = 3.0  # a first guess of the far radius beyond this factor is no guess
_STRAINED, _RELIEF = 1.8, 0.7  # when, and for how much relief, a back edge is left out
_BLOCK = 256  # parameter sets
_WAVERING = (
    1.05  # mean square; drilled edges leave 0.02 to 0.8, for the common shift is rarely used
)
_UNHEARD_OF = 4.0  # standard deviations from any ordinary focal length
_TORN = 6.0  # points off by six times their stated uncertainty are not on that rim


class Sighting(NamedTuple):
    """One photo of one hole, ready for ``infer``: q = (state - mean) / deviation.

    ``points`` (N, 2) of the near, far and back rim are condensed, ``sigmas`` (N,) their own
    standard uncertainties in px; ``slopes`` and ``whiteners`` are set by ``settle``.
    """

    layer: Layer
    camera: Camera
    near: Rim
    far: Rim
    back: Rim | None
    near_ellipse: Ellipse
    priors: tuple[Prior, ...]
    givens: Givens
    marker: Marker | None
    points: tuple[Array, Array, Array]
    sigmas: tuple[Array, Array, Array]
    slopes: tuple[Array, Array, Array]
    whiteners: tuple[Array, Array, Array]
    turn_known: bool
    lens: LensProfile | None = None
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

    def picture_px(self, points_px: Array) -> Array:
        """Return where points (..., 2) of this sighting lie in the photo, distortion and all."""
        return points_px if self.lens is None else self.lens.bend(points_px)

    @property
    def lens_assumed(self) -> bool:
        """Return whether nothing tells the focal length."""
        return self.lens is None and self.layer.focal_35mm is None

    def scaled(self) -> bool:
        """Return whether any length fixes the scale, so that millimetres mean something."""
        g = self.givens
        return any(x is not None for x in (g.near_diameter, g.far_diameter, self.marker))


def prepare(layer: Layer, givens: Givens, lens: LensProfile | None = None) -> Sighting:
    """Return the sighting that a layer's rims and the givens describe; raises CannotMeasure.

    With a profile of that very picture (``used_on``) all of it is in straightened pixels.
    """
    if lens is not None:
        layer = lens.straightened(layer)
    near, far, back = layer.rim("near"), layer.rim("far"), layer.rim("back")
    if near is None or len(near.points_px) < _NEAR_POINTS:
        raise CannotMeasure(
            "the near rim is not marked", "put at least five points round its drilled edge"
        )
    if far is None and unseen(layer) is not None:
        # Without points it adds nothing: the far hole stays as unknown as it is.
        far = Rim("far", (), 1.0)
    elif far is None or len(far.points_px) < _FAR_POINTS:
        raise CannotMeasure(
            "the far rim is not marked", "put at least three points on the arc that is seen"
        )
    fitted = fit_ellipse(near.array_px(), near.sigma_px)
    if isinstance(fitted, FitFailed):
        raise CannotMeasure(f"no ellipse fits the near rim: {fitted.reason}", "mark it again")
    ellipse = fitted.shape
    camera = Camera(layer.width_px, layer.height_px, (ellipse.cx, ellipse.cy))
    marker = next((m for m in layer.marks if isinstance(m, Marker)), None)
    rims = (near, far, back)
    size = ellipse.semi_major
    seen = [_condensed(rim) for rim in rims]
    points, sigmas = ((a[i], b[i], c[i]) for i, (a, b, c) in ((i, seen) for i in (0, 1)))
    ones = [np.ones(len(some)) for some in points]
    whiteners = [
        np.eye(0) if rim is None else rim_noise.whitener(rim, some, size, sigma)
        for rim, some, sigma in zip(rims, points, sigmas, strict=True)
    ]
    return Sighting(
        layer, camera, near, far, back, ellipse, priors_of(layer, givens, ellipse, lens), givens,
        marker, points, sigmas, (ones[0], ones[1], ones[2]),
        (whiteners[0], whiteners[1], whiteners[2]), givens.flat, lens,
    )  # fmt: skip


def _condensed(rim: Rim | None) -> tuple[Array, Array]:
    if rim is None:
        return np.empty((0, 2)), np.empty(0)
    points, counts = condensed(rim.array_px(), MOST[rim.which])
    return points, rim.sigma_px / np.sqrt(counts)


def unseen(layer: Layer) -> FarUnseen | None:
    """Return what was said of a far hole without a rim to see, or None."""
    said = [m for m in layer.marks if isinstance(m, FarUnseen)]
    return said[-1] if said else None


def residuals(sighting: Sighting, q: Array) -> Array:
    """Return what is left over (K, M), each in its own standard deviation; see ``sources``."""
    # Block by block: what is worked on stays in the processor's own memory.
    parts = np.array_split(q, max(1, len(q) // _BLOCK))
    return np.concatenate([_residuals(sighting, part) for part in parts])


def _residuals(s: Sighting, q: Array) -> Array:
    state = s.state(q)
    where = holes.pose(state, s.camera)
    near_ln = holes.column(state, "ln_near")
    px_per_mm = np.exp(holes.column(state, "ln_size") - near_ln)[:, None]
    near_px, far_px, back_px = s.points
    near = holes.near_misfit_mm(state, where, s.camera, near_px)
    behind_px = np.concatenate([far_px, back_px])
    x, y = holes.carry_back(state, where, s.camera, behind_px, holes.depths(state)[1])
    seen = len(far_px)
    far = holes.off_far_mm(state, x[:, :seen], y[:, :seen])
    # What is seen of the far rim is seen THROUGH the near hole: inside its back edge.
    inner = holes.off_back_mm(state, x, y)
    parts = [
        (near * (px_per_mm * s.slopes[0])) @ s.whiteners[0].T,
        (far * (px_per_mm * s.slopes[1])) @ s.whiteners[1].T,
        np.maximum(inner[:, :seen] * px_per_mm, 0) / (1.5 * hypot(s.far.sigma_px, 0.7)),
        (inner[:, seen:] * (px_per_mm * s.slopes[2])) @ s.whiteners[2].T,
    ]
    if s.givens.far_diameter is None:
        ratio = holes.column(state, "ln_far") - holes.column(state, "ln_near")
        mean, deviation = ASSUMED["ln_ratio"]
        parts.append(((ratio - mean) / deviation)[:, None])
    if s.lens_assumed:
        # How far the camera is bounds its focal length, for the hole's size in the picture is seen.
        distance = near_ln + holes.column(state, "ln_focal") - holes.column(state, "ln_size")
        mean, deviation = ASSUMED["ln_distance"]
        parts.append(((distance - mean) / deviation)[:, None])
    if s.marker is not None:
        parts.append(card.residuals(s.marker, s.camera, state, where))
    return np.concatenate(parts, axis=1)


def sources(sighting: Sighting) -> list[str]:
    """Return the budget line of each residual, in the order of ``residuals``."""
    s = sighting
    near, far, back = (len(points) for points in s.points)
    names = [NEAR_RIM] * near + [ARC] * far + [SIGHT] * far + [BACK] * back
    names += [FAR] * (s.givens.far_diameter is None) + [LENS] * s.lens_assumed
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

    Slopes: pixels per millimetre across each rim at each point. Whiteners: less weight for a
    point further off than the others (the fit is repeated with them; Huber's idea, limit 2.5).
    A back edge that does not fit is left out: it is the rim most easily taken for another.
    Raises CannotMeasure if no pair of holes fits.
    """
    s, modes = _settled(sighting)
    wavering = _wavering(s, modes)
    if s.back is not None and (s.strain > _STRAINED or wavering):
        bare, bare_modes = _settled(_without_back(sighting))
        eased = _wavering(bare, bare_modes)
        if bare.strain < _RELIEF * s.strain or (wavering and not eased):
            s, modes, wavering = bare, bare_modes, eased
    if s.strain > _TORN:
        raise CannotMeasure(
            "no pair of round holes with these lengths fits the rims",
            "check the typed diameters, and that each point lies on the rim it is meant for",
        )
    if wavering:
        raise CannotMeasure(
            f"what was found as {wavering} does not lie on a drilled hole before any camera",
            "light the hole from the side, look squarer, or mark the rim by hand",
        )
    return s, modes


def _wavering(s: Sighting, modes: infer.Modes) -> str:
    """Return the rim, among those found, that the best fit leaves too far off; "" if none.

    The search can take a shadow, oil or a tool mark for a rim. Such a line is no circle on its
    surface: by the same errors its mean square is several times that of a drilled edge. A hand
    that placed points is not doubted here.
    """
    left = residuals(s, modes.q[:1])[0] ** 2
    told = np.array(sources(s))
    rims = ((s.near, NEAR_RIM), (s.far, ARC), (s.back, BACK))
    for rim, source in rims:
        here = told == source
        doubted = rim is not None and rim.placed == "found" and bool(np.any(here))
        if doubted and np.mean(left[here]) > _WAVERING:
            return f"the {source}"
    lens = modes.q[0, INDEX["ln_focal"]]
    return "the rims" if abs(lens) > _UNHEARD_OF and s.near.placed == "found" else ""


def _settled(s: Sighting) -> tuple[Sighting, infer.Modes]:
    loose = np.ones(len(NAMES))
    modes = infer.find_modes(partial(residuals, s), starts(s), s.priors_on, loose)
    if len(modes.q) == 0:
        raise CannotMeasure("no pair of holes fits these rims", "mark both rims again")
    for _ in range(2):
        s = _weighted(s, modes.q[:1])
        modes = infer.find_modes(partial(residuals, s), modes.q, s.priors_on, loose)
    return s, modes


def _without_back(s: Sighting) -> Sighting:
    return s._replace(
        back=None,
        points=(*s.points[:2], np.empty((0, 2))),
        sigmas=(*s.sigmas[:2], np.empty(0)),
        slopes=(*s.slopes[:2], np.ones(0)),
        whiteners=(*s.whiteners[:2], np.eye(0)),
    )


def _weighted(s: Sighting, q: Array) -> Sighting:
    state = s.state(q)
    where = holes.pose(state, s.camera)
    size = s.near_ellipse.semi_major
    px_per_mm = float(np.exp(state[0, INDEX["ln_size"]] - state[0, INDEX["ln_near"]]))
    misfits = (holes.near_misfit_mm, holes.far_misfit_mm, holes.back_misfit_mm)
    slopes, whiteners, strain = list(s.slopes), list(s.whiteners), 1.0
    for i, (rim, misfit) in enumerate(zip((s.near, s.far, s.back), misfits, strict=True)):
        if rim is None or not rim.points_px:
            continue
        points = s.points[i]
        here, right, down = (
            misfit(state, where, s.camera, points + np.array(step))[0]
            for step in ((0.0, 0.0), (1.0, 0.0), (0.0, 1.0))
        )
        slope = np.hypot(right - here, down - here) * px_per_mm
        off = here * px_per_mm / slope
        level = _level(off, rim, size)
        strain = max(strain, level)
        away = np.abs(off - off.mean()) / (level * rim_noise.scatter_px(rim, size))
        stray = np.maximum(1.0, away / 2.5) ** 0.5
        slopes[i] = 1 / slope
        whiteners[i] = rim_noise.whitener(rim, points, size, s.sigmas[i] * stray) / level
    return s._replace(
        slopes=(slopes[0], slopes[1], slopes[2]),
        whiteners=(whiteners[0], whiteners[1], whiteners[2]),
        strain=strain,
    )


def _level(off_px: Array, rim: Rim, size_px: float) -> float:
    """Return by how much a rim's points are worse than stated, at least 1.

    Their scatter is believed (1.4826 x median = sigma if normal). All of them off to one side is
    ONE event, not as many as there are points: two standard deviations of it are ordinary.
    """
    middle = float(off_px.mean())
    scatter = 1.4826 * float(np.median(np.abs(off_px - middle)))
    return max(
        1.0,
        scatter / rim_noise.scatter_px(rim, size_px),
        abs(middle) / (2 * rim_noise.spread_px(rim, size_px)),
    )


def _outward(s: Sighting) -> list[Array]:
    """Return directions in the picture in which the far hole may lie seen from its arc."""
    points = s.points[1]
    if len(points) == 0:
        return [np.zeros(2)]
    chord = points[-1] - points[0]
    if s.near.seed is not None:
        inside = np.array([s.near.seed.x_px, s.near.seed.y_px]) - points.mean(axis=0)
        return [inside / max(float(np.linalg.norm(inside)), 1e-9)]
    normal = np.array([-chord[1], chord[0]]) / max(float(np.linalg.norm(chord)), 1e-9)
    return [normal, -normal]


def _with_far(s: Sighting, state: Array, outward: Array) -> Array:
    """Return ``state`` with the far hole where its arc puts it, for this tilt."""
    if len(s.far.points_px) == 0:
        return state
    sets = state[None]
    where = holes.pose(sets, s.camera)
    x, y = holes.carry_back(sets, where, s.camera, s.points[1], holes.depths(sets)[1])
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
