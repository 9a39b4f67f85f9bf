"""Where a fit stops being one: how sure it must be, and what has none."""

from math import cos, pi, radians, sin, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

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


def ring(radius: float, count: int, at: tuple[float, float] = (30.0, -40.0)) -> Points:
    turn = np.arange(count) * 2 * pi / count
    return np.asarray(at + radius * np.column_stack([np.cos(turn), np.sin(turn)]))


ROUND_FITS = [fit_circle, lambda p, s: fit_circle_like(p, Ellipse(1, 2, 7, 7, 0), s)]


@pytest.mark.parametrize("fit", ROUND_FITS)
@pytest.mark.parametrize("count", [6, 20])
def test_points_all_round_fix_centre_and_radius_as_their_number_says(fit, count: int) -> None:
    # Normal equations of r = -cos t dx - sin t dy - dr, evenly round: variances 2/N, 2/N, 1/N.
    found = fit(ring(5.0, count), 0.3)
    assert isinstance(found, Fitted)
    assert_allclose(found.covariance, 0.3**2 * np.diag([2, 2, 1]) / count, atol=1e-9)
    assert found.sigma == 0.3
    assert_allclose(found.rms, 0, atol=1e-9)
    # So the centre is known to a fifth of the radius up to this uncertainty of a point.
    limit = 0.2 * 5.0 * sqrt(count / 2)
    assert isinstance(fit(ring(5.0, count), 0.99 * limit), Fitted)
    refused = fit(ring(5.0, count), 1.01 * limit)
    assert isinstance(refused, FitFailed)
    seen = round(360 - 360 / count)
    assert refused.reason == (
        f"{seen} degrees of the outline are too few for points this uncertain"
    )
    # Without an uncertainty, or with points that are wrong by as much, it is the caller's to judge.
    assert isinstance(fit(ring(5.0, count), None), Fitted)


PARTS = (slice(0, 2), slice(2, 5))  # centre, shape


@pytest.mark.parametrize("span", [55, 120, 359])
def test_an_ellipse_is_refused_where_a_part_is_known_worse_than_a_fifth_of_its_minor_half_axis(
    span: int,
) -> None:
    points = outline_points(Ellipse(-20, 60, 50, 35, 110))[: span + 1 : 5]
    sure = fit_ellipse(points, 1e-3)
    assert isinstance(sure, Fitted)
    # Covariance grows with sigma squared: where its larger part reaches the limit follows.
    worst = max(np.linalg.eigvalsh(sure.covariance[part, part])[-1] for part in PARTS)
    limit = 0.2 * 35 / sqrt(worst) * 1e-3
    assert isinstance(fit_ellipse(points, 0.99 * limit), Fitted)
    refused = fit_ellipse(points, 1.01 * limit)
    assert isinstance(refused, FitFailed)
    spanned = arc_degrees(points, (-20, 60))
    assert f"{spanned:.0f} degrees" in refused.reason


@given(
    values=st.tuples(st.floats(-50, 50), st.floats(-50, 50)),
    major=st.floats(1, 40), ratio=st.floats(0.2, 1.0), angle=st.floats(0, 180, exclude_max=True),
)  # fmt: skip
def test_an_outline_is_the_unit_circle_carried_over_by_the_matrix(
    values: tuple[float, float], major: float, ratio: float, angle: float
) -> None:
    shape = Ellipse(*values, major, ratio * major, angle)
    matrix = shape_matrix(shape)
    assert_allclose(matrix, matrix.T, atol=1e-12)
    back = (outline_points(shape, 24) - values) @ np.linalg.inv(matrix)
    assert_allclose(np.linalg.norm(back, axis=1), 1, rtol=1e-9)
    ends = np.array([cos(radians(angle)), sin(radians(angle))])
    assert_allclose(matrix @ ends, major * ends, atol=1e-9 * major)
    again = ellipse_of(np.array(values), matrix)
    assert 0 <= again.angle_deg < 180
    assert_allclose(shape_matrix(again), matrix, atol=1e-9 * major)


