from itertools import combinations

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.stats import binom

from annotate.errors import CannotMeasure
from annotate.flat_face.face import EDGE_DEPTH_MM, PAPER_MM, measure_holes
from annotate.marks import KnownDistance, Layer, Point, Rim
from annotate.optics.lens import BARREL_SIGMA
from annotate.quantity import Quantity
from annotate.scale import TARGET_SIGMA_PX, Scale, scale_from
from tests.annotate.camera import Camera, circle
from tests.annotate.test_scale import FLAT_LENS, LAYER, _moved, marker, pairs, scale

HOLES = [(9.0, (-40.0, 12.0)), (12.5, (-22.0, -24.0)), (7.2, (30.0, 22.0)), (16.0, (34.0, -18.0))]
EXPECTED_DEPTH = PAPER_MM + EDGE_DEPTH_MM * np.log(2)


def rims(camera: Camera, depth: float, noise: float = 0.0, seed: int = 0) -> list[Rim]:
    rng = np.random.default_rng(seed)
    found = []
    for diameter, at in HOLES:
        edge = camera.see(circle(diameter / 2, at), depth)
        # Errors along a rim go together: the same for ten neighbours.
        scatter = np.repeat(rng.normal(0, noise, (9, 2)), 10, axis=0)
        found.append(Rim("near", pairs(edge + scatter), max(noise, 0.2)))
    return found


@pytest.mark.parametrize("tilt", [0, 20, 38])
def test_diameters_and_distances_come_out_on_the_edges_plane(tilt) -> None:
    camera = Camera(tilt_deg=tilt, spin_deg=70)
    survey = measure_holes(scale(marker(camera)), rims(camera, EXPECTED_DEPTH))
    for (diameter, _), found in zip(HOLES, survey.diameters, strict=True):
        assert found.unit == "mm"
        assert_allclose(found.value, diameter, rtol=0.003)
        assert found.interval()[0] < diameter < found.interval()[1]
    assert [(p.start, p.end) for p in survey.pairs] == list(combinations(range(4), 2))
    for pair in survey.pairs:
        true = np.hypot(*np.subtract(HOLES[pair.end][1], HOLES[pair.start][1]))
        assert_allclose(pair.distance.value, true, rtol=0.001)


def test_round_rims_tell_the_lens_that_a_small_target_cannot() -> None:
    camera = Camera(barrel=0.025)
    alone = scale(marker(camera), profile=None)
    survey = measure_holes(alone, rims(camera, EXPECTED_DEPTH))
    assert_allclose(survey.barrel.value, 0.025, atol=0.006)
    assert survey.barrel.u < BARREL_SIGMA / 2
    first = np.array([c for _, c in HOLES])
    seen = alone.to_mm(camera.see(first))
    naive = np.linalg.norm(seen[2] - seen[0]) / np.hypot(70, 10) - 1
    adjusted = survey.pairs[1].distance.value / np.hypot(70, 10) - 1
    assert abs(adjusted) < 0.003 < abs(naive)


def test_intervals_hold_the_truth_over_many_cameras() -> None:
    rng = np.random.default_rng(31)
    held = {"diameter": 0, "distance": 0}
    trials = 40
    for k in range(trials):
        camera = Camera(
            tilt_deg=rng.uniform(0, 40), spin_deg=rng.uniform(0, 360),
            barrel=abs(rng.normal(0, BARREL_SIGMA)), distance_mm=rng.uniform(150, 220),
        )  # fmt: skip
        mark = _moved(marker(camera), rng.normal(0, TARGET_SIGMA_PX, (4, 2)))
        edges = rims(camera, PAPER_MM + rng.exponential(EDGE_DEPTH_MM), 0.3, seed=k)
        survey = measure_holes(scale(mark, profile=None), edges, trials=500)
        low, high = survey.diameters[k % 4].interval()
        held["diameter"] += low <= HOLES[k % 4][0] <= high
        pair = survey.pairs[k % 6]
        true = np.hypot(*np.subtract(HOLES[pair.end][1], HOLES[pair.start][1]))
        low, high = pair.distance.interval()
        held["distance"] += low <= true <= high
    assert min(held.values()) >= binom.ppf(0.002, trials, 0.95)


def test_the_same_marks_give_the_same_numbers() -> None:
    camera = Camera(tilt_deg=15)
    found = [measure_holes(scale(marker(camera)), rims(camera, 0.1), trials=300) for _ in (0, 1)]
    assert found[0] == found[1]


def test_outlines_are_the_rims_as_seen() -> None:
    camera = Camera(tilt_deg=30)
    survey = measure_holes(scale(marker(camera)), rims(camera, 0.1), trials=200)
    for (_, at), outline in zip(HOLES, survey.outlines, strict=True):
        seen = camera.see(np.array([at], dtype=float), 0.1)[0]
        # An ellipse's centre is not its circle's: up to 3 px here.
        assert_allclose([outline.cx, outline.cy], seen, atol=4)
        assert 0.75 < outline.semi_minor / outline.semi_major < 0.95


def test_points_off_a_rim_are_left_out() -> None:
    camera = Camera()
    edges = rims(camera, EXPECTED_DEPTH, 0.2)
    points = np.array(edges[0].points_px)
    points[:12] += 15
    spoilt = Rim("near", pairs(points), 0.2)
    survey = measure_holes(scale(marker(camera)), [spoilt, *edges[1:]], trials=300)
    assert_allclose(survey.diameters[0].value, 9.0, rtol=0.006)


def test_what_cannot_be_measured_says_why_and_what_to_do() -> None:
    camera = Camera()
    flat = scale(marker(camera))
    with pytest.raises(CannotMeasure, match="click inside each hole"):
        measure_holes(flat, [])
    line = Rim("near", tuple((float(k), 2.0 * k) for k in range(20)), 0.3)
    with pytest.raises(CannotMeasure, match="no ellipse can be told from the hole's rim"):
        measure_holes(flat, [rims(camera, 0.1)[0], line])
    known = KnownDistance(Point(1, 1), Point(900, 1), Quantity(40.0, "mm"))
    leaning = scale_from(known, LAYER, FLAT_LENS)
    assert isinstance(leaning, Scale)
    with pytest.raises(CannotMeasure, match="lay a target on it"):
        measure_holes(leaning, rims(camera, 0.1))


def test_one_hole_and_no_focal_length_are_enough() -> None:
    camera = Camera(tilt_deg=10)
    found = scale_from(marker(camera), Layer(1600, 1200))
    assert isinstance(found, Scale)
    survey = measure_holes(found, rims(camera, EXPECTED_DEPTH)[:1], trials=500)
    assert survey.pairs == ()
    assert_allclose(survey.diameters[0].value, 9.0, rtol=0.006)
