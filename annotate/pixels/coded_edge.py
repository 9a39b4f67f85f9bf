"""How far an edge in a file's coded grey values lies from where it lies in the light itself.

Optics blur a step of light; the file then codes it (sRGB), which stretches the dark, and cuts off
what is brighter than the sensor can tell. The steepest place of what is left lies in the dark, by a
third of the blur where a face meets a drilling, by the whole blur and more where a lamp shines
through one. With light b on the dark side, l on the other and a blur of standard deviation s the
file holds code(min(1, b + (l - b) Phi(x / s))) at x across the edge. (Derived; the code is that of
IEC 61966-2-1.)
"""

from functools import lru_cache
from math import erfc, sqrt
from typing import Final, NamedTuple

import numpy as np

from annotate.pixels.half_light import light_of
from annotate.pixels.polar import Array, blurred, peak_offset

CLIPPED: Final = 250.0  # grey values from which on a sensor may have been full
_EVEN: Final = 1.0  # grey values: so slight a step the code does not bend
_STEP_PX: Final = 0.1
_REACH_PX: Final = 12.0
_MOST: Final = 4.0  # times what fills the sensor: as much light a lamp behind may give
_LIGHTS: Final = 13
_BLURS: Final = np.linspace(-2, 2, 9)  # standard deviations
_BLUR_SPREAD: Final = 0.2  # of a blur from one edge of a picture to another: depth, roundness
_WIDTH_SPREAD: Final = 0.1  # of a width that was measured
_WIDTH_LEAST_PX: Final = 0.1


class Shift(NamedTuple):
    """How far into the dark an edge seems to lie, in px, and the standard uncertainty of that."""

    px: float
    sigma_px: float


def shift(dark: float, bright: float, width_px: float, slope_px: float) -> Shift:
    """Return the shift of an edge between two grey values, its width that of the blur.

    ``slope_px``: the smoothing with which the steepest place was looked for.
    """
    if bright - dark < _EVEN:
        return Shift(0.0, 0.0)
    lights = light_of(np.array([dark, bright]))
    blur = np.array([max(width_px, _STEP_PX)])
    place, _ = _steepest(float(lights[0]), lights[1:], blur, slope_px)
    return Shift(-float(place[0]), 0.0)


def clipped_shift(dark: float, width_px: float, blur_px: float, slope_px: float) -> Shift:
    """Return the shift of an edge beyond which the sensor is full: how full is not told.

    What is left of the slope is the steeper and narrower the more light was cut off, so its width,
    beside the ``blur_px`` of another edge of the picture, tells how much that was.
    """
    ratio = np.linspace(0, np.log(_MOST), _LIGHTS)  # each ratio as likely
    blur = blur_px * np.exp(_BLUR_SPREAD * _BLURS)
    light, spread = (a.ravel() for a in np.meshgrid(np.exp(ratio), blur))
    place, width = _steepest(float(light_of(dark)), light, spread, slope_px)
    off = (width - width_px) / np.hypot(_WIDTH_SPREAD * width_px, _WIDTH_LEAST_PX)
    log_weight = -0.5 * (off**2 + np.repeat(_BLURS, _LIGHTS) ** 2)
    weight = np.exp(log_weight - log_weight.max())
    weight /= weight.sum()
    mean = float(weight @ place)
    return Shift(-mean, float(weight @ (place - mean) ** 2) ** 0.5)


def _steepest(dark: float, light: Array, blur: Array, slope_px: float) -> tuple[Array, Array]:
    """Return where edges (N,) are steepest, in px from themselves, and how wide they look.

    ``dark`` and ``light`` (N,) are shares of what fills the sensor, the blur (N,) is in px.
    """
    x = np.arange(-_REACH_PX, _REACH_PX + _STEP_PX / 2, _STEP_PX)
    step = dark + (light[:, None] - dark) * _blurred_step(x / blur[:, None])
    smooth = blurred(_code_of(step).astype(np.float32), slope_px / _STEP_PX, axis=1)
    slope = np.gradient(smooth, axis=1)
    slope[:, [0, -1]] = 0
    at, rows = slope[:, 1:-1].argmax(axis=1) + 1, np.arange(len(light))
    left, top, right = (slope[rows, at + k] for k in (-1, 0, 1))
    hump = (slope > 0.5 * top[:, None]).sum(axis=1) * _STEP_PX / 2.355
    place = x[at] + _STEP_PX * peak_offset(left, top, right)
    return place, np.sqrt(np.maximum(hump**2 - slope_px**2, 0.01))


def _blurred_step(z: Array) -> Array:
    """Return the normal distribution function, 0 to 1, at places in standard deviations."""
    at, values = _normal_table()
    return np.interp(z, at, values)


@lru_cache(maxsize=1)
def _normal_table() -> tuple[Array, Array]:
    at = np.arange(-6, 6.001, 0.02)
    return at, np.array([0.5 * erfc(-z / sqrt(2)) for z in at])


def _code_of(light: Array) -> Array:
    """Return the grey values, 0 to 255, of linear light, of which 1 fills the sensor."""
    full, knee = np.clip(light, 0, 1), 0.0031308  # the standard's
    return 255 * np.where(full <= knee, 12.92 * full, 1.055 * full ** (1 / 2.4) - 0.055)
