"""Which arc is the far rim, told by geometry and tone alone: arcs made by hand."""

import numpy as np
import pytest
from msgspec.structs import replace

from annotate.far_edges.arcs import Arc
from annotate.far_edges.back_edge import Backs
from annotate.far_edges.back_edge import backs as backs_of
from annotate.far_edges.far_rim import FarRim, far_of, is_plain
from annotate.far_edges.may_be_rim import Click
from annotate.far_edges.own_edge import back_of
from annotate.pixels.polar import tilt_of
from annotate.wall_hint import WallHint
from tests.annotate.far_edges.arcs_by_hand import ANY_WALL, BACK, FAR, FRAME, TOLD

AT = np.array([0.1, 0.0])
FACE = 150.0


def told(arcs: list[Arc], level: float = 14.0, backs: Backs = ANY_WALL) -> FarRim | None:
    return far_of(arcs, backs, back_of(arcs, backs), tilt_of(FRAME), Click(AT, level, FACE))


def chosen(arcs: list[Arc], level: float = 14.0, backs: Backs = ANY_WALL) -> Arc | None:
    far = told(arcs, level, backs)
    return None if far is None else far.arc


def test_no_weak_edge_is_the_far_rim_beside_a_strong_one_not_understood() -> None:
    strong = replace(BACK, x=0.3, y=0.02, worth=0.9, contrast=90.0, inside=14.0, outside=104.0)
    unclear = replace(strong, x=0.0, y=0.0, start=0.9, quality=0.5, worth=0.5)
    weak = replace(FAR, worth=0.3)
    assert back_of([strong, unclear, weak], ANY_WALL) is None
    assert chosen([strong, unclear, weak]) is None
    assert chosen([strong, unclear, replace(FAR, worth=0.8)]) is not None


def test_far_rim_is_found_beside_the_back_edge() -> None:
    assert chosen([BACK, FAR]) is FAR


def test_what_may_be_a_back_edge_is_never_the_far_rim() -> None:
    short = replace(BACK, sweep=0.6, start=np.pi - 0.3)
    assert back_of([short], ANY_WALL) is None
    assert chosen([short]) is None


@pytest.mark.parametrize(
    "unlikely",
    [
        {"quality": 0.5},
        {"sweep": 0.24},
        {"x": -2.5, "radius": 3.4, "start": -0.09, "sweep": 0.18},
        {"worth": 0.1},
        {"contrast": 5.0, "worth": 0.4},
        {"x": -2.0},
        {"x": -1.2},
    ],
)
def test_an_arc_that_says_too_little_is_no_far_rim(unlikely: dict[str, float]) -> None:
    assert chosen([replace(FAR, **unlikely)]) is None


def test_an_edge_on_the_near_holes_own_wall_is_no_far_rim() -> None:
    # Near the rim at 150 degrees, with its circle's centre across the hole.
    on_the_wall = replace(FAR, x=0.59, y=-0.34, radius=1.6, start=np.radians(140), sweep=0.35)
    assert chosen([BACK, on_the_wall]) is None
    seen_through = replace(BACK, x=-0.25, start=-1.2)
    assert chosen([seen_through, on_the_wall]) is on_the_wall


def test_of_two_edges_nearly_as_good_the_outer_is_told_with_the_doubt_between_them() -> None:
    farther_out = replace(FAR, radius=1.3, worth=0.45)
    assert told([FAR, farther_out]) == FarRim(farther_out, pytest.approx(0.1))
    still_farther = replace(FAR, radius=1.37, worth=0.5)
    assert told([FAR, farther_out, still_farther]) == FarRim(still_farther, pytest.approx(0.17))
    assert told([FAR, replace(farther_out, worth=0.2)]) == FarRim(FAR, 0.0)
    farther_in = replace(FAR, radius=1.1, worth=0.45)
    assert chosen([FAR, farther_in]) is FAR
    # In a shadow the click may have the tone of neither.
    lit = replace(farther_out, inside=45.0, outside=118.0)
    assert chosen([FAR, lit]) is lit


def test_of_two_edges_far_apart_or_one_lit_inside_neither_is_guessed_at() -> None:
    assert chosen([FAR, replace(FAR, radius=1.39, worth=0.45)]) is None
    glow = replace(FAR, radius=1.3, worth=0.45, contrast=-80.0, inside=95.0, outside=15.0)
    assert chosen([FAR, glow]) is None
    assert chosen([FAR, replace(FAR, radius=1.3, worth=0.45), glow]) is None


