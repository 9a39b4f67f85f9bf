"""Many ellipses at once give what one at a time gives."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from annotate.near_edges import many
from annotate.pixels import polar
from annotate.pixels.halvings import pyramid
from annotate.pixels.polar import Frame, circle, frame_of, harmonics

RNG = np.random.default_rng(5)
FRAMES = [frame_of(40 + k, 50.5 - k, (18.0 + k, 15.0), 0.3 * k) for k in range(4)]


def test_fits_agree_with_the_fit_of_one() -> None:
    design = harmonics(2 * np.pi * np.arange(60) / 60, 2)
    values = RNG.normal(size=(3, 60)) * 0.02 + design @ np.array([0.1, 0.02, 0, -0.03, 0.01])
    values[1, 10:15] += 0.5
    weights = RNG.uniform(0.1, 1, (3, 60))
    scale = np.array([0.2, 0.1, 0.3])
    together = many.robust_fit(design, values, scale, weights)
    for one, v, s, w in zip(together, values, scale, weights, strict=True):
        assert_allclose(one, polar.robust_fit(design, v, float(s), w), atol=1e-9)


def test_moves_agree_with_the_move_of_one() -> None:
    radial = RNG.normal(scale=0.05, size=(4, 7))
    moved = many.Frames.of(FRAMES).moved(radial).each()
    for frame, new, shift in zip(FRAMES, moved, radial, strict=True):
        assert_allclose(new.a, frame.moved(shift).a, atol=1e-9)
        assert_allclose((new.cx, new.cy), (frame.moved(shift).cx, frame.moved(shift).cy))


def test_bands_hold_the_picture_at_their_radii() -> None:
    rows, columns = np.mgrid[0:110, 0:100]
    picture = (rows + columns).astype(np.uint8)  # a plane: linear interpolation is exact
    bands = list(many.unrolled(pyramid(picture), many.Frames.of(FRAMES), np.full(4, 0.3), 16, 48))
    assert sorted(i for band in bands for i in band.which.tolist()) == [0, 1, 2, 3]
    for band in bands:
        for i, radii, grid in zip(band.which, band.radii, band.grid, strict=True):
            assert_allclose(radii[[0, -1]], [0.7, 1.3])
            places = FRAMES[i].to_px(circle(16)[:, None] * radii[None, :, None])
            assert_allclose(grid, places.sum(axis=-1), atol=0.1)


def test_outside_the_picture_nothing_is_known() -> None:
    away = Frame(-50.0, 20.0, (10.0, 0.0, 0.0, 10.0))
    dark = pyramid(np.zeros((60, 60), np.uint8))
    grid = many.laid(dark, many.Frames.of([away]), np.array([[1.0]]), 8, 48)
    assert np.isnan(grid).all()


@pytest.mark.parametrize(("within", "kept"), [(0.5, [0]), (0.001, [0, 1, 2, 3])])
def test_alike_ellipses_are_kept_once(within: float, kept: list[int]) -> None:
    frames = many.Frames.of(FRAMES)
    assert many.unlike(frames, within, 10) == kept
    assert many.unlike(frames, within, 2) == kept[:2]
    assert many.unlike(many.Frames.of([]), within, 2) == []


def test_ellipses_together_are_what_they_are_alone() -> None:
    frames = many.Frames.of(FRAMES)
    assert frames.each() == FRAMES
    assert_allclose(frames.radius_px, [f.radius_px for f in FRAMES])
    assert frames.pick([2, 0]).each() == [FRAMES[2], FRAMES[0]]


def test_edges_are_stronger_than_what_is_usual_and_keep_their_sign() -> None:
    grid = np.full((2, 40, 30), 50, np.float32)
    grid[0, :, 15:] = 120
    grid[1, :, 15:] = 20
    strength = many.edge_strength(grid)
    assert strength[0, :, 14:16].min() > 0.8
    assert strength[1, :, 14:16].max() < -0.8
    assert np.abs(strength[:, :, :8]).max() < 0.2
