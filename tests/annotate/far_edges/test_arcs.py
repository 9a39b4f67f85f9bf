"""Arcs and the pieces of them that show."""

import cv2
import numpy as np
import pytest

from annotate.far_edges.arcs import along, arcs, best_piece, piece_of
from annotate.far_edges.rough_arcs import Patch
from annotate.pixels.polar import Frame, tilt_of
from tests.annotate.far_edges.arcs_by_hand import BACK, FRAME


def test_tilt_bounds_hold_the_true_tangent_and_its_direction() -> None:
    tilt = tilt_of(FRAME)
    assert tilt.least < np.tan(np.radians(25)) < tilt.most
    assert abs(tilt.along[0]) == pytest.approx(1.0)
    assert tilt_of(Frame(0.0, 0.0, (50.0, 0.0, 0.0, 50.0))).least == 0.0


def test_distance_along_an_arc_is_that_of_its_piece() -> None:
    circles = np.array([[BACK.x, BACK.y, BACK.radius], [BACK.x, BACK.y, BACK.radius + 0.1]])
    assert along(BACK, circles) == pytest.approx([0.0, 0.1])


@pytest.mark.parametrize(
    ("gain", "closed", "piece"),
    [
        ([-1, 2, 3, -1, 1, -9], False, (1, 3, 5.0)),
        ([2, -5, 1, 3], False, (2, 4, 4.0)),
        ([2, -5, 1, 3], True, (2, 5, 6.0)),
        ([-1, -2], False, (0, 0, 0.0)),
        ([1, 1, 1], True, (0, 3, 3.0)),
    ],
)
def test_best_piece_is_the_run_of_greatest_sum(
    gain: list[float], closed: bool, piece: tuple[int, int, float]
) -> None:
    assert best_piece(np.array(gain, float), closed) == piece


def test_beyond_a_circle_that_is_looked_through_nothing_is_an_arc() -> None:
    half = 130.0
    axis = np.arange(-169, 170) / half
    x, y = np.meshgrid(axis, axis)
    grey = np.full(x.shape, 160.0)
    front, behind = (-0.2, 0.0, 0.97), (0.5, 0.7, 1.1)
    through = np.hypot(x - front[0], y - front[1]) < front[2]
    grey[through] = 90.0
    grey[through & (np.hypot(x - behind[0], y - behind[1]) < behind[2])] = 60.0
    grey += np.random.default_rng(2).normal(0, 2, grey.shape)
    soft = cv2.GaussianBlur(grey.astype(np.float32), (0, 0), 1.0)
    whole, inner = Patch(soft, half), Patch(soft, half, (*front[:2], front[2] - 0.03))
    assert along(arcs(whole)[0], np.array([front]))[0] < 0.01
    assert along(arcs(inner)[0], np.array([behind]))[0] < 0.01
    for arc in arcs(inner):
        assert inner.shows(piece_of(arc)).mean() > 0.8
