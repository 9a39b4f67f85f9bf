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

from math import hypot

import numpy as np

from annotate.holes import Array
from annotate.marks import Rim

BIAS_PX = 0.3
WANDER_PX = 0.3
WANDER_OF_RADIUS = 0.002
REACH_OF_RADIUS = 0.6
CHAMFER_OF_RADIUS = 0.008


def whitener(rim: Rim, points_px: Array, radius_px: float, sigma_px: Array) -> Array:
    """Return W (N, N) that makes misfits across the rim, in px, independent with variance 1.

    ``points_px`` (N, 2) lie on ``rim``, ``radius_px`` is the near hole's radius in the picture,
    ``sigma_px`` (N,) each point's own standard uncertainty.
    """
    apart = np.linalg.norm(points_px[:, None] - points_px[None], axis=2)
    reach = REACH_OF_RADIUS * radius_px
    wander_sq = WANDER_PX**2 + (WANDER_OF_RADIUS * radius_px) ** 2
    covariance = np.diag(sigma_px**2) + bias_px(rim, radius_px) ** 2
    covariance += wander_sq * np.exp(-(apart**2) / (2 * reach**2))
    return np.linalg.inv(np.linalg.cholesky(covariance))


def bias_px(rim: Rim, radius_px: float) -> float:
    """Return how far a whole rim may lie off its edge, in px.

    A near rim that was found may lie on the outer edge of a chamfer too thin to be told from the
    drilled edge below it; a person sees which is which, and the inner rims have none.
    """
    chamfer = CHAMFER_OF_RADIUS * radius_px
    chamfered = rim.which == "near" and rim.placed == "found"
    return hypot(max(BIAS_PX, 0.5 * rim.sigma_px), chamfer if chamfered else 0.0)


def scatter_px(rim: Rim, radius_px: float) -> float:
    """Return the standard uncertainty of one point about its rim, the shared shift left out."""
    return hypot(rim.sigma_px, WANDER_PX, WANDER_OF_RADIUS * radius_px)


def spread_px(rim: Rim, radius_px: float) -> float:
    """Return the standard uncertainty of one point, shared errors included, in px."""
    return hypot(scatter_px(rim, radius_px), bias_px(rim, radius_px))
