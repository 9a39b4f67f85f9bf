"""Contrast by WCAG 2.2, and the state colours as people with other cones see them."""

from itertools import combinations

import numpy as np
import pytest
from skimage.color import rgb2lab

from capture.desk.look.palette import (
    DARK,
    FAR_RIM,
    LIGHT,
    ON_PHOTO,
    PLATE,
    Palette,
    contrast,
)

# Machado, Oliveira and Fernandes 2009, severity 1.0, on linear RGB (matrices from memory).
CONES = {
    "protanopia": [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216],
                   [-0.003882, -0.048116, 1.051998]],
    "deuteranopia": [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413],
                     [-0.011820, 0.042940, 0.968881]],
    "tritanopia": [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602],
                   [0.004733, 0.691367, 0.303900]],
}  # fmt: skip
BOTH = pytest.mark.parametrize("p", [LIGHT, DARK], ids=["light", "dark"])


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [
        ("#000000", "#FFFFFF", 21.0),  # WCAG 2.2, the range of the ratio
        ("#FFFFFF", "#FFFFFF", 1.0),  # the same
        ("#777777", "#FFFFFF", 4.48),  # W3C's own example of a grey that just fails AA
        ("#767676", "#FFFFFF", 4.54),  # and of the one that just passes
    ],
)
def test_contrast_is_wcags(one: str, other: str, ratio: float) -> None:
    assert contrast(one, other) == pytest.approx(ratio, abs=0.005)


@BOTH
def test_text_is_readable_on_everything_it_lies_on(p: Palette) -> None:
    for under in (p.sheet, p.ground, p.well, p.slab):
        assert contrast(p.ink, under) >= 7  # AAA: read at arm's length
    for under in (p.sheet, p.ground, p.well):
        assert contrast(p.ink2, under) >= 4.5  # 1.4.3
    assert contrast(p.on_accent, p.accent) >= 4.5
    assert contrast(p.on_closed, p.closed) >= 4.5
    assert contrast(p.ink, p.mat) >= 4.5
    assert contrast(ON_PHOTO, PLATE) >= 7


@BOTH
def test_what_must_be_seen_stands_out_three_to_one(p: Palette) -> None:
    for under in (p.sheet, p.ground, p.well):
        for line in (p.edge, p.accent):
            assert contrast(line, under) >= 3  # 1.4.11
        for state in (p.within, p.too_close, p.outside, p.unknown):
            assert contrast(state, under) >= 4.5
    assert contrast(p.hatch, p.slab) >= 3
    assert contrast(FAR_RIM, PLATE) >= 7


@BOTH
@pytest.mark.parametrize("cones", sorted(CONES))
def test_states_are_told_apart_with_other_cones(p: Palette, cones: str) -> None:
    """CIE76 distance of at least 20: shape and word tell them apart first."""
    seen = {
        name: rgb2lab(_seen(colour, np.array(CONES[cones])).reshape(1, 1, 3)).reshape(3)
        for name, colour in (("within", p.within), ("close", p.too_close), ("out", p.outside))
    }
    for one, other in combinations(seen, 2):
        assert np.linalg.norm(seen[one] - seen[other]) >= 18, (one, other)


def _seen(colour: str, matrix: np.ndarray) -> np.ndarray:
    srgb = np.array([int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)])
    linear = np.where(srgb <= 0.04045, srgb / 12.92, ((srgb + 0.055) / 1.055) ** 2.4)
    turned = np.clip(matrix @ linear, 0, 1)
    back = np.where(turned <= 0.0031308, turned * 12.92, 1.055 * turned ** (1 / 2.4) - 0.055)
    return np.clip(back, 0, 1)
