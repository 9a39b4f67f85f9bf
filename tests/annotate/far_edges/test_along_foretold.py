"""The near hole's own far edge along the circles that a typed wall foretells, on drawn tones.

Nothing but exact circles: what is drawn is what has to be found.
"""

import numpy as np
import numpy.typing as npt
import pytest

from annotate.far_edges import own_edge
from annotate.far_edges.back_edge import backs
from annotate.far_edges.own_edge import along_foretold
from annotate.far_edges.rough_arcs import Patch
from annotate.pixels.polar import frame_of
from annotate.wall_hint import WallHint
from tests.annotate.far_edges.arcs_by_hand import ANY_WALL, TOLD

HALF, SIDE = 130.0, 339
AXIS = (np.arange(SIDE) - (SIDE - 1) / 2) / HALF
X, Y = np.meshgrid(AXIS, AXIS)
EDGE = (0.216, 0.0, 0.972)  # the middle of the circles of one lean of TOLD; -0.216 of the other's
Image = npt.NDArray[np.float64]


def step(circle: tuple[float, float, float], half_deg: float, size: float) -> Image:
    """Return a step of tone outside a circle, within so many degrees of its crescent's middle."""
    x, y, radius = circle
    away = np.arctan2(Y - y, (X - x) * -np.sign(x))
    soft = np.clip((np.hypot(X - x, Y - y) - radius) * HALF + 0.5, 0, 1)  # over one pixel
    return np.asarray(size * soft * (np.abs(away) < np.radians(half_deg)))


def seen(*steps: Image) -> Patch:
    grain = np.random.default_rng(5).normal(0, 2, X.shape)
    return Patch((60.0 + sum(steps, grain)).astype(np.float32), HALF)


@pytest.mark.parametrize("side", [1, -1])
def test_an_edge_on_a_foretold_circle_is_found(side: int) -> None:
    edge = side * EDGE[0], EDGE[1], EDGE[2]
    found = along_foretold(seen(step(edge, 50, 60.0)), TOLD)
    assert found is not None
    # Of a piece of a hundred degrees the middle is told; a circle moved and made larger is as good.
    middle = found.x - np.sign(edge[0]) * found.radius
    assert middle == pytest.approx(edge[0] - np.sign(edge[0]) * edge[2], abs=0.01)
    assert found.contrast > 40


def test_a_shadow_beside_it_does_not_pull_it_off() -> None:
    """A circle that may lie anywhere would run half along the one and half along the other."""
    shadow = step((0.1, 0.25, 0.9), 65, -50.0) * (Y > 0.35)
    found = along_foretold(seen(step(EDGE, 50, 60.0), shadow), TOLD)
    assert found is not None
    assert found.x - found.radius == pytest.approx(EDGE[0] - EDGE[2], abs=0.01)


def test_of_one_edge_for_each_lean_neither_is_taken() -> None:
    both = step(EDGE, 50, 60.0), step((-EDGE[0], 0.0, EDGE[2]), 50, 60.0)
    assert along_foretold(seen(*both), TOLD) is None
    # Half a piece is a rival no more, three quarters are one.
    for half_deg, taken in ((25, True), (38, False)):
        less = step(EDGE, 50, 60.0), step((-EDGE[0], 0.0, EDGE[2]), half_deg, 60.0)
        assert (along_foretold(seen(*less), TOLD) is not None) is taken


def test_a_short_piece_or_none_is_no_edge() -> None:
    assert along_foretold(seen(), TOLD) is None
    assert along_foretold(seen(step(EDGE, 12, 60.0)), TOLD) is None


def test_without_a_typed_wall_it_is_not_asked() -> None:
    assert along_foretold(seen(step(EDGE, 50, 60.0)), ANY_WALL) is None


def test_nor_where_the_hole_is_seen_so_squarely_that_it_may_be_anywhere() -> None:
    square = backs(
        frame_of(300.0, 200.0, (99.9, 100.0), 0.0), WallHint(1.5, 0.2, 1540.0), (400, 600)
    )
    flat = seen(step(EDGE, 50, 60.0))
    assert own_edge._best_along(flat, square.leans[0]) is None
    assert along_foretold(flat, square) is None
