"""What states of one photo amount to, in numbers and outlines, mostly without any sampling.

The states describe a drawn scene exactly, so what comes out must be its geometry: worked with
shapely, with the ray from the eye, and with OpenCV's projection.
"""

from dataclasses import replace

import numpy as np
import pytest
from msgspec import structs
from numpy.testing import assert_allclose
from shapely.geometry import Point as Spot

from annotate import coverage
from annotate.beside import Repeats
from annotate.coverage import covered_of, measure, outline, results, sampled, told
from annotate.errors import CannotMeasure
from annotate.estimates import unseen
from annotate.estimates.repeats import MARKING
from annotate.givens import Givens
from annotate.holes import INDEX
from annotate.marks import Ellipse, FarUnseen, Layer
from annotate.mathematics import infer
from annotate.optics.profile import LensProfile
from annotate.sight import leans
from annotate.sight.sighting import Sighting, prepare
from tests.annotate.drilled import Drilled
from tests.annotate.test_coverage import givens_of, layer_of, mm, number
from tests.annotate.test_holes import model_of

ONE = np.ones(1)
# Over the hole's x, looking at it in the middle of the picture: the face's x is right, y is up.
LEANING = Drilled(
    tilt_deg=14.0, tilt_towards_deg=0.0, offset=(1.5, -0.7), distance=70.0, aim_px=(0.0, 0.0)
)


def exact(
    scene: Drilled, givens: Givens | None = None, layer: Layer | None = None
) -> tuple[Sighting, np.ndarray]:
    """A sighting of a scene, and the one state (1, P) that describes it exactly."""
    state, camera = model_of(scene)
    found = layer_of(scene, sigma=0.05) if layer is None else layer
    ready = prepare(found, givens_of(scene) if givens is None else givens)
    return ready._replace(camera=camera), state


def having(state: np.ndarray, **values: float | list[float]) -> np.ndarray:
    """The state as often as there are values, with these in it."""
    count = max(len(np.atleast_1d(value)) for value in values.values())
    states = np.repeat(state, count, axis=0)
    for name, value in values.items():
        states[:, INDEX[name]] = value
    return states


def shared_mm2(one: float, other: float, apart: float) -> float:
    discs = Spot(0, 0).buffer(one, quad_segs=4096), Spot(apart, 0).buffer(other, quad_segs=4096)
    return float(discs[0].intersection(discs[1]).area)


def seen_through(scene: Drilled) -> np.ndarray:
    """Where the ray from the eye to the far centre meets the plane of the face."""
    turn, shift = scene._camera()
    eye = -turn.T @ shift
    centre = np.array([*scene.offset, -scene.wall])
    return np.asarray(eye + (centre - eye) * eye[2] / (eye[2] + scene.wall))[:2]


@pytest.mark.parametrize("r_far", [3.1, 4.0, 5.6])
def test_every_number_of_one_state_is_its_geometry(r_far: float) -> None:
    scene = replace(LEANING, r_far=r_far)
    ready, state = exact(scene, givens_of(scene, far=True))
    found = results(ready, state, ONE)
    area, apart = shared_mm2(4.0, r_far, scene.apart()), scene.apart()
    near, far = np.pi * 16.0, np.pi * r_far**2
    wanted = {
        "covered": (1 - area / min(near, far), "1"),
        "open": (area / min(near, far), "1"),
        "covered_of_near": (1 - area / near, "1"),
        "covered_of_far": (1 - area / far, "1"),
        "open_area": (area, "mm^2"),
        "equivalent_diameter": (2 * np.sqrt(area / np.pi), "mm"),
        "offset": (apart, "mm"),
        # Both walls of the waist, on the line of centres: worked by hand.
        "largest_pin": (min(4.0 + r_far - apart, 2 * min(4.0, r_far)), "mm"),
        "line_of_sight": (14.0, "deg"),
    }
    for name, (value, unit) in wanted.items():
        got = number(getattr(found, name))
        assert_allclose(got.value, value, rtol=2e-6, atol=2e-7, err_msg=name)
        assert got.unit == unit
    assert_allclose(covered_of(state), wanted["covered"][0], atol=2e-7)


def test_next_to_nothing_is_told_as_it_is() -> None:
    # A slit of 0.1 mm, and an offset of a tenth: no length is less for being small.
    ready, state = exact(LEANING)
    found = results(ready, having(state, far_x=7.9, far_y=0.0), ONE)
    area = 2 * (16 * np.arccos(7.9 / 8) - 7.9 / 4 * np.sqrt(64 - 7.9**2))
    assert_allclose(number(found.open_area).value, area, rtol=1e-9)
    assert_allclose(number(found.equivalent_diameter).value, 2 * np.sqrt(area / np.pi), rtol=1e-9)
    assert_allclose(number(found.largest_pin).value, 0.1, rtol=1e-9)
    slight = exact(replace(LEANING, offset=(0.08, 0.06), tilt_deg=0.3))
    assert_allclose(number(results(*slight, ONE).offset).value, 0.1, rtol=1e-9)
    assert_allclose(number(results(*slight, ONE).line_of_sight).value, 0.3, rtol=1e-6)
    # A state all but shut, beside one that is: the shares end at 0 and 1.
    shut = having(slight[1], far_x=[8.0, 9.0])
    gone = results(slight[0], shut, np.array([0.5, 0.5]))
    assert (number(gone.covered).value, number(gone.largest_pin).value) == (1.0, 0.0)


