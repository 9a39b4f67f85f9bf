"""A hole behind that is a slot is not taken for a round one; a round one never is for a slot."""

import numpy as np
import pytest

from annotate.by_hand import find_behind
from annotate.edges import Rims, find_rims
from annotate.far_edges.rough_arcs import patch
from annotate.far_edges.straight_sides import is_slots
from annotate.marks import Rim
from annotate.pixels.halvings import pyramid
from annotate.pixels.rim_points import frame_through
from tests.annotate.holes_drawn import Drawn, but
from tests.annotate.slots_drawn import Slotted
from tests.annotate.test_edges import click_at


def found(drawn: Drawn, x: float, y: float) -> Rims:
    rims = find_rims(drawn.picture(), click_at(drawn, x, y))
    assert isinstance(rims, Rims)
    return rims


@pytest.mark.parametrize("along_deg", [0.0, 50.0, 110.0])
def test_a_round_end_with_a_straight_side_is_a_slots(along_deg: float) -> None:
    turn = np.radians(along_deg)
    x, y = 0.4 * np.cos(turn), 0.4 * np.sin(turn)
    slot = Slotted(far_long=2.0, along_deg=along_deg, back=None, far=(x, y, 0.5))
    rims = found(slot, x, y)
    assert rims.far is None
    assert rims.far_state == "slot"
    assert rims.near.points_px


def test_the_same_end_of_a_round_hole_is_no_slots() -> None:
    hole = Slotted(back=None, far=(0.3, 0.2, 0.5))
    rims = found(hole, 0.3, 0.2)
    assert rims.far_state == "seen"
    assert rims.far is not None


@pytest.mark.parametrize("radius", [0.6, 0.9, 1.3, 2.0])
def test_a_round_hole_of_any_size_is_no_slot(radius: float) -> None:
    away = radius - 0.2
    seen = but(Drawn(in_light=True), far=(0.8 * away, 0.6 * away, radius))
    assert found(seen, 0.3, 0.2).far_state == "seen"


def test_one_straight_side_right_across_is_no_rims() -> None:
    slot = Slotted(far_long=12.0, along_deg=90.0, back=None, far=(0.9, 0.0, 1.0))
    frame = frame_through(found(slot, 0.4, 0.0).near)
    assert frame is not None
    flat = patch(pyramid(slot.picture()), frame)
    side = np.stack([np.full(40, -0.1), np.linspace(-0.6, 0.6, 40)], axis=-1)
    unit = frame.to_unit(slot.to_px(side))
    assert is_slots(flat, unit)
    # Too short a piece of the same tells nothing of how it is bent.
    assert not is_slots(flat, unit[17:23])


def test_a_slot_is_told_behind_a_near_rim_placed_by_hand_too() -> None:
    slot = Slotted(far_long=2.0, along_deg=50.0, back=None, far=(0.26, 0.31, 0.5))
    seen = found(slot, 0.26, 0.31)
    by_hand = Rim("near", seen.near.points_px[::15], 1.0)
    behind = find_behind(slot.picture(), by_hand, click_at(slot, 0.26, 0.31))
    assert (behind.far, behind.far_state) == (None, "slot")
