"""What a robust fit keeps of the points, and what does not stop it."""

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
from tests.annotate.test_fit_limits import ring


def test_robust_believes_the_uncertainty_it_is_given() -> None:
    # Ninety points to a hundredth, ten out by one: strays for points as good as most are, and
    # within three standard deviations for points known to a half.
    points = ring(60.0, 100)
    rng = np.random.default_rng(3)
    points = points + rng.normal(0, 0.01, points.shape)
    out = points[::10] - [30, -40]
    points[::10] += out / np.linalg.norm(out, axis=1)[:, None]
    for fit in (fit_circle, fit_ellipse):
        alone, told = fit(points, robust=True), fit(points, 0.5, robust=True)
        assert isinstance(alone, Fitted)
        assert isinstance(told, Fitted)
        assert not alone.kept[::10].any()
        assert told.kept.all()
        plain = fit(points, 0.5)
        assert isinstance(plain, Fitted)
        assert_allclose(told.covariance, plain.covariance, rtol=1e-6)
        # What was left out counts neither for the scatter nor for the covariance.
        kept = fit(points[alone.kept])
        assert isinstance(kept, Fitted)
        assert_allclose([alone.sigma, alone.rms], [kept.sigma, kept.rms], rtol=1e-6)
        assert_allclose(alone.covariance, kept.covariance, rtol=1e-5, atol=1e-12)
        assert_allclose(alone.residuals[::10], 1, atol=0.06)


@pytest.mark.parametrize("scale", [1e-3, 1.0, 1e4])
def test_robust_is_the_same_in_any_unit(scale: float) -> None:
    rng = np.random.default_rng(8)
    points = ring(60.0, 40) + rng.normal(0, 0.2, (40, 2))
    points[::8] += 0.15 * (points[::8] - [30, -40])
    plain = fit_circle(points, 0.2, robust=True)
    scaled = fit_circle(points * scale, 0.2 * scale, robust=True)
    assert isinstance(plain, Fitted)
    assert isinstance(scaled, Fitted)
    assert (plain.kept == scaled.kept).all()
    assert not plain.kept[::8].any()
    assert_allclose(scaled.shape.radius, plain.shape.radius * scale, rtol=1e-9)


def test_one_place_clicked_again_and_again_does_not_stop_a_robust_fit() -> None:
    # Most random subsets are that place alone, and carry no circle.
    points = np.concatenate([ring(20.0, 12), np.repeat(ring(20.0, 12)[:1], 30, axis=0)])
    for fit in (
        fit_circle,
        lambda p, **how: fit_circle_like(p, Ellipse(0, 0, 1, 1, 0), **how),
    ):
        found = fit(points, sigma=0.1, robust=True)
        assert isinstance(found, Fitted)
        assert_allclose([found.shape.cx, found.shape.cy], [30, -40], atol=1e-6)


def test_the_fewest_points_with_a_given_uncertainty_are_fitted_robustly_too() -> None:
    # Three fix a circle, five an ellipse: none is left for a subset to be tried against.
    circle = fit_circle(ring(20.0, 3), 0.1, robust=True)
    assert isinstance(circle, Fitted)
    assert_allclose([*circle.residuals, circle.shape.radius - 20], 0, atol=1e-9)
    true = Ellipse(3, 4, 30, 20, 50)
    ellipse = fit_ellipse(outline_points(true, 5), 0.1, robust=True)
    assert isinstance(ellipse, Fitted)
    assert_allclose(shape_matrix(ellipse.shape), shape_matrix(true), atol=1e-6)
    assert ellipse.kept.all()


def test_a_subset_that_makes_a_parabola_does_not_stop_a_robust_fit() -> None:
    # Places clicked again and again: among the random subsets are some with a singular form.
    single = [[-2.0, -6], [2, 8], [-5, 8], [0, 4], [0, -6]]
    points = np.array([[-1.0, -1]] * 5 + [[3.0, 4]] * 5 + single)
    found = fit_ellipse(points, robust=True)
    assert isinstance(found, Fitted | FitFailed)
    assert not isinstance(found, Fitted) or np.isfinite(found.covariance).all()
