import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from PIL import Image

from annotate.errors import BadMark
from annotate.marks import (
    Area,
    Chessboard,
    Ellipse,
    KnownDistance,
    Layer,
    Point,
    Rim,
    from_corner_px,
    rescaled_px,
    to_corner_px,
)
from annotate.quantity import Quantity

coordinates = st.floats(-1e5, 1e5)


def test_the_centre_of_the_first_pixel_is_half_a_pixel_from_the_corner() -> None:
    assert to_corner_px(0.0) == 0.5
    assert from_corner_px(0.0) == -0.5


@given(x=coordinates)
def test_corner_and_centre_coordinates_are_inverse(x) -> None:
    assert_allclose(from_corner_px(to_corner_px(x)), x, atol=1e-9)


@given(x=coordinates, factor=st.floats(0.05, 20))
def test_rescaling_there_and_back_is_nothing(x, factor) -> None:
    assert_allclose(rescaled_px(rescaled_px(x, factor), 1 / factor), x, atol=1e-6)


def test_a_mark_stays_on_its_edge_when_the_picture_is_halved() -> None:
    # A step between columns 39 and 40: at 39.5 by pixel centres.
    picture = np.zeros((20, 80), dtype=np.uint8)
    picture[:, 40:] = 200
    half = np.asarray(Image.fromarray(picture).resize((40, 10), Image.Resampling.BOX))
    row = half[5].astype(float)
    step = float(np.argmax(np.diff(row))) + 0.5
    assert rescaled_px(39.5, 0.5) == step


@pytest.mark.parametrize("bad", [float("nan"), float("inf"), -float("inf")])
def test_a_point_that_is_nowhere_cannot_exist(bad) -> None:
    for pair in ((bad, 0.0), (0.0, bad)):
        with pytest.raises(BadMark):
            Point(*pair)


@pytest.mark.parametrize(
    ("major", "minor"),
    [(1.0, 2.0), (1.0, 0.0), (1.0, -1.0), (float("inf"), 1.0), (float("nan"), 1.0)],
)
def test_an_ellipse_without_extent_or_order_cannot_exist(major, minor) -> None:
    with pytest.raises(BadMark):
        Ellipse(0.0, 0.0, major, minor, 0.0)


def test_an_ellipse_nowhere_or_with_no_direction_cannot_exist() -> None:
    for values in (
        (float("nan"), 0, 2, 1, 0),
        (0, float("inf"), 2, 1, 0),
        (0, 0, 2, 1, float("nan")),
    ):
        with pytest.raises(BadMark):
            Ellipse(*values)


def test_a_round_ellipse_may_exist() -> None:
    assert Ellipse(0, 0, 2.0, 2.0, 0).semi_minor == 2.0


@pytest.mark.parametrize("sigma", [0.0, -0.1, float("inf"), float("nan")])
def test_a_rim_owns_an_uncertainty(sigma) -> None:
    with pytest.raises(BadMark):
        Rim("near", ((1.0, 2.0),), sigma)


def test_a_rims_points_are_finite_and_come_as_an_array() -> None:
    with pytest.raises(BadMark):
        Rim("near", ((1.0, float("nan")),), 0.5)
    assert Rim("far", ((1.0, 2.0), (3.0, 4.0)), 0.5).array_px().tolist() == [[1, 2], [3, 4]]
    assert Rim("far", (), 0.5).array_px().shape == (0, 2)


def test_a_scale_needs_two_different_points() -> None:
    with pytest.raises(BadMark):
        KnownDistance(Point(1, 2), Point(1, 2), Quantity(5.0, "mm"))


def test_a_chessboard_counts_its_corners() -> None:
    with pytest.raises(BadMark):
        Chessboard(((0.0, 0.0),) * 11, 4, 3, Quantity(5.0, "mm"))
    assert len(Chessboard(((0.0, 0.0),) * 12, 4, 3, Quantity(5.0, "mm")).corners_px) == 12


def test_an_area_has_three_corners_at_least() -> None:
    with pytest.raises(BadMark):
        Area(((0.0, 0.0), (1.0, 1.0)))
    assert len(Area(((0.0, 0.0), (1.0, 1.0), (0.0, 1.0))).corners_px) == 3


@pytest.mark.parametrize("size", [(0, 10), (10, 0), (-1, 10)])
def test_a_layer_has_a_picture(size) -> None:
    with pytest.raises(BadMark):
        Layer(*size)


def test_the_last_rim_of_a_kind_counts() -> None:
    first, last, far = (Rim(w, ((1.0, s),), 0.5) for w, s in (("near", 1), ("near", 2), ("far", 3)))
    layer = Layer(100, 80, (first, far, last))
    assert layer.rim("near") is last
    assert layer.rim("far") is far
    assert layer.rim("back") is None
