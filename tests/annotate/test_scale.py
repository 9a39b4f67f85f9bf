from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec import structs
from numpy.testing import assert_allclose
from scipy.stats import binom

from annotate.errors import BadMark
from annotate.fit import FitFailed, Fitted, fit_ellipse, shape_matrix
from annotate.marks import Chessboard, KnownCircle, KnownDistance, Layer, Marker, Point
from annotate.optics.homography import mapped
from annotate.optics.lean import Lean
from annotate.optics.lens import BARREL_MEDIAN, BARREL_SIGMA
from annotate.optics.profile import LensProfile
from annotate.quantity import Quantity
from annotate.scale import HAND_SIGMA_PX, TARGET_SIGMA_PX, Scale, scale_from
from tests.annotate.camera import Camera, circle

SQUARE = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
FLAT_LENS = LensProfile(2000, 2000, 799.5, 599.5, 0, 0, 0, 0, 0, 1600, 1200, 0.1)
LAYER = Layer(1600, 1200, focal_35mm=2000 / 2000 * 43.26661530556787)
tilts = st.floats(0, 45)
spins = st.floats(0, 360)


def pairs(points: Any) -> tuple[tuple[float, float], ...]:
    return tuple((float(x), float(y)) for x, y in points)


def marker(camera: Camera, side: float = 20.0, at: tuple[float, float] = (-8.0, -12.0)) -> Marker:
    seen = camera.see(np.array(at) + side * SQUARE)
    return Marker(pairs(seen), Quantity(side, "mm", 0.02), 3)  # type: ignore[arg-type] # four pairs


def board(camera: Camera, noise: Any = 0.0) -> Chessboard:
    columns, rows = np.meshgrid(np.arange(7), np.arange(5))
    places = 5.0 * np.column_stack([columns.ravel(), rows.ravel()]) - [20, 4]
    return Chessboard(pairs(camera.see(places) + noise), 7, 5, Quantity(5.0, "mm", 0.003))


def scale(mark: Any, layer: Layer = LAYER, profile: LensProfile | None = FLAT_LENS) -> Scale:
    found = scale_from(mark, layer, profile)
    assert isinstance(found, Scale), found
    return found


@given(tilt=tilts, spin=spins)
def test_a_target_gives_true_lengths_anywhere_on_its_plane(tilt, spin) -> None:
    camera = Camera(tilt_deg=tilt, spin_deg=spin)
    places = np.array([[-30.0, 10.0], [25.0, -20.0], [3.0, 4.0]])
    true = np.linalg.norm(places[1:] - places[:-1], axis=1)
    for mark in (marker(camera), board(camera)):
        got = scale(mark).to_mm(camera.see(places))
        assert_allclose(np.linalg.norm(got[1:] - got[:-1], axis=1), true, rtol=1e-7)


@given(tilt=tilts, spin=spins)
def test_a_target_and_the_focal_length_give_the_tilt(tilt, spin) -> None:
    camera = Camera(tilt_deg=tilt, spin_deg=spin)
    for mark in (marker(camera), board(camera)):
        assert_allclose(scale(mark, profile=None).tilt_deg(), tilt, atol=1.0)
        exact = scale(mark)
        assert_allclose(exact.tilt_deg(), tilt, atol=2e-3)
        axes = exact.pose()
        assert axes is not None
        assert axes[2, 2] > 0
        assert_allclose(np.linalg.norm(axes[:, :2], axis=0), 1, atol=1e-6)


def test_without_a_focal_length_the_tilt_is_not_made_up() -> None:
    mark = marker(Camera(tilt_deg=30))
    assert scale(mark, Layer(1600, 1200), None).tilt_deg() is None
    assert scale(mark, Layer(1600, 1200), None).pose() is None


