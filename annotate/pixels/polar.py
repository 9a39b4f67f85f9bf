"""A picture as seen from an ellipse: sampling round it, and edges to a fraction of a pixel.

A ``Frame`` maps the unit circle onto an ellipse in the picture, x = centre + A u with A symmetric,
so that turning or mirroring the picture turns or mirrors everything here with it. Pixels are
those of ``annotate.marks``: (0, 0) is the centre of the top-left pixel, y down.
"""

from math import sqrt
from typing import Final

import numpy as np
import numpy.typing as npt
from msgspec import Struct

from annotate.marks import rescaled_px

Array = npt.NDArray[np.float64]
Image = npt.NDArray[np.float32]  # grey values, 0 to 255
Mask = npt.NDArray[np.bool_]
Picture = npt.NDArray[np.uint8]  # (H, W) grey or (H, W, 3) RGB, upright

# A saddle-shaped rim and the fit blur the ratio of an ellipse's axes by about this much.
AXES_BLUR: Final = 0.008
_STEP_PX: Final = 0.25  # between samples of a profile
SLOPE_BLUR_PX: Final = 0.8  # of the slope filter across an edge


class Frame(Struct, frozen=True):
    """An ellipse as the image of the unit circle: x = centre + A u, A symmetric, row-major."""

    cx: float
    cy: float
    a: tuple[float, float, float, float]

    @property
    def matrix(self) -> Array:
        """Return A, 2 x 2, in pixels."""
        return np.array(self.a).reshape(2, 2)

    @property
    def radius_px(self) -> float:
        """Return the radius of the circle with the ellipse's area, in pixels."""
        return sqrt(abs(self.a[0] * self.a[3] - self.a[1] * self.a[2]))

    def to_px(self, unit: Array) -> Array:
        """Return points (..., 2) of the unit frame in picture pixels."""
        return np.asarray(unit @ self.matrix + (self.cx, self.cy))

    def to_unit(self, px: Array) -> Array:
        """Return picture points (..., 2) in the unit frame."""
        a, b, c, d = self.a
        inverse = np.array([[d, -b], [-c, a]]) / (a * d - b * c)
        return np.asarray((px - (self.cx, self.cy)) @ inverse)

    def scaled(self, factor: float) -> "Frame":
        """Return the same ellipse in a copy of the picture scaled by ``factor``."""
        centre = (rescaled_px(self.cx, factor), rescaled_px(self.cy, factor))
        return frame_with(*centre, self.matrix * factor)

    def grown(self, factor: float) -> "Frame":
        """Return the concentric ellipse ``factor`` times as large."""
        return frame_with(self.cx, self.cy, self.matrix * factor)

    def rounder(self, power: float) -> "Frame":
        """Return the ellipse of the same area with its ratio of axes raised to ``power``."""
        values, vectors = np.linalg.eigh(self.matrix)
        middle = sqrt(abs(float(values[0] * values[1])))
        matrix = vectors @ np.diag(middle * (values / middle) ** power) @ vectors.T
        return frame_with(self.cx, self.cy, matrix)

    def shifted(self, unit: Array) -> "Frame":
        """Return the same ellipse moved by a vector of its own unit frame."""
        x, y = self.to_px(unit)
        return frame_with(float(x), float(y), self.matrix)

    def moved(self, radial: Array) -> "Frame":
        """Return the ellipse with radial harmonics 0, cos, sin, cos 2, sin 2 added."""
        h0, c1, s1, c2, s2 = radial[:5]
        bend = np.array([[1 + h0 + c2, s2], [s2, 1 + h0 - c2]])
        # The symmetric root: the turn inside the product is dropped, a circle does not know it.
        left, size, _ = np.linalg.svd(self.matrix @ bend)
        x, y = self.to_px(np.array([c1, s1]))
        return frame_with(float(x), float(y), left @ np.diag(size) @ left.T)


def frame_with(cx: float, cy: float, matrix: Array) -> Frame:
    """Return the frame with this centre and symmetric matrix."""
    a, b, c, d = matrix.ravel().tolist()
    return Frame(cx, cy, (a, b, c, d))


def frame_of(cx: float, cy: float, semi: tuple[float, float], turn_rad: float) -> Frame:
    """Return the frame of an ellipse with half axes ``semi``, the first along ``turn_rad``."""
    c, s = np.cos(turn_rad), np.sin(turn_rad)
    turn = np.array([[c, -s], [s, c]])
    return frame_with(cx, cy, turn @ np.diag(semi) @ turn.T)


class Tilt(Struct, frozen=True):
    """What an ellipse says of the view's angle if it is a round rim: bounds of its tangent.

    ``along``: the unit vector, in the picture and in the unit frame, that depth is seen along.
    """

    least: float
    most: float
    along: Array


