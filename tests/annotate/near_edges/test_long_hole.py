"""A near hole that is a slot is refused as one; a round one never is."""

import pytest

from annotate.edges import NotFound, Rims, find_rims
from annotate.marks import Point
from tests.annotate.holes_drawn import Drawn, but
from tests.annotate.slots_drawn import Slotted
from tests.annotate.test_edges import click_at

STRAIGHT = "two straight sides"


def drawn(long: float, along_deg: float, squash: float) -> Slotted:
    return Slotted(
        near_long=long, along_deg=along_deg, squash=squash, back=None, far=(0.5, 0.4, 0.9)
    )


@pytest.mark.parametrize("along_deg", [0.0, 40.0, 75.0, 130.0])
@pytest.mark.parametrize(("long", "squash"), [(1.12, 0.9), (1.18, 0.97), (1.3, 0.95)])
def test_a_slot_is_not_taken_for_a_round_hole(long: float, along_deg: float, squash: float) -> None:
    seen = drawn(long, along_deg, squash)
    refusal = find_rims(seen.picture(), click_at(seen))
    assert isinstance(refusal, NotFound)
    # Of a long one no ellipse is one rim all round, and that is told first.
    assert STRAIGHT in refusal.reason or "not that of one rim" in refusal.reason


def test_what_to_do_about_a_slot_is_said() -> None:
    seen = drawn(1.12, 40.0, 0.97)
    refusal = find_rims(seen.picture(), click_at(seen))
    assert isinstance(refusal, NotFound)
    assert STRAIGHT in refusal.reason
    assert "gauge" in refusal.advice_or_by_hand


@pytest.mark.parametrize("chamfer", [0.0, 0.06, 0.12])
@pytest.mark.parametrize("squash", [1.0, 0.9, 0.8])
def test_a_round_hole_with_and_without_a_chamfer_is_no_slot(chamfer: float, squash: float) -> None:
    seen = but(Drawn(in_light=True), chamfer=chamfer, squash=squash)
    assert isinstance(find_rims(seen.picture(), click_at(seen)), Rims)


def test_an_oval_that_is_an_ellipse_is_a_round_hole_seen_at_a_slant() -> None:
    seen = Slotted(squash=0.85, back=None, far=(0.5, 0.4, 0.9))
    assert isinstance(find_rims(seen.picture(), Point(230.0, 190.0)), Rims)
