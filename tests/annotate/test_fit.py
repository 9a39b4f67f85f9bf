from math import cos, isclose, pi, radians, sin, sqrt
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy.optimize import least_squares

from annotate.errors import BadMark
from annotate.fit import (
    Circle,
    FitFailed,
    Fitted,
    arc_degrees,
    ellipse_of,
    fit_circle,
    fit_circle_like,
    fit_ellipse,
    fit_line,
    outline_points,
    shape_matrix,
)
from annotate.marks import Ellipse, Points
from annotate.mathematics.orthogonal import (
    ELLIPTIC,
    Outline,
    best,
    circle_start,
    distances,
    ellipse_start,
)
from tests.truth import geometry

centres = st.floats(-1e4, 1e4)
angles = st.floats(0, 179.9)
sizes = st.floats(1.0, 1e3)
ratios = st.floats(0.15, 0.98)


def arc(
    radius: float, start: float, span: float, count: int, at: tuple[float, float] = (0.0, 0.0)
) -> Points:
    turn = np.radians(np.linspace(start, start + span, count))
    return np.column_stack([at[0] + radius * np.cos(turn), at[1] + radius * np.sin(turn)])


def correlation(covariance: Points) -> Points:
    spread = np.sqrt(np.diag(covariance))
    return covariance / np.outer(spread, spread)


def shape_of(fitted: Any) -> Any:
    assert not isinstance(fitted, FitFailed), fitted
    return fitted.shape


def test_the_published_geometric_circle_comes_out() -> None:
    fitted = fit_circle(geometry.GGS_CIRCLE_POINTS)
    circle, truth = shape_of(fitted), geometry.GGS_CIRCLE
    assert_allclose([circle.cx, circle.cy], [truth["cx"], truth["cy"]], atol=5e-5)
    assert_allclose(circle.radius, truth["radius"], atol=5e-5)
    assert_allclose(np.sum(fitted.residuals**2), truth["squares"], atol=5e-5)
    assert_allclose(fitted.rms, sqrt(truth["squares"] / 6), atol=1e-4)


@pytest.mark.parametrize(
    ("points", "truth", "tolerance"),
    [
        (geometry.GGS_ELLIPSE_POINTS, geometry.GGS_ELLIPSE, 5.1e-5),
        (geometry.MISPRINTED_POINTS, geometry.MISPRINTED_ELLIPSE, 6e-6),
    ],
)
def test_the_published_geometric_ellipses_come_out(points, truth, tolerance) -> None:
    fitted = fit_ellipse(points)
    shape = shape_of(fitted)
    got = [shape.cx, shape.cy, shape.semi_major, shape.semi_minor, radians(shape.angle_deg)]
    wanted = [truth[key] for key in ("cx", "cy", "semi_major", "semi_minor", "angle")]
    assert_allclose(got, wanted, atol=tolerance)
    assert_allclose(np.sum(fitted.residuals**2), truth["squares"], atol=tolerance)


def test_starts_are_the_published_linear_fits_and_not_the_answer() -> None:
    kasa = circle_start(geometry.GGS_CIRCLE_POINTS)
    truth = geometry.KASA_CIRCLE
    assert_allclose(
        [*kasa.centre, kasa.matrix[0, 0]], [truth["cx"], truth["cy"], truth["radius"]], atol=6e-6
    )
    direct = ellipse_start(geometry.GGS_ELLIPSE_POINTS)
    shape, truth = ellipse_of(direct.centre, direct.matrix), geometry.DIRECT_ELLIPSE
    assert_allclose(
        [shape.cx, shape.cy, shape.semi_major, shape.semi_minor], list(truth.values()), atol=6e-7
    )