def tilt_of(frame: Frame) -> Tilt:
    """Return the tilt that an ellipse allows, whose sign it does not tell."""
    values, vectors = np.linalg.eigh(frame.matrix)
    low, high = (
        float(np.clip(abs(values[0] / values[1]) + off, 0.1, 1.0))
        for off in (AXES_BLUR, -AXES_BLUR)
    )
    return Tilt(sqrt(1 - low**2) / low, sqrt(1 - high**2) / high, vectors[:, 0])


def sample(image: Image | Picture, points_px: Array | Image) -> Image:
    """Return a grey image at points (..., 2) by linear interpolation; NaN outside the picture."""
    x, y = (np.array(points_px[..., i], np.float32, order="C") for i in (0, 1))
    return sample_at(image, x, y)


def sample_at(image: Image | Picture, x: Image, y: Image) -> Image:
    """Return a grey image at places x, y (..., A, B), which are used up; as ``sample`` does.

    Faster than that by a copy: many places are best made as x and y.
    """
    import cv2  # noqa: PLC0415 - heavy, only when a picture is looked at

    height, width = image.shape
    margin = 0.5  # a pixel's area reaches half a pixel beyond its centre
    low, high = (float(x.min()), float(y.min())), (float(x.max()), float(y.max()))
    within = min(low) >= -margin and high[0] <= width - margin and high[1] <= height - margin
    outside = None
    if not within:
        outside = (np.minimum(x, y) < -margin) | (x > width - margin) | (y > height - margin)
    # Only the piece that is asked for becomes floating point.
    left, right = (int(min(max(v, 0), width - 1)) for v in (low[0] - 1, high[0] + 2))
    top, bottom = (int(min(max(v, 0), height - 1)) for v in (low[1] - 1, high[1] + 2))
    piece = image[top : bottom + 1, left : right + 1].astype(np.float32)
    x -= left
    y -= top
    shape = x.shape
    rows = (-1, shape[-1]) if shape else (1, 1)
    found = cv2.remap(
        piece, x.reshape(rows), y.reshape(rows), cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE
    ).reshape(shape)
    if outside is not None:
        found[outside] = np.nan
    return np.asarray(found, np.float32)


def circle(count: int) -> Array:
    """Return ``count`` unit vectors evenly round the circle, (count, 2)."""
    phi = 2 * np.pi * np.arange(count) / count
    return np.stack([np.cos(phi), np.sin(phi)], axis=-1)


def harmonics(phi: Array, orders: int) -> Array:
    """Return the columns 1, cos, sin, cos 2, sin 2, ... up to ``orders`` at angles ``phi``."""
    columns = [np.ones_like(phi)]
    for k in range(1, orders + 1):
        columns += [np.cos(k * phi), np.sin(k * phi)]
    return np.stack(columns, axis=-1)


