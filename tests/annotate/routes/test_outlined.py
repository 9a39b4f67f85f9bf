"""A far opening that was drawn: truth from shapely, pictures from an independent projection."""

from math import hypot

import numpy as np
import pytest
from msgspec.structs import replace
from scipy import stats
from shapely import affinity
from shapely.geometry import LineString, Point, Polygon

from annotate.beside import Beside, Sight
from annotate.errors import BadMark, CannotMeasure
from annotate.marks import FarOutline, Layer
from annotate.quantity import Quantity
from annotate.result import Unknown
from annotate.routes.accepted import accept, measure
from annotate.routes.outlined import OUTLINE
from tests.annotate.drilled import Drilled
from tests.annotate.test_coverage import givens_of, layer_of, number

HOLE = Drilled(r_near=4.0, tilt_deg=15.0, tilt_towards_deg=70.0, wall=2.4)
SLOT = affinity.rotate(LineString([(-3, 0), (3, 0)]).buffer(2.5), 30)
SLOT = affinity.translate(SLOT, 3.0, 1.0)


def drawn(
    scene: Drilled, opening: Polygon, *, sigma: float = 0.3, seed: int = 0, corners: int = 32
) -> Layer:
    """Return the near rim and back edge of a scene with an opening drawn on its far surface."""
    border = opening.exterior
    steps = np.linspace(0, border.length, corners, endpoint=False)
    x, y = np.array([border.interpolate(step).coords[0] for step in steps]).T
    z = scene._height(y, scene.wall)
    seen = scene.project(np.stack([x, y, z], axis=1))
    seen += np.random.default_rng(seed).normal(0, sigma, seen.shape)
    layer = layer_of(scene, sigma=sigma, seed=seed, near=24, back=16)
    kept = tuple(mark for mark in layer.marks if getattr(mark, "which", "") != "far")
    outline = FarOutline(tuple(map(tuple, seen.tolist())), max(sigma, 0.3))
    return replace(layer, marks=(*kept, outline))


def truth(opening: Polygon, radius: float) -> tuple[float, float, float]:
    """Return covered of the smaller, of the near and of the far opening."""
    near = Point(0, 0).buffer(radius, quad_segs=512)
    shared = near.intersection(opening).area
    return tuple(1 - shared / of for of in (min(near.area, opening.area), near.area, opening.area))


def test_a_slot_is_measured_with_the_slant_taken_out() -> None:
    found = measure(drawn(HOLE, SLOT), givens_of(HOLE), seed=0, trials=4000)
    for result, expected in zip(
        (found.covered, found.covered_of_near, found.covered_of_far), truth(SLOT, 4.0), strict=True
    ):
        low, high = number(result).interval()
        assert low <= expected <= high
        assert high - low < 0.08
    # 2.4 mm of wall at 15 degrees: 0.64 mm, left in the uncorrected number.
    assert abs(number(found.uncorrected).value - truth(SLOT, 4.0)[0]) > 0.03
    assert number(found.equivalent_diameter).value == pytest.approx(
        (4 * number(found.open_area).value / np.pi) ** 0.5, rel=1e-2
    )
    shift = hypot(number(found.parallax.dx).value, number(found.parallax.dy).value)
    assert shift == pytest.approx(2.4 * np.tan(np.radians(15)), rel=0.15)
    assert isinstance(found.largest_pin, Unknown)
    assert "as it was drawn" in found.warnings[0]
    assert found.far is None
    total = hypot(*(line.points for line in found.budget))
    assert total == pytest.approx(100 * number(found.covered).u, rel=0.2)
    assert any(line.source == OUTLINE for line in found.budget)


def test_a_round_opening_drawn_is_the_round_one() -> None:
    circle = affinity.translate(Point(0, 0).buffer(4.4, quad_segs=32), 1.5, 1.0)
    scene = Drilled(r_near=4.0, r_far=4.4, offset=(1.5, 1.0), tilt_deg=8.0)
    found = measure(drawn(scene, circle, corners=64), givens_of(scene), seed=1, trials=4000)
    assert number(found.covered).value == pytest.approx(scene.covered(), abs=0.012)
    assert number(found.offset).value == pytest.approx(scene.apart(), abs=0.1)