def test_the_local_scale_is_the_root_of_the_area() -> None:
    camera = Camera(tilt_deg=30)
    here = np.array([900.0, 500.0])
    a, b, c = camera.places(here + np.array([[0.0, 0.0], [0.01, 0.0], [0.0, 0.01]]))
    (ax, ay), (bx, by) = b - a, c - a
    root = 100 * np.sqrt(abs(ax * by - ay * bx))
    assert_allclose(scale(marker(camera)).mm_per_px(here), root, rtol=1e-4)


def test_a_known_distance_is_itself_and_square_on_elsewhere() -> None:
    mark = KnownDistance(Point(100, 100), Point(500, 400), Quantity(40.0, "mm"))
    flat = scale(mark)
    assert_allclose(flat.mm_per_px(np.array([900.0, 800.0])), 40 / 500)
    ends = flat.to_mm(np.array([[100.0, 100.0], [500.0, 400.0]]))
    assert_allclose(np.linalg.norm(ends[1] - ends[0]), 40)
    assert flat.tilt_deg() is None


def test_a_known_distance_doubts_other_directions_more_than_its_own() -> None:
    mark = KnownDistance(Point(400, 600), Point(1200, 600), Quantity(80.0, "mm"))
    draws = scale(mark).sample(np.random.default_rng(1), 4000)
    along = draws.to_mm(np.array([[400.0, 600.0], [1200.0, 600.0]]))
    across = draws.to_mm(np.array([[800.0, 200.0], [800.0, 1000.0]]))
    spread = [np.std(np.linalg.norm(p[:, 1] - p[:, 0], axis=1)) / 80 for p in (along, across)]
    # Two hand-set ends 800 px apart: 0.7 sqrt(2) / 800; the lean leaves the known ends alone.
    assert_allclose(spread[0], HAND_SIGMA_PX * np.sqrt(2) / 800, rtol=0.05)
    assert spread[1] > 5 * spread[0]


@pytest.mark.parametrize("tilt", [0, 12, 20])
def test_a_known_circle_straightens_its_plane(tilt) -> None:
    camera = Camera(tilt_deg=tilt, spin_deg=40, focal=6000, distance_mm=480)
    mark = KnownCircle(pairs(camera.see(circle(15, (0, 0), 40))), Quantity(30.0, "mm"))
    found = scale(mark, Layer(1600, 1200, focal_35mm=130))
    places = np.array([[-20.0, 0.0], [20.0, 0.0], [0.0, -20.0], [0.0, 20.0]])
    got = found.to_mm(camera.see(places))
    spans = np.linalg.norm(got[1::2] - got[::2], axis=1)
    assert_allclose(spans, 40, rtol=0.004)
    assert_allclose(found.tilt_deg() or 0, tilt, atol=0.7)


def test_a_known_circle_does_not_know_which_side_is_nearer() -> None:
    camera = Camera(tilt_deg=25)
    mark = KnownCircle(pairs(camera.see(circle(15, (0, 0), 60))), Quantity(30.0, "mm"))
    draws = scale(mark).sample(np.random.default_rng(1), 2000)
    # Plane turned about y: x holds the doubt. True extent from 20 to 35 mm out on one side.
    far = draws.to_mm(camera.see(np.array([[20.0, 0.0], [35.0, 0.0]])))
    spans = np.linalg.norm(far[:, 1] - far[:, 0], axis=1)
    low, high = np.quantile(spans, [0.25, 0.75])
    assert high - low > 1.5  # two heaps, one of them right
    assert min(abs(low - 15), abs(high - 15)) < 0.4


def test_draws_scatter_as_the_corners_do() -> None:
    camera, rng = Camera(tilt_deg=20), np.random.default_rng(3)
    for make in (lambda noise: _moved(marker(camera), noise[:4]), lambda n: board(camera, n[:35])):
        spots = camera.see(np.array([[-30.0, 10.0], [25.0, -20.0]]))
        told = scale(make(np.zeros((35, 2)))).sample(np.random.default_rng(1), 3000).to_mm(spots)
        told_u = np.std(np.linalg.norm(told[:, 1] - told[:, 0], axis=1))
        seen = []
        for _ in range(300):
            noisy = scale(make(rng.normal(0, TARGET_SIGMA_PX, (35, 2)))).to_mm(spots)
            seen.append(np.linalg.norm(noisy[1] - noisy[0]))
        side_u = 0.02 / 20 if isinstance(make(np.zeros((35, 2))), Marker) else 0.003 / 5
        length = float(np.mean(seen))
        assert_allclose(told_u, np.hypot(np.std(seen), side_u * length), rtol=0.15)


