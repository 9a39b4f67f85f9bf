"""A hole that the picture's border cuts is told from a whole one: drawings known exactly."""

import numpy as np
import pytest

from annotate.edges import NotFound, Rims, find_rims
from annotate.marks import Point
from annotate.near_edges.border import border_gap, larger_cut, may_cut
from annotate.pixels.halvings import pyramid
from annotate.pixels.polar import Frame, frame_of
from tests.annotate.holes_drawn import Drawn, but

# A bright face, a pale wall and a dark far hole that lies whole inside the near one.
TWO = but(Drawn(), face=150.0, wall=110.0, behind=110.0, back=None, far=(0.1, 0.05, 0.55))


def cut(drawn: Drawn, left: float) -> Drawn:
    """Return a drawing whose near rim leaves the picture on the left by ``left`` of its radius."""
    reach = drawn.radius_px * drawn.squash
    return but(drawn, turn_deg=0.0, centre=((1 - left) * reach, drawn.centre[1]))


def inner(drawn: Drawn) -> Frame:
    """Return the far rim of a drawing, which a search may take for the near one."""
    assert drawn.far is not None
    middle = drawn.to_px(np.array(drawn.far[:2]))
    axes = np.array([drawn.squash, 1.0]) * drawn.radius_px * drawn.far[2]
    return frame_of(*middle.tolist(), (float(axes[0]), float(axes[1])), 0.0)


def near(drawn: Drawn) -> Frame:
    axes = (drawn.radius_px * drawn.squash, drawn.radius_px)
    return frame_of(*drawn.centre, axes, np.radians(drawn.turn_deg))


def click_in(drawn: Drawn) -> Point:
    assert drawn.far is not None
    x, y = drawn.to_px(np.array(drawn.far[:2]))
    return Point(float(x), float(y))


@pytest.mark.parametrize("left", [0.1, 0.2, 0.3])
def test_a_whole_ring_inside_one_that_is_cut_is_told(left: float) -> None:
    drawn = cut(TWO, left)
    levels = pyramid(drawn.picture())
    assert larger_cut(levels, inner(drawn)) > 0.8
    assert may_cut(levels, inner(drawn))


@pytest.mark.parametrize("room", [0.1, 0.2, 0.3])
def test_a_whole_ring_beside_the_border_is_none(room: float) -> None:
    drawn = cut(TWO, -room)
    levels = pyramid(drawn.picture())
    assert border_gap(levels, near(drawn)) == pytest.approx(room, abs=0.04)
    assert not may_cut(levels, near(drawn))
    assert isinstance(find_rims(drawn.picture(), click_in(drawn)), Rims)


@pytest.mark.parametrize("left", [-0.015, 0.0, 0.015])
def test_a_ring_that_touches_the_border_is_not_believed(left: float) -> None:
    drawn = cut(TWO, left)
    assert may_cut(pyramid(drawn.picture()), near(drawn))
    refusal = find_rims(drawn.picture(), click_in(drawn))
    assert isinstance(refusal, NotFound)
    assert refusal.reason == "the picture's border cuts the hole off, or may"


@pytest.mark.parametrize("side", ["left", "right", "top", "bottom"])
def test_the_gap_is_to_the_nearest_side(side: str) -> None:
    levels = pyramid(np.zeros((100, 200), np.uint8))
    x, y = {"left": (24.5, 50), "right": (174.5, 50), "top": (99, 24.5), "bottom": (99, 74.5)}[side]
    assert border_gap(levels, Frame(x, y, (20.0, 0.0, 0.0, 20.0))) == pytest.approx(0.25, abs=1e-3)


def test_no_ring_is_larger_where_the_face_is_bare() -> None:
    drawn = cut(but(TWO, radius_px=40.0, far=None, opening=110.0), -0.2)
    assert larger_cut(pyramid(drawn.picture()), near(drawn)) < 0.55


def test_far_from_the_border_nothing_larger_is_asked(monkeypatch: pytest.MonkeyPatch) -> None:
    def none_of_it(*_: object, **__: object) -> float:
        raise AssertionError("asked for a larger ring")

    monkeypatch.setattr("annotate.near_edges.border.larger_cut", none_of_it)
    drawn = cut(but(TWO, radius_px=40.0), -1.8)
    assert not may_cut(pyramid(drawn.picture()), near(drawn))