def test_the_interval_holds_the_truth_for_many_drawings() -> None:
    rng = np.random.default_rng(12)
    hits, runs = 0, 24
    for run in range(runs):
        slot = affinity.rotate(LineString([(-2.5, 0), (2.5, 0)]).buffer(2.2), rng.uniform(0, 180))
        slot = affinity.translate(slot, *rng.uniform(-3, 3, 2))
        scene = Drilled(
            tilt_deg=rng.uniform(0, 20), tilt_towards_deg=rng.uniform(0, 360),
            wall=rng.uniform(1.5, 2.6), spin_deg=rng.uniform(0, 360),
        )  # fmt: skip
        layer = drawn(scene, slot, sigma=1.0, seed=run, corners=16)
        found = measure(layer, givens_of(scene), seed=0, trials=2000)
        low, high = number(found.covered).interval()
        hits += low <= truth(slot, 4.0)[0] <= high
    # Exact binomial test against 95 %: fails for 19 or fewer of 24.
    assert stats.binomtest(hits, runs, 0.95).pvalue > 0.01, hits


def test_what_cant_be_drawn_is_refused() -> None:
    good = drawn(HOLE, SLOT)
    crossed = replace(good, marks=(*good.marks, FarOutline(((0, 0), (9, 9), (9, 0), (0, 9)))))
    with pytest.raises(CannotMeasure, match="crosses itself"):
        measure(crossed, givens_of(HOLE), seed=0, trials=2000)
    with pytest.raises(CannotMeasure, match="put together with other photos"):
        measure(good, givens_of(HOLE), seed=0, trials=2000, beside=Beside((Sight(good),)))
    for wrong in (((0.0, 0.0), (1.0, 1.0)), ((0.0, 0.0), (1.0, 1.0), (float("nan"), 2.0))):
        with pytest.raises(BadMark):
            FarOutline(wrong)
    with pytest.raises(BadMark):
        FarOutline(((0.0, 0.0), (1.0, 1.0), (2.0, 0.0)), 0.0)


def test_an_outline_beside_the_hole_or_without_an_inside_is_told() -> None:
    beside = accept(drawn(HOLE, affinity.translate(SLOT, 9.0, 0.0)), givens_of(HOLE)).coverage
    assert number(beside.covered).value == pytest.approx(1.0)
    assert any("lies wholly beside the near hole" in told for told in beside.warnings)
    on_it = accept(drawn(HOLE, SLOT), givens_of(HOLE)).coverage
    assert not any("beside the near hole" in told for told in on_it.warnings)
    layer = drawn(HOLE, SLOT)
    for corners in (((9.0, 9.0), (50.0, 50.0), (90.0, 90.0)),
                    ((9.0, 9.0), (50.0, 50.4), (90.0, 90.0), (50.0, 49.8))):  # fmt: skip
        flat = replace(layer, marks=(*layer.marks, FarOutline(corners)))
        with pytest.raises(CannotMeasure, match="the outline has no inside"):
            accept(flat, givens_of(HOLE))


def test_without_a_length_fractions_are_given_and_millimetres_are_not() -> None:
    givens = replace(givens_of(HOLE), near_diameter=None)
    found = measure(drawn(HOLE, SLOT), givens, seed=0, trials=3000)
    assert isinstance(found.open_area, Unknown)
    assert isinstance(found.equivalent_diameter, Unknown)
    low, high = number(found.covered).interval()
    assert low <= truth(SLOT, 4.0)[0] <= high


def test_accepting_settles_and_measuring_again_gives_the_same() -> None:
    layer = drawn(HOLE, SLOT)
    done = accept(layer, givens_of(HOLE))
    assert measure(layer, givens_of(HOLE), seed=0, trials=done.trials) == done.coverage
    assert done.reached <= done.tolerance


def test_a_wider_pencil_gives_a_wider_answer() -> None:
    layer, givens = drawn(HOLE, SLOT), givens_of(HOLE)
    outline = layer.marks[-1]
    assert isinstance(outline, FarOutline)
    vague = replace(layer, marks=(*layer.marks[:-1], replace(outline, sigma_px=6.0)))
    points = [
        next(line.points for line in found.budget if line.source == OUTLINE)
        for found in (measure(each, givens, seed=0, trials=3000) for each in (layer, vague))
    ]
    assert points[1] > 5 * points[0]
    assert isinstance(measure(vague, givens, seed=0, trials=3000).offset.quantity, Quantity)