def test_pieces_of_its_own_edge_are_no_rivals_of_the_only_edge() -> None:
    # The click has the tone of neither side, and no edge of the near hole's own shows.
    piece = replace(FAR, radius=1.23, worth=0.4, sweep=0.9)
    assert chosen([FAR, piece], 200.0) is FAR
    assert chosen([FAR, replace(piece, radius=1.27)], 200.0) is None


def test_what_is_hardly_an_edge_is_no_reason_to_doubt_the_only_one() -> None:
    lit = replace(FAR, inside=155.0, outside=235.0)
    near_click = replace(FAR, x=0.2, y=-0.6, radius=0.5, worth=0.1)
    assert chosen([lit, near_click]) is lit


def test_tone_at_the_click_is_not_needed_where_one_edge_is_left() -> None:
    assert chosen([BACK, FAR], 200.0) is FAR
    other = replace(FAR, x=-0.6, y=0.1)
    assert chosen([BACK, FAR, other], 200.0) is None


LIT = replace(FAR, contrast=-60.0, inside=155.0, outside=95.0)


@pytest.mark.parametrize("backs", [ANY_WALL, TOLD])
def test_an_opening_lit_from_behind_is_as_light_where_it_was_clicked(backs: Backs) -> None:
    assert chosen([BACK, LIT], 150.0, backs) is LIT
    assert chosen([BACK, LIT], 90.0, backs) is LIT  # on the drilling's wall, as light as outside
    # Beside an edge as dark as the click it is some light on the part behind.
    dark = replace(FAR, x=-0.35, radius=1.1)
    assert chosen([BACK, LIT, dark], 14.0, backs) is dark
    # A step as faint as that says nothing of light.
    assert chosen([BACK, replace(LIT, inside=109.0, contrast=-14.0)], 60.0, backs) is not None


def test_the_only_edge_may_have_a_lit_wall_inside_it_that_is_dark_farther_in() -> None:
    assert chosen([BACK, LIT], 60.0, TOLD) is LIT
    assert chosen([BACK, LIT], 60.0) is None  # where the edge in front is not foretold
    assert chosen([LIT], 60.0, TOLD) is None
    assert chosen([BACK, LIT, replace(LIT, x=-0.6, y=0.1)], 60.0, TOLD) is None
    assert chosen([BACK, replace(LIT, width=6.0)], 60.0, TOLD) is None


def test_an_edge_of_its_own_size_beside_where_its_end_may_be_is_no_far_rim() -> None:
    beside = replace(FAR, x=0.15, y=0.0, radius=1.04, start=np.pi - 0.5, sweep=1.0)
    assert 0.022 < TOLD.off(beside) < 0.05
    assert chosen([beside], backs=TOLD) is None
    larger = replace(beside, x=0.17, radius=1.06)
    assert 0.022 < TOLD.off(larger) < 0.05
    assert chosen([larger], backs=TOLD) is larger
    farther = replace(beside, x=0.1)
    assert 0.05 < TOLD.off(farther) < 0.1
    assert chosen([farther], backs=TOLD) is farther


def test_what_runs_where_the_other_lean_foretells_its_end_is_no_far_rim() -> None:
    told_to_be_it = replace(BACK, x=-0.25, start=-1.2)
    other_lean = replace(FAR, x=0.25, y=0.0, radius=0.97, start=np.pi - 0.5, sweep=1.0, worth=0.2)
    assert back_of([told_to_be_it, other_lean], TOLD) is told_to_be_it
    assert TOLD.off(other_lean) < 0.01
    assert chosen([told_to_be_it, other_lean], backs=TOLD) is None
    # Of another size it is no such edge, wherever a short piece of it runs.
    smaller = replace(other_lean, x=0.1, radius=0.82, start=np.pi - 0.2, sweep=0.4)
    assert TOLD.off(smaller) < 0.01
    assert chosen([told_to_be_it, smaller], backs=TOLD) is smaller
    aside = replace(other_lean, x=0.36)
    assert TOLD.off(aside) > 0.01
    assert chosen([told_to_be_it, aside], backs=TOLD) is aside


def test_nor_is_it_the_rim_round_another() -> None:
    told_to_be_it = replace(BACK, x=-0.25, start=-1.2)
    inner = replace(FAR, x=0.25, y=0.0, radius=0.8, start=np.pi - 0.5, sweep=1.0)
    beside = replace(inner, x=0.135, radius=1.04, contrast=46.0)
    assert 0.04 < TOLD.off(beside) < 0.05
    assert chosen([told_to_be_it, inner, beside], backs=TOLD) is inner
    larger = replace(beside, x=0.155, radius=1.06)
    assert 0.04 < TOLD.off(larger) < 0.05
    assert chosen([told_to_be_it, inner, larger], backs=TOLD) is larger