def test_parallax_and_the_uncorrected_share_follow_the_ray_from_the_eye() -> None:
    ready, state = exact(LEANING)
    found = results(ready, state, ONE)
    seen = seen_through(LEANING)
    right, up = seen - LEANING.offset
    assert_allclose(number(found.parallax.dx).value, right, atol=1e-9)
    assert_allclose(number(found.parallax.dy).value, -up, atol=1e-9)
    assert number(found.parallax.dx).unit == number(found.parallax.dy).unit == "mm"
    clock = np.degrees(np.arctan2(right, up)) % 360
    assert_allclose(number(found.parallax.angle).value, clock, atol=1e-7)
    shared = shared_mm2(4.0, LEANING.r_far, float(np.hypot(*seen)))
    assert_allclose(number(found.uncorrected).value, 1 - shared / (np.pi * 16), rtol=2e-6)
    smaller = replace(LEANING, r_far=2.5)
    found = results(*exact(smaller), ONE)
    shared = shared_mm2(4.0, 2.5, float(np.hypot(*seen_through(smaller))))
    assert_allclose(number(found.uncorrected).value, 1 - shared / (np.pi * 2.5**2), rtol=2e-6)


@pytest.mark.parametrize("k1", [0.0, -0.8])
@pytest.mark.parametrize("offset", [(1.5, -0.7), (-0.4, 2.0), (-1.1, -1.6)])
def test_the_clock_is_the_direction_at_the_near_centre_in_the_photo(
    offset: tuple[float, float], k1: float
) -> None:
    # Far out, steep and near: along all of the offset perspective turns the direction by degrees.
    scene = Drilled(
        tilt_deg=24.0, tilt_towards_deg=130.0, distance=50.0, aim_px=(450.0, -300.0), offset=offset
    )
    ready, state = exact(scene)
    if k1:
        lens = LensProfile(4000, 4000, 799.5, 599.5, k1, 0, 0, 0, 0, 1600, 1200, 0.1)
        ready = ready._replace(lens=lens)
    start, end = replace(scene, k1=k1).project(
        np.array([[0.0, 0.0, 0.0], [1e-4 * offset[0], 1e-4 * offset[1], 0.0]])
    )
    clock = np.degrees(np.arctan2(end[0] - start[0], start[1] - end[1])) % 360
    got = number(results(ready, state, ONE).offset_clock)
    assert abs((got.value - clock + 180) % 360 - 180) < 0.15
    assert got.unit == "deg"


def test_states_count_by_their_weight() -> None:
    ready, state = exact(LEANING)
    two, weight = having(state, far_x=[0.5, 3.0], tilt_x=[0.1, 0.3]), np.array([0.4, 0.6])
    each = [results(ready, two[i : i + 1], ONE) for i in (0, 1)]
    both = results(ready, two, weight)
    for name in (
        "covered", "open", "covered_of_near", "covered_of_far", "open_area", "offset",
        "equivalent_diameter", "largest_pin", "line_of_sight", "uncorrected",
    ):  # fmt: skip
        first, second = (number(getattr(one, name)).value for one in each)
        # Of the middle half three tenths are the first.
        assert_allclose(number(getattr(both, name)).value, 0.3 * first + 0.7 * second)
        # Two values, with the odds of a coin that falls one way three times in five.
        spread = np.sqrt(0.4 * 0.6) * abs(first - second)
        assert_allclose(number(getattr(both, name)).u, spread, rtol=1e-6)
    assert_allclose(covered_of(two), [number(one.covered).value for one in each])


def modes_of(ready: Sighting, state: np.ndarray) -> infer.Modes:
    q = (state - ready.mean) / ready.deviation
    return infer.Modes(q, np.eye(q.shape[1])[None].repeat(len(q), axis=0), np.zeros(len(q)))


def off_outline(found: Ellipse, scene: Drilled, which: str) -> np.ndarray:
    """How far outside an outline OpenCV puts points of a rim, as a part of the way out."""
    seen = scene.rim(which, np.linspace(0, 2 * np.pi, 40)) - [found.cx, found.cy]
    turn = np.radians(found.angle_deg)
    along, across = seen @ [np.cos(turn), np.sin(turn)], seen @ [-np.sin(turn), np.cos(turn)]
    return np.asarray(np.hypot(along / found.semi_major, across / found.semi_minor) - 1)