def _moved(mark: Marker, noise: Any) -> Marker:
    corners = pairs(np.array(mark.corners_px) + noise)
    return Marker(corners, mark.side, mark.identifier)  # type: ignore[arg-type] # four pairs


def test_the_typed_sides_uncertainty_goes_straight_into_every_length() -> None:
    mark = marker(Camera())
    loose = Marker(mark.corners_px, Quantity(20.0, "mm", 0.4), 3)
    draws = scale(loose).sample(np.random.default_rng(1), 4000)
    ends = draws.to_mm(np.array([[200.0, 300.0], [1300.0, 900.0]]))
    spans = np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1)
    assert_allclose(np.std(spans) / np.mean(spans), 0.02, rtol=0.1)


def test_an_inch_marker_is_the_same_scale() -> None:
    mark = marker(Camera(), 25.4)
    inch = Marker(mark.corners_px, Quantity(1.0, "in"), 3)
    spot = np.array([600.0, 500.0])
    assert_allclose(scale(mark).mm_per_px(spot), scale(inch).mm_per_px(spot))
    assert scale(inch).length.unit == "mm"


def test_ninety_five_in_a_hundred_intervals_hold_the_truth() -> None:
    rng = np.random.default_rng(17)
    held, trials = 0, 150
    for _ in range(trials):
        camera = Camera(
            tilt_deg=rng.uniform(0, 40),
            spin_deg=rng.uniform(0, 360),
            barrel=abs(rng.normal(0, BARREL_SIGMA)),
        )
        mark = _moved(marker(camera), rng.normal(0, TARGET_SIGMA_PX, (4, 2)))
        printed = Quantity(20.0 * (1 + 0.002 * rng.standard_normal()), "mm", 0.04)
        mark = Marker(mark.corners_px, printed, 3)
        places = rng.uniform([-40, -30], [40, 30], (2, 2))
        draws = scale(mark, profile=None).sample(rng, 600).to_mm(camera.see(places))
        spans = np.linalg.norm(draws[:, 1] - draws[:, 0], axis=1)
        low, high = np.quantile(spans, [0.025, 0.975])
        held += low <= np.linalg.norm(places[1] - places[0]) <= high
    assert binom.ppf(0.002, trials, 0.95) <= held


def test_the_expected_barrel_is_taken_out_of_the_value() -> None:
    camera = Camera(barrel=BARREL_MEDIAN)
    places = np.array([[-50.0, -30.0], [50.0, 40.0]])
    got = scale(marker(camera), profile=None).to_mm(camera.see(places))
    assert_allclose(
        np.linalg.norm(got[1] - got[0]), np.linalg.norm(places[1] - places[0]), rtol=2e-5
    )


def test_marks_that_carry_no_scale_are_refused_with_the_reason() -> None:
    mark = marker(Camera())
    a, b, c, d = mark.corners_px
    crossed = Marker((a, c, b, d), mark.side, 3)
    assert "square" in _reason(crossed)
    assert "more than nothing" in _reason(Marker(mark.corners_px, Quantity(0.0, "mm"), 3))
    few = KnownCircle(pairs(circle(50, (400, 400), 4)), Quantity(10.0, "mm"))
    assert "points are needed" in _reason(few)
    rng = np.random.default_rng(1)
    assert "flat grid" in _reason(board(Camera(), rng.normal(0, 12, (35, 2))))
    thin = Chessboard(pairs([(0, 0), (1, 0), (2, 0)]), 3, 1, Quantity(5.0, "mm"))
    assert "2 x 2" in _reason(thin)


