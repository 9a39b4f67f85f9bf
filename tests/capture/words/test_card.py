"""A stiff card in a bore is a chord: what is said of how high it floats, by Pythagoras."""

from math import sqrt

import pytest

from annotate.givens import Givens
from annotate.own_targets import CARD_MM, LARGEST_OF_BORE, PIECE_SIDES
from annotate.quantity import Quantity
from annotate.sight.card import floats_mm
from capture.words.card import card_notes


def mm(value: float, u: float = 0.0) -> Quantity:
    return Quantity(value, "mm", u)


def sagitta_mm(chord: float, bore: float) -> float:
    return bore / 2 - sqrt((bore / 2) ** 2 - (chord / 2) ** 2)


@pytest.mark.parametrize("side", [side for side in CARD_MM.values() if side <= 13])
@pytest.mark.parametrize("bore", [52.0, 75.0, 110.0])
def test_a_card_floats_by_its_sagitta_and_at_most_by_what_is_carried(
    side: float, bore: float
) -> None:
    likely, most = floats_mm(mm(side), Givens(bore_diameter=mm(bore, 0.1)))
    assert likely == pytest.approx(sagitta_mm(PIECE_SIDES * side, bore), rel=0.05)
    # Flat on the metal, or bent to it, counts as possible: at most is as far the other way.
    assert most - likely == pytest.approx(1.96 * sqrt((0.6 * likely) ** 2 + 0.3**2), rel=0.01)


def test_on_a_flat_face_nothing_floats_and_nothing_is_said() -> None:
    flat = Givens(flat=True)
    assert floats_mm(mm(8.0), flat) == (0.0, 0.0)
    assert list(card_notes(mm(8.0), flat)) == []
    assert list(card_notes(None, Givens())) == []


def test_it_is_said_how_high_it_floats_likely_and_at_most() -> None:
    (said,) = card_notes(mm(10.0), Givens(bore_diameter=mm(50.0)))
    assert "in a bore of 50 mm its middle floats about 1.1 mm above the metal, at most 2.6" in said
    (unknown,) = card_notes(mm(10.0), Givens())
    assert "as no bore is typed its middle floats about 1.0 mm above the metal" in unknown


@pytest.mark.parametrize("bore", [40.0, 52.0])
def test_a_marker_wider_than_the_printed_part_of_the_bore_is_warned_of(bore: float) -> None:
    givens = Givens(bore_diameter=mm(bore, 0.1))
    largest = LARGEST_OF_BORE * bore
    assert len(list(card_notes(mm(largest), givens))) == 1
    _, wide = card_notes(mm(largest + 0.5), givens)
    assert f"wider than 1/4 of the bore, {bore:g} mm" in wide
    assert f"take one of at most {largest:g} mm" in wide
    _, wider = card_notes(mm(bore / PIECE_SIDES + 0.1), givens)
    assert f"does not lie in a bore of {bore:g} mm" in wider