def medians(values: Image | Array) -> Array:
    """Return the medians (N,) of values (N, ...): by sorting, several times faster than numpy's."""
    ranked = np.sort(values.reshape(len(values), -1), axis=1)
    last = ranked.shape[1] - 1
    return np.asarray(ranked[:, [last // 2, (last + 1) // 2]].mean(axis=1), np.float64)


def robust_fit(design: Array, values: Array, scale: float, weights: Array) -> Array:
    """Return the coefficients of values ~ design by reweighted least squares (Tukey, c = scale).

    ``weights`` are prior weights. A tiny ridge keeps a half-empty circle solvable.
    """
    ridge = 1e-6 * np.eye(design.shape[1])
    use = weights
    found: Array = np.zeros(design.shape[1])
    for _ in range(8):
        weighted = design * use[:, None]
        normal = weighted.T @ design + ridge * max(float(use.sum()), 1e-9)
        found = np.asarray(np.linalg.solve(normal, weighted.T @ values), np.float64)
        left = np.clip(np.abs(values - design @ found) / scale, 0, 1)
        use = weights * (1 - left**2) ** 2
    return found


def _bell(sigma: float) -> tuple[int, Array]:
    """Return weights that fall off as a Gaussian, and how many there are to each side."""
    reach = max(1, int(3 * sigma + 0.5))
    kernel = np.exp(-0.5 * (np.arange(-reach, reach + 1) / sigma) ** 2)
    return reach, kernel / kernel.sum()


def blurred(values: Image, sigma: float, axis: int, wrap: bool = False) -> Image:
    """Return values (H, W) or (N, H, W) smoothed by a Gaussian of ``sigma`` samples along an axis.

    The axis may be any but the first of three; without ``wrap`` the last value goes on for ever.
    """
    import cv2  # noqa: PLC0415 - heavy, only when a picture is looked at

    reach, kernel = _bell(sigma)
    one = np.ones(1)
    shape = values.shape
    if axis == len(shape) - 1 and not wrap:
        rows = values.reshape(-1, shape[-1])
        found = cv2.sepFilter2D(rows, cv2.CV_32F, kernel, one, borderType=cv2.BORDER_REPLICATE)
        return np.asarray(found.reshape(shape), np.float32)
    around = np.arange(-reach, shape[axis] + reach)
    around = around % shape[axis] if wrap else np.clip(around, 0, shape[axis] - 1)
    wide = np.take(values, around, axis=axis)
    rows = wide.reshape(-1, wide.shape[-1])
    along, down = (kernel, one) if axis == len(shape) - 1 else (one, kernel)
    found = cv2.sepFilter2D(rows, cv2.CV_32F, along, down, borderType=cv2.BORDER_REPLICATE)
    inner = [slice(None)] * len(shape)
    inner[axis] = slice(reach, reach + shape[axis])
    return np.asarray(found.reshape(wide.shape)[tuple(inner)], np.float32)


def blurred_both(values: Image, across: float, along: float, wrap: bool = False) -> Image:
    """Return values (..., H, W) smoothed along their last axis and then along that before it.

    By ``across`` and ``along`` samples; with ``wrap`` the latter goes round. As ``blurred`` twice,
    in half the time.
    """
    import cv2  # noqa: PLC0415 - heavy, only when a picture is looked at

    (_, kernel), (reach, beside) = _bell(across), _bell(along)
    count = values.shape[-2]
    around = np.arange(-reach, count + reach)
    around = around % count if wrap else np.clip(around, 0, count - 1)
    wide = np.take(values, around, axis=-2)
    rows = wide.reshape(-1, wide.shape[-1])
    found = cv2.sepFilter2D(rows, cv2.CV_32F, kernel, beside, borderType=cv2.BORDER_REPLICATE)
    return np.asarray(found.reshape(wide.shape)[..., reach : reach + count, :], np.float32)


def known(grid: Image) -> Image:
    """Return grey values with 0 where none is known."""
    missing = np.isnan(grid)
    return np.where(missing, np.float32(0), grid) if missing.any() else grid


def slopes(values: Image) -> Image:
    """Return the slope of values (..., K) along their last axis, by central differences."""
    found = np.empty_like(values)
    np.subtract(values[..., 2:], values[..., :-2], out=found[..., 1:-1])
    found[..., 1:-1] *= np.float32(0.5)
    found[..., 0] = values[..., 1] - values[..., 0]
    found[..., -1] = values[..., -1] - values[..., -2]
    return found


def peak_offset(left: Image, middle: Image, right: Image) -> Image:
    """Return where a parabola through three equally spaced values peaks, -0.5 to 0.5 steps."""
    bend = left - 2 * middle + right
    bend -= (np.abs(bend) < np.float32(1e-12)) * np.float32(1e-12)  # never nothing
    shift = np.float32(0.5) * (left - right) / bend
    return np.asarray(np.clip(shift, -0.5, 0.5), np.float32)


class Edges(Struct, frozen=True):
    """Edges across a row of normals: offset and width in pixels (NaN: none), strength 0 to 1.

    ``brightest``: the highest grey value met along each normal.
    """

    offset: Array
    strength: Array
    width: Array
    brightest: Array


def settle(
    image: Image | Picture, points: Array, normals: Array, reach: float, closed: bool
) -> Edges:
    """Return the edge nearest to each point along its normal, steepest first, within ``reach`` px.

    The edge is where the smoothed slope along the normal is steepest: of a blurred step that is the
    step itself, however the blur is spread, as long as it is symmetric.
    """
    s = np.arange(-reach - 4 * SLOPE_BLUR_PX, reach + 4 * SLOPE_BLUR_PX + _STEP_PX / 2, _STEP_PX)
    grid = sample(image, points[:, None, :] + normals[:, None, :] * s[None, :, None])
    missing = np.isnan(grid).any(axis=1)
    steady = blurred_both(np.nan_to_num(grid), SLOPE_BLUR_PX / _STEP_PX, 1.5, wrap=closed)
    slope = np.abs(np.asarray(np.gradient(steady, _STEP_PX, axis=1), np.float32))
    left, right = np.roll(slope, 1, axis=1), np.roll(slope, -1, axis=1)
    top = (slope >= left) & (slope > right)
    top[:, [0, -1]] = False
    ranked = np.where(top, slope * np.exp(-0.5 * (s / (0.6 * reach)) ** 2), 0)
    pick = np.argmax(ranked, axis=1)
    at = np.arange(len(points))
    height = slope[at, pick].astype(np.float64)
    offset = s[pick] + _STEP_PX * peak_offset(left[at, pick], slope[at, pick], right[at, pick])
    good = (ranked[at, pick] > 0) & ~missing
    usual = 2 * float(np.median(slope)) + 0.3
    # Width at half the slope's height, less the smoothing's own.
    hump = (slope > 0.5 * height[:, None]) & (np.abs(s[None, :] - offset[:, None]) < reach + 1)
    fwhm = hump.sum(axis=1) * _STEP_PX / 2.355
    width = np.sqrt(np.maximum(fwhm**2 - SLOPE_BLUR_PX**2, 0.01))
    return Edges(
        np.where(good, offset, np.nan),
        np.where(good, height / (height + usual), 0),
        np.where(good, width, np.nan),
        np.nan_to_num(grid).max(axis=1).astype(np.float64),
    )
