"""Which arc is the near hole's own far edge, told by geometry alone: arcs made by hand."""

import numpy as np
import pytest
from msgspec.structs import replace

from annotate.far_edges.back_edge import Backs
from annotate.far_edges.own_edge import back_of, lies_elsewhere, may_be_shadow, piece_of_back
from annotate.pixels.polar import Tilt
from tests.annotate.far_edges.arcs_by_hand import ANY_WALL, BACK, FAR, TOLD


def test_back_edge_is_known_by_its_place_along_the_tilt() -> None:
    assert back_of([FAR, BACK], ANY_WALL) is BACK
    sideways = replace(BACK, x=0.0, y=0.25)
    assert back_of([FAR, sideways], ANY_WALL) is None


@pytest.mark.parametrize("weak", [{"quality": 0.4}, {"worth": 0.1}, {"sweep": 0.4}])
def test_a_weak_or_short_arc_is_no_back_edge(weak: dict[str, float]) -> None:
    assert back_of([replace(BACK, **weak)], ANY_WALL) is None


def test_of_two_that_could_be_it_the_back_edge_is_the_one_in_front() -> None:
    behind = replace(BACK, x=0.45, worth=0.9)
    assert back_of([behind, BACK], ANY_WALL) is BACK


def test_a_rival_for_the_back_edge_need_not_be_as_clear() -> None:
    ragged = replace(BACK, x=0.0, y=0.0, start=0.9, quality=0.5, worth=0.4)
    assert back_of([BACK, ragged], ANY_WALL) is None
    assert back_of([BACK, replace(ragged, worth=0.2)], ANY_WALL) is BACK


def test_where_it_was_foretold_a_fainter_one_is_enough() -> None:
    faint = replace(BACK, quality=0.52, worth=0.18)
    assert back_of([FAR, faint], ANY_WALL) is None
    assert back_of([FAR, faint], TOLD) is faint


def test_a_wall_that_was_typed_leaves_no_other_place() -> None:
    for shift in (0.45, -0.45, 0.0):
        assert back_of([replace(BACK, x=shift)], TOLD) is None
    assert back_of([replace(BACK, x=-0.25, start=-1.2)], TOLD) is not None


def test_a_piece_of_it_is_no_rival_where_it_was_foretold() -> None:
    piece = replace(BACK, sweep=1.0, worth=0.4)
    assert back_of([BACK, piece], ANY_WALL) is None
    assert back_of([BACK, piece], TOLD) is BACK


def test_of_two_leans_neither_is_guessed_at() -> None:
    other = replace(BACK, x=-0.25, start=-1.2)
    assert back_of([BACK, other], TOLD) is None
    assert back_of([BACK, replace(other, worth=0.2)], TOLD) is BACK


def test_of_two_leans_one_may_lie_so_much_nearer_that_it_alone_can_be_it() -> None:
    # Of a near rim that may lie .03 off, both arcs may; but not the one on its place and not the
    # other.
    loose = replace(TOLD, slack=0.03)
    other = replace(BACK, x=-0.25, start=-1.2)
    off_it = replace(other, x=-0.31)
    assert loose.off(off_it) < 0.01
    assert back_of([BACK, off_it], loose) is BACK
    assert back_of([BACK, replace(other, x=-0.29)], loose) is None


@pytest.mark.parametrize("backs", [ANY_WALL, TOLD])
def test_a_soft_edge_beside_a_sharp_one_is_a_shadow(backs: Backs) -> None:
    shadow = replace(BACK, width=7.0)
    assert back_of([shadow, replace(FAR, width=7.0)], backs) is shadow
    assert back_of([shadow, FAR], backs) is None


def test_a_strong_edge_may_lie_a_little_off_its_foretold_place() -> None:
    thicker = replace(BACK, x=0.3)
    assert 0.015 < TOLD.off(thicker) < 0.02
    assert back_of([thicker], TOLD) is thicker
    assert back_of([replace(thicker, worth=0.4)], TOLD) is None


PIECE = replace(BACK, sweep=0.5, worth=0.06, quality=0.55)
OTHER_PIECE = replace(PIECE, start=np.pi - 0.5, worth=0.05)
OTHER_LEAN = replace(PIECE, x=-0.25, start=0.0)


def test_pieces_of_an_edge_too_faint_to_be_told_tell_the_lean_together() -> None:
    assert back_of([FAR, PIECE, OTHER_PIECE], TOLD) is None
    assert piece_of_back([FAR, PIECE, OTHER_PIECE], TOLD) is PIECE
    assert piece_of_back([FAR, PIECE], TOLD) is None  # one as faint may be chance
    assert piece_of_back([replace(PIECE, worth=0.09)], TOLD) is not None
    # Where no wall was typed a piece may lie anywhere along the tilt.
    assert piece_of_back([PIECE, OTHER_PIECE], ANY_WALL) is None


def test_pieces_where_both_leans_foretell_the_edge_tell_nothing() -> None:
    faint = replace(OTHER_LEAN, worth=0.03)
    assert piece_of_back([PIECE, OTHER_PIECE, faint], TOLD) is PIECE
    assert piece_of_back([PIECE, OTHER_PIECE, replace(faint, worth=0.04)], TOLD) is None
    stronger = replace(OTHER_LEAN, worth=0.4)
    assert piece_of_back([PIECE, OTHER_PIECE, stronger], TOLD) is stronger


def test_pieces_off_the_foretold_places_tell_nothing() -> None:
    aside = [replace(one, y=0.2) for one in (PIECE, OTHER_PIECE)]
    assert piece_of_back(aside, TOLD) is None
    # About where the two circles cross, an arc runs along both.
    for y, start in ((0.0, -0.1), (0.02, -0.3)):
        crossing = replace(PIECE, x=0.0, y=y, start=-np.pi / 2 + start, sweep=0.2, worth=0.3)
        assert max(TOLD.off_each(crossing)) < 0.031
        assert piece_of_back([crossing], TOLD) is None
    assert min(TOLD.off_each(crossing)) < 0.015
    assert sum(TOLD.off_each(crossing)) > 0.03


def test_a_dark_border_seen_squarely_may_be_a_shadow() -> None:
    squarely, aslant = Tilt(0.0, 0.2, np.array([1.0, 0.0])), Tilt(0.1, 0.2, np.array([1.0, 0.0]))
    dark_outside = replace(BACK, contrast=-60.0)
    assert may_be_shadow(dark_outside, squarely)
    assert not may_be_shadow(dark_outside, aslant)
    assert not may_be_shadow(replace(BACK, contrast=60.0), squarely)
    assert not may_be_shadow(replace(BACK, contrast=-20.0), squarely)


def test_an_edge_where_another_wall_would_put_it_speaks_against_the_one_typed() -> None:
    moved = replace(BACK, x=0.35)
    assert back_of([FAR, moved], TOLD) is None
    assert lies_elsewhere([FAR, moved], ANY_WALL, TOLD, FAR)
    assert lies_elsewhere([FAR, moved], ANY_WALL, TOLD, None)
    # Not what is taken for the far rim, nor what lies where the wall puts it, nor a weak one.
    assert not lies_elsewhere([FAR, moved], ANY_WALL, TOLD, moved)
    assert not lies_elsewhere([FAR, moved], ANY_WALL, TOLD, replace(moved, x=0.32))
    assert not lies_elsewhere([FAR, replace(BACK, x=0.26)], ANY_WALL, TOLD, FAR)
    assert not lies_elsewhere([FAR, replace(moved, worth=0.28)], ANY_WALL, TOLD, FAR)
    assert not lies_elsewhere([FAR], ANY_WALL, TOLD, FAR)
