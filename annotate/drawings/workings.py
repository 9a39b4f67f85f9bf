"""How a coverage came about, as a drawing: rims, points, what is left over, both ways to lean.

Near rim solid white, far rim blue (dashed where it is hidden), the near hole's own far edge thin
white and dashed. Every point that was used is a small cross, one that lies off more than the rest
and so counts less has a ring. From each point a whisker shows its distance from the model's rim,
many times enlarged: the factor is written beside. A second way to lean that the picture allows is
drawn dotted, with its share of the odds. Draws what ``coverage.sampled`` found, measures nothing.
"""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from annotate import coverage, holes
from annotate.drawings.overlay import crop_box, rim_lines
from annotate.drawings.pen import FAR, NEAR, THIN, Box, Pen
from annotate.fit import outline_points
from annotate.marks import Ellipse, FarOutline, Points
from annotate.sight.ways import ways

Array = npt.NDArray[np.float64]
_KINDS = ("near", "far", "back")
_COLOUR = {"near": NEAR, "far": FAR, "back": NEAR}
_WHISKER = 0.10  # of the near rim's size: how long the longest ordinary whisker gets
_ENLARGED = (2, 5, 10, 20, 50, 100, 200)
_STRAY = 2.5  # from here on a point counts less (Huber's limit, as in ``sighting``)
_MARGIN = 0.5
_ONE_SIDED, _PLAIN_PX = 0.9, 0.75  # of a rim's points: from here on a picture's reader sees it
_NAMES = {"near": "near rim's", "far": "far rim's", "back": "back edge's"}


class Misfit(NamedTuple):
    """Where a rim's points lie (N, 2), which way is out (N, 2), how far out they are (N,), px."""

    which: str
    points: Points
    out: Points
    off_px: Array

    @property
    def strays(self) -> npt.NDArray[np.bool_]:
        """Return which points lie off so far that they counted less."""
        away = np.abs(self.off_px - np.median(self.off_px))
        scale = 1.4826 * float(np.median(away))
        return np.asarray(away > _STRAY * max(scale, 0.3))

    @property
    def shift_px(self) -> float:
        """Return how far outside the rim all points lie together; 0 where they lie about it."""
        middle = float(np.median(self.off_px))
        one_sided = np.mean(np.sign(self.off_px) == np.sign(middle)) >= _ONE_SIDED
        return middle if one_sided and abs(middle) >= _PLAIN_PX else 0.0


class Branch(NamedTuple):
    """A way to lean that the picture allows: its best fit, and its share of the odds."""

    q: Array
    share: float


def misfits(drawn: coverage.Sampled) -> tuple[Misfit, ...]:
    """Return how far each rim's points lie off the best fit, in pixels of the photo."""
    ready = drawn.ready
    state = ready.state(drawn.modes.q[:1])
    where = holes.pose(state, ready.camera)
    measures = (holes.near_misfit_mm, holes.far_misfit_mm, holes.back_misfit_mm)
    found = []
    for which, points, misfit in zip(_KINDS, ready.points, measures, strict=True):
        if not len(points):
            continue
        here, right, down = (
            misfit(state, where, ready.camera, points + np.array(step))[0]
            for step in ((0.0, 0.0), (1.0, 0.0), (0.0, 1.0))
        )
        slope = np.stack([right - here, down - here], axis=1)
        steep = np.linalg.norm(slope, axis=1)
        off = here / steep
        found.append(Misfit(which, ready.picture_px(points), slope / steep[:, None], off))
    return tuple(found)


def branches(drawn: coverage.Sampled) -> tuple[Branch, ...]:
    """Return the ways to lean that count, the best fit's first: the rule is ``sight.ways``'s."""
    ready, modes = drawn.ready, drawn.modes
    leans = ways(drawn.state, drawn.samples.weight)
    if not leans.both:
        return (Branch(modes.q[0], 1.0),)
    likelier = leans.is_likelier(ready.state(modes.q))
    found = [Branch(modes.q[0], leans.odds if likelier[0] else 1 - leans.odds)]
    other = modes.q[likelier != likelier[0]]
    if len(other):
        return (*found, Branch(other[0], 1 - found[0].share))
    # No best fit of its own, but samples: the middle of them.
    there = leans.likelier != likelier[0]
    weight = drawn.samples.weight[there]
    middle = weight @ drawn.samples.q[there] / weight.sum()
    return (*found, Branch(np.asarray(middle), 1 - found[0].share))