def test_an_outline_has_a_point_a_degree_unless_told_otherwise() -> None:
    points = outline_points(Ellipse(0, 0, 2, 2, 0))
    assert_allclose(np.degrees(np.arctan2(*points.T[::-1])) % 360, np.arange(360), atol=1e-9)


@pytest.mark.parametrize(
    ("cx", "cy"),
    [(float("nan"), 0.0), (0.0, float("inf")), (float("-inf"), 0.0), (0.0, float("nan"))],
)
def test_a_circle_needs_a_place(cx: float, cy: float) -> None:
    with pytest.raises(BadMark, match="finite centre and a positive radius"):
        Circle(cx, cy, 1.0)


def test_a_span_is_the_same_in_whatever_order_its_points_come() -> None:
    turn = np.radians([170, 200, 185, 260, 175])
    points = np.column_stack([3 + np.cos(turn), 4 + np.sin(turn)])
    assert_allclose(arc_degrees(points, (3, 4)), 90)
    assert_allclose(arc_degrees(points[:1], (3, 4)), 0, atol=1e-9)


@pytest.mark.parametrize("points", [np.arange(12.0), np.zeros((4, 3, 2)), np.zeros((9, 1))])
def test_what_is_no_list_of_points_is_refused(points: Points) -> None:
    for fit in (fit_line, fit_circle, fit_ellipse):
        failed = fit(points)
        assert isinstance(failed, FitFailed)
        assert failed.reason == "points must be rows of x, y"


def test_what_is_missing_is_told_in_numbers() -> None:
    for fit, free, known in ((fit_line, 3, 2), (fit_circle, 4, 3), (fit_ellipse, 6, 5)):
        few = ring(5.0, 1)
        for sigma, least in ((None, free), (0.1, known)):
            failed = fit(few, sigma)
            assert isinstance(failed, FitFailed)
            assert failed.reason == f"at least {least} different points are needed"
    for sigma in (0.0, -1.0, float("inf"), float("nan")):
        failed = fit_circle(ring(5.0, 9), sigma)
        assert isinstance(failed, FitFailed)
        assert failed.reason == "the uncertainty of a point must be positive"
    x = np.linspace(-3, 3, 15)
    failed = fit_ellipse(np.column_stack([x, x**2]))
    assert isinstance(failed, FitFailed)
    assert failed.reason == "the points do not settle on one outline; mark more of it"


@pytest.mark.parametrize("turn", range(0, 180, 15))
@pytest.mark.parametrize("away", [0.0, 1e4])
def test_points_on_a_line_are_told_from_a_bow_wherever_they_lie(turn: int, away: float) -> None:
    along = np.linspace(-5, 5, 21)
    ends = np.array([cos(radians(turn)), sin(radians(turn))])
    straight = along[:, None] * ends + away
    failed = fit_circle(straight)
    assert isinstance(failed, FitFailed)
    assert "on a line" in failed.reason
    bowed = straight + 1e-3 * along[:, None] ** 2 * [-ends[1], ends[0]]
    circle = fit_circle(bowed)
    assert isinstance(circle, Fitted)
    assert_allclose(circle.shape.radius, 500, rtol=1e-3)


@pytest.mark.parametrize("turn", [0.0, 35.0, 90.0, 145.0])
def test_a_given_form_keeps_its_angle_and_ratio_and_finds_place_and_size(turn: float) -> None:
    true = Ellipse(120, -80, 30, 12, turn)
    found = fit_circle_like(outline_points(true, 36)[:20], Ellipse(0, 0, 5, 2, turn), 0.01)
    assert isinstance(found, Fitted)
    assert_allclose(shape_matrix(found.shape), shape_matrix(true), atol=1e-7)
    assert_allclose([found.shape.cx, found.shape.cy], [120, -80], atol=1e-7)
    assert_allclose(found.residuals, 0, atol=1e-7)