def test_scipy_finds_no_better_ellipse() -> None:
    rng = np.random.default_rng(5)
    points = outline_points(Ellipse(3, -2, 9, 4, 70), 25)[:19] + rng.normal(0, 0.4, (19, 2))

    def off(p):
        matrix = np.array([[p[2], p[3]], [p[3], p[4]]])
        return distances(points, Outline(p[:2], matrix))[0]

    ours = fit_ellipse(points)
    other = least_squares(off, [*points.mean(axis=0), 6, 0, 6], xtol=1e-15, ftol=1e-15)
    assert np.sum(ours.residuals**2) <= 2 * other.cost * (1 + 1e-9)
    assert_allclose([ours.shape.cx, ours.shape.cy], other.x[:2], atol=1e-5)


@given(cx=centres, cy=centres, radius=sizes, start=st.floats(0, 360), span=st.floats(40, 360))
def test_points_on_a_circle_give_it_back_wherever_it_lies(cx, cy, radius, start, span) -> None:
    circle = shape_of(fit_circle(arc(radius, start, span, 24, (cx, cy))))
    assert_allclose(
        [circle.cx, circle.cy, circle.radius], [cx, cy, radius], atol=1e-7 * (1 + radius)
    )


@given(cx=centres, cy=centres, major=sizes, ratio=ratios, angle=angles)
def test_points_on_an_ellipse_give_it_back(cx, cy, major, ratio, angle) -> None:
    true = Ellipse(cx, cy, major, major * ratio, angle)
    shape = shape_of(fit_ellipse(outline_points(true, 30)))
    assert_allclose([shape.cx, shape.cy], [cx, cy], atol=1e-7 * (1 + major))
    assert_allclose(shape_matrix(shape), shape_matrix(true), atol=1e-7 * (1 + major))


@given(major=sizes, ratio=ratios, angle=angles, bend=st.floats(-0.03, 0.03))
def test_one_start_is_enough_all_round_an_outline_that_is_bent(major, ratio, angle, bend) -> None:
    # As a round rim on a bore looks: three times round it goes in and out of its ellipse.
    turn = 2 * pi * np.arange(90) / 90
    points = outline_points(Ellipse(5, -3, major, major * ratio, angle), 90)
    points = (5, -3) + (points - (5, -3)) * (1 + bend * np.cos(3 * turn))[:, None]
    one, both = shape_of(fit_ellipse(points, all_round=True)), shape_of(fit_ellipse(points))
    assert_allclose([one.cx, one.cy], [both.cx, both.cy], atol=1e-6 * major)
    assert_allclose(shape_matrix(one), shape_matrix(both), atol=1e-6 * major)


@given(turn=st.floats(0, 2 * pi), scale=st.floats(0.01, 100), x=centres, y=centres)
@settings(max_examples=30)
def test_an_ellipse_fit_turns_moves_and_grows_with_its_points(turn, scale, x, y) -> None:
    points = geometry.GGS_ELLIPSE_POINTS
    rotation = np.array([[cos(turn), sin(turn)], [-sin(turn), cos(turn)]])
    moved = shape_of(fit_ellipse(scale * points @ rotation + [x, y]))
    first = shape_of(fit_ellipse(points))
    middle = scale * np.array([first.cx, first.cy]) @ rotation + [x, y]
    assert_allclose([moved.cx, moved.cy], middle, atol=1e-5 * scale + 1e-8)
    assert_allclose(moved.semi_major, scale * first.semi_major, rtol=1e-5)
    assert_allclose(moved.semi_minor, scale * first.semi_minor, rtol=1e-5)


def test_exact_points_settle_however_their_rounding_stands() -> None:
    # Nothing is left to descend on but the rounding of the coordinates, which no step makes less.
    rng = np.random.default_rng(20261126)
    turns = np.linspace(0, 2 * pi, 90, endpoint=False)
    for _ in range(400):
        cx, cy = rng.uniform(-1e3, 1e3, 2)
        radius, turn = rng.uniform(0.5, 60), rng.uniform(0, 7)
        outline = np.column_stack([np.cos(turns + turn), np.sin(turns + turn)])
        found = shape_of(fit_circle([cx, cy] + radius * outline))
        assert isclose(found.radius, radius, rel_tol=1e-9)


