"""Photos too large to look for rims in are reduced, and what is found lies where it lay."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from annotate.by_hand import find_inner
from annotate.edges import Rims, find_rims
from annotate.marks import Point, Rim
from annotate.pixels import large
from annotate.pixels.large import reduced, reduced_point, reduced_rim, reduction, restored_rim, said
from tests.annotate.holes_drawn import Array, Drawn

DRAWN = Drawn()
AT = DRAWN.to_px(np.array([0.35, 0.3]))
CLICK = Point(float(AT[0]), float(AT[1]))


@pytest.mark.parametrize(
    ("megapixels", "factor"), [(0.3, 1), (12, 1), (50, 1), (50.01, 2), (200, 2), (201, 3)]
)
def test_only_beyond_fifty_megapixels_a_photo_is_reduced(megapixels: float, factor: int) -> None:
    flat = np.lib.stride_tricks.as_strided(
        np.zeros(1, np.uint8), (1000, int(megapixels * 1000)), (0, 0)
    )
    assert reduction(flat) == factor
    assert bool(said(factor)) == (factor > 1)


def test_reduced_pixels_are_means_of_whole_blocks() -> None:
    picture = np.arange(7 * 8, dtype=np.uint8).reshape(7, 8)
    small = reduced(picture, 2)
    assert small.shape == (3, 4)
    assert small[0, 0] == pytest.approx((0 + 1 + 8 + 9) / 4, abs=0.5)
    assert reduced(picture, 1) is picture


def test_places_go_there_and_back() -> None:
    assert reduced_point(Point(0.5, 2.5), 2) == Point(0.0, 1.0)
    assert reduced_point(CLICK, 1) is CLICK
    rim = Rim("far", ((0.5, 2.5), (10.5, 4.5), (7.25, 9.0)), 0.8, "found", CLICK)
    there = reduced_rim(rim, 2)
    assert (there.sigma_px, there.seed, there.which) == (0.4, CLICK, "far")
    back = restored_rim(there, 2, CLICK)
    assert_allclose(back.array_px(), rim.array_px())
    assert back.sigma_px == pytest.approx(0.8)


def off(rim: Rim | None, ring: tuple[float, float, float] | None) -> Array:
    assert rim is not None
    assert ring is not None
    return DRAWN.off_px(rim.array_px(), ring)


def test_rims_of_a_reduced_photo_lie_on_its_edges(monkeypatch: pytest.MonkeyPatch) -> None:
    picture = DRAWN.picture()
    monkeypatch.setattr(large, "MOST_PIXELS", picture.size // 3)
    rims = find_rims(picture, CLICK)
    assert isinstance(rims, Rims)
    assert "1/2 of its width" in rims.warnings[0]
    assert rims.near.seed == CLICK
    assert np.abs(off(rims.near, (0.0, 0.0, 1.0))).mean() < 0.5
    assert np.abs(off(rims.far, DRAWN.far)).mean() < 0.6
    far, _, state = find_inner(picture, rims.near, CLICK)
    assert state == "seen"
    assert np.abs(off(far, DRAWN.far)).mean() < 0.6