def to_svg(
    drawn: coverage.Sampled,
    found: coverage.Coverage,
    *,
    picture: str = "",
    width: float = 900.0,
    outline: FarOutline | None = None,
    beside: Sequence[str] = (),
) -> tuple[str, Box]:
    """Return the drawing of one photo's workings, and the box of the photo it lies over.

    ``picture`` is what stands behind it, as the address of an image of that box ("data:..."),
    ``width`` how wide it is shown, ``outline`` a far opening that was drawn, ``beside`` further
    rows of words.
    """
    rims = [rim for rim in (found.near, found.far) if rim is not None]
    box = crop_box(drawn.ready.layer, rims[:1], margin=_MARGIN)
    pen = Pen(box, box.width / width)
    rows = [*_legend(drawn, found), *beside]
    parts = [*_lines(drawn, found, pen)]
    if outline is not None:
        parts.append(pen.line(np.asarray(outline.corners_px), FAR, closed=True))
    return pen.page(parts, rows, picture), box


def enlarged(drawn: coverage.Sampled) -> int:
    """Return how many times what is left over is drawn enlarged: a round number that fits."""
    ordinary = [float(np.median(np.abs(m.off_px))) for m in misfits(drawn) if len(m.off_px)]
    room = _WHISKER * drawn.ready.near_ellipse.semi_major / 3
    wanted = room / max(*ordinary, 0.05, 0.05)
    return max((each for each in _ENLARGED if each <= wanted), default=_ENLARGED[0])


def _lines(drawn: coverage.Sampled, found: coverage.Coverage, pen: Pen) -> Iterator[str]:
    seen = ("far", "back") if found.far is not None else ("back",)
    for branch in branches(drawn)[1:]:
        for which in seen:
            yield pen.line(_closed(_rim(drawn, branch.q, which)), _COLOUR[which], width=THIN,
                           dotted=True)  # fmt: skip
    back = _rim(drawn, drawn.modes.q[0], "back")
    yield pen.line(_closed(back), NEAR, width=THIN, dashed=True)
    yield from rim_lines(found.near, found.far, pen)
    factor = enlarged(drawn)
    for misfit in misfits(drawn):
        colour = _COLOUR[misfit.which]
        ends = misfit.points + factor * misfit.off_px[:, None] * misfit.out
        for point, end, stray in zip(misfit.points, ends, misfit.strays, strict=True):
            yield pen.line(np.stack([point, end]), colour, width=THIN)
            yield pen.cross(point, colour)
            if stray:
                reach = 8 * pen.px
                yield pen.line(
                    outline_points(Ellipse(point[0], point[1], reach, reach, 0.0), 24),
                    colour, width=THIN, closed=True,
                )  # fmt: skip


def _rim(drawn: coverage.Sampled, q: Array, which: str) -> Points:
    rim = holes.rim_px(drawn.ready.state(q[None]), drawn.ready.camera, which)[0]
    return np.asarray(drawn.ready.picture_px(rim))


def _closed(points: Points) -> Points:
    return np.vstack([points, points[:1]])


def _legend(drawn: coverage.Sampled, found: coverage.Coverage) -> list[str]:
    covered = found.covered
    lines = ["near rim white, far rim blue (dashed: hidden), near hole's back edge thin and dashed"]
    strays = sum(int(misfit.strays.sum()) for misfit in misfits(drawn))
    counted = f"; {strays} with a ring lie off and count less" if strays else ""
    lines.append(f"how far each point lies off its rim, {enlarged(drawn)} times enlarged{counted}")
    lines += _shifted(misfits(drawn))
    lines.append(_leaning(drawn))
    if isinstance(covered, coverage.Known):
        low, high = covered.quantity.interval()
        lines.append(
            f"covered {100 * covered.quantity.value:.1f} % (95 %: {100 * low:.1f} to "
            f"{100 * high:.1f} %)"
        )
    return lines


def _shifted(found: Sequence[Misfit]) -> Iterator[str]:
    """Yield what is said of a rim that is drawn beside its points, not through them."""
    for each in found:
        if shift := each.shift_px:
            where = "outside" if shift > 0 else "inside"
            yield (
                f"the {_NAMES[each.which]} points lie {abs(shift):.1f} px {where} it together: the "
                "other rims and lengths place it so; what blur or a broken edge shifts all of it "
                "by is in the interval"
            )


def _leaning(drawn: coverage.Sampled) -> str:
    found = branches(drawn)
    if len(found) > 1:
        said = "; ".join(
            f"{100 * coverage.covered_of(drawn.ready.state(way.q[None]))[0]:.1f} % covered, odds "
            f"{100 * way.share:.0f} %"
            for way in found
        )
        return f"the camera may lean both ways (best fit drawn, other dotted): {said}"
    if ways(drawn.state, drawn.samples.weight).square:
        return "seen so squarely that it hardly matters which way the camera leans"
    return "only one way to lean fits"
