"""Which arcs may be the far rim, each by itself: arcs made by hand."""

from math import exp

import numpy as np
import pytest
from msgspec.structs import replace
from numpy.testing import assert_allclose

from annotate.far_edges.arcs import Arc
from annotate.far_edges.back_edge import Backs
from annotate.far_edges.may_be_rim import (
    Click,
    may_be,
    may_be_faint,
    may_be_round,
    of_any_tone,
    standing_out,
    value,
)
from annotate.far_edges.nested import Circle, off
from tests.annotate.far_edges.arcs_by_hand import ANY_WALL, BACK, FAR, TOLD

CLICK = Click(np.array([0.1, 0.0]), 14.0, 150.0)
FRONT = (0.25, 0.0, 0.97)


def at(x: float, y: float, level: float = 14.0) -> Click:
    return Click(np.array([x, y]), level, 150.0)


def test_an_arc_stands_out_by_its_edge_and_by_its_contrast_up_to_all_of_it() -> None:
    assert_allclose(standing_out(replace(FAR, worth=0.6, contrast=0.0)), 0.3 * 0.6)
    for contrast in (25.0, -25.0):  # where half of what contrast can add is added
        assert_allclose(standing_out(replace(FAR, worth=0.6, contrast=contrast)), 0.65 * 0.6)


def test_the_clicks_tone_speaks_for_an_arc_as_far_as_the_arc_has_one_tone() -> None:
    arc = replace(FAR, inside=20.0, contrast=80.0, steady=1.0)
    away = 0.5 * 80 + 12  # by half of the contrast and what one surface may differ by
    for level in (20 + away, 20 - away):
        assert_allclose(value(arc, at(0, 0, level)), exp(-0.5) * standing_out(arc))
        half = replace(arc, steady=0.75)
        assert_allclose(value(half, at(0, 0, level)), exp(-0.125) * standing_out(half))
        for none in (0.5, 0.3):
            mixed = replace(arc, steady=none)
            assert_allclose(value(mixed, at(0, 0, level)), standing_out(mixed))
    assert_allclose(value(arc, at(0, 0, 20.0)), standing_out(arc))


FAINT = replace(FAR, contrast=4.0, worth=0.2)


@pytest.mark.parametrize("own", [(ANY_WALL, None), (TOLD, None), (TOLD, FRONT)])
def test_a_faint_edge_may_be_a_rim_if_it_is_edge_enough_and_clear_of_a_back(
    own: tuple[Backs, Circle | None],
) -> None:
    assert may_be_faint(FAINT, own, CLICK)
    assert not may_be_faint(replace(FAINT, quality=0.5), own, CLICK)
    assert not may_be_faint(replace(FAINT, sweep=0.15), own, CLICK)
    assert not may_be_faint(replace(FAINT, worth=0.1), own, CLICK)


def test_a_faint_edge_must_hold_the_click() -> None:
    # Its middle lies at (-0.3, 0.5), 1.2 away from all of it.
    for inside, outside in (((0.85, 0.5), (0.95, 0.5)), ((-0.3, -0.65), (-0.3, -0.75))):
        assert may_be_faint(FAINT, (ANY_WALL, None), at(*inside))
        assert not may_be_faint(FAINT, (ANY_WALL, None), at(*outside))


def test_a_faint_edge_near_what_may_be_a_back_is_none() -> None:
    near_it = replace(FAINT, x=0.1, y=0.0, radius=0.97, start=np.pi - 0.5, sweep=1.0)
    assert ANY_WALL.off(near_it) < 0.1
    assert not may_be_faint(near_it, (ANY_WALL, None), CLICK)
    along = replace(near_it, x=FRONT[0] + 0.03)
    assert off(along, FRONT) < 0.04
    assert not may_be_faint(along, (TOLD, FRONT), CLICK)
    inside = replace(near_it, x=FRONT[0] + 0.06)
    assert off(inside, FRONT) > 0.04
    assert may_be_faint(inside, (TOLD, FRONT), CLICK)
    on_the_wall = replace(near_it, x=FRONT[0] - 0.06)
    assert off(on_the_wall, FRONT) > 0.04
    assert not may_be_faint(on_the_wall, (TOLD, FRONT), CLICK)


NONE_TOLD = Backs((np.array([[0.1, 0.0, 0.97]]),), told=False)  # as if the ellipse told the place


def beside(backs_off: float, backs: Backs, sweep: float) -> Arc:
    """Return an arc larger than a back edge, so far off all that can be one."""
    tries = (
        replace(FAR, x=x, y=0.0, radius=1.2, start=np.pi - sweep / 2, sweep=sweep)
        for x in np.arange(0.0, 0.6, 0.001)
    )
    return min(tries, key=lambda arc: abs(backs.off(arc) - backs_off))


def test_a_long_arc_runs_beside_a_back_by_chance_only_where_that_is_foretold() -> None:
    for backs, sweep, off_it, may in (
        (TOLD, 1.0, 0.03, True),
        (TOLD, 1.5, 0.03, True),
        (TOLD, 1.0, 0.016, False),
        (NONE_TOLD, 1.0, 0.03, True),
        (NONE_TOLD, 1.5, 0.03, False),
        (NONE_TOLD, 1.5, 0.05, True),
    ):
        arc = beside(off_it, backs, sweep)
        assert backs.off(arc) == pytest.approx(off_it, abs=0.003)
        assert may_be(arc, backs, None, CLICK) is may


def test_the_edge_in_front_is_the_less_sure_the_less_the_near_rim_is() -> None:
    vague = replace(TOLD, slack=0.02)
    for apart, backs, may in (
        (0.03, TOLD, True), (0.01, TOLD, False), (0.03, vague, False), (0.05, vague, True),
    ):  # fmt: skip
        x = FRONT[0] + FRONT[2] - 1.2 - apart  # inside the edge on the right
        arc = replace(FAR, x=x, y=0.0, radius=1.2, start=-0.15, sweep=0.3)
        assert off(arc, FRONT) == pytest.approx(apart, abs=0.002)
        assert may_be(arc, backs, FRONT, CLICK) is may


def test_what_outshines_its_surroundings_is_no_rim_of_a_darker_place() -> None:
    lit = replace(FAR, contrast=-60.0, inside=155.0, outside=95.0)
    for level, may in ((84.0, True), (82.0, False)):  # as one surface may differ by twelve
        assert may_be(lit, ANY_WALL, None, at(0.1, 0.0, level)) is may
    assert of_any_tone([lit], TOLD, FRONT, at(0.1, 0.0, 20.0)) == [lit]
    assert of_any_tone([lit], ANY_WALL, FRONT, at(0.1, 0.0, 20.0)) == []
    assert of_any_tone([lit, replace(BACK, x=0.255)], TOLD, FRONT, at(0.1, 0.0, 20.0)) == [lit]


def test_the_reverse_of_a_dark_rim_is_not_round_it() -> None:
    reverse = replace(FAR, contrast=-40.0)
    assert may_be_round(FAR, FAR, TOLD, FRONT)
    assert not may_be_round(FAR, reverse, TOLD, FRONT)
    assert may_be_round(reverse, reverse, TOLD, FRONT)
    assert may_be_round(reverse, FAR, TOLD, FRONT)
    assert may_be_round(FAR, replace(FAR, contrast=-10.0), TOLD, FRONT)
    assert may_be_round(replace(FAR, contrast=10.0), reverse, TOLD, FRONT)