def test_below_a_chamfer_whose_top_may_be_the_near_rim_its_own_edge_is_no_far_rim() -> None:
    below = replace(FAR, x=0.0, y=0.1, radius=0.85, start=-1.5, sweep=3.0)
    doubtful, hardly = replace(ANY_WALL, slack=0.03), replace(ANY_WALL, slack=0.02)
    assert chosen([below], backs=doubtful) is None
    assert chosen([below], backs=hardly) is below
    for other in ({"y": 0.16}, {"radius": 0.74}, {"radius": 1.06, "y": 0.14}):
        elsewhere = replace(below, **other)
        assert chosen([elsewhere], backs=doubtful) is elsewhere


def test_a_weak_edge_lighter_here_and_darker_there_is_no_far_rim() -> None:
    weak = replace(FAR, worth=0.14, steady=0.85)
    assert chosen([BACK, weak], 200.0, TOLD) is weak
    assert chosen([BACK, replace(weak, steady=0.75)], 200.0, TOLD) is None
    assert chosen([BACK, replace(weak, worth=0.3, steady=0.75)], 200.0, TOLD) is not None


def test_a_dim_bottom_in_the_dark_is_no_far_rim() -> None:
    bottom = replace(FAR, contrast=-30.0, inside=60.0, outside=30.0)
    for backs in (ANY_WALL, TOLD):
        assert chosen([BACK, bottom], 60.0, backs) is None


def test_nor_where_one_edge_is_all_that_shows_clear_of_any_back_edge() -> None:
    assert chosen([FAR], 200.0) is FAR
    other = replace(FAR, x=-0.6, y=0.1, worth=0.3)
    assert chosen([FAR, other], 200.0) is None
    assert chosen([FAR, replace(other, worth=0.2)], 200.0) is FAR
    assert chosen([replace(FAR, worth=0.14)], 200.0) is None
    # The end of another wall than was typed, as far as its place tells.
    by_a_back = replace(FAR, x=0.05, y=0.0, radius=0.97, start=np.pi - 1.2, sweep=2.4)
    assert 0.022 < TOLD.off(by_a_back) < 0.1
    assert chosen([by_a_back], 200.0, TOLD) is None


def test_a_faint_edge_is_less_of_a_riddle_behind_a_known_one() -> None:
    faint = replace(FAR, contrast=10.0, inside=90.0, outside=100.0, worth=0.27)
    assert chosen([BACK, faint], 90.0) is None
    assert chosen([BACK, faint], 90.0, TOLD) is faint
    assert chosen([BACK, replace(faint, worth=0.2)], 90.0, TOLD) is None


def test_how_sharp_edges_are_is_not_told_by_one_that_hardly_shows() -> None:
    soft_lens = replace(FAR, width=6.0)
    grain = replace(FAR, x=-0.6, y=0.1, width=2.0, worth=0.15, contrast=5.0)
    assert chosen([soft_lens, grain]) is soft_lens
    assert chosen([soft_lens, replace(grain, contrast=60.0)]) is not soft_lens


def test_the_arc_with_the_clicks_own_tone_inside_is_preferred() -> None:
    stain = replace(FAR, x=-0.6, y=0.3, inside=60.0, outside=140.0, worth=0.6)
    assert chosen([stain, FAR]) is FAR
    # Farther out, and as plain: it may be in the shadow.
    assert told([stain, FAR], 60.0) == FarRim(FAR, pytest.approx(0.15, abs=0.1))
    assert chosen([stain, replace(FAR, worth=0.3)], 60.0) is stain


def test_rim_of_a_drilling_lit_from_behind_is_not_its_far_end() -> None:
    rim = Arc(-0.3, 0.4, 1.2, -1.4, 1.6, 0.4, 0.8, -40.0, 1.0, 180.0, 120.0, 3.0)
    end = Arc(-0.25, 0.4, 1.0, -1.2, 1.4, 0.8, 0.9, -60.0, 1.0, 252.0, 185.0, 3.0)
    assert chosen([end, rim], 252.0) is rim
    dark_wall = replace(rim, inside=90.0)
    assert chosen([end, dark_wall], 252.0) is end