@pytest.mark.parametrize("which", ["near", "far"])
def test_an_outline_is_the_rim_of_the_best_fit_in_the_photo(which: str) -> None:
    # A flat face: each rim is an ellipse exactly, and OpenCV projects points of it.
    scene = replace(LEANING, bore_radius=None, aim_px=(200.0, 100.0), r_far=3.3)
    ready, state = exact(scene)
    worse = having(state, ln_near=0.3, ln_far=0.1)
    found = outline(ready, modes_of(ready, np.concatenate([state, worse])), which)
    assert isinstance(found, Ellipse)
    assert_allclose(off_outline(found, scene, which), 0, atol=1e-6)


def test_a_hole_with_no_size_to_see_has_no_outline() -> None:
    ready, state = exact(LEANING)
    speck = modes_of(ready, having(state, ln_far=-60.0))
    assert outline(ready, speck, "far") is None
    assert outline(ready, speck, "near") is not None


def test_an_unseen_far_rim_counts_only_where_none_is_marked() -> None:
    full = layer_of(LEANING, back=24)
    givens = Givens(near_diameter=mm(8.0), wall=mm(2.0))
    said = structs.replace(full, marks=(*full.marks, FarUnseen("shut")))
    both = sampled(said, givens, trials=600)
    assert told(both) == told(sampled(full, givens, trials=600))
    nothing = tuple(m for m in said.marks if getattr(m, "which", "") != "far")
    found = told(sampled(structs.replace(full, marks=nothing), givens, trials=600))
    assert found.warnings[0] == unseen.CAVEAT
    assert [w.split(":")[0] for w in found.warnings[1:]] == ["bore not given"]
    # In a bore a rim is no ellipse by a little.
    assert isinstance(found.near, Ellipse)
    assert_allclose(off_outline(found.near, LEANING, "near"), 0, atol=0.01)
    assert found.far is None


def test_too_few_effective_samples_are_no_number(monkeypatch: pytest.MonkeyPatch) -> None:
    layer, givens = layer_of(LEANING, back=24), givens_of(LEANING, far=True)
    honest = leans.drawn

    def worth(effective: float) -> None:
        monkeypatch.setattr(
            leans, "drawn", lambda *args: honest(*args)._replace(effective=effective)
        )

    worth(60.0)
    assert sampled(layer, givens, trials=300).samples.effective == 60.0
    worth(59.9)
    with pytest.raises(CannotMeasure, match="contradict each other") as refused:
        sampled(layer, givens, trials=300)
    assert "squarer photo" in refused.value.advice


def test_trials_and_seed_are_those_of_the_samples() -> None:
    layer, givens = layer_of(LEANING, back=24), givens_of(LEANING, far=True)
    few, many, other = (
        sampled(layer, givens, trials=400),
        sampled(layer, givens, trials=1600),
        sampled(layer, givens, trials=400, seed=3),
    )
    # Rounds of a quarter of the trials each; one step of the random numbers tells seeds apart.
    assert len(few.samples.q) % 100 == 0 == len(many.samples.q) % 400
    assert len(many.samples.q) > len(few.samples.q)
    assert not np.array_equal(few.samples.q, other.samples.q)
    assert coverage.measure(layer, givens, trials=400, seed=3) == told(other)
    assert coverage.measure(layer, givens, trials=400) == told(few)


def test_a_result_says_that_it_is_hardly_settled_and_one_of_several_photos_does_not() -> None:
    drawn = sampled(layer_of(LEANING, sigma=1.0, far=8), givens_of(LEANING), trials=600)
    # Twenty of the samples weigh nearly all: others would have told something else.
    weight = np.full(len(drawn.samples.q), 1e-6)
    weight[np.random.default_rng(0).choice(len(weight), 20, replace=False)] = 1.0
    few = drawn._replace(samples=drawn.samples._replace(weight=weight / weight.sum()))
    said = told(few).warnings
    assert sum("hardly settled" in each for each in said) == 1
    alone = told(few, is_result=False).warnings
    assert alone == tuple(each for each in said if "hardly settled" not in each)
    assert told(drawn).warnings == told(drawn, is_result=False).warnings


def test_both_rims_are_drawn_where_they_are_seen() -> None:
    layer = layer_of(LEANING, back=24)
    found = told(sampled(layer, givens_of(LEANING, far=True), trials=400))
    for which, shape in (("near", found.near), ("far", found.far)):
        assert isinstance(shape, Ellipse)
        assert_allclose(off_outline(shape, LEANING, which), 0, atol=0.015)


def test_repeated_marking_spreads_the_answer_by_as_much_as_its_line_says() -> None:
    layer, givens = layer_of(LEANING, sigma=0.5, back=24), givens_of(LEANING, far=True)
    repeats = Repeats(4.0, 30.0)
    plain = measure(layer, givens, trials=3000)
    wide = measure(layer, givens, trials=3000, repeats=repeats)
    (own,) = (each for each in wide.budget if each.source == MARKING)
    added = number(wide.covered).u ** 2 - number(plain.covered).u ** 2
    # JCGM 100:2008, 5.1.2: variances of what is independent add up; a line is the linear part.
    assert_allclose(np.sqrt(added), own.points / 100, rtol=0.35)
    assert_allclose(number(wide.covered).value, number(plain.covered).value, atol=own.points / 500)