@given(
    x=st.floats(-30, 30), y=st.floats(-30, 30), major=st.floats(1, 12), ratio=ratios, angle=angles
)
def test_the_distance_to_an_ellipse_is_the_least_one(x, y, major, ratio, angle) -> None:
    shape = Ellipse(1.0, 2.0, major, ratio * major, angle)
    outline = Outline(np.array([1.0, 2.0]), shape_matrix(shape))
    off, normals, _ = distances(np.array([[x, y]]), outline)
    nearest = np.linalg.norm(outline_points(shape, 20000) - [x, y], axis=1).min()
    assert abs(abs(off[0]) - nearest) < 2e-3
    assert isclose(np.linalg.norm(normals[0]), 1.0)


def test_points_on_the_axes_and_at_the_centre_have_their_distances() -> None:
    outline = Outline(np.zeros(2), np.diag([3.0, 1.0]))
    points = np.array([[0, 0], [5, 0], [0, 3], [2.9, 0], [0, -0.5], [-3, 0]], dtype=float)
    # (2.9, 0) lies beyond the centre of curvature (8/3, 0) at the end, so the end is nearest.
    assert_allclose(distances(points, outline)[0], [-1, 2, 2, -0.1, -0.5, 0], atol=1e-9)


def test_a_line_is_found_whichever_way_it_runs() -> None:
    for angle in (0, 30, 90, 179):
        along = np.outer(np.linspace(-5, 9, 8), [cos(radians(angle)), sin(radians(angle))])
        line = shape_of(fit_line(along + np.array([1000, 2000])))
        assert min(abs(line.angle_deg - angle), 180 - abs(line.angle_deg - angle)) < 1e-6
        assert 0 <= line.angle_deg < 180


@pytest.mark.parametrize(
    ("fit", "points", "parameters"),
    [
        (lambda p: fit_circle(p, 0.5), arc(50, 20, 120, 40), lambda s: (s.cx, s.cy, s.radius)),
        (
            lambda p: fit_ellipse(p, 0.5),
            outline_points(Ellipse(5, 6, 60, 40, 25), 60)[:45],
            lambda s: (s.cx, s.cy, *shape_matrix(s)[[0, 0, 1], [0, 1, 1]]),
        ),
        (
            lambda p: fit_circle_like(p, Ellipse(0, 0, 3, 2, 25), 0.5),
            outline_points(Ellipse(5, 6, 60, 40, 25), 60)[:15],
            lambda s: (s.cx, s.cy, sqrt(s.semi_major * s.semi_minor)),
        ),
        (
            lambda p: fit_line(p, 0.5),
            np.column_stack([np.linspace(0, 40, 12), np.linspace(0, 30, 12)]),
            lambda s: (
                (s.cx - 20) * -0.6 + (s.cy - 15) * 0.8,
                radians(s.angle_deg),
            ),
        ),
    ],
)
def test_the_covariance_is_the_scatter_of_repeated_fits(fit, points, parameters) -> None:
    rng = np.random.default_rng(11)
    nominal = fit(points)
    repeats = [fit(points + rng.normal(0, 0.5, points.shape)) for _ in range(250)]
    scatter = np.cov(np.array([parameters(shape_of(r)) for r in repeats]).T)
    told = nominal.covariance
    assert_allclose(np.sqrt(np.diag(scatter)), np.sqrt(np.diag(told)), rtol=0.18)
    assert_allclose(correlation(scatter), correlation(told), atol=0.2)


def test_without_a_sigma_the_residuals_tell_it() -> None:
    rng = np.random.default_rng(3)
    points = arc(80, 0, 300, 400) + rng.normal(0, 0.7, (400, 2))
    assert_allclose(fit_circle(points).sigma, 0.7, rtol=0.1)
    assert_allclose(fit_ellipse(points).sigma, 0.7, rtol=0.1)
    assert fit_circle(points, 0.2).sigma == 0.2


