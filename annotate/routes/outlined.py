"""Coverage of a round near hole by a far opening that was drawn: a slot, an oval, any polygon.

The near rim gives the camera's place as ever (``sighting``); through it every corner is carried
back along its sight line to the surface where the part in front ends, so that slant, wall and the
bore's curve count as they do for a round far hole. Seen along the axis the opening is a polygon;
what it shares with the near hole is worked out exactly (``polygons``). It is as good as the
drawing: what is hidden of the opening is where the person drew it.

Uncertain are the corners, each by itself and all of them off to one side (``rim_noise``), and how
far the opening bows out between them: from not at all to a smooth curve through them, except at
corners that are meant, besides all that makes the near hole and the wall uncertain. A pin is not
worked out: which one passes an outline of any shape has no closed form.
"""

from math import hypot

import numpy as np
from msgspec import structs

from annotate import coverage, holes
from annotate.errors import CannotMeasure
from annotate.estimates import shares
from annotate.estimates.settled import unsteady
from annotate.estimates.weighted import summary
from annotate.givens import Givens
from annotate.holes import INDEX, Array
from annotate.marks import FarOutline, FarUnseen, Layer, Rim
from annotate.mathematics import polygons
from annotate.optics.profile import LensProfile
from annotate.result import Coverage, Known, Unknown
from annotate.sight import doubts, sighting
from annotate.sight.rim_noise import BIAS_PX
from annotate.size import crosses_itself

OUTLINE = "outline of the far opening, as drawn"
_AS_DRAWN = (
    "the far opening is taken as it was drawn, its hidden stretches too, on the surface where the "
    "part in front ends"
)
_BESIDE = (
    "the far opening as it was drawn lies wholly beside the near hole, so that nothing is open: "
    "check that its corners are on this hole"
)
_NOTHING, _SURE = 1e-6, 0.95
_MEANT_DEG = 45.0  # a turn by more is a corner of the opening, not a stretch of a curve
_NO_PIN = "a pin through an opening that is not round is not worked out: try one"


def outline_of(layer: Layer) -> FarOutline | None:
    """Return the last far opening that was drawn, or None."""
    drawn = [mark for mark in layer.marks if isinstance(mark, FarOutline)]
    return drawn[-1] if drawn else None


def without_outline(layer: Layer) -> Layer:
    """Return the layer as it is sampled: no far rim is looked at where an opening was drawn."""
    if outline_of(layer) is None:
        return layer
    marks = (mark for mark in layer.marks if not _is_far(mark))
    return structs.replace(layer, marks=(*marks, FarUnseen("open")))


def measure(
    layer: Layer,
    givens: Givens,
    *,
    seed: int = 0,
    trials: int = coverage.TRIALS,
    lens: LensProfile | None = None,
) -> Coverage:
    """Return the coverage that a near rim and a drawn far opening show; raises CannotMeasure.

    ``covered`` is of the smaller of the two openings, by area. As ``coverage.measure`` else.
    """
    drawn, corners, sigma_px = _sampled(layer, givens, seed=seed, trials=trials, lens=lens)
    return _told(drawn, corners, sigma_px, np.random.default_rng([seed, 2]))


def trial(
    layer: Layer, givens: Givens, *, seed: int, trials: int, lens: LensProfile | None
) -> tuple[Array, Array]:
    """Return covered (N,) of so many trials, the corners' own error left out, and weights (N,)."""
    drawn, corners, _ = _sampled(layer, givens, seed=seed, trials=trials, lens=lens)
    covered = _covered(drawn.state, *_carried(drawn.ready, drawn.state, corners))
    return covered, drawn.samples.weight


