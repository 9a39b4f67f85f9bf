"""Everything known of one hole seen in one photo, as priors and residuals for ``infer``."""

from functools import lru_cache
from math import hypot
from typing import NamedTuple

import numpy as np

from annotate import holes
from annotate.errors import CannotMeasure
from annotate.fit import FitFailed, fit_ellipse
from annotate.givens import Givens
from annotate.holes import INDEX, NAMES, Array, Camera
from annotate.marks import IN_PART, MAY_BE_END, ONLY_A_SIDE, Ellipse, FarUnseen, Layer, Marker, Rim
from annotate.mathematics.descent import Residuals
from annotate.optics.profile import LensProfile
from annotate.sight import card, rim_noise
from annotate.sight.condense import MOST, condensed
from annotate.sight.priors import (
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

NO_SCALE = "no length was given: type the near or far diameter, or put a printed marker in"
_NEAR_POINTS, _FAR_POINTS = 5, 3
_BLOCK = 768  # parameter sets


class Sighting(NamedTuple):
    """One photo of one hole, ready for ``infer``: q = (state - mean) / deviation.

    ``points`` (N, 2) of the near, far and back rim are condensed, ``sigmas`` (N,) their own
    standard uncertainties in px; ``slopes`` and ``whiteners`` are set by ``settle``. ``side``
    (N, 2) are points of a back edge of which no more is told than the side it is on; ``back`` is
    then None.
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
    side: Array = np.empty((0, 2))
    strain: float = 1.0  # worst rim's misfit over what its points' uncertainty allows

    @property
    def mean(self) -> Array:
        """Return the prior means (P,) in the units of holes.NAMES."""
        return _scale(self.priors)[0]

    @property
    def deviation(self) -> Array:
        """Return the prior standard deviations (P,)."""
        return _scale(self.priors)[1]

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
        mean, deviation = _scale(self.priors)
        return np.asarray(mean + deviation * q)

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


@lru_cache(maxsize=8)  # asked for at every step of a fit
def _scale(priors: tuple[Prior, ...]) -> tuple[Array, Array]:
    """Return the means and the standard deviations (P,) of priors, not to be changed."""
    found = np.array([[p.mean for p in priors], [p.deviation for p in priors]])
    found.setflags(write=False)
    return found[0], found[1]


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
    size = ellipse.semi_major
    side = np.empty((0, 2))
    if back is not None and only_a_side(back, size):
        side, back = back.array_px(), None
    rims = (near, far, back)
    seen = [_condensed(rim) for rim in rims]
    points, sigmas = ((a[i], b[i], c[i]) for i, (a, b, c) in ((i, seen) for i in (0, 1)))
    ones = [np.ones(len(some)) for some in points]
    whiteners = [
        np.eye(0) if rim is None else rim_noise.whitener(rim, some, size, sigma, alone=back is None)
        for rim, some, sigma in zip(rims, points, sigmas, strict=True)
    ]
    return Sighting(
        layer, camera, near, far, back, ellipse, priors_of(layer, givens, ellipse, lens), givens,
        marker, points, sigmas, (ones[0], ones[1], ones[2]),
        (whiteners[0], whiteners[1], whiteners[2]), givens.flat, lens, side,
    )  # fmt: skip


def _condensed(rim: Rim | None) -> tuple[Array, Array]:
    if rim is None:
        return np.empty((0, 2)), np.empty(0)
    points, counts = condensed(rim.array_px(), MOST[rim.which])
    return points, rim.sigma_px / np.sqrt(counts)


def only_a_side(back: Rim, radius_px: float) -> bool:
    """Return whether of a near hole's far edge no more is told than the side it is on."""
    return back.placed == "found" and back.sigma_px > 0.75 * ONLY_A_SIDE * radius_px


def may_be_end(far: Rim, radius_px: float) -> bool:
    """Return whether what was found of a far rim may be the other end of its drilling."""
    return far.placed == "found" and far.sigma_px > 0.75 * MAY_BE_END * radius_px


def may_be_another(far: Rim, radius_px: float) -> bool:
    """Return whether another edge, farther in, may be the far rim instead of what was found."""
    loose = far.placed == "found" and far.sigma_px > IN_PART * radius_px
    return loose and not may_be_end(far, radius_px)


def unseen(layer: Layer) -> FarUnseen | None:
    """Return what was said of a far hole without a rim to see, or None."""
    said = [m for m in layer.marks if isinstance(m, FarUnseen)]
    return said[-1] if said else None


def residuals(sighting: Sighting, q: Array) -> Array:
    """Return what is left over (K, M), each in its own standard deviation; see ``sources``."""
    return residuals_of(sighting)(q)


def residuals_of(sighting: Sighting) -> Residuals:
    """Return ``residuals`` of a sighting, for many calls: what does not change is made once."""
    whiteners = [(w * by).T for w, by in zip(sighting.whiteners, sighting.slopes, strict=True)]
    fixed = _Fixed(np.concatenate(sighting.points), (whiteners[0], whiteners[1], whiteners[2]))

    def left(q: Array) -> Array:
        if len(q) <= _BLOCK:
            return _residuals(sighting, fixed, q)
        # Block by block: what is worked on stays in the processor's own memory.
        parts = np.array_split(q, -(-len(q) // _BLOCK))
        return np.concatenate([_residuals(sighting, fixed, part) for part in parts])

    return left


class _Fixed(NamedTuple):
    """A sighting's points (N, 2), and for each rim what misfits in px are multiplied with."""

    points_px: Array
    whiteners: tuple[Array, Array, Array]


def _residuals(s: Sighting, fixed: _Fixed, q: Array) -> Array:
    state = s.state(q)
    where = holes.pose(state, s.camera)
    near_ln = holes.column(state, "ln_near")
    px_per_mm = np.exp(holes.column(state, "ln_size") - near_ln)[:, None]
    near, seen, back = (len(points) for points in s.points)
    # All rims at once: the far and back rims lie on one surface, the near rim on another.
    surfaces = np.stack(holes.depths(state), axis=1)
    x, y = holes.meet(state, where, s.camera, fixed.points_px, surfaces, (near, seen + back))
    off = holes.off_near_mm(state, x, y)
    far = holes.off_far_mm(state, x[:, near : near + seen], y[:, near : near + seen])
    off *= px_per_mm
    far *= px_per_mm
    parts = [
        off[:, :near] @ fixed.whiteners[0],
        far @ fixed.whiteners[1],
        # What is seen of the far rim is seen THROUGH the near hole: inside its back edge.
        np.maximum(off[:, near : near + seen], 0) / (1.5 * hypot(s.far.sigma_px, 0.7)),
        off[:, near + seen :] @ fixed.whiteners[2],
    ]
    if s.givens.far_diameter is None:
        ratio = holes.column(state, "ln_far") - near_ln
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
