"""What may be the far drilling's other end, and the rim round it: arcs made by hand."""

import numpy as np
import pytest
from msgspec.structs import replace

from annotate.far_edges.arcs import Arc
from annotate.far_edges.drilling_end import (
    is_dark_end_among,
    less_moved_on,
    may_be_dark_end,
    may_be_end_in_dark,
    may_be_lit_end,
    rim_round,
)
from annotate.pixels.polar import Tilt

FACE = 150.0
FRONT = (0.25, 0.0, 0.97)
# Moved the way of FRONT and four times as far, with the light of a twentieth of the face round it.
END = Arc(1.05, 0.1, 1.2, np.pi - 0.8, 1.6, 0.5, 0.85, 22.0, 1.0, 8.0, 30.0, 3.0)
LIT = replace(END, inside=250.0, outside=140.0, contrast=-110.0)
ANY_WAY = Tilt(0.0, 0.15, np.array([1.0, 0.0]))
RIM = Arc(-0.3, 0.2, 1.0, -1.4, 2.8, 0.4, 0.8, -8.0, 1.0, 140.0, 132.0, 3.0)
BRIGHT = Arc(-0.15, 0.2, 0.84, -1.2, 2.4, 0.8, 0.9, -110.0, 1.0, 250.0, 140.0, 3.0)


def test_a_dark_end_has_next_to_no_light_round_it_and_lies_deeper() -> None:
    assert may_be_dark_end(END, FRONT, FACE)
    assert not may_be_dark_end(END, (0.02, 0.0, 0.97), FACE)
    assert not may_be_dark_end(END, None, FACE)
    assert not may_be_dark_end(replace(END, contrast=-22.0), FRONT, FACE)
    # IEC 61966-2-1: 150 has .3050 of full light, 45 .0262, 49 .0307.
    assert may_be_dark_end(replace(END, outside=45.0), FRONT, FACE)
    assert not may_be_dark_end(replace(END, outside=49.0), FRONT, FACE)


def test_what_lies_deeper_is_moved_from_the_edge_in_front_the_way_that_edge_is_moved() -> None:
    assert not may_be_dark_end(replace(END, x=0.1, y=0.0), FRONT, FACE)  # moved back
    front = (0.2, 0.2, 0.97)
    assert may_be_dark_end(replace(END, x=0.5, y=0.5), front, FACE)
    assert not may_be_dark_end(replace(END, x=0.5, y=0.1), front, FACE)


def test_a_step_of_few_grey_values_is_no_bright_end() -> None:
    assert not may_be_lit_end(replace(LIT, contrast=-10.0), FRONT, FACE)


def test_a_dimly_lit_end_has_next_to_no_light_round_it_wherever_it_lies() -> None:
    assert may_be_end_in_dark(END, FRONT, FACE)
    dim = replace(END, inside=60.0, contrast=-30.0)
    for front in (FRONT, (-0.25, 0.0, 0.97), None):
        assert may_be_end_in_dark(dim, front, FACE)
        # IEC 61966-2-1: 150 has .3050 of full light, 45 .0262, 49 .0307, 97 .1196, 99 .1248.
        assert may_be_end_in_dark(replace(dim, outside=45.0), front, FACE)
        assert not may_be_end_in_dark(replace(dim, outside=49.0), front, FACE)
        assert may_be_end_in_dark(replace(dim, inside=97.0), front, FACE)
        assert not may_be_end_in_dark(replace(dim, inside=99.0), front, FACE)
    assert not may_be_end_in_dark(replace(dim, contrast=30.0), None, FACE)
    assert is_dark_end_among([dim], None, FACE)


def test_an_end_in_the_dark_among_the_arcs_is_told_if_it_is_an_edge() -> None:
    assert is_dark_end_among([LIT, END], FRONT, FACE)
    assert not is_dark_end_among([LIT], FRONT, FACE)
    assert not is_dark_end_among([replace(END, worth=0.1)], FRONT, FACE)