def _sampled(
    layer: Layer, givens: Givens, *, seed: int, trials: int, lens: LensProfile | None
) -> tuple[coverage.Sampled, Array, float]:
    """Return the samples of the near hole, the outline's corners (N, 2) px, and their sigma."""
    outline = outline_of(layer)
    if outline is None:
        raise CannotMeasure("no far opening is drawn", "draw the whole of it, corner by corner")
    corners = np.asarray(outline.corners_px, dtype=np.float64)
    if crosses_itself(corners):
        raise CannotMeasure("the outline crosses itself", "draw it once round, without a crossing")
    drawn = coverage.sampled(without_outline(layer), givens, seed=seed, trials=trials, lens=lens)
    if drawn.ready.lens is not None:
        corners = drawn.ready.lens.straighten(corners)
    return drawn, corners, outline.sigma_px


def refuse_flat(layer: Layer) -> None:
    """Raise CannotMeasure for an outline whose corners lie on a line, or nearly.

    Asked of new marks, not of those that are measured again.
    """
    outline = outline_of(layer)
    if outline is None or crosses_itself(np.asarray(outline.corners_px, dtype=np.float64)):
        return  # that it crosses itself is said as it is sampled
    x, y = np.asarray(outline.corners_px, dtype=np.float64).T
    area = abs(float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1)))) / 2
    round_px = float(np.hypot(np.roll(x, -1) - x, np.roll(y, -1) - y).sum())
    if area < outline.sigma_px * round_px / 2:  # narrower, on average, than a corner is off
        raise CannotMeasure(
            "the outline has no inside: its corners lie on a line",
            "give the corners once round the far opening",
        )


def _is_far(mark: object) -> bool:
    return isinstance(mark, FarUnseen) or (isinstance(mark, Rim) and mark.which == "far")


def _told(
    drawn: coverage.Sampled, corners: Array, sigma_px: float, rng: np.random.Generator
) -> Coverage:
    ready, modes, samples, _ = drawn
    state, weight = drawn.state, samples.weight
    x, y = _carried(ready, state, corners)
    sure = _covered(state, x, y)
    moved_x, moved_y = _bowed(*_moved(state, x, y, sigma_px, rng), rng.random((len(x), 1)))
    r_near = np.exp(holes.column(state, "ln_near"))
    near = np.pi * r_near**2
    far = polygons.area(moved_x, moved_y)
    shared = polygons.area_in_circle(moved_x, moved_y, r_near)
    round_one = _as_round(state, moved_x, moved_y, far)
    where = holes.pose(round_one, ready.camera)
    right, up = holes.parallax_mm(round_one, where)
    seen = polygons.area_in_circle(moved_x + right[:, None], moved_y + up[:, None], r_near)
    small = np.minimum(near, far)

    def fraction(values: Array) -> Known:
        return Known(summary(values, weight, "1", 0.0, 1.0))

    as_round = coverage.results(ready, round_one, weight)
    scaled = ready.scaled()
    covered = 1 - shared / small
    found = shares.levers(
        sighting.residuals_of(ready),
        shares.Told.of(samples.q, state, weight, [sure, covered]),
        ready.priors_on,
    )
    return structs.replace(
        as_round,
        covered=fraction(covered),
        open=fraction(shared / small),
        covered_of_near=fraction(1 - shared / near),
        covered_of_far=fraction(1 - shared / far),
        open_area=Known(summary(shared, weight, "mm^2", 0.0)) if scaled else as_round.open_area,
        equivalent_diameter=Known(summary(np.sqrt(4 * shared / np.pi), weight, "mm", 0.0))
        if scaled
        else as_round.equivalent_diameter,
        largest_pin=Unknown(_NO_PIN),
        uncorrected=fraction(1 - seen / small),
        near=coverage.outline(ready, modes, "near"),
        budget=shares.lines(found, sighting.sources(ready), ready.priors, [(OUTLINE, None)]),
        warnings=(
            _AS_DRAWN,
            *([_BESIDE] if float(np.sum(weight * (shared < _NOTHING * near))) > _SURE else []),
            *doubts.assumed(ready),
            *doubts.leaning(state, weight),
            *unsteady(sure, weight),
        ),
    )


