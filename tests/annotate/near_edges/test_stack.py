"""Edges of one hole taken together, on drawings known exactly."""

import numpy as np
import pytest

from annotate.near_edges.rings import Ring
from annotate.near_edges.stack import Stack, drilled_of
from annotate.near_edges.track import stacked_ring
from annotate.pixels.halvings import pyramid
from annotate.pixels.polar import Array, frame_of
from annotate.wall_hint import WallHint
from tests.annotate.holes_drawn import Drawn, but

PLAIN = Drawn(width=440, height=440, centre=(219.3, 216.6), radius_px=120.0, far=None)
THICK = 0.45  # near radii


def tilted(squash: float, lean: float, chamfer: float) -> Drawn:
    """Return a hole in a wall 0.45 near radii thick, seen from afar."""
    tangent = float(np.sqrt(1 - squash**2) / squash)
    back = (lean * THICK * tangent, 0.0, 0.985)
    return but(PLAIN, squash=squash, back=back, chamfer=chamfer)


def ring_of(drawn: Drawn, x: float, y: float, radius: float, support: float = 0.8) -> Ring:
    """Return the ring that lies exactly on a circle of a drawing's unit frame."""
    middle = drawn.to_px(np.array([x, y]))
    axes = (drawn.radius_px * drawn.squash * radius, drawn.radius_px * radius)
    turn = float(np.radians(drawn.turn_deg))
    return Ring(frame_of(float(middle[0]), float(middle[1]), axes, turn), support)


def off_px(drawn: Drawn, ring: Ring) -> Array:
    turn = np.linspace(0, 2 * np.pi, 90, endpoint=False)
    points = ring.frame.to_px(np.stack([np.cos(turn), np.sin(turn)], axis=-1))
    return np.abs(drawn.off_px(points, (0.0, 0.0, 1.0)))


def hint(drawn: Drawn) -> WallHint:
    # The back edge is drawn 0.985 large: that is the focal length at which it looks so.
    return WallHint(THICK, 0.01, THICK * drawn.radius_px / 0.015)


def stack_of(drawn: Drawn, rings: list[Ring], known: WallHint | None) -> Stack:
    outer = max(rings, key=lambda r: r.frame.radius_px)
    stack = drilled_of(pyramid(drawn.picture()), rings, outer, known)
    assert stack is not None
    return stack


@pytest.mark.parametrize("lean", [1.0, -1.0])
@pytest.mark.parametrize("squash", [0.82, 0.92, 0.96])
@pytest.mark.parametrize("chamfer", [0.05, 0.1, 0.18])
@pytest.mark.parametrize("typed", [True, False])
def test_drilled_edge_is_told_from_the_top_of_its_chamfer(
    lean: float, squash: float, chamfer: float, typed: bool
) -> None:
    drawn = tilted(squash, lean, chamfer)
    top = ring_of(drawn, *drawn.chamfer_top(), 1 + chamfer)
    stack = stack_of(drawn, [top, ring_of(drawn, 0, 0, 1)], hint(drawn) if typed else None)
    # The two edges of the narrowest come within two pixels on one side: each is drawn to the other.
    assert off_px(drawn, stack.ring).max() < (0.6 if chamfer > 0.05 else 1.3)
    assert stack.chamfer == pytest.approx(chamfer, abs=0.01)


@pytest.mark.parametrize("lean", [1.0, -1.0])
@pytest.mark.parametrize("squash", [0.82, 0.92])
def test_drilled_edge_is_found_from_the_top_of_its_chamfer_alone(
    lean: float, squash: float
) -> None:
    drawn = tilted(squash, lean, 0.1)
    top = ring_of(drawn, *drawn.chamfer_top(), 1.1)
    stack = stack_of(drawn, [top], hint(drawn))
    assert off_px(drawn, stack.ring).max() < 0.6


@pytest.mark.parametrize("squash", [0.86, 0.95])
def test_own_far_edge_is_not_taken_for_the_drilled_edge(squash: float) -> None:
    drawn = tilted(squash, 1.0, 0.0)
    assert drawn.back is not None
    stack = stack_of(drawn, [ring_of(drawn, 0, 0, 1), ring_of(drawn, *drawn.back, 0.9)], None)
    assert off_px(drawn, stack.ring).max() < 0.5
    assert stack.chamfer == 0


def square_on(inner: float) -> Drawn:
    """Return two rings round each other as a hole seen squarely shows them."""
    return but(PLAIN, squash=1.0, back=(0.0, 0.0, inner))


def test_a_far_edge_where_it_is_foretold_bears_the_drilled_edge_out() -> None:
    drawn = tilted(0.88, 1.0, 0.0)
    with_edge = stack_of(drawn, [ring_of(drawn, 0, 0, 1)], hint(drawn))
    bare = but(drawn, back=None)
    without = stack_of(bare, [ring_of(bare, 0, 0, 1)], hint(bare))
    assert with_edge.ring.borne_out
    assert not without.ring.borne_out
    assert with_edge.strength > without.strength + 0.05


def test_wall_and_lens_tell_which_of_two_rings_is_the_drilled_edge() -> None:
    drawn = square_on(0.95)
    rings = [ring_of(drawn, 0, 0, 1), ring_of(drawn, 0, 0, 0.95, 0.7)]
    near = stack_of(drawn, rings, WallHint(THICK, 0.01, THICK * drawn.radius_px / 0.05))
    assert off_px(drawn, near.ring).max() < 0.5
    assert near.chamfer == 0
    # From far away the same wall looks hardly smaller: the inner ring is the drilled edge.
    inner = stack_of(drawn, rings, WallHint(THICK, 0.01, THICK * drawn.radius_px / 0.006))
    assert off_px(drawn, inner.ring).min() > 5
    assert inner.chamfer == pytest.approx(1 / 0.95 - 1, abs=0.01)


def test_two_rings_that_nothing_tells_apart_are_a_doubt() -> None:
    drawn = square_on(0.95)
    rings = [ring_of(drawn, 0, 0, 1), ring_of(drawn, 0, 0, 0.95, 0.7)]
    unknown = stack_of(drawn, rings, None)
    assert unknown.ring.doubt_px > 1.0


def test_no_ring_makes_no_stack() -> None:
    levels = pyramid(PLAIN.picture())
    faint = ring_of(PLAIN, 0, 0, 1, 0.2)
    assert drilled_of(levels, [faint], faint, None) is None
    flat = pyramid(np.full((300, 300), 90, np.uint8))
    assert stacked_ring(flat, np.array([150.0, 150.0]), None) is None