def test_a_lines_uncertainty_is_that_given_and_its_offset_and_angle_follow() -> None:
    # Offset sigma^2 / N; angle sigma^2 / sum of squares along: of -3, -1, 1, 3 it is 20.
    along = np.array([-3.0, -1.0, 1.0, 3.0])
    points = 1e5 + along[:, None] * [0.6, 0.8]
    line = fit_line(points, 0.5)
    assert isinstance(line, Fitted)
    assert_allclose(line.covariance, np.diag([0.25 / 4, 0.25 / 20]), rtol=1e-6)
    assert line.sigma == 0.5
    assert_allclose([line.shape.cx, line.shape.cy], 1e5)
    assert_allclose(line.shape.angle_deg, np.degrees(np.arctan2(0.8, 0.6)), atol=1e-6)


@pytest.mark.parametrize("turn", range(0, 180, 12))
def test_a_line_has_its_angle_whichever_way_its_points_come(turn: int) -> None:
    along = np.array([-3.0, -1.0, 1.5, 3.0])[:, None] * [cos(radians(turn)), sin(radians(turn))]
    at = np.array([50.0, -20.0])
    for points in (along, along[::-1], -along, along * [1e3, 1e3]):
        line = fit_line(points + at)
        assert isinstance(line, Fitted)
        assert 0 <= line.shape.angle_deg < 180
        assert_allclose((line.shape.angle_deg - turn + 90) % 180, 90, atol=1e-9)
        assert_allclose([line.shape.cx, line.shape.cy], points.mean(axis=0) + at)


@pytest.mark.parametrize("fall", [1e-17, -1e-17, 1e-20, -1e-20])
def test_a_line_level_but_for_rounding_has_an_angle_in_its_range(fall: float) -> None:
    # -1e-17 degrees, turned into the range, round to 180: the same line as 0.
    x = np.array([-2.0, -1.0, 1.0, 2.0])
    line = fit_line(np.column_stack([x, fall * x]))
    assert isinstance(line, Fitted)
    assert_allclose(line.shape.angle_deg, 0, atol=1e-12)


def test_a_lines_scatter_is_told_in_its_own_unit() -> None:
    # Residuals 3, -3, -3, 3 that cannot tilt it: rms 3, sigma sqrt(4 * 9 / 2).
    line = fit_line(np.array([[-30.0, 3.0], [-10.0, -3.0], [10.0, -3.0], [30.0, 3.0]]))
    assert isinstance(line, Fitted)
    assert_allclose([line.rms, line.sigma], [3, sqrt(18)])
    assert line.kept.dtype == bool


@pytest.mark.parametrize("turn", [10, 40, 75, 130, 165])
@pytest.mark.parametrize("away", [(1e4, 0.0), (0.0, 1e4), (-1e4, -1e4)])
def test_a_short_line_far_out_is_a_line_though_its_rounding_is_coarse(
    turn: int, away: tuple[float, float]
) -> None:
    # A unit in the last place at 1e4 is 2e-12: of a line of 0.001 far more than of one at 0.
    along = np.linspace(-5e-4, 5e-4, 21)[:, None] * [cos(radians(turn)), sin(radians(turn))]
    for fit in (fit_circle, fit_ellipse):
        failed = fit(along + np.array(away))
        assert isinstance(failed, FitFailed)
        assert failed.reason == "the points lie on a line"


def test_a_short_arc_is_looked_for_from_a_circle_too() -> None:
    # 60 degrees, 13 points, 5 of 100 px of noise: what the linear ellipse fit (Halir and Flusser)
    # gives is now and then no ellipse to go on from.
    angle = np.radians(60.0) + np.linspace(0, np.radians(60.0), 13)
    outline = np.column_stack([100 * np.cos(angle), 60 * np.sin(angle)])
    refused = 0
    for seed in range(40):
        points = outline + np.random.default_rng(seed).normal(0, 5.0, outline.shape)
        alone, both = fit_ellipse(points, all_round=True), fit_ellipse(points)
        if isinstance(alone, FitFailed):
            refused += not isinstance(both, FitFailed)
        elif not isinstance(both, FitFailed):
            assert both.rms <= alone.rms * (1 + 1e-6)
    assert refused > 0
