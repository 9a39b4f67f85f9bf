"""The distribution of a sum of independent errors, by numeric convolution.

Each error has a shape of known characteristic function or density; on a fine grid the sum's is
their product (fast Fourier transform). This is what a coverage factor of mixed shapes comes from:
JCGM 100:2008 (GUM) G.1 asks for the convolution and G.2 settles for a t; EA-4/02 S10 works the
sum of two rectangles by hand. The answer is the same every time: nothing is drawn.
"""

from collections.abc import Iterable, Sequence
from math import inf, sqrt
from typing import TYPE_CHECKING, Literal, NamedTuple

from annotate.mathematics import student
from annotate.quantity import QUANTILE_STEPS

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

Shape = Literal["rectangular", "triangular", "normal", "t", "sampled"]

_REACH_NORMAL = 7.0  # standard deviations: 1e-12 lies beyond
_TAIL = 1e-5  # what a t loses on either side
_CUT = 1e-6  # of a sum's own tails: below it, the transform's rounding
_STEPS_PER_U = 200
_FEWEST, _MOST = 2**12, 2**18


class Part(NamedTuple):
    """One independent error about 0: its standard uncertainty (above 0) and shape.

    ``dof`` belongs to a t, ``quantiles`` to what was sampled: QUANTILE_STEPS + 1 of them.
    """

    shape: Shape
    u: float
    dof: float | None = None
    quantiles: tuple[float, ...] = ()


def quantiles_of_sum(parts: Iterable[Part], probabilities: Sequence[float]) -> tuple[float, ...]:
    """Return the values below which the sum of independent errors lies with these probabilities.

    Exact for one part, good to about 1e-4 of the standard uncertainty for several (less far out
    in the tail of a t with one or two degrees of freedom). For probabilities 0 and 1 the last
    millionth of a sum, and the last 1e-5 of a shape without an end, is cut off.
    """
    there = [part for part in parts if part.u > 0]
    if not there:
        return tuple(0.0 for _ in probabilities)
    if len(there) == 1:
        return tuple(_quantile(there[0], probability) for probability in probabilities)
    return _convolved(there, probabilities)


def _quantile(part: Part, probability: float) -> float:
    """Return the quantile of one error; the ends of a shape without an end are cut."""
    if part.shape == "rectangular":
        return sqrt(3) * part.u * (2 * probability - 1)
    if part.shape == "triangular":
        side = sqrt(2 * min(probability, 1 - probability))
        return sqrt(6) * part.u * (side - 1 if probability < 1 / 2 else 1 - side)
    if part.shape == "sampled":
        return _between(part.quantiles, probability)
    end = min(max(probability, _TAIL), 1 - _TAIL)
    return part.u * student.quantile(end, part.dof if part.shape == "t" else None)


def _between(quantiles: tuple[float, ...], probability: float) -> float:
    place = probability * QUANTILE_STEPS
    low = min(int(place), QUANTILE_STEPS - 1)
    return quantiles[low] + (place - low) * (quantiles[low + 1] - quantiles[low])


def _convolved(parts: list[Part], probabilities: Sequence[float]) -> tuple[float, ...]:
    import numpy as np  # noqa: PLC0415 - loaded only where shapes are mixed

    reach = 1.1 * sum(_reach(part) for part in parts)
    total_u = sqrt(sum(part.u**2 for part in parts))
    count = _FEWEST
    while count < _MOST and 2 * reach / count > total_u / _STEPS_PER_U:
        count *= 2
    step = 2 * reach / count
    omega = np.asarray(2 * np.pi * np.fft.rfftfreq(count, step), dtype=np.float64)
    # Averaged over a cell, so that what comes back is the probability of each cell.
    waves = np.sinc(omega * step / (2 * np.pi)).astype(np.complex128)
    middles = np.asarray((np.arange(count) - count // 2) * step, dtype=np.float64)
    for part in parts:
        waves *= _wave(part, omega, middles, step)
    masses = np.fft.fftshift(np.fft.irfft(waves, count))
    below = np.maximum.accumulate(np.clip(np.cumsum(masses), 0.0, 1.0))
    # The same height again and again has no inverse: only the first of each counts.
    rising = np.concatenate([[True], np.diff(below) > 0])
    edges = middles + step / 2
    inside = np.clip(probabilities, _CUT, 1 - _CUT)
    found = np.interp(inside, below[rising], edges[rising])
    return tuple(float(each) for each in found)


def _reach(part: Part) -> float:
    """Return how far from 0 an error is taken to go."""
    if part.shape == "sampled":
        return max(abs(part.quantiles[0]), abs(part.quantiles[-1]))
    if part.shape == "t" and part.dof not in {None, inf}:
        return max(_REACH_NORMAL * part.u, part.u * student.quantile(1 - _TAIL, part.dof))
    ends = {"rectangular": sqrt(3), "triangular": sqrt(6)}
    return part.u * ends.get(part.shape, _REACH_NORMAL)


def _wave(
    part: Part,
    omega: "npt.NDArray[np.float64]",
    middles: "npt.NDArray[np.float64]",
    step: float,
) -> "npt.NDArray[np.float64] | npt.NDArray[np.complex128]":
    """Return the characteristic function of an error, on the grid's frequencies."""
    import numpy as np  # noqa: PLC0415 - as above

    if part.shape == "rectangular":
        return np.asarray(np.sinc(sqrt(3) * part.u * omega / np.pi))
    if part.shape == "triangular":
        return np.asarray(np.sinc(sqrt(6) * part.u * omega / (2 * np.pi)) ** 2)
    if part.shape == "sampled":
        steps = np.linspace(0.0, 1.0, QUANTILE_STEPS + 1)
        edges = np.concatenate([middles - step / 2, [middles[-1] + step / 2]])
        masses = np.diff(np.interp(edges, part.quantiles, steps))
    elif part.dof is None or part.dof == inf or part.shape == "normal":
        return np.asarray(np.exp(-((part.u * omega) ** 2) / 2))
    else:
        # Abramowitz and Stegun 26.7.1; the factor before it is made up for by the sum.
        masses = (1 + (middles / part.u) ** 2 / part.dof) ** (-(part.dof + 1) / 2)
        masses /= masses.sum()
    return np.asarray(np.fft.rfft(np.fft.ifftshift(masses)))
