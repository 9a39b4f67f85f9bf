import numpy as np
import pytest

from annotate.pane.levels import COARSEST_PX, levels_of


def test_every_level_covers_the_whole_picture() -> None:
    pixels = np.zeros((1001, 2003, 3), np.uint8)
    sizes = [level.shape[:2] for level in levels_of(pixels).levels]
    assert sizes == [(1001, 2003), (501, 1002), (251, 501), (126, 251)]
    assert max(sizes[-1]) <= COARSEST_PX


def test_a_coarse_pixel_is_the_mean_of_what_it_covers() -> None:
    rng = np.random.default_rng(1)
    pixels = rng.integers(0, 256, (512, 768, 3), dtype=np.uint8)
    coarse = levels_of(pixels).levels[1]
    means = pixels.reshape(256, 2, 384, 2, 3).mean(axis=(1, 3))
    assert np.abs(coarse - means).max() <= 0.5


def test_the_full_level_is_the_picture_itself_and_the_rest_a_third() -> None:
    pixels = np.zeros((1200, 1600, 3), np.uint8)
    levels = levels_of(pixels)
    assert np.shares_memory(levels.levels[0], pixels)
    assert (levels.width_px, levels.height_px) == (1600, 1200)
    assert pixels.nbytes * 1.3 < levels.held_bytes < pixels.nbytes * 1.35


@pytest.mark.parametrize(
    ("zoom", "level"), [(40.0, 0), (1.0, 0), (0.72, 0), (0.7, 1), (0.36, 1), (0.35, 2), (1e-4, 4)]
)
def test_a_view_is_painted_from_the_level_nearest_to_its_own_pixels(zoom, level) -> None:
    levels = levels_of(np.zeros((3000, 4000, 3), np.uint8))
    assert levels.level_for(zoom) == level


@pytest.mark.parametrize(
    "wrong",
    [
        np.zeros((5, 5), np.uint8),
        np.zeros((5, 5, 4), np.uint8),
        np.zeros((5, 5, 3), np.float32),
        np.zeros((0, 5, 3), np.uint8),
    ],
)
def test_what_is_no_picture_is_refused(wrong) -> None:
    with pytest.raises(ValueError, match="a picture is"):
        levels_of(wrong)


def test_a_turned_view_of_an_array_is_a_picture_too() -> None:
    turned = np.zeros((20, 30, 3), np.uint8).transpose(1, 0, 2)
    assert levels_of(turned).levels[0].flags["C_CONTIGUOUS"]
