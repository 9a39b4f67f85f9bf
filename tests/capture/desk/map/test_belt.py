"""The belt round what a cover will hide, held to an independent geometry library."""

from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import MultiPoint, Point, Polygon

from capture.desk.map.belt import belts_round, hull

PAIRS = st.tuples(st.integers(0, 900), st.integers(0, 500))


@given(places=st.lists(PAIRS, min_size=1, max_size=12))
def test_a_belt_is_the_widened_convex_hull(places) -> None:
    (outline,) = belts_round(places, (), 40.0)
    drawn = Polygon(outline)
    truth = MultiPoint(places).convex_hull.buffer(40.0, quad_segs=64)
    # Round corners are drawn in steps of ten degrees: 1 - cos(5 degrees) of the radius is lost.
    assert drawn.is_valid
    assert drawn.area == pytest.approx(truth.area, rel=0.01)
    assert drawn.symmetric_difference(truth).area < 0.02 * truth.area
    assert all(drawn.contains(Point(place)) for place in places)


@given(places=st.lists(PAIRS, min_size=1, max_size=6), others=st.lists(PAIRS, max_size=4))
def test_nobody_else_is_inside_a_belt_unless_as_close_as_its_own_radius(places, others) -> None:
    belts = [Polygon(outline) for outline in belts_round(places, others, 40.0)]
    for other in others:
        for belt in belts:
            near = min(Point(other).distance(Point(place)) for place in places)
            assert not belt.contains(Point(other)) or near < 40.0


@given(places=st.lists(PAIRS, min_size=3, max_size=20))
def test_the_hull_has_the_corners_of_the_library_s(places) -> None:
    truth = MultiPoint(places).convex_hull
    corners = hull(places)
    if len(corners) > 2:
        assert Polygon(corners).equals(truth)
    else:
        assert truth.area == 0


def test_one_place_has_a_round_belt_and_none_has_none() -> None:
    (outline,) = belts_round([(100.0, 100.0)], (), 40.0)
    assert Polygon(outline).area == pytest.approx(pi * 40**2, rel=0.01)
    assert belts_round([], [(1.0, 1.0)], 40.0) == ()
