"""Arcs and the pieces of them that show."""

import numpy as np
import pytest

from annotate.arcs import along, best_piece
from annotate.polar import Frame, tilt_of
from tests.annotate.arcs_by_hand import BACK, FRAME


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
