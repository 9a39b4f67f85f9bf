"""The ellipse through a rim's points, and points thinned, against ellipses written down."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from annotate.marks import Point, Rim
from annotate.pixels.placing import Placed
from annotate.pixels.rim_points import as_rim, frame_through


def ellipse(count: int, off_px: float = 0.0) -> "np.ndarray[tuple[int, int], np.dtype[np.float64]]":
    """Return points of the ellipse with half axes 90 and 60 px, turned by 30 degrees."""
    t = 2 * np.pi * np.arange(count) / count
    x, y = (90 + off_px) * np.cos(t), (60 + off_px) * np.sin(t)
    turn = np.radians(30)
    return np.stack(
        [200 + x * np.cos(turn) - y * np.sin(turn), 150 + x * np.sin(turn) + y * np.cos(turn)], 1
    )


def rim(points: "np.ndarray[tuple[int, int], np.dtype[np.float64]]") -> Rim:
    return Rim("near", tuple(map(tuple, points.tolist())), 0.3, "hand")


@pytest.mark.parametrize("count", [5, 6, 12, 120])
def test_an_ellipse_is_the_unit_circle_of_its_frame(count: int) -> None:
    frame = frame_through(rim(ellipse(count)))
    assert frame is not None
    assert_allclose([frame.cx, frame.cy], [200, 150], atol=0.01)
    radii = np.hypot(*frame.to_unit(ellipse(77)).T)
    assert_allclose(radii, 1, atol=2e-4)


def test_a_few_points_elsewhere_do_not_move_the_frame() -> None:
    points = ellipse(60)
    points[3:9] = ellipse(60, 12.0)[3:9]
    frame = frame_through(rim(points))
    assert frame is not None
    assert_allclose(np.hypot(*frame.to_unit(ellipse(77)).T), 1, atol=0.01)


def test_four_points_make_no_frame() -> None:
    assert frame_through(rim(ellipse(4))) is None


def test_points_are_thinned_evenly_and_the_rest_is_kept() -> None:
    placed = Placed(ellipse(100), 0.4, 0.9)
    told = as_rim("far", placed, 12, Point(3.0, 4.0))
    assert (told.which, told.sigma_px, told.placed, told.seed) == ("far", 0.4, "found", Point(3, 4))
    assert len(told.points_px) == 12
    assert_allclose(told.points_px, placed.points[np.linspace(0, 99, 12).astype(int)])
    assert len(as_rim("far", placed, 200, None).points_px) == 100