def test_a_short_arc_too_uncertain_for_its_noise_is_refused_with_its_span() -> None:
    rng = np.random.default_rng(3)
    points = arc(100, 10, 25, 30) + rng.normal(0, 2.0, (30, 2))
    failed = fit_circle(points, 2.0)
    assert isinstance(failed, FitFailed)
    assert "degrees of the outline are too few" in failed.reason
    quarter = outline_points(Ellipse(0, 0, 100, 80, 10), 200)[:50] + rng.normal(0, 1.5, (50, 2))
    assert isinstance(fit_ellipse(quarter, 1.5), FitFailed)


def test_a_known_shape_makes_a_short_arc_enough() -> None:
    rng = np.random.default_rng(8)
    true = Ellipse(400, 300, 100, 80, 10)
    sixth = outline_points(true, 240)[:40] + rng.normal(0, 0.5, (40, 2))
    free = fit_ellipse(sixth, 0.5)
    like = fit_circle_like(sixth, Ellipse(1, 2, 50, 40, 10), 0.5)
    assert isinstance(free, FitFailed) or abs(free.shape.cx - 400) > 5
    shape = shape_of(like)
    assert_allclose([shape.cx, shape.cy, shape.semi_major], [400, 300, 100], atol=3.0)
    assert_allclose([shape.semi_minor / shape.semi_major, shape.angle_deg], [0.8, 10], rtol=1e-9)


@pytest.mark.parametrize(
    ("points", "reason"),
    [
        (np.column_stack([np.arange(9.0), 2 * np.arange(9.0) + 1e4]), "on a line"),
        (np.tile([[1.0, 2.0], [3.0, 4.0]], (10, 1)), "different points"),
        (np.array([[0, 0], [1, 0], [0, np.nan], [2, 2], [3, 1], [5, 5], [6, 1]]), "finite"),
        (np.zeros((7, 3)), "rows of x, y"),
        (np.zeros((0, 2)), "different points"),
    ],
)
def test_points_without_an_outline_are_refused_with_the_reason(points, reason) -> None:
    for fit in (fit_circle, fit_ellipse, lambda p: fit_circle_like(p, Ellipse(0, 0, 2, 1, 0))):
        failed = fit(points)
        assert isinstance(failed, FitFailed)
        assert reason in failed.reason


def test_a_parabola_is_not_called_an_ellipse() -> None:
    x = np.linspace(-3, 3, 15)
    failed = fit_ellipse(np.column_stack([x, x**2]))
    assert isinstance(failed, FitFailed)


@pytest.mark.parametrize("sigma", [0.0, -1.0, float("inf")])
def test_a_point_uncertainty_that_cannot_be_is_refused(sigma) -> None:
    assert isinstance(fit_circle(arc(5, 0, 300, 9), sigma), FitFailed)
    assert isinstance(fit_line(arc(5, 0, 300, 9), sigma), FitFailed)


def test_least_point_counts_with_and_without_a_sigma() -> None:
    assert isinstance(fit_circle(arc(5, 0, 240, 3)), FitFailed)
    assert isinstance(fit_circle(arc(5, 0, 240, 3), 0.01), Fitted)
    five = outline_points(Ellipse(0, 0, 5, 3, 20), 5)
    assert isinstance(fit_ellipse(five), FitFailed)
    assert isinstance(fit_ellipse(five, 0.01), Fitted)
    assert isinstance(fit_line(np.array([[0.0, 0], [1, 1]])), FitFailed)
    assert isinstance(fit_line(np.array([[0.0, 0], [1, 1]]), 0.1), Fitted)


def test_a_third_of_wrong_points_is_left_out_and_named() -> None:
    rng = np.random.default_rng(21)
    true = Ellipse(500, 400, 80, 62, 35)
    points = outline_points(true, 90) + rng.normal(0, 0.4, (90, 2))
    # A chip: a run of thirty points up to 25 px outside.
    chip = np.arange(20, 50)
    out = points[chip] - [500, 400]
    points[chip] += out / np.linalg.norm(out, axis=1)[:, None] * np.linspace(4, 25, 30)[:, None]
    plain, robust = fit_ellipse(points, 0.4), fit_ellipse(points, 0.4, robust=True)
    assert abs(plain.shape.semi_major - 80) > 3
    assert_allclose([robust.shape.cx, robust.shape.cy], [500, 400], atol=0.4)
    assert_allclose([robust.shape.semi_major, robust.shape.semi_minor], [80, 62], atol=0.5)
    assert not robust.kept[chip].any()
    assert robust.kept.sum() >= 58
    assert robust.rms < 0.6
    assert np.abs(robust.residuals[chip]).min() > 2


