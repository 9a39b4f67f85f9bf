import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy.optimize import least_squares

from annotate.optics.homography import (
    full,
    homography,
    mapped,
    normaliser,
    residuals_and_slopes,
    solved,
)

# Graf scene of the Oxford affine covariant regions set, H1to3p, as printed with OpenCV's samples.
PUBLISHED = np.array(
    [
        [0.76285898, -0.29922929, 225.67123],
        [0.33443473, 1.0143901, -76.999973],
        [3.4663091e-4, -1.4364524e-5, 1.0],
    ]
)
CORNERS = np.array([[0.0, 0.0], [799.0, 0.0], [799.0, 639.0], [0.0, 639.0]])


def scattered(count: int, seed: int) -> np.ndarray:
    return np.random.default_rng(seed).uniform([0, 0], [800, 640], (count, 2))


@pytest.mark.parametrize("count", [4, 5, 40])
def test_a_published_homography_comes_back_from_its_points(count) -> None:
    source = CORNERS if count == 4 else scattered(count, 3)
    found = homography(source, mapped(PUBLISHED, source))
    assert_allclose(found / found[2, 2], PUBLISHED, rtol=1e-6, atol=1e-9)


def test_mapping_is_the_formula() -> None:
    x, y = 120.0, 75.0
    u, v, w = PUBLISHED @ [x, y, 1]
    assert_allclose(mapped(PUBLISHED, np.array([[x, y]])), [[u / w, v / w]])


def test_noisy_points_are_fitted_by_least_squares_in_the_target() -> None:
    source = scattered(30, 5)
    # A strong perspective and much noise: there the linear solution is not the answer.
    strong = PUBLISHED + np.array([[0, 0, 0], [0, 0, 0], [8e-4, 6e-4, 0]])
    target = mapped(strong, source) + np.random.default_rng(6).normal(0, 8, (30, 2))

    def off(h):
        return (mapped(full(h / 1.0), source) - target).ravel()

    ours = homography(source, target)
    best = least_squares(
        off, (ours / ours[2, 2]).ravel()[:8], x_scale="jac", xtol=1e-15, ftol=1e-15
    )
    assert_allclose(np.sum((mapped(ours, source) - target) ** 2), 2 * best.cost, rtol=1e-9)
    T, U = normaliser(source), normaliser(target)
    p, q = mapped(T, source), mapped(U, target)
    n = U @ ours @ np.linalg.inv(T)
    residuals, slopes = residuals_and_slopes((n / n[2, 2]).ravel()[:8], p, q)
    # At the best fit the residuals stand square on every slope.
    assert_allclose(slopes.T @ residuals, 0, atol=1e-9)


def test_slopes_are_the_derivatives() -> None:
    p, q = scattered(6, 1) / 400 - 1, scattered(6, 2) / 400 - 1
    h = np.array([0.9, 0.1, 0.2, -0.1, 1.1, 0.05, 0.15, -0.1])
    residuals, slopes = residuals_and_slopes(h, p, q)
    assert_allclose(residuals, (q - mapped(full(h), p)).ravel())
    for k, step in enumerate(1e-6 * np.eye(8)):
        change = (mapped(full(h + step), p) - mapped(full(h - step), p)).ravel() / 2e-6
        assert_allclose(slopes[:, k], change, rtol=1e-6, atol=1e-8)


@given(seed=st.integers(0, 200))
def test_many_exact_solutions_are_each_that_of_their_own_four(seed) -> None:
    rng = np.random.default_rng(seed)
    four = CORNERS + rng.uniform(-100, 100, (3, 4, 2))
    square = np.array([[0.0, 0.0], [20.0, 0.0], [20.0, 20.0], [0.0, 20.0]])
    together = solved(four, square)
    assert together.shape == (3, 3, 3)
    for H, corners in zip(together, four, strict=True):
        assert_allclose(mapped(H, corners), square, atol=1e-8)
        single = homography(corners, square)
        assert_allclose(H / H[2, 2], single / single[2, 2], rtol=1e-6, atol=1e-8)


def test_normalised_points_are_centred_and_of_unit_size() -> None:
    points = scattered(9, 4)
    moved = mapped(normaliser(points), points)
    assert_allclose(moved.mean(axis=0), 0, atol=1e-12)
    assert_allclose(np.mean(np.sum(moved**2, axis=1)), 1)
    assert_allclose(
        np.ptp(moved[:, 0]) / np.ptp(moved[:, 1]), np.ptp(points[:, 0]) / np.ptp(points[:, 1])
    )


def test_stacks_map_one_set_of_points_or_one_each() -> None:
    stack = np.stack([np.eye(3), PUBLISHED])
    points = scattered(5, 8)
    one = mapped(stack, points)
    assert_allclose(one, [points, mapped(PUBLISHED, points)])
    each = mapped(stack, np.stack([points, points + 1]))
    assert_allclose(each[1], mapped(PUBLISHED, points + 1))