def test_nor_is_it_where_light_shows_between_the_end_and_the_rim() -> None:
    # BACK is moved towards +x: so is what lies deeper, and many times as far.
    rim = Arc(-0.3, 0.4, 1.2, -1.4, 1.6, 0.5, 0.8, -60.0, 1.0, 252.0, 185.0, 3.0)
    end = Arc(1.0, 0.4, 0.9, np.pi - 0.8, 1.6, 0.8, 0.9, -60.0, 1.0, 252.0, 185.0, 3.0)
    assert chosen([end, rim, BACK], 252.0, TOLD) is rim


def test_of_a_lit_edge_and_a_dark_one_as_plain_neither_is_guessed_at() -> None:
    # Lit as the part behind may be, beside the near hole's shadow on it: FACE is 150.
    lit = replace(LIT, x=0.0, y=-0.8, start=0.6, inside=130.0, outside=50.0, contrast=-80.0)
    assert chosen([BACK, lit], 130.0) is lit
    assert chosen([BACK, lit, FAR], 130.0) is None
    assert chosen([BACK, lit, replace(FAR, worth=0.25)], 130.0) is lit
    bright = replace(lit, inside=140.0)
    assert chosen([BACK, bright, FAR], 140.0) is bright


def test_an_edge_close_within_the_near_rim_may_bound_a_lit_part_of_its_wall() -> None:
    # Round the near rim's middle at .88 for 60 degrees, as light as FACE (150) outside it.
    lit = replace(FAR, x=0.0, y=0.5, radius=1.38, start=-np.pi / 2 - 0.5, sweep=1.0, outside=150.0)
    assert TOLD.off(lit) > 0.1
    assert chosen([lit], backs=TOLD) is None
    assert chosen([replace(lit, outside=110.0)], backs=TOLD) is not None
    inner = replace(lit, radius=1.3)
    assert chosen([inner], backs=TOLD) is inner
    # With the near hole's own far edge known what lies inside it is not on the wall.
    assert chosen([lit, BACK], backs=TOLD) is lit


def test_an_edge_lit_no_more_than_the_face_close_within_the_near_rim_may_be_its_shadows() -> None:
    # Round the near rim's middle at .92 for 57 degrees; the face is of 150 (FACE).
    lit = replace(FAR, x=0.0, y=0.0, radius=0.92, start=-0.5, sweep=1.0)
    lit = replace(lit, contrast=-100.0, inside=140.0, outside=40.0)
    assert chosen([lit, BACK], 140.0, TOLD) is None
    lamp = replace(lit, inside=151.0)
    assert chosen([lamp, BACK], 151.0, TOLD) is lamp
    farther_in = replace(lit, radius=0.88)
    assert chosen([farther_in, BACK], 140.0, TOLD) is farther_in


def test_nor_is_it_where_its_strong_rim_runs_near_what_may_be_a_back_edge() -> None:
    rim = Arc(0.14, 0.0, 1.1, np.pi - 0.6, 1.2, 0.6, 0.8, -110.0, 1.0, 180.0, 70.0, 3.0)
    end = Arc(0.32, 0.0, 0.9, np.pi - 0.7, 1.4, 0.8, 0.9, -70.0, 1.0, 252.0, 182.0, 3.0)
    assert 0.05 < TOLD.off(rim) < 0.1
    assert TOLD.off(end) > 0.1
    assert chosen([end, rim], 252.0, TOLD) is rim
    # One with half as much edge may be something on the way.
    assert chosen([end, replace(rim, worth=0.39)], 252.0, TOLD) is end


def test_what_no_typed_wall_allows_is_no_back_edge_and_may_be_the_far_rim() -> None:
    # As if it were the end of a thinner wall: only its thickness tells that it is none.
    like_a_back = replace(FAR, x=0.05, y=0.0, radius=0.97, start=np.pi - 1.2, sweep=2.4)
    assert chosen([like_a_back]) is None
    assert chosen([like_a_back], backs=TOLD) is like_a_back
    assert chosen([like_a_back, BACK], backs=TOLD) is None  # outside BACK: on the wall


def test_an_edge_on_the_wall_whichever_way_it_leans_is_no_far_rim() -> None:
    # A chamfer's lower edge: nearly the near rim itself.
    chamfer = replace(FAR, x=0.0, y=0.1, radius=1.08, start=-np.pi / 2 - 0.3, sweep=0.6)
    assert chosen([chamfer], backs=TOLD) is chamfer
    thick = backs_of(FRAME, WallHint(1.2, 0.01, 3440.0), (400, 600))
    assert chosen([chamfer], backs=thick) is None


