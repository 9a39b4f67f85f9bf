"""Plates hide no place, do not overlap, and their leaders never cross: held to plane geometry."""

from itertools import combinations
from math import hypot

from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Point, Polygon, box

from capture.desk.map.leaders import CLEAR_PX, Box, Plate, laid_out

ROOM = Box(0, 0, 928, 496)
PLACES = st.lists(st.tuples(st.floats(20, 908), st.floats(20, 476)), min_size=1, max_size=24)
SIZES = st.sampled_from([(70.0, 34.0), (208.0, 52.0), (260.0, 52.0)])


def rectangle(plate: Plate) -> Polygon:
    left, top, width, height = plate.box
    return box(left, top, left + width, top + height)


@settings(max_examples=60, deadline=None)
@given(places=PLACES, size=SIZES, clear=st.sampled_from([CLEAR_PX, 46.0]))
def test_plates_lie_in_the_room_clear_of_places_plates_and_leaders(places, size, clear) -> None:
    plates = laid_out(places, [size] * len(places), ROOM, clear=clear)
    assert len(plates) == len(places)
    room = box(0, 0, ROOM.width, ROOM.height)
    placed = [(place, plate) for place, plate in zip(places, plates, strict=True) if plate]
    for place, plate in placed:
        assert room.contains(rectangle(plate))
        assert plate.foot == place
        for other in places:
            assert rectangle(plate).distance(Point(other)) >= clear - 1e-6
    for (one_at, one), (other_at, other) in combinations(placed, 2):
        assert rectangle(one).distance(rectangle(other)) > 0
        leaders = LineString([one.foot, one.end]), LineString([other.foot, other.end])
        if one_at != other_at:
            assert not leaders[0].intersects(leaders[1])
        assert not leaders[0].intersects(rectangle(other))
        assert not leaders[1].intersects(rectangle(one))


@settings(max_examples=60, deadline=None)
@given(places=PLACES)
def test_no_leader_runs_through_somebody_elses_place(places) -> None:
    plates = laid_out(places, [(70.0, 34.0)] * len(places), ROOM)
    for place, plate in zip(places, plates, strict=True):
        if plate is None:
            continue
        for other in places:
            if hypot(other[0] - place[0], other[1] - place[1]) >= 9:
                assert LineString([plate.foot, plate.end]).distance(Point(other)) >= 9 - 1e-6


@settings(max_examples=40, deadline=None)
@given(places=PLACES, size=SIZES)
def test_all_or_none_is_what_it_says(places, size) -> None:
    plates = laid_out(places, [size] * len(places), ROOM, whole=True)
    assert all(plates) or not any(plates)


def test_a_place_alone_has_its_plate_to_the_right_on_a_short_leader() -> None:
    (plate,) = laid_out([(400, 250)], [(208, 52)], ROOM)
    assert plate.box.left > 400
    assert hypot(plate.end[0] - 400, plate.end[1] - 250) < 30


def test_eight_plug_bores_in_two_rows_all_have_full_plates() -> None:
    places = [(200 + 175 * n, y) for n in range(4) for y in (120, 310)]
    plates = laid_out(places, [(208, 52)] * 8, ROOM, whole=True, clear=28)
    assert all(plates)


def test_where_there_is_no_room_there_is_no_plate() -> None:
    assert laid_out([(10, 10)], [(208, 52)], Box(0, 0, 100, 40)) == (None,)
    assert laid_out([], [], ROOM) == ()
