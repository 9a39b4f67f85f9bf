"""How arcs lie to each other, by circles whose distances are worked by hand."""

from math import acos, cos, pi, sqrt

import pytest
from msgspec import structs
from numpy.testing import assert_allclose

from annotate.far_edges.arcs import Arc
from annotate.far_edges.nested import circle_of, is_farther_out, off, outside, sharp, shown, within
from annotate.far_edges.rough_arcs import INNER

# A point at angle t of the unit circle lies sqrt(1.25 - cos t) from (0.5, 0), by the law of
# cosines: plainly within one near radius of it (0.98 or less) up to IN, plainly not from OUT on.
MOVED = (0.5, 0.0, 1.0)
IN, OUT = acos(1.25 - 0.98**2), acos(1.25 - 1.02**2)
A_POINT = 1 / 15  # an arc's piece is looked at in so many places


def arc(start: float, sweep: float, circle: tuple[float, float, float] = (0.0, 0.0, 1.0)) -> Arc:
    return Arc(*circle, start, sweep, 0.6, 0.8, 30.0, 1.0, 90.0, 120.0, 3.0)


def test_a_circle_a_fiftieth_of_a_radius_off_is_neither_in_nor_out() -> None:
    for apart, inside, beyond in ((-0.021, 0, 1), (-0.019, 0, 0), (0.019, 0, 0), (0.021, 1, 0)):
        circle = (0.0, 0.0, 1.0 + apart)
        assert within(arc(0.3, 2.0), circle) == inside
        assert outside(arc(0.3, 2.0), circle) == beyond
        assert_allclose(off(arc(0.3, 2.0), circle), abs(apart))


@pytest.mark.parametrize("sweep", [1.0, 1.8, 2.5, pi])
def test_of_a_crossing_arc_the_shares_on_either_side_are_told(sweep: float) -> None:
    crossing = arc(0.0, sweep)
    assert_allclose(within(crossing, MOVED), min(1, IN / sweep), atol=A_POINT)
    assert_allclose(outside(crossing, MOVED), max(0, 1 - OUT / sweep), atol=A_POINT)


def test_an_arc_is_off_by_its_middle_distance() -> None:
    # From (0.1, 0) outwards the distance grows with t: halfway along is the median.
    wanted = sqrt(1.01 - 0.2 * cos(2.4)) - 1
    assert_allclose(off(arc(1.9, 1.0), (0.1, 0.0, 1.0)), wanted)
    # About the foot of the y axis both signs are as frequent; what counts is how far.
    assert off(arc(pi / 2 - 0.5, 1.0), (0.1, 0.0, 1.0)) > 0.02
    up = sqrt(1 + 0.3**2 - 2 * 0.3 * cos(pi / 2 - 1.2)) - 1
    assert_allclose(off(arc(0.7, 1.0), (0.0, 0.3, 1.0)), abs(up))


def test_of_two_rings_the_wider_is_farther_out() -> None:
    wide, narrow = arc(1.0, 2.0, (0.1, 0.2, 0.9)), arc(4.0, 1.0, (0.05, 0.15, 0.6))
    assert circle_of(wide) == (0.1, 0.2, 0.9)
    assert is_farther_out(wide, narrow)
    assert not is_farther_out(narrow, wide)
    assert not is_farther_out(wide, wide)


def test_two_circles_that_cross_are_judged_by_the_pieces_that_show() -> None:
    left, right = (-0.5, 0.0, 1.0), (0.5, 0.0, 1.0)
    # Each piece inside the other circle: the lens that they have in common.
    assert not is_farther_out(arc(-0.5, 1.0, left), arc(pi - 0.5, 1.0, right))
    # Each piece outside of the other circle.
    assert not is_farther_out(arc(pi - 0.5, 1.0, left), arc(-0.5, 1.0, right))
    # One piece of each kind.
    assert is_farther_out(arc(pi - 0.5, 1.0, left), arc(pi - 0.5, 1.0, right))


@pytest.mark.parametrize(("share", "more"), [(0.6, True), (0.4, False)])
def test_half_of_a_piece_decides(share: float, more: bool) -> None:
    # Another's piece inside by a share, the arc's own not at all.
    beyond = arc(-0.2, 0.4, MOVED)
    assert is_farther_out(beyond, arc(0.0, IN / share)) == more
    # Another's piece all inside; of the arc's own a share inside the other's circle.
    partly = arc(pi, IN / share, MOVED)
    assert is_farther_out(partly, arc(-0.2, 0.4)) != more


def test_edges_much_softer_than_the_sharpest_are_left_out() -> None:
    edge = structs.replace(arc(0.0, 1.0), width=2.0)
    # 1.6 times 2, and a sample of 0.7 beside.
    some = [structs.replace(edge, width=width) for width in (1.0, 3.85, 3.95, 9.0)]
    assert sharp(some, [edge, structs.replace(edge, width=5.0)]) == some[:2]
    # The arcs that set the measure need not be among those that are looked through.
    dark = structs.replace(edge, contrast=-8.5, worth=0.13)
    assert sharp(some, [dark]) == some[:2]
    assert sharp([], [edge]) == []


@pytest.mark.parametrize("change", [{"worth": 0.11}, {"contrast": 7.5}, {"contrast": -7.5}])
def test_grain_sets_no_measure_of_sharpness(change: dict[str, float]) -> None:
    grain = structs.replace(arc(0.0, 1.0), **{"width": 0.5, **change})
    some = [structs.replace(grain, width=width) for width in (1.0, 3.85, 3.95)]
    edge = structs.replace(arc(0.0, 1.0), width=2.0)
    assert sharp(some, [grain, edge]) == some[:2]
    # Without any edge to measure by, nothing is too soft.
    assert sharp(some, [grain]) == some


def test_of_a_circle_all_that_could_show_is_the_measure_of_what_does() -> None:
    # All of a small circle could show.
    assert_allclose(shown(arc(0.3, 2.0, (0.1, -0.2, 0.5)), None), 2.0 / (2 * pi))
    # Of an equal circle half a radius off the part within INNER of the middle: by the law of
    # cosines |p|^2 = 1.25 + cos t at angle t from the way it was moved.
    could = 2 * (pi - acos(INNER**2 - 1.25))
    assert_allclose(shown(arc(pi - 0.6, 1.2, MOVED), None), 1.2 / could, rtol=0.01)
    # Behind an edge moved as far the other way, which hides all but |p + (0.5, 0)| < 1.
    hides = 2 * (pi - acos(-1.0 + 0.5))
    assert hides < could
    front = (-0.5, 0.0, 1.0)
    assert_allclose(shown(arc(pi - 0.6, 1.2, MOVED), front), 1.2 / hides, rtol=0.01)


def test_what_shows_where_nothing_could_is_all_of_it() -> None:
    assert shown(arc(0.0, 1.0, (0.0, 0.0, 2.0)), None) == 1
    assert shown(arc(0.0, 6.2, (0.1, -0.2, 0.5)), (0.1, -0.2, 0.4)) == 1
