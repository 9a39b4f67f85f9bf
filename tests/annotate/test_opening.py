"""Which arc is which, told by geometry and tone alone: arcs made by hand."""

import numpy as np
import pytest
from msgspec.structs import replace

from annotate.arcs import Arc, along, best_piece
from annotate.opening import back_of, far_of
from annotate.polar import Frame, frame_of, tilt_of

# Seen 25 degrees aslant: the minor axis along x, so depth is seen along x.
FRAME = frame_of(300.0, 200.0, (100.0 * np.cos(np.radians(25)), 100.0), 0.0)
AT = np.array([0.1, 0.0])
BACK = Arc(0.25, 0.0, 0.97, np.pi - 1.2, 2.4, 0.6, 0.8, 30.0, 1.0, 90.0, 120.0)
FAR = Arc(-0.3, 0.5, 1.2, -1.4, 1.6, 0.5, 0.85, 80.0, 1.0, 15.0, 95.0)


def test_back_edge_is_known_by_its_place_along_the_tilt() -> None:
    assert back_of([FAR, BACK], FRAME) is BACK
    sideways = replace(BACK, x=0.0, y=0.25)
    assert back_of([FAR, sideways], FRAME) is None


@pytest.mark.parametrize("weak", [{"quality": 0.4}, {"worth": 0.1}, {"sweep": 0.4}])
def test_a_weak_or_short_arc_is_no_back_edge(weak: dict[str, float]) -> None:
    assert back_of([replace(BACK, **weak)], FRAME) is None


def test_of_two_that_could_be_it_the_back_edge_is_the_one_in_front() -> None:
    behind = replace(BACK, x=0.45, worth=0.9)
    assert back_of([behind, BACK], FRAME) is BACK


def test_a_rival_for_the_back_edge_need_not_be_as_clear() -> None:
    ragged = replace(BACK, x=0.0, y=0.0, start=0.9, quality=0.5, worth=0.4)
    assert back_of([BACK, ragged], FRAME) is None
    assert back_of([BACK, replace(ragged, worth=0.2)], FRAME) is BACK


def test_no_weak_edge_is_the_far_rim_beside_a_strong_one_not_understood() -> None:
    strong = replace(BACK, x=0.3, y=0.02, worth=0.9, contrast=90.0, inside=14.0, outside=104.0)
    unclear = replace(strong, x=0.0, y=0.0, start=0.9, quality=0.5, worth=0.5)
    weak = replace(FAR, worth=0.3)
    assert back_of([strong, unclear, weak], FRAME) is None
    assert far_of([strong, unclear, weak], FRAME, AT, 14.0) is None
    assert far_of([strong, unclear, replace(FAR, worth=0.8)], FRAME, AT, 14.0) is not None


def test_far_rim_is_found_beside_the_back_edge() -> None:
    assert far_of([BACK, FAR], FRAME, AT, 14.0) is FAR


def test_what_may_be_a_back_edge_is_never_the_far_rim() -> None:
    short = replace(BACK, sweep=0.6, start=np.pi - 0.3)
    assert back_of([short], FRAME) is None
    assert far_of([short], FRAME, AT, 14.0) is None


@pytest.mark.parametrize(
    "unlikely",
    [
        {"quality": 0.5},
        {"sweep": 0.2},
        {"worth": 0.1},
        {"contrast": 5.0, "worth": 0.4},
        {"x": -2.0},
        {"x": -1.2},
    ],
)
def test_an_arc_that_says_too_little_is_no_far_rim(unlikely: dict[str, float]) -> None:
    assert far_of([replace(FAR, **unlikely)], FRAME, AT, 14.0) is None


def test_an_edge_on_the_near_holes_own_wall_is_no_far_rim() -> None:
    # Near the rim at 150 degrees, with its circle's centre across the hole.
    on_the_wall = replace(FAR, x=0.59, y=-0.34, radius=1.6, start=np.radians(140), sweep=0.35)
    assert far_of([BACK, on_the_wall], FRAME, AT, 14.0) is None
    seen_through = replace(BACK, x=-0.25, start=-1.2)
    assert far_of([seen_through, on_the_wall], FRAME, AT, 14.0) is on_the_wall


def test_of_two_edges_nearly_as_good_the_inner_one_is_not_guessed_at() -> None:
    farther_out = replace(FAR, radius=1.3, worth=0.45)
    assert far_of([FAR, farther_out], FRAME, AT, 14.0) is None
    assert far_of([FAR, replace(farther_out, worth=0.2)], FRAME, AT, 14.0) is FAR
    farther_in = replace(FAR, radius=1.1, worth=0.45)
    assert far_of([FAR, farther_in], FRAME, AT, 14.0) is FAR


def test_tone_at_the_click_is_not_needed_where_one_edge_is_left() -> None:
    assert far_of([BACK, FAR], FRAME, AT, 200.0) is FAR
    assert far_of([FAR], FRAME, AT, 200.0) is None
    other = replace(FAR, x=-0.6, y=0.1)
    assert far_of([BACK, FAR, other], FRAME, AT, 200.0) is None


def test_the_arc_with_the_clicks_own_tone_inside_is_preferred() -> None:
    stain = replace(FAR, x=-0.6, y=0.1, inside=60.0, outside=140.0, worth=0.6)
    assert far_of([stain, FAR], FRAME, AT, 14.0) is FAR
    assert far_of([stain, FAR], FRAME, AT, 60.0) is stain


def test_rim_of_a_drilling_lit_from_behind_is_not_its_far_end() -> None:
    rim = Arc(-0.3, 0.2, 1.2, -1.4, 1.6, 0.4, 0.8, -40.0, 1.0, 180.0, 120.0)
    end = Arc(-0.25, 0.2, 1.0, -1.2, 1.4, 0.8, 0.9, -60.0, 1.0, 252.0, 185.0)
    assert far_of([end, rim], FRAME, AT, 252.0) is rim
    dark_wall = replace(rim, inside=90.0)
    assert far_of([end, dark_wall], FRAME, AT, 252.0) is end


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
