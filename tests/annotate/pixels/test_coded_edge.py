"""How far a coded edge seems to lie in the dark, against the same edge blurred by scipy.

Outside truth: scipy.special.ndtr and scipy.ndimage (the blurred step and its smoothing), and
skimage's inverse of the sRGB code.
"""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.ndimage import gaussian_filter1d
from scipy.special import ndtr
from skimage.color import rgb2xyz

from annotate.pixels.coded_edge import clipped_shift, shift

SLOPE_PX = 0.8
FINE = 0.01
X = np.arange(-15, 15 + FINE / 2, FINE)


def light(grey: float) -> float:
    """Return the luminance of a grey value, by skimage."""
    return float(rgb2xyz(np.full((1, 1, 3), grey / 255))[0, 0, 1])


def steepest(dark: float, bright: float, blur_px: float) -> tuple[float, float]:
    """Return where an edge of light is steepest in the file, and its width there, by scipy."""
    full = np.clip(light(dark) + (bright - light(dark)) * ndtr(X / blur_px), 0, 1)
    coded = 255 * np.where(full <= 0.0031308, 12.92 * full, 1.055 * full ** (1 / 2.4) - 0.055)
    slope = np.gradient(gaussian_filter1d(coded, SLOPE_PX / FINE), FINE)
    wide = float((slope > slope.max() / 2).sum()) * FINE / 2.355
    return float(X[slope.argmax()]), float(np.sqrt(wide**2 - SLOPE_PX**2))


@given(
    dark=st.floats(5, 200), step=st.floats(20, 200), blur_px=st.floats(0.4, 3.0)
)  # fmt: skip
def test_an_edge_lies_as_far_in_the_dark_as_scipy_finds_it(
    dark: float, step: float, blur_px: float
) -> None:
    bright = min(dark + step, 249.0)
    place, _ = steepest(dark, light(bright), blur_px)
    found = shift(dark, bright, blur_px, SLOPE_PX)
    assert found.px == pytest.approx(-place, abs=0.03 + 0.02 * blur_px)
    assert found.sigma_px == 0


def test_light_blurred_more_or_darker_beside_it_reaches_farther_into_the_dark() -> None:
    blurs = [shift(60.0, 200.0, blur, SLOPE_PX).px for blur in (0.5, 1.0, 2.0)]
    assert np.all(np.diff(blurs) > 0.1)
    darks = [shift(dark, 200.0, 1.0, SLOPE_PX).px for dark in (20.0, 60.0, 120.0, 180.0)]
    assert np.all(np.diff(darks) < 0)
    assert darks[-1] > 0


@pytest.mark.parametrize("step", [0.0, 0.9])
def test_where_there_is_no_step_nothing_is_moved(step: float) -> None:
    assert shift(90.0, 90.0 + step, 1.0, SLOPE_PX) == (0.0, 0.0)


@pytest.mark.parametrize("blur_px", [0.8, 1.2, 2.0])
@pytest.mark.parametrize("dark", [30.0, 110.0, 190.0])
@pytest.mark.parametrize("times", [1.15, 1.7, 2.6])
def test_where_the_sensor_was_full_the_width_left_tells_how_far(
    dark: float, times: float, blur_px: float
) -> None:
    place, width = steepest(dark, times, blur_px)
    for known_px in (0.85 * blur_px, blur_px, 1.15 * blur_px):
        found = clipped_shift(dark, width, known_px, SLOPE_PX)
        assert abs(found.px + place) < 2 * found.sigma_px
        # Not told at all it were one of -0.1 to -3 blurs.
        assert 0.02 < found.sigma_px < 0.75 * blur_px


def test_the_narrower_what_is_left_the_more_light_was_cut_off() -> None:
    found = [clipped_shift(110.0, width, 1.2, SLOPE_PX).px for width in (1.2, 1.0, 0.8, 0.6)]
    assert np.all(np.diff(found) > 0.05)


@pytest.mark.parametrize("width", [0.1, 9.0])
def test_a_width_that_no_blur_gives_is_still_answered(width: float) -> None:
    found = clipped_shift(110.0, width, 1.2, SLOPE_PX)
    assert 0 < found.px < 6
    assert np.isfinite(found.sigma_px)