def test_a_bright_end_lies_deeper_and_its_wall_is_nearly_as_light_as_the_face() -> None:
    assert may_be_lit_end(LIT, FRONT, FACE)
    assert not may_be_lit_end(LIT, (0.02, 0.0, 0.97), FACE)
    assert not may_be_lit_end(replace(LIT, x=0.55, y=0.6), FRONT, FACE)
    assert not may_be_lit_end(replace(LIT, contrast=110.0), FRONT, FACE)
    # IEC 61966-2-1: 150 has .3050 of full light, 80 .0802, 76 .0723.
    assert may_be_lit_end(replace(LIT, outside=80.0), FRONT, FACE)
    assert not may_be_lit_end(replace(LIT, outside=76.0), FRONT, FACE)


def test_a_bright_end_may_lie_any_way_where_no_edge_in_front_tells_one() -> None:
    assert may_be_lit_end(LIT, None, FACE)
    assert may_be_lit_end(replace(LIT, x=-0.55, y=0.6), None, FACE)
    # No lamp shines through what is no lighter than the face, nor past a wall in the dark.
    assert not may_be_lit_end(replace(LIT, inside=150.0), None, FACE)
    assert not may_be_lit_end(replace(LIT, outside=76.0), None, FACE)
    assert not may_be_lit_end(replace(LIT, contrast=110.0), None, FACE)


def test_the_less_the_edge_in_front_has_moved_the_less_it_tells_of_a_bright_end() -> None:
    # 32 degrees, and atan(.02 / .1) = 11 or atan(.02 / .04) = 27 more.
    aside = replace(LIT, x=0.04 + 0.8 * np.cos(np.radians(50)), y=0.8 * np.sin(np.radians(50)))
    assert may_be_lit_end(aside, (0.04, 0.0, 0.97), FACE)
    assert not may_be_lit_end(replace(aside, x=aside.x + 0.06), (0.1, 0.0, 0.97), FACE)
    dark = replace(aside, inside=8.0, outside=30.0, contrast=22.0)
    assert not may_be_dark_end(dark, (0.04, 0.0, 0.97), FACE)


def test_the_rim_round_a_bright_end_is_found_however_faint_it_is() -> None:
    assert rim_round(BRIGHT, [BRIGHT, RIM], ANY_WAY) is RIM
    stronger = replace(RIM, worth=0.5)
    assert rim_round(BRIGHT, [RIM, stronger], ANY_WAY) is stronger


def test_an_end_that_touches_its_rim_is_still_an_end() -> None:
    # On the side of -x, 0.99 of the rim's radius from its middle: on it for part of the arc.
    touching = replace(BRIGHT, x=-0.4, start=1.6, sweep=2.4, radius=0.89)
    assert rim_round(touching, [RIM], ANY_WAY) is RIM
    beyond = replace(touching, x=-0.55)
    assert rim_round(beyond, [RIM], ANY_WAY) is beyond


def test_how_an_end_may_lie_in_its_rim_and_what_it_may_differ_by() -> None:
    # Along an oblique tilt; across it by three fifths of the way; another tone by 30 of 34 values.
    oblique = Tilt(0.0, 0.15, np.array([0.6, 0.8]))
    small = replace(BRIGHT, x=RIM.x + 0.18, y=RIM.y + 0.24, radius=0.68)
    assert rim_round(small, [RIM], oblique) is RIM
    aside = replace(small, x=RIM.x + 0.2, y=RIM.y + 0.15)
    assert rim_round(aside, [RIM], ANY_WAY) is RIM
    toned = replace(RIM, inside=170.0)
    assert rim_round(BRIGHT, [toned], ANY_WAY) is toned
    wide = replace(RIM, radius=1.2)
    assert rim_round(replace(BRIGHT, radius=1.0), [wide], ANY_WAY) is wide