def _reason(mark: Any) -> str:
    failed = scale_from(mark, LAYER)
    assert isinstance(failed, FitFailed)
    return failed.reason


def test_a_marker_seen_from_behind_is_still_a_square() -> None:
    mark = marker(Camera())
    mirrored = Marker(mark.corners_px[::-1], mark.side, 3)
    assert isinstance(scale_from(mirrored, LAYER), Scale)


def test_a_profile_of_another_size_is_refused() -> None:
    with pytest.raises(BadMark):
        scale_from(marker(Camera()), Layer(800, 600), FLAT_LENS)


def _circle_mark(camera: Camera, noise: Any = 0.0) -> KnownCircle:
    seen = camera.see(circle(15, (2, -3), 35)) + noise
    return KnownCircle(pairs(seen), Quantity(30.0, "mm"))


@pytest.mark.parametrize(
    "make",
    [
        marker,
        board,
        _circle_mark,
        lambda c: KnownDistance(
            *(Point(*p) for p in pairs(c.see(np.array([[-20.0, 3.0], [25.0, 9.0]])))),
            Quantity(45.4, "mm"),
        ),
    ],
)
def test_each_draw_straightens_the_mark_with_its_own_barrel(make) -> None:
    mark = make(Camera(tilt_deg=12, spin_deg=33, barrel=0.01))
    found = scale(mark, profile=None)
    sure = structs.replace(
        found, covariance=np.zeros((8, 8)), length=Quantity(30.0, "mm"), lean=Lean()
    )
    draws = sure.sample(np.random.default_rng(1), 40)
    assert np.ptp(draws.barrels) > 0.02
    for barrel, matrix in zip(draws.barrels, draws.matrices, strict=True):
        # What the mark itself would give with this barrel for certain.
        again = mapped(matrix, _straight_corners(mark, found, float(barrel)))
        spans = np.linalg.norm(again - np.roll(again, 1, axis=0), axis=1)
        true = np.linalg.norm(found.corners_mm - np.roll(found.corners_mm, 1, axis=0), axis=1)
        assert_allclose(spans, true, rtol=1e-3)  # a wrong barrel bends a board


def _straight_corners(mark: Any, found: Scale, barrel: float) -> Any:
    match mark:
        case Marker():
            return found.view.straight(np.array(mark.corners_px), barrel)
        case Chessboard():
            corners = np.array(mark.corners_px)[[0, 6, 34, 28]]
            return found.view.straight(corners, barrel)
        case KnownCircle():
            fitted = fit_ellipse(found.view.straight(np.array(mark.points_px), barrel))
            assert isinstance(fitted, Fitted)
            centre = np.array([fitted.shape.cx, fitted.shape.cy])
            return centre + (2 * SQUARE - 1) @ shape_matrix(fitted.shape)
        case _:
            ends = np.array([[mark.a.x_px, mark.a.y_px], [mark.b.x_px, mark.b.y_px]])
            a, b = found.view.straight(ends, barrel)
            side = np.array([a[1] - b[1], b[0] - a[0]])
            return np.array([a, b, b + side, a + side])


def test_a_known_circles_draws_scatter_as_its_points_do() -> None:
    camera, rng = Camera(tilt_deg=20, spin_deg=10), np.random.default_rng(9)
    spots = camera.see(np.array([[-14.0, 3.0], [14.0, -6.0], [-10.0, 12.0]]))

    def spans(places: Any) -> Any:
        return np.linalg.norm(places[..., 1:, :] - places[..., :1, :], axis=-1)

    told = structs.replace(scale(_circle_mark(camera)), lean=Lean())
    told_u = np.std(spans(told.sample(np.random.default_rng(1), 3000).to_mm(spots)), axis=0)
    noisy = [
        spans(scale(_circle_mark(camera, rng.normal(0, HAND_SIGMA_PX, (35, 2)))).to_mm(spots))
        for _ in range(150)
    ]
    assert_allclose(told_u, np.std(noisy, axis=0), rtol=0.25)
