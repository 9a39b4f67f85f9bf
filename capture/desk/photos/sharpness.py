"""How sharp a picture is: how wide its sharpest edges are. No Qt.

A step blurred by sigma s and smoothed by a has the slope c / sqrt(2 pi (s^2 + a^2)) at its middle,
so the ratio of two slopes, smoothed by a and by b, gives s whatever the contrast c is:
R^2 = (s^2 + b^2) / (s^2 + a^2) (the ratio of gradients of S. Zhuo, T. Sim, "Defocus map estimation
from a single image", Pattern Recognition 44, 2011; there with a = 0, which noise does not stand).
"""

from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

if TYPE_CHECKING:
    Grey = npt.NDArray[np.float32]

ACROSS_PX = 1600  # the longer side that a picture is brought to, so that cameras can be compared
WIDE_PX = 4.0  # edges wider than this are "not sharp"; measured in tests/bench/sharpness.py
_FINE, _COARSE = 1.0, 2.0  # px of smoothing, the a and b above
# What Sobel's operator smooths by itself, in px^2: its difference over two pixels is a box's 4 / 12
# along the slope, its weights 1 2 1 are 1/2 across it; an edge of any direction lies between.
_OPERATOR = (1 / 3 + 1 / 2) / 2
_STRONGEST = 0.995  # of all slopes: edges, not texture and noise
_MIDDLE = 0.5  # of these edges' widths: half of them may be texture or out of the plane of focus
_WIDTH_PER_SIGMA = 2.5631  # from 10 to 90 % of a Gaussian step
_FEWEST = 50
_LEAST_CONTRAST = 4.0  # grey levels per pixel of slope, below which there is no edge to speak of


def edge_width_px(pixels: npt.NDArray[np.uint8], *, of_px: int = 0) -> float | None:
    """Return how wide the sharpest edges are, from 10 to 90 % of the step, in pixels.

    ``pixels`` are (H, W, 3) RGB; the pixels of the answer are those of the picture brought to
    1600 across, or its own where it is smaller. A part of a picture is told with ``of_px``, the
    longer side of the whole. None where the picture shows no edges.
    """
    import cv2  # noqa: PLC0415 - heavy, only where a picture is looked at

    grey = _grey(pixels, of_px or max(pixels.shape[:2]))
    fine, coarse = (_slope(grey, s) for s in (_FINE, _COARSE))
    # On the ridge of the slope only: beside it the ratio tells of the distance, not of the blur.
    ridge = fine >= cv2.dilate(fine, np.ones((3, 3), np.uint8)) * 0.98
    # Of every seventh: sorting them all holds the interpreter, and with it the window, for 30 ms.
    strong = max(float(np.quantile(fine.ravel()[::7], _STRONGEST)), _LEAST_CONTRAST)
    chosen = ridge & (fine >= strong)
    if int(chosen.sum()) < _FEWEST:
        return None
    ratio2 = (fine[chosen] / np.maximum(coarse[chosen], 1e-6)) ** 2
    fine2, coarse2 = _FINE**2 + _OPERATOR, _COARSE**2 + _OPERATOR
    sigma2 = (coarse2 - ratio2 * fine2) / np.maximum(ratio2 - 1, 1e-3)
    middle = float(np.quantile(np.clip(sigma2, 0.0, None), _MIDDLE))
    return float(_WIDTH_PER_SIGMA * middle**0.5)


def is_sharp(width_px: float | None) -> bool:
    """Return whether edges of this width are sharp; a picture without edges is not."""
    return width_px is not None and width_px <= WIDE_PX


def _grey(pixels: npt.NDArray[np.uint8], longest: int) -> "Grey":
    import cv2  # noqa: PLC0415 - the same

    grey = cv2.cvtColor(pixels, cv2.COLOR_RGB2GRAY)
    if longest > ACROSS_PX:
        scale = ACROSS_PX / longest
        grey = cv2.resize(grey, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    return np.asarray(grey, np.float32)


def _slope(grey: "Grey", sigma: float) -> "Grey":
    import cv2  # noqa: PLC0415 - the same

    grey = np.asarray(cv2.GaussianBlur(grey, (0, 0), sigma), np.float32)
    across, down = (cv2.Sobel(grey, cv2.CV_32F, x, 1 - x, ksize=3, scale=0.125) for x in (1, 0))
    return np.asarray(cv2.magnitude(across, down), np.float32)
