"""The sharpness figure against pictures blurred by known amounts.

A Gaussian step of standard deviation s rises from 10 to 90 % over 2 x 1.2816 s (the normal
distribution's 90th percentile, any table), and blurs add as squares: the blurred picture's edges
must be as wide as sqrt(own^2 + (2.5631 s)^2).
"""

from math import hypot

import cv2
import numpy as np
import pytest

from capture.desk.photos.sharpness import ACROSS_PX, WIDE_PX, edge_width_px, is_sharp
from capture.intake.photo import decode_upright
from tests.capture.command import SAMPLES

WIDTH_PER_SIGMA = 2 * 1.28155


def step(sigma: float, wide: int = 800, high: int = 600, contrast: int = 140) -> np.ndarray:
    """A bright disc on a dark ground, drawn eight times as fine and blurred exactly."""
    fine = 4
    down, across = np.ogrid[: high * fine, : wide * fine]
    disc = (across - wide * fine / 2) ** 2 + (down - high * fine / 2) ** 2 < (150 * fine) ** 2
    grey = np.where(disc, 60.0 + contrast, 60.0).astype(np.float32)
    blurred = cv2.GaussianBlur(grey, (0, 0), sigma * fine)
    small = cv2.resize(blurred, (wide, high), interpolation=cv2.INTER_AREA)
    return np.repeat(np.rint(small).astype(np.uint8)[..., None], 3, axis=2)


@pytest.mark.parametrize("sigma", [1.0, 1.5, 2.0, 3.0, 4.0])
@pytest.mark.parametrize("contrast", [60, 180])
def test_a_step_of_known_blur_has_the_width_of_a_gaussian_step(sigma, contrast) -> None:
    width = edge_width_px(step(sigma, contrast=contrast))
    # A pixel's own square adds its 1/12 px^2 (the variance of a uniform distribution).
    expected = WIDTH_PER_SIGMA * hypot(sigma, (1 / 12) ** 0.5)
    assert width == pytest.approx(expected, rel=0.04)


@pytest.mark.parametrize("sigma", [1.5, 2.0, 3.0])
@pytest.mark.parametrize("name", ["bearing-2-turned.jpg", "bearing-3.jpg", "face-chessboard.jpg"])
def test_blur_that_is_added_to_a_picture_is_found_again(name, sigma) -> None:
    pixels = decode_upright(SAMPLES / name)
    own = edge_width_px(pixels)
    blurred = edge_width_px(cv2.GaussianBlur(pixels, (0, 0), sigma))
    assert blurred == pytest.approx(hypot(own, WIDTH_PER_SIGMA * sigma), rel=0.08)


def test_noise_does_not_make_a_blurred_picture_sharp() -> None:
    noisy = step(3.0).astype(np.float64) + np.random.default_rng(5).normal(0, 4, (600, 800, 1))
    width = edge_width_px(np.clip(noisy, 0, 255).astype(np.uint8))
    assert width == pytest.approx(WIDTH_PER_SIGMA * 3.0, rel=0.12)


def test_a_larger_picture_of_the_same_is_as_sharp_and_a_part_of_it_too() -> None:
    pixels = step(4.0, wide=ACROSS_PX * 2, high=1200)
    assert edge_width_px(pixels) == pytest.approx(WIDTH_PER_SIGMA * 2.0, rel=0.06)
    part = np.ascontiguousarray(pixels[400:800, 1300:1900])
    assert edge_width_px(part, of_px=ACROSS_PX * 2) == pytest.approx(
        WIDTH_PER_SIGMA * 2.0, rel=0.06
    )


def test_a_picture_without_edges_has_no_figure() -> None:
    assert edge_width_px(np.full((400, 600, 3), 90, np.uint8)) is None
    assert not is_sharp(None)
    assert is_sharp(WIDE_PX)
    assert not is_sharp(WIDE_PX + 0.1)
