"""Polygons against shapely, and by hand."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from shapely.geometry import Point, Polygon

from annotate.mathematics.polygons import area, area_in_circle, centroid

SQUARE = (np.array([[-1.0, 1.0, 1.0, -1.0]]), np.array([[-1.0, -1.0, 1.0, 1.0]]))


def one(radius: float) -> np.ndarray:
    return np.array([radius])


def test_a_square_in_and_about_a_circle() -> None:
    x, y = SQUARE
    assert_allclose(area(x, y), 4)
    assert_allclose(area_in_circle(x, y, one(2.0)), 4)  # the whole square
    assert_allclose(area_in_circle(x, y, one(0.5)), np.pi / 4)  # the whole circle
    # By hand, radius 1.2 about a square of half side 1: circle less four segments of half angle
    # acos(1 / 1.2): pi 1.44 - 4 (1.44 acos(1/1.2) - sqrt(1.44 - 1)).
    cut = 1.44 * np.arccos(1 / 1.2) - np.sqrt(1.44 - 1)
    assert_allclose(area_in_circle(x, y, one(1.2)), np.pi * 1.44 - 4 * cut, rtol=1e-12)


def test_beside_the_circle_nothing_is_shared() -> None:
    x, y = SQUARE
    assert_allclose(area_in_circle(x + 5, y + 1, one(2.0)), 0, atol=1e-12)


def test_the_way_round_does_not_matter() -> None:
    x, y = SQUARE
    back = x[:, ::-1] + 0.4, y[:, ::-1] - 0.3
    assert_allclose(area_in_circle(*back, one(1.1)), area_in_circle(x + 0.4, y - 0.3, one(1.1)))
    assert_allclose(area(*back), 4)
    assert_allclose(np.array(centroid(*back)).ravel(), [0.4, -0.3])


def test_a_corner_in_the_middle_and_a_side_through_it() -> None:
    # A quarter and a half of the circle.
    x, y = np.array([[0.0, 9, 9, 0]]), np.array([[0.0, 0, 9, 9]])
    assert_allclose(area_in_circle(x, y, one(2.0)), np.pi, rtol=1e-12)
    assert_allclose(area_in_circle(x - np.array([[9.0, 0, 0, 9]]), y, one(2.0)), 2 * np.pi)


def test_centres_by_hand() -> None:
    # A right triangle's centre is the mean of its corners; an L of squares 2 x 2 and 1 x 1.
    x, y = np.array([[0.0, 3, 0]]), np.array([[0.0, 0, 6]])
    assert_allclose(np.array(centroid(x, y)).ravel(), [1, 2])
    x, y = np.array([[0.0, 3, 3, 2, 2, 0]]), np.array([[0.0, 0, 1, 1, 2, 2]])
    assert_allclose(np.array(centroid(x, y)).ravel(), [(4 * 1 + 2.5) / 5, (4 * 1 + 0.5) / 5])


@given(
    seed=st.integers(0, 10_000), corners=st.integers(3, 9), radius=st.floats(0.2, 3.0),
    x0=st.floats(-3, 3), y0=st.floats(-3, 3),
)  # fmt: skip
def test_any_star_shape_as_shapely_has_it(
    seed: int, corners: int, radius: float, x0: float, y0: float
) -> None:
    rng = np.random.default_rng(seed)
    turns = np.sort(rng.uniform(0, 2 * np.pi, corners))
    reach = rng.uniform(0.3, 2.5, corners)
    x, y = x0 + reach * np.cos(turns), y0 + reach * np.sin(turns)
    shape = Polygon(np.stack([x, y], axis=1))
    if not shape.is_valid:
        return
    circle = Point(0, 0).buffer(radius, quad_segs=2048)
    found = area_in_circle(x[None], y[None], one(radius))[0]
    assert found == pytest.approx(shape.intersection(circle).area, abs=1e-5)
    assert area(x[None], y[None])[0] == pytest.approx(shape.area)
    if shape.area > 1e-3:
        middle = np.array(centroid(x[None], y[None])).ravel()
        assert_allclose(middle, [shape.centroid.x, shape.centroid.y], atol=1e-7)


def test_many_at_once_are_as_each_by_itself() -> None:
    rng = np.random.default_rng(3)
    x, y = (side + rng.normal(0, 0.2, (50, 4)) for side in SQUARE)
    radius = rng.uniform(0.5, 1.5, 50)
    alone = [area_in_circle(x[k : k + 1], y[k : k + 1], radius[k : k + 1])[0] for k in range(50)]
    assert_allclose(area_in_circle(x, y, radius), alone)
