"""Student's t distribution: probability and quantile. Normal for infinite degrees of freedom.

The probability is the regularised incomplete beta function by its continued fraction (Abramowitz
and Stegun 26.5.8 with 26.7.1; modified Lentz evaluation); the quantile inverts it by Newton's
steps to machine precision. Checked against GUM Table G.2 and an independent library in the tests.
"""

from functools import lru_cache
from math import erfc, exp, isinf, lgamma, log, log1p, pi, sqrt

_ROOT_2 = sqrt(2.0)
_TINY = 1e-300
_PRECISION = 1e-15
_MOST_STEPS = 200  # halving alone takes 60


def probability_below(t: float, dof: float | None) -> float:
    """Return P(T <= t) for ``dof`` degrees of freedom (None or infinite: standard normal)."""
    if dof is None or isinf(dof):
        return 0.5 * erfc(-t / _ROOT_2)
    if isinf(t):
        return 1.0 if t > 0 else 0.0
    tail = _incomplete_beta(dof / 2, 0.5, dof / (dof + t * t)) / 2
    return 1.0 - tail if t > 0 else tail


@lru_cache(maxsize=4096)
def quantile(probability: float, dof: float | None) -> float:
    """Return t with P(T <= t) = probability, for 0 < probability < 1."""
    if not 0 < probability < 1:
        return float("-inf") if probability <= 0 else float("inf")
    if dof is None or isinf(dof):
        from statistics import NormalDist  # noqa: PLC0415 - slow to load, asked once per level

        return NormalDist().inv_cdf(probability)
    if probability < 0.5:  # noqa: PLR2004 - the median
        return -quantile(1 - probability, dof)
    low, high = 0.0, 1.0
    while probability_below(high, dof) < probability:
        low, high = high, high * 2
    return _inverted(probability, dof, low, high)


def _inverted(probability: float, dof: float, low: float, high: float) -> float:
    """Return t between two bounds by Newton's steps; one that leaves them is halved instead."""
    t = (low + high) / 2
    for _ in range(_MOST_STEPS):
        off = probability_below(t, dof) - probability
        low, high = (t, high) if off < 0 else (low, t)
        step = off / _density(t, dof)
        new = t - step if low < t - step < high else (low + high) / 2
        if abs(new - t) <= _PRECISION * max(1.0, t):
            return new
        t = new
    return t


def _density(t: float, dof: float) -> float:
    """Return Student's density (Abramowitz and Stegun 26.7.2, its derivative)."""
    scale = exp(lgamma((dof + 1) / 2) - lgamma(dof / 2)) / sqrt(dof * pi)
    return scale * exp(-(dof + 1) / 2 * log1p(t * t / dof))


def _incomplete_beta(a: float, b: float, x: float) -> float:
    if x <= 0 or x >= 1:
        return 0.0 if x <= 0 else 1.0
    # The fraction converges fast only left of the mean: use the symmetry on the other side.
    if x > (a + 1) / (a + b + 2):
        return 1.0 - _incomplete_beta(b, a, 1 - x)
    front = exp(a * log(x) + b * log1p(-x) + lgamma(a + b) - lgamma(a) - lgamma(b)) / a
    return front * _beta_fraction(a, b, x)


def _beta_fraction(a: float, b: float, x: float) -> float:
    c, d = 1.0, 1.0 / _nonzero(1 - (a + b) * x / (a + 1))
    result = d
    for m in range(1, 100 + int(10 * sqrt(max(a, b)))):
        even = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))
        odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))
        for term in (even, odd):
            d = 1.0 / _nonzero(1 + term * d)
            c = _nonzero(1 + term / c)
            result *= c * d
        if abs(c * d - 1) < _PRECISION:
            break
    return result


def _nonzero(value: float) -> float:
    return value if abs(value) > _TINY else _TINY
