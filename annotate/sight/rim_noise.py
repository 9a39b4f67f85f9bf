"""How the points of one rim are off together.

Neighbouring points share their error: light, oil, a burr and the edge's own waviness move a whole
stretch of a rim, and blur and the tone curve move all of it. Points taken as independent would
give a lean known to a tenth of a degree, and an interval that is a lie. The covariance of the
misfits across the rim is therefore

    sigma^2 I  +  bias^2 1  +  wander^2 exp(-d^2 / 2 reach^2)  +  shift^2 cos(a)

with d the distance between two points in the picture (a squared-exponential kernel: Rasmussen and
Williams, Gaussian Processes for Machine Learning, 2006, section 4.2) and a the angle between them
as seen from the rim's middle: a shift moves all of it sideways. Sizes below are common practice
without a source: about half a pixel for blur, and 2 parts in 1000 of the radius for a drilled edge
that is not a perfect circle.

Light from low on one side shifts a near rim that was found. Opposite the lamp the hole's wall is
as bright as the face and its far edge is taken for the rim's; on the lamp's side the chamfer is as
dark as the hole. The ellipse stays round and its points lie well on it, so nothing but the far edge
tells: where that was found too, the rim is where it should be. Two thirds of the shifts on rendered
pictures of our own are less than the sizes below (no other source).
"""

from math import hypot

import numpy as np

from annotate.holes import Array
from annotate.marks import Rim

BIAS_PX = 0.3
WANDER_PX = 0.3
WANDER_OF_RADIUS = 0.002
# Times as much of a near rim that was found: beside it run its chamfer's top and what the wall and
# its shadow make of the tone. Such rims stray from the drilled edge by 0.3 px in their second
# harmonic alone. Of 1608 own rendered pictures 93 % of the 95 % intervals of the parallax held with
# once the wander, with this 95 %.
FOUND_NEAR = 1.5
REACH_OF_RADIUS = 0.6
CHAMFER_OF_RADIUS = 0.008
SHIFT_PX, SHIFT_OF_RADIUS = 0.3, 0.002
ALONE_PX, ALONE_OF_RADIUS = 1.0, 0.005  # without the hole's own far edge


def whitener(
    rim: Rim, points_px: Array, radius_px: float, sigma_px: Array, *, alone: bool = False
) -> Array:
    """Return W (N, N) that makes misfits across the rim, in px, independent with variance 1.

    ``points_px`` (N, 2) lie on ``rim``, ``radius_px`` is the near hole's radius in the picture,
    ``sigma_px`` (N,) each point's own standard uncertainty. ``alone``: of the near hole no far edge
    was found that bears its rim out.
    """
    apart = np.linalg.norm(points_px[:, None] - points_px[None], axis=2)
    reach = REACH_OF_RADIUS * radius_px
    covariance = np.diag(sigma_px**2) + bias_px(rim, radius_px) ** 2
    covariance += _wander_px(rim, radius_px) ** 2 * np.exp(-(apart**2) / (2 * reach**2))
    if _is_found_near(rim):
        outward = points_px - points_px.mean(axis=0)
        outward /= np.hypot(outward[:, 0], outward[:, 1])[:, None]
        covariance += _shift_px(radius_px, alone=alone) ** 2 * (outward @ outward.T)
    return np.linalg.inv(np.linalg.cholesky(covariance))


def _shift_px(radius_px: float, *, alone: bool) -> float:
    """Return how far a found near rim may lie off sideways, along either axis, in px."""
    if alone:
        return hypot(ALONE_PX, ALONE_OF_RADIUS * radius_px)
    return hypot(SHIFT_PX, SHIFT_OF_RADIUS * radius_px)


def bias_px(rim: Rim, radius_px: float) -> float:
    """Return how far a whole rim may lie off its edge, in px.

    A near rim that was found may lie on the outer edge of a chamfer too thin to be told from the
    drilled edge below it; a person sees which is which, and the inner rims have none.
    """
    chamfer = CHAMFER_OF_RADIUS * radius_px
    return hypot(max(BIAS_PX, 0.5 * rim.sigma_px), chamfer if _is_found_near(rim) else 0.0)


def scatter_px(rim: Rim, radius_px: float) -> float:
    """Return the standard uncertainty of one point about its rim, the shared shift left out."""
    return hypot(rim.sigma_px, _wander_px(rim, radius_px))


def _wander_px(rim: Rim, radius_px: float) -> float:
    """Return how far a stretch of a rim may lie off its edge, in px."""
    times = FOUND_NEAR if _is_found_near(rim) else 1.0
    return times * hypot(WANDER_PX, WANDER_OF_RADIUS * radius_px)


def _is_found_near(rim: Rim) -> bool:
    return rim.which == "near" and rim.placed == "found"


def spread_px(rim: Rim, radius_px: float) -> float:
    """Return the standard uncertainty of one point, shared errors included, in px."""
    return hypot(scatter_px(rim, radius_px), bias_px(rim, radius_px))
