"""A stiff piece of the card in a bore is a chord: where it floats is worked out here by itself."""

from math import sqrt

import numpy as np
import pytest

from annotate.coverage import measure
from annotate.errors import CannotMeasure
from annotate.givens import Givens
from annotate.marks import Dictionary, Layer, Marker
from annotate.own_targets import (
    CARD_DICTIONARY,
    CARD_MM,
    LARGEST_OF_BORE,
    PIECE_SIDES,
    TAG_DICTIONARY,
    TAG_MM,
)
from tests.annotate.drilled import Drilled
from tests.annotate.test_coverage import layer_of, mm

BORE_MM = 50.0


def sagitta_mm(chord_mm: float) -> float:
    """Return how far the middle of a chord lies off its circle (Pythagoras)."""
    return BORE_MM / 2 - sqrt((BORE_MM / 2) ** 2 - (chord_mm / 2) ** 2)


def warnings_with(side: float, dictionary: Dictionary, near: float) -> tuple[str, ...]:
    """Return what is told of a hole of 8 mm, with a piece lying along the bore beside it."""
    scene = Drilled(tilt_deg=8.0, r_far=3.5, offset=(1.5, 0.5))
    left, half = 6.0, side / 2
    square = np.array([[left, half], [left + side, half], [left + side, -half], [left, -half]])
    floats = np.full(4, sagitta_mm(PIECE_SIDES * side))
    corners = scene.project(np.column_stack([square, floats]))
    marker = Marker(tuple(map(tuple, corners.tolist())), mm(side), 42, dictionary)
    layer = layer_of(scene, sigma=0.3, back=24)
    layer = Layer(*scene.size, (*layer.marks, marker), layer.focal_35mm)
    return measure(layer, Givens(near_diameter=mm(near), bore_diameter=mm(BORE_MM, 0.1))).warnings


def two_scales(side: float, dictionary: Dictionary, near: float) -> bool:
    """Return whether diameter and piece are said to disagree, or to be past all agreement."""
    try:
        told = warnings_with(side, dictionary, near)
    except CannotMeasure as refused:
        return "check the typed diameters" in str(refused)
    return any("two scales" in words for words in told)


@pytest.mark.parametrize(
    ("side", "dictionary"),
    [(8.0, CARD_DICTIONARY), (10.0, CARD_DICTIONARY), (12.0, TAG_DICTIONARY)],
)
def test_a_piece_lying_as_the_card_says_agrees_with_the_true_diameter_only(
    side: float, dictionary: Dictionary
) -> None:
    assert side in {*CARD_MM.values(), TAG_MM}
    assert side <= LARGEST_OF_BORE * BORE_MM
    assert not two_scales(side, dictionary, near=8.0)
    assert two_scales(side, dictionary, near=9.5)


def test_the_largest_piece_allowed_floats_as_the_parabola_has_it() -> None:
    half = PIECE_SIDES * LARGEST_OF_BORE * BORE_MM / 2
    # The measurement takes half^2 / diameter (annotate.sight.card), with 60 % of it as its doubt.
    assert half**2 / BORE_MM == pytest.approx(sagitta_mm(2 * half), rel=0.04)