def test_robust_circle_and_form_ignore_strays_too() -> None:
    rng = np.random.default_rng(2)
    points = arc(60, 0, 200, 50, (10, 20)) + rng.normal(0, 0.3, (50, 2))
    points[::6] += 12
    circle = shape_of(fit_circle(points, 0.3, robust=True))
    assert_allclose([circle.cx, circle.cy, circle.radius], [10, 20, 60], atol=0.5)
    like = shape_of(fit_circle_like(points, Ellipse(0, 0, 1, 1, 0), 0.3, robust=True))
    assert_allclose([like.cx, like.cy, like.semi_major], [10, 20, 60], atol=0.5)


def test_robust_without_strays_keeps_nearly_all_and_the_same_fit() -> None:
    rng = np.random.default_rng(4)
    points = outline_points(Ellipse(0, 0, 50, 30, 0), 80) + rng.normal(0, 0.5, (80, 2))
    plain, robust = fit_ellipse(points), fit_ellipse(points, robust=True)
    assert robust.kept.sum() >= 74
    assert_allclose(robust.shape.semi_major, plain.shape.semi_major, atol=0.2)
    again = fit_ellipse(points, robust=True)
    assert again.shape == robust.shape  # the same points always give the same fit


def test_shape_matrix_and_ellipse_are_inverse() -> None:
    true = Ellipse(1, 2, 5, 3, 140)
    back = ellipse_of(np.array([1.0, 2.0]), shape_matrix(true))
    assert_allclose([back.semi_major, back.semi_minor, back.angle_deg], [5, 3, 140])
    upright = ellipse_of(np.zeros(2), np.diag([2.0, 1.0]))
    assert 0 <= upright.angle_deg < 180
    assert_allclose(upright.angle_deg % 180, 0, atol=1e-9)


def test_outline_starts_at_the_major_axis_and_turns_from_x_to_y() -> None:
    points = outline_points(Ellipse(10, 20, 5, 3, 90), 4)
    assert_allclose(points, [[10, 25], [7, 20], [10, 15], [13, 20]], atol=1e-12)


def test_arc_degrees_is_the_turn_less_the_widest_gap() -> None:
    assert_allclose(arc_degrees(arc(3, 350, 50, 11), (0, 0)), 50)
    assert_allclose(arc_degrees(arc(3, 0, 350, 36), (0, 0)), 350)


@pytest.mark.parametrize("radius", [0.0, -1.0, float("nan"), float("inf")])
def test_a_circle_cannot_exist_wrong(radius) -> None:
    with pytest.raises(BadMark):
        Circle(0.0, 0.0, radius)


@pytest.mark.parametrize(("tilt", "ratio", "shift"), geometry.TILTED_CIRCLE)
def test_a_near_camera_moves_an_ellipse_centre_off_the_circle_centre(tilt, ratio, shift) -> None:
    t = radians(tilt)
    turn = np.radians(np.arange(0, 360, 2.0))
    x, y = 5 * np.cos(turn), 5 * np.sin(turn)
    depth = 50 + x * sin(t)
    seen = np.column_stack([x * cos(t), y]) / depth[:, None] * 50
    shape = shape_of(fit_ellipse(seen))
    assert_allclose(shape.semi_minor / shape.semi_major, ratio, atol=1e-4)
    # Picture scaled to the distance of the true centre, which projects to 0.
    assert_allclose(abs(shape.cx), shift, atol=6e-4)


