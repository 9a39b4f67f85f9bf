"""A fit is the same in any unit and anywhere, and for forms as flat as a hole seen from aside."""

from math import cos, radians, sin

import numpy as np
import pytest
from numpy.testing import assert_allclose

from annotate.fit import (
    FitFailed,
    Fitted,
    fit_circle,
    fit_circle_like,
    fit_ellipse,
    outline_points,
    shape_matrix,
)
from annotate.marks import Ellipse


@pytest.mark.parametrize("unit", [1e-9, 1e-6, 1.0, 1e6, 1e9])
def test_an_outline_is_the_same_in_any_unit(unit: float) -> None:
    # The points' own numbers: they lie on the outline, so no fit can be nearer.
    true = Ellipse(7, -4, 6, 3.5, 25)
    points = outline_points(true, 40)[:26] * unit
    found = fit_ellipse(points)
    assert isinstance(found, Fitted)
    assert_allclose(shape_matrix(found.shape) / unit, shape_matrix(true), rtol=1e-8)
    assert_allclose([found.shape.cx / unit, found.shape.cy / unit], [7, -4], rtol=1e-8)
    assert_allclose(found.residuals / unit, 0, atol=1e-8)
    round_points = outline_points(Ellipse(7, -4, 5, 5, 0), 40)[:26] * unit
    circle = fit_circle(round_points, 0.01 * unit)
    assert isinstance(circle, Fitted)
    assert_allclose(circle.shape.radius / unit, 5, rtol=1e-9)


@pytest.mark.parametrize("unit", [1e-8, 1.0, 1e8])
@pytest.mark.parametrize("away", [(0.0, 0.0), (1e4, -1e4)])
def test_a_line_and_a_bow_are_told_apart_in_any_unit(
    unit: float, away: tuple[float, float]
) -> None:
    # 1e-3 s^2 across s along bends with a radius of 1 / (2 * 1e-3).
    along = np.linspace(-5, 5, 21)[:, None]
    ends = np.array([cos(radians(40)), sin(radians(40))])
    straight = along * ends
    failed = fit_circle((straight + away) * unit)
    assert isinstance(failed, FitFailed)
    assert failed.reason == "the points lie on a line"
    bow = fit_circle((straight + 1e-3 * along**2 * [-ends[1], ends[0]] + away) * unit)
    assert isinstance(bow, Fitted)
    assert_allclose(bow.shape.radius / unit, 500, rtol=1e-3)


def test_a_small_circle_a_long_way_off_keeps_its_radius() -> None:
    # A unit in the last place at 1e9 is 1.2e-7: of a circle of 1 that is all there is to lose.
    at = np.array([1e9, -1e9])
    ring = at + outline_points(Ellipse(0, 0, 1, 1, 0), 60)
    found = fit_circle(ring)
    assert isinstance(found, Fitted)
    assert_allclose(found.shape.radius, 1, atol=2e-7)
    assert_allclose([found.shape.cx, found.shape.cy], at, atol=5e-7)


@pytest.mark.parametrize("ratio", [0.03, 0.1, 0.25, 0.6])
@pytest.mark.parametrize(("angle", "span"), [(0, 330), (35, 120), (80, 210), (140, 60)])
def test_a_form_however_flat_is_found_in_its_own_frame(ratio: float, angle: int, span: int) -> None:
    true = Ellipse(-15, 18, 30, 30 * ratio, angle)
    for begin in (0, 95, 200, 310):
        points = np.roll(outline_points(true), -begin, axis=0)[:span:5]
        found = fit_circle_like(points, Ellipse(0, 0, 10, 10 * ratio, angle))
        assert isinstance(found, Fitted)
        assert_allclose(shape_matrix(found.shape), shape_matrix(true), atol=1e-6)
        assert_allclose([found.shape.cx, found.shape.cy], [-15, 18], atol=1e-6)
