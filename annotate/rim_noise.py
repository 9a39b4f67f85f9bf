"""How the points of one rim are off together.

Neighbouring points share their error: light, oil, a burr and the edge's own waviness move a whole
stretch of a rim, and blur and the tone curve move all of it. Points taken as independent would
give a lean known to a tenth of a degree, and an interval that is a lie. The covariance of the
misfits across the rim is therefore

    sigma^2 I  +  bias^2 1  +  wander^2 exp(-d^2 / 2 reach^2)

with d the distance between two points in the picture (a squared-exponential kernel: Rasmussen and
Williams, Gaussian Processes for Machine Learning, 2006, section 4.2). Sizes below are common
practice without a source: about half a pixel for blur, and 2 parts in 1000 of the radius for a
drilled edge that is not a perfect circle.
"""

import numpy as np

from annotate.holes import Array
from annotate.marks import Rim

BIAS_PX = 0.3
WANDER_PX = 0.3
WANDER_OF_RADIUS = 0.002
REACH_OF_RADIUS = 0.6


def whitener(rim: Rim, radius_px: float, sigma_px: Array) -> Array:
    """Return W (N, N) that makes misfits across the rim, in px, independent with variance 1.

    ``radius_px`` is the near hole's radius in the picture, ``sigma_px`` (N,) each point's own
    standard uncertainty.
    """
    points = rim.array_px()
    apart = np.linalg.norm(points[:, None] - points[None], axis=2)
    reach = REACH_OF_RADIUS * radius_px
    wander_sq = WANDER_PX**2 + (WANDER_OF_RADIUS * radius_px) ** 2
    covariance = np.diag(sigma_px**2) + bias_px(rim) ** 2
    covariance += wander_sq * np.exp(-(apart**2) / (2 * reach**2))
    return np.linalg.inv(np.linalg.cholesky(covariance))


def bias_px(rim: Rim) -> float:
    """Return how far a whole rim may lie off its edge, in px."""
    return max(BIAS_PX, 0.5 * rim.sigma_px)


def spread_px(rim: Rim, radius_px: float) -> float:
    """Return the standard uncertainty of one point, shared errors included, in px."""
    wander_sq = WANDER_PX**2 + (WANDER_OF_RADIUS * radius_px) ** 2
    return float(np.sqrt(rim.sigma_px**2 + bias_px(rim) ** 2 + wander_sq))
