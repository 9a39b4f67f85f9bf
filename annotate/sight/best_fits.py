"""A sighting -> its best fits: rims weighed by how well they lie, wrong ones left out."""

import numpy as np

from annotate import holes
from annotate.errors import CannotMeasure
from annotate.holes import INDEX, NAMES, Array
from annotate.marks import Rim
from annotate.mathematics import infer
from annotate.mathematics.descent import SETTLED
from annotate.sight import rim_noise
from annotate.sight.first_guess import starts
from annotate.sight.priors import ARC, BACK, NEAR_RIM
from annotate.sight.sighting import Sighting, residuals, residuals_of, sources

_RIMS = (NEAR_RIM, ARC, BACK)
_STRAINED, _RELIEF = 1.8, 0.7  # when, and for how much relief, a back edge is left out
_TORN = 6.0  # points off by six times their stated uncertainty are not on that rim
# Mean square of what is left of a found rim, as it is condensed (of fewer points it is larger, for
# what they share counts once). Drilled edges leave 0.02 to 0.9 (rendered pictures): the errors
# stated are those of a poor edge, and few are. From here on results strayed by more than was
# stated, about as much, and are stated to:
_POOR = 0.39
# ... up to where it is no longer plain that it is a drilled edge (those up to 1.7 were).
_WAVERING = 2.2
_ROUGHLY = 1e-4  # gain of a step, for each unit of cost, that ends the first descent
_UNHEARD_OF = 4.0  # standard deviations from any ordinary focal length
# A circle looks flattened by the cosine of the line of sight, but for perspective and the bore's
# curve: by at most 0.05 of it on 1473 pictures, by hand and found.
_AT_ODDS = 0.15


def settle(sighting: Sighting) -> tuple[Sighting, infer.Modes]:
    """Return the sighting with its weights set at the best fit, and the best fits.

    Slopes: pixels per millimetre across each rim at each point. Whiteners: less weight for a
    point further off than the others (the fit is repeated with them; Huber's idea, limit 2.5).
    A back edge that does not fit is left out: it is the rim most easily taken for another.
    Raises CannotMeasure if no pair of holes fits.
    """
    s, modes = _settled(sighting)
    wavering, at_odds = _wavering(s, modes), _is_at_odds(s, modes)
    if s.back is not None and (s.strain > _STRAINED or wavering or at_odds):
        bare, bare_modes = _settled(_without_back(sighting))
        eased = _wavering(bare, bare_modes)
        if bare.strain < _RELIEF * s.strain or (wavering and not eased) or at_odds:
            s, modes, wavering = bare, bare_modes, eased
            at_odds = _is_at_odds(s, modes)
    if s.strain > _TORN:
        raise CannotMeasure(
            "no pair of round holes with these lengths fits the rims",
            "check the typed diameters, and that each point lies on the rim it is meant for",
        )
    if at_odds:
        raise CannotMeasure(
            "the near rim's own shape and the rest of the marks tell different lines of sight",
            "check that each point lies on the rim it is meant for, and the typed lengths",
        )
    if wavering:
        raise CannotMeasure(
            f"what was found as {wavering} does not lie on a drilled hole before any camera",
            "light the hole from the side, look squarer, or mark the rim by hand",
        )
    return _cautious(s, modes)


def _cautious(s: Sighting, modes: infer.Modes) -> tuple[Sighting, infer.Modes]:
    """Return the sighting with larger errors for found rims that lie worse than most do.

    What lies badly here and there by sub-pixels lies wrong where nothing shows it, too.
    """
    poor = {i: left / _POOR for i, left in _left_over(s, modes).items() if left > _POOR}
    if not poor:
        return s, modes
    whiteners = [some / poor.get(i, 1.0) for i, some in enumerate(s.whiteners)]
    s = s._replace(whiteners=(whiteners[0], whiteners[1], whiteners[2]))
    return s, _fits(s, modes.q)


def _wavering(s: Sighting, modes: infer.Modes) -> str:
    """Return the rim, among those found, that the best fit leaves too far off; "" if none.

    The search can take a shadow, oil or a tool mark for a rim. Such a line is no circle on its
    surface: by the same errors its mean square is several times that of a drilled edge. A hand
    that placed points is not doubted here.
    """
    for i, left in _left_over(s, modes).items():
        if left > _WAVERING:
            return f"the {_RIMS[i]}"
    lens = modes.q[0, INDEX["ln_focal"]]
    return "the rims" if abs(lens) > _UNHEARD_OF and s.near.placed == "found" else ""


def _is_at_odds(s: Sighting, modes: infer.Modes) -> bool:
    """Return whether the best fit looks from elsewhere than the near rim's own outline says."""
    sight = np.radians(holes.sight_angle_deg(s.state(modes.q[:1])))[0]
    outline = s.near_ellipse.semi_minor / s.near_ellipse.semi_major
    return abs(float(np.cos(sight)) / outline - 1) > _AT_ODDS


def _left_over(s: Sighting, modes: infer.Modes) -> dict[int, float]:
    """Return the mean square that the best fit leaves of each found rim, by its place."""
    left = residuals(s, modes.q[:1])[0] ** 2
    told = np.array(sources(s))
    found = {}
    for i, rim in enumerate((s.near, s.far, s.back)):
        here = told == _RIMS[i]
        if rim is not None and rim.placed == "found" and np.any(here):
            found[i] = float(np.mean(left[here]))
    return found


def _settled(s: Sighting) -> tuple[Sighting, infer.Modes]:
    # From here the first weights are taken and the next fits begin: it need not be exact.
    ends = _ends(s, starts(s), _ROUGHLY)
    s = _weighted(s, ends[:1])
    ends = _ends(s, ends)
    s = _weighted(s, ends[:1])
    return s, _fits(s, ends)


def _fits(s: Sighting, begin: Array) -> infer.Modes:
    loose = np.ones(len(NAMES))
    modes = infer.find_modes(residuals_of(s), begin, s.priors_on, loose, period=s.period)
    _refuse_none(modes.q)
    return modes


def _ends(s: Sighting, begin: Array, settled_at: float = SETTLED) -> Array:
    q, _ = infer.find_ends(residuals_of(s), begin, s.priors_on, settled_at, s.period)
    _refuse_none(q)
    return q


def _refuse_none(fits: Array) -> None:
    if len(fits) == 0:
        raise CannotMeasure("no pair of holes fits these rims", "mark both rims again")


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
        sigmas = s.sigmas[i] * stray
        whitener = rim_noise.whitener(rim, points, size, sigmas, alone=s.back is None)
        whiteners[i] = whitener / level
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
