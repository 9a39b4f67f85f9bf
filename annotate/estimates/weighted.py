"""Weighted samples -> Quantity."""

from math import pi

import numpy as np

from annotate.holes import Array
from annotate.quantity import QUANTILE_STEPS, Quantity

_END = 1e-3


def summary(
    values: Array, weight: Array, unit: str, low: float = -np.inf, high: float = np.inf
) -> Quantity:
    """Return the quantity of weighted samples: midmean, standard deviation, quantiles."""
    values = np.clip(values, low, high)
    # Not stable, which takes fifteen times as long: only equal values can change places.
    order = np.argsort(values)
    rising, ranked = values[order], weight[order]
    middle = np.cumsum(ranked) - ranked / 2
    # The two ends at 1 and 999 in 1000: the furthest sample of all may weigh nothing.
    asked = np.clip(np.linspace(0, 1, QUANTILE_STEPS + 1), _END, 1 - _END)
    steps = np.interp(asked, middle, rising)
    mean = float(np.sum(weight * values))
    return Quantity(
        value=midmean(rising, ranked),
        unit=unit,
        u=float(np.sqrt(np.sum(weight * (values - mean) ** 2))),
        quantiles=tuple(_short(q) for q in steps.tolist()),
    )


def midmean(rising: Array, weight: Array) -> float:
    """Return the average of the middle half of samples (N,) in rising order, by weight.

    For one hump without much skew it is the average, JCGM 101:2008's estimate (7.6). Where two
    leans of the camera are open the average of all lies where neither has it, and the median jumps
    from one to the other as their shares pass a half; this does neither. (The interquartile mean,
    a textbook L-estimator: Huber and Ronchetti, Robust Statistics, 2009, 3.3, from memory.)
    """
    upto = np.clip(np.cumsum(weight) / np.sum(weight), 0.25, 0.75)
    return float(2 * np.sum(np.diff(upto, prepend=0.25) * rising))


def _short(value: float) -> float:
    """Return a quantile to six figures: the record keeps hundreds, and knows no more."""
    return float(f"{value:.6g}")


def direction(right: Array, up: Array, weight: Array) -> Quantity:
    """Return a clock direction in degrees, its spread unwrapped about the mean direction."""
    middle = np.arctan2(np.sum(weight * right), np.sum(weight * up))
    away = np.arctan2(right, up) - middle
    unwrapped = np.degrees(middle % (2 * pi) + np.arctan2(np.sin(away), np.cos(away)))
    return summary(unwrapped, weight, "deg")