def _carried(ready: sighting.Sighting, state: Array, corners: Array) -> tuple[Array, Array]:
    """Return where corners (N, 2) px lie on the far surface, x, y (K, N) in mm along the axis."""
    where = holes.pose(state, ready.camera)
    x, y = holes.carry_back(state, where, ready.camera, corners, holes.depths(state)[1])
    if not np.all(np.isfinite(x[0]) & np.isfinite(y[0])):
        raise CannotMeasure(
            "a corner of the outline lies where no far surface can be", "check its corners"
        )
    # A rare draw in which a sight line misses the bore: the best fit's place is no worse a guess.
    return np.where(np.isfinite(x), x, x[:1]), np.where(np.isfinite(y), y, y[:1])


def _covered(state: Array, x: Array, y: Array) -> Array:
    r_near = np.exp(holes.column(state, "ln_near"))
    x, y = _bowed(x, y, np.full((len(x), 1), 0.5))
    small = np.minimum(np.pi * r_near**2, polygons.area(x, y))
    return np.asarray(1 - polygons.area_in_circle(x, y, r_near) / small)


def _moved(
    state: Array, x: Array, y: Array, sigma_px: float, rng: np.random.Generator
) -> tuple[Array, Array]:
    """Return the corners as they may be off: each by itself, and all of them outwards or inwards.

    Pixels count as millimetres at the hole, square on: a slant makes them a little larger.
    """
    mm_per_px = np.exp(holes.column(state, "ln_near") - holes.column(state, "ln_size"))[:, None]
    middle_x, middle_y = polygons.centroid(x, y)
    out_x, out_y = x - middle_x[:, None], y - middle_y[:, None]
    reach = np.hypot(out_x, out_y)
    bias = hypot(BIAS_PX, 0.5 * sigma_px) * rng.standard_normal((len(x), 1))
    shift = mm_per_px * bias / np.where(reach > 0, reach, 1.0)
    own = sigma_px * mm_per_px
    return (
        np.asarray(x + out_x * shift + own * rng.standard_normal(x.shape)),
        np.asarray(y + out_y * shift + own * rng.standard_normal(y.shape)),
    )


def _bowed(x: Array, y: Array, part: Array) -> tuple[Array, Array]:
    """Return outlines with a corner more on each side (K, 2 N), bowed out by ``part`` (K, 1).

    1 is a smooth curve: an arc that turns on a side by half of the turns at both its ends. The new
    corner stands out by 4/3 of the arc's rise, so that the area is the arc's.
    """
    step_x, step_y = np.roll(x, -1, axis=1) - x, np.roll(y, -1, axis=1) - y
    last_x, last_y = np.roll(step_x, 1, axis=1), np.roll(step_y, 1, axis=1)
    turn = np.arctan2(last_x * step_y - last_y * step_x, last_x * step_x + last_y * step_y)
    turn = np.where(np.abs(turn) < np.radians(_MEANT_DEG), turn, 0.0)
    rise = part * (turn + np.roll(turn, -1, axis=1)) / 2 / 8 * 4 / 3
    # Out is to the right of a side that is walked counterclockwise, where turns are positive.
    middle_x, middle_y = x + step_x / 2 + rise * step_y, y + step_y / 2 - rise * step_x
    bowed_x, bowed_y = (
        np.stack([corner, middle], axis=2).reshape(len(x), -1)
        for corner, middle in ((x, middle_x), (y, middle_y))
    )
    return bowed_x, bowed_y


def _as_round(state: Array, x: Array, y: Array, far: Array) -> Array:
    """Return the states with a round far hole of the outline's centre and area."""
    out = state.copy()
    out[:, INDEX["far_x"]], out[:, INDEX["far_y"]] = polygons.centroid(x, y)
    out[:, INDEX["ln_far"]] = np.log(np.sqrt(far / np.pi))
    return out