def test_a_line_tells_its_residuals_and_its_scatter() -> None:
    # y = 0.75 x turned by hand: residuals are +-1 across, alternating, and cannot tilt the line.
    along = np.array([-3.0, -1.0, 1.0, 3.0, -3.0, -1.0, 1.0, 3.0])
    across = np.array([1.0, -1.0, -1.0, 1.0, -1.0, 1.0, 1.0, -1.0])
    axis, normal = np.array([0.8, 0.6]), np.array([-0.6, 0.8])
    points = along[:, None] * axis + across[:, None] * normal + np.array([50.0, -20.0])
    line = fit_line(points)
    assert isinstance(line, Fitted)
    assert_allclose(np.abs(line.residuals), 1)
    assert_allclose(line.residuals * line.residuals[0], across)
    assert_allclose(line.rms, 1)
    assert_allclose(line.sigma, sqrt(8 / 6))
    assert_allclose(np.diag(line.covariance), [8 / 6 / 8, 8 / 6 / 40])
    assert line.kept.all()
    assert line.kept.shape == (8,)


def test_few_points_estimate_their_scatter_with_what_is_left_over() -> None:
    # Six points less three numbers, eight less five: published sums of squares.
    circle, ellipse = (
        fit_circle(geometry.GGS_CIRCLE_POINTS),
        fit_ellipse(geometry.GGS_ELLIPSE_POINTS),
    )
    assert_allclose(circle.sigma, sqrt(geometry.GGS_CIRCLE["squares"] / 3), rtol=1e-4)
    assert_allclose(ellipse.sigma, sqrt(geometry.GGS_ELLIPSE["squares"] / 3), rtol=1e-4)
    assert circle.kept.tolist() == [True] * 6


def test_arc_degrees_are_seen_from_the_centre_given() -> None:
    assert_allclose(arc_degrees(arc(3, 350, 50, 11, (40, -70)), (40, -70)), 50)


def test_a_thin_spread_is_a_line_only_by_rounding() -> None:
    x = np.linspace(0, 10, 21)
    bowed = np.column_stack([x, 1e-4 * (x - 5) ** 2])
    circle = fit_circle(bowed)
    assert not isinstance(circle, FitFailed)
    assert_allclose(circle.shape.radius, 5000, rtol=1e-3)


@given(ratio=ratios, span=st.floats(100, 360), noise=st.floats(1e-4, 0.05), seed=st.integers(0, 99))
def test_of_several_starts_the_best_end_is_kept(
    ratio: float, span: float, noise: float, seed: int
) -> None:
    # One that comes to where another ended is not followed to its end: that must lose nothing.
    points = arc(1.0, 20, span, 40) * (1, ratio)
    points = points + np.random.default_rng(seed).normal(0, noise * ratio, points.shape)
    starts = [s for s in (ellipse_start(points), circle_start(points)) if s is not None]
    ends = [end for start in starts if (end := best(points, ELLIPTIC, [start])) is not None]
    together = best(points, ELLIPTIC, starts)
    assert (together is None) == (not ends)
    if together is not None:
        squares = [float(np.sum(distances(points, end)[0] ** 2)) for end in (together, *ends)]
        assert_allclose(squares[0], min(squares[1:]), rtol=1e-9)


def test_the_foot_of_a_point_anywhere_is_the_nearest_place_of_the_outline() -> None:
    # Checked against the nearest of a hundred thousand places.
    outline = Outline(np.zeros(2), np.diag([3.0, 1.0]))
    turn = np.linspace(0, 2 * np.pi, 100_001)
    places = np.column_stack([3 * np.cos(turn), np.sin(turn)])
    points = np.array(
        [(0, 0), (2, 0), (2.9, 0.01), (0, 0.5), (-1, 0.2), (30, -20), (3, 0), (1e3, 1)]
    )
    found, _, u = distances(points, outline)
    nearest = [np.hypot(*(places - point).T).min() for point in points]
    assert_allclose(np.abs(found), nearest, atol=1e-6)
    assert_allclose(np.hypot(*(u @ outline.matrix - points).T), np.abs(found), atol=1e-9)
