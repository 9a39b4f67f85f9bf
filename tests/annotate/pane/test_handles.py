import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from annotate.errors import BadMark
from annotate.marks import (
    Angle,
    Area,
    Chessboard,
    Diameter,
    Distance,
    FarUnseen,
    KnownCircle,
    KnownDistance,
    Marker,
    Note,
    Point,
    Rim,
)
from annotate.pane.handles import (
    ARC_HANDLES,
    HAND_SIGMA_PX,
    RIM_HANDLES,
    bent,
    handle_points,
    inside,
    moved,
    rim_handles,
    ring_of,
)
from annotate.quantity import Quantity
from capture.layers import HAND_SIGMA_PX as HAND_SIGMA_ELSEWHERE
from tests.annotate.pane.rims_drawn import far_rim, layer, near_rim

MM = Quantity(10.0, "mm", 0.01)
moves = st.floats(-80, 80)


def test_a_hand_is_as_sure_here_as_where_layers_are_made() -> None:
    assert HAND_SIGMA_PX == HAND_SIGMA_ELSEWHERE


def test_a_found_rim_has_eight_handles_evenly_round_it() -> None:
    picked = rim_handles(near_rim(120))
    assert len(picked) == RIM_HANDLES
    turns = np.sort(np.array(picked)) * 3.0
    steps = np.diff(np.append(turns, turns[0] + 360))
    # Even along the edge, so up to a fifth uneven in the ellipse's own angle.
    assert steps.min() > 30
    assert steps.max() < 60


def test_a_rim_seen_in_part_has_a_handle_at_each_end() -> None:
    rim = far_rim(60)
    picked = rim_handles(rim)
    assert len(picked) == ARC_HANDLES
    assert {0, 59} <= set(picked)


def test_a_rim_of_few_points_has_a_handle_at_each() -> None:
    assert sorted(rim_handles(near_rim(7))) == list(range(7))
    assert rim_handles(Rim("near", (), 1.0)) == ()


@given(shuffled=st.permutations(range(30)))
def test_the_order_round_the_edge_does_not_depend_on_the_order_given(shuffled) -> None:
    points = far_rim(30).array_px()
    ring = ring_of(points[list(shuffled)])
    order = [shuffled[k] for k in ring.order]
    assert not ring.closed
    assert order in (list(range(30)), list(range(29, -1, -1)))


@given(handle=st.integers(0, RIM_HANDLES - 1), dx=moves, dy=moves)
def test_a_handle_carries_its_points_and_leaves_its_neighbours(handle, dx, dy) -> None:
    rim = near_rim(120)
    picked = rim_handles(rim)
    before, after = rim.array_px(), bent(rim, picked, handle, (dx, dy)).array_px()
    by = after - before
    assert by[picked[handle]] == pytest.approx([dx, dy])
    for k, other in enumerate(picked):
        if k != handle:
            assert by[other] == pytest.approx([0, 0], abs=1e-9)
    share = by @ np.array([dx, dy]) / max(dx * dx + dy * dy, 1e-12)
    assert (share >= -1e-9).all()
    assert (share <= 1 + 1e-9).all()
    # Smooth: falling all the way to the neighbours, and no kink where it begins or ends.
    if abs(dx) + abs(dy) > 1:
        place = picked[handle]
        right = np.array([share[(place + k) % 120] for k in range(14)])
        assert (np.diff(right) <= 1e-9).all()
        assert np.abs(np.diff(right, 2)).max() < 0.05


@given(handle=st.integers(0, ARC_HANDLES - 1), dx=moves, dy=moves)
def test_the_end_of_an_arc_moves_like_any_handle(handle, dx, dy) -> None:
    rim = far_rim(60)
    picked = rim_handles(rim)
    by = bent(rim, picked, handle, (dx, dy)).array_px() - rim.array_px()
    assert by[picked[handle]] == pytest.approx([dx, dy])
    others = [p for k, p in enumerate(picked) if k != handle]
    assert by[others] == pytest.approx(np.zeros((len(others), 2)), abs=1e-9)


def test_the_weight_half_way_to_a_neighbour_is_a_half() -> None:
    """cos^2(45 degrees), on a circle so that half the points are half the way."""
    turns = np.radians(np.arange(128) * 360 / 128)
    points = np.column_stack([300 + 100 * np.cos(turns), 300 + 100 * np.sin(turns)])
    rim = Rim("near", tuple(map(tuple, points.tolist())), 0.5, "found")
    picked = rim_handles(rim)
    by = bent(rim, picked, 2, (10.0, 0.0)).array_px() - points
    here = picked[2]
    assert by[(here + 8) % 128, 0] == pytest.approx(5.0, abs=0.05)
    assert by[(here - 8) % 128, 0] == pytest.approx(5.0, abs=0.05)


def test_a_moved_rim_says_that_a_hand_moved_it() -> None:
    sure, unsure = near_rim(60), Rim("near", near_rim(60).points_px, 2.5, "found", Point(1, 1))
    for rim, sigma in ((sure, 1.0), (unsure, 2.5)):
        after = bent(rim, rim_handles(rim), 0, (0.1, 0.0))
        assert (after.placed, after.sigma_px, after.seed) == ("hand", sigma, None)


@pytest.mark.parametrize(
    "mark",
    [
        Distance(Point(1, 2), Point(3, 4)),
        KnownDistance(Point(1, 2), Point(3, 4), MM),
        Angle(Point(0, 0), Point(5, 1), Point(1, 5)),
        Note(Point(8, 9), "burr"),
        KnownCircle(((0.0, 0.0), (1.0, 0.0), (0.0, 1.0)), MM),
        Diameter(((0.0, 0.0), (1.0, 0.0), (0.0, 1.0))),
        Area(((0.0, 0.0), (1.0, 0.0), (0.0, 1.0))),
    ],
)
def test_each_point_of_a_mark_can_be_moved_and_only_that(mark) -> None:
    before = handle_points(mark)
    assert before
    for k in range(len(before)):
        after = handle_points(moved(mark, k, (50.5, 60.25)))
        assert after[k] == (50.5, 60.25)
        assert after[:k] + after[k + 1 :] == before[:k] + before[k + 1 :]


@pytest.mark.parametrize(
    "mark",
    [
        FarUnseen("open"),
        Marker(((0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)), MM, 3),
        Chessboard(((0.0, 0.0), (1.0, 0.0), (0.0, 1.0), (1.0, 1.0)), 2, 2, MM),
    ],
)
def test_a_found_target_has_nothing_to_take_hold_of(mark) -> None:
    assert handle_points(mark) == ()


def test_a_scale_cannot_lose_its_length() -> None:
    with pytest.raises(BadMark):
        moved(KnownDistance(Point(1, 2), Point(3, 4), MM), 0, (3, 4))


@given(x=st.floats(-1e4, 1e4), y=st.floats(-1e4, 1e4))
def test_nothing_is_placed_beyond_the_last_pixel(x, y) -> None:
    kept = inside(layer(), (x, y))
    assert -0.5 <= kept[0] <= 799.5
    assert -0.5 <= kept[1] <= 599.5
    if -0.5 <= x <= 799.5 and -0.5 <= y <= 599.5:
        assert kept == (x, y)