def test_an_end_is_as_large_as_its_rim_at_most() -> None:
    rim = replace(RIM, x=0.0, y=0.0, radius=0.9, start=np.pi - 0.9, sweep=1.8)
    like = replace(BRIGHT, x=0.15, y=0.0, radius=0.9, start=np.pi - 1.2, sweep=2.4)
    assert rim_round(like, [rim], ANY_WAY) is rim
    larger = replace(like, x=0.35, radius=1.08)
    assert rim_round(larger, [rim], ANY_WAY) is larger


def test_an_arc_a_third_of_which_lies_beyond_a_rim_is_not_its_end() -> None:
    rim = replace(RIM, x=0.0, y=0.0, radius=1.0, start=2.2, sweep=1.8)
    out = replace(BRIGHT, x=0.35, y=0.0, radius=0.9, start=0.6, sweep=2.2)
    assert rim_round(out, [rim], ANY_WAY) is out


@pytest.mark.parametrize(
    "other",
    [
        {"inside": 180.0},  # another tone by 40
        {"inside": 230.0},  # another tone between the two
        {"radius": 0.7, "x": -0.2},  # smaller than the end
        {"radius": 1.6, "x": 0.3},  # no drilling narrows so much
    ],
)
def test_an_edge_of_another_tone_size_or_place_is_no_rim_round_an_end(
    other: dict[str, float],
) -> None:
    assert rim_round(BRIGHT, [replace(RIM, **other)], ANY_WAY) is BRIGHT


def test_an_end_is_moved_along_the_tilt_if_the_near_rim_tells_its_way() -> None:
    across = replace(RIM, x=-0.15, y=0.5, radius=1.2)
    tilted = Tilt(0.01, 0.2, np.array([1.0, 0.0]))
    assert rim_round(BRIGHT, [across], tilted) is BRIGHT
    assert rim_round(BRIGHT, [across], Tilt(0.01, 0.2, np.array([0.0, 1.0]))) is across
    assert rim_round(BRIGHT, [across], ANY_WAY) is across


def test_of_two_edges_round_one_light_the_one_less_moved_on_is_the_rim() -> None:
    # One crescent of light: END's own side of it, and what it is seen through on the other.
    rim = replace(LIT, x=-0.4, start=-0.8, worth=0.3)
    assert less_moved_on(LIT, [LIT, rim], FRONT) is rim
    assert less_moved_on(rim, [LIT, rim], FRONT) is rim
    # Moved the other way the same two change places.
    assert less_moved_on(rim, [LIT, rim], (-0.25, 0.0, 0.97)) is LIT
    across = replace(LIT, x=1.0, y=-0.6)
    assert less_moved_on(LIT, [across], FRONT) is LIT
    assert less_moved_on(LIT, [replace(across, x=0.93)], FRONT) is not LIT


@pytest.mark.parametrize(
    "other",
    [
        {"inside": 235.0},  # another light
        {"contrast": -10.0},
        {"worth": 0.24},
        {"x": 1.03},  # a piece of the same edge
    ],
)
def test_what_is_no_edge_of_the_same_light_is_not_the_rim_round_it(
    other: dict[str, float],
) -> None:
    rim = replace(LIT, x=-0.4, start=-0.8)
    assert less_moved_on(LIT, [replace(rim, **other)], FRONT) is LIT


def test_which_edge_of_a_light_is_the_rim_hangs_on_the_way_of_depth() -> None:
    rim = replace(LIT, x=-0.4, start=-0.8)
    assert less_moved_on(LIT, [rim], None) is LIT
    assert less_moved_on(LIT, [rim], (0.02, 0.0, 0.97)) is LIT
    dark = replace(LIT, contrast=22.0)
    assert less_moved_on(dark, [rim], FRONT) is dark


def test_a_dark_opening_has_no_bright_end() -> None:
    dark = replace(BRIGHT, contrast=40.0)
    assert rim_round(dark, [RIM], ANY_WAY) is dark