def test_with_the_edge_in_front_known_the_outermost_edge_is_the_rim() -> None:
    farther_out = replace(FAR, radius=1.3, worth=0.45)
    assert told([FAR, farther_out, BACK]) == FarRim(farther_out, pytest.approx(0.1))
    assert told([FAR, farther_out, BACK], backs=TOLD) == FarRim(farther_out, 0.0)
    assert chosen([FAR, replace(farther_out, worth=0.22), BACK], backs=TOLD) is None
    assert chosen([FAR, replace(farther_out, worth=0.1), BACK], backs=TOLD) is FAR
    assert chosen([FAR, replace(farther_out, worth=0.16), BACK], backs=TOLD) is None
    # Lighter inside here and darker there it is no rim.
    assert chosen([FAR, replace(farther_out, steady=0.75), BACK], backs=TOLD) is FAR
    # Inside it the drilling's wall may be lit, unlike the opening that was clicked.
    lit_wall = replace(farther_out, inside=80.0, outside=140.0, contrast=60.0)
    assert chosen([FAR, lit_wall, BACK], backs=TOLD) is lit_wall
    # The near rim's shadow on the part behind: lit inside, dark outside.
    shadow = replace(farther_out, contrast=-80.0, inside=95.0, outside=15.0)
    assert chosen([FAR, shadow, BACK], backs=TOLD) is FAR


def test_a_weak_edge_alone_is_enough_only_behind_a_known_one() -> None:
    weak = replace(FAR, worth=0.12)
    assert chosen([weak, BACK]) is None
    assert chosen([weak], backs=TOLD) is None
    assert chosen([weak, BACK], backs=TOLD) is weak
    by_the_edge = replace(weak, x=0.2, y=0.0, radius=0.94, start=np.pi - 0.4, sweep=0.8)
    assert chosen([by_the_edge, BACK], backs=TOLD) is None


@pytest.mark.parametrize("backs", [ANY_WALL, TOLD])
def test_a_shadows_soft_border_is_no_far_rim(backs: Backs) -> None:
    shadow = replace(FAR, x=-0.6, y=0.3, width=7.0, worth=0.7)
    assert chosen([shadow, BACK], backs=backs) is None
    assert chosen([shadow, FAR, BACK], backs=backs) is FAR
    assert chosen([shadow], backs=backs) is shadow  # nothing there is sharper


def test_the_circle_of_a_long_arc_holds_the_click() -> None:
    beside = replace(FAR, x=-1.11, y=0.0)  # the click is 1.01 radii from its middle
    assert chosen([beside]) is beside
    assert chosen([replace(beside, sweep=2.2)]) is None


def test_a_second_look_is_taken_at_what_is_weak_or_near_the_edge_in_front() -> None:
    click = Click(AT, 14.0, FACE)
    assert is_plain(FAR, TOLD, BACK, click)
    assert not is_plain(None, TOLD, BACK, click)
    assert not is_plain(replace(FAR, worth=0.3), TOLD, BACK, click)
    by_the_edge = replace(FAR, x=0.2, y=0.0, radius=0.94, start=np.pi - 1.2, sweep=2.4)
    assert not is_plain(by_the_edge, TOLD, BACK, click)


# Moved the way of BACK and four times as far, with the light of a twentieth of the face round it.
END = Arc(1.05, 0.1, 1.2, np.pi - 0.8, 1.6, 0.5, 0.85, 22.0, 1.0, 8.0, 30.0, 3.0)


@pytest.mark.parametrize("backs", [ANY_WALL, TOLD])
def test_the_end_of_a_dark_drilling_is_no_far_rim(backs: Backs) -> None:
    assert chosen([END, BACK], backs=backs) is None


@pytest.mark.parametrize("backs", [ANY_WALL, TOLD])
@pytest.mark.parametrize(
    "other",
    [
        {"outside": 70.0, "contrast": 62.0},  # a fifth of the light of the face (IEC 61966-2-1)
        {"x": 0.55, "y": 0.6, "start": -3.1},  # across the way that the camera looks
        {"x": -0.35, "start": -0.8},  # the other way
        {"x": 0.25 + 0.8 * np.cos(0.6), "y": 0.8 * np.sin(0.6)},  # 34 degrees off it
    ],
)
def test_a_rim_that_gets_light_or_lies_elsewhere_is_no_end(
    other: dict[str, float], backs: Backs
) -> None:
    rim = replace(END, **other)
    assert chosen([rim, BACK], backs=backs) is rim
