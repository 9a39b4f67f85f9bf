"""A mixture of multivariate t distributions: drawn from, weighed with, fitted to weighted samples.

Its parts are shares of one proposal for importance sampling (``infer``): tails of six degrees of
freedom, wider than what they stand for, so that no sample outweighs the rest. Unknowns that go
round (an angle) are met a whole turn away too.
"""

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from annotate.errors import CannotMeasure

Array = npt.NDArray[np.float64]

BLOCK = 1500  # samples worked on at once: they stay in the processor's own memory
SPREAD = 1.15  # proposals wider than the posterior: weights stay bounded
_T_DOF = 6.0
_NOTHING = 1e-12  # of the largest weight


class Mixture(NamedTuple):
    """Centres (C, P), spreads (C, P, P) and shares (C,) of the parts; the shares sum to 1."""

    centre: Array
    spread: Array
    share: Array


def proposed(mixture: Mixture, rng: np.random.Generator, trials: int) -> Array:
    """Return draws (trials, P); raises CannotMeasure where a part has no finite spread."""
    centre, spread, share = mixture
    # Stratified over the mixture, so that a small change of a share moves few samples.
    owner = np.searchsorted(np.cumsum(share)[:-1], (np.arange(trials) + 0.5) / trials)
    normal = rng.standard_normal((trials, centre.shape[1]))
    stretch = np.sqrt(_T_DOF / rng.chisquare(_T_DOF, trials))
    try:
        root = np.linalg.cholesky(spread)
    except np.linalg.LinAlgError as error:
        raise CannotMeasure(
            "these marks fix too little to say how well anything of them is known",
            "mark the rims again: the points of one must lie round it",
        ) from error
    for c, one in enumerate(root):
        normal[owner == c] = normal[owner == c] @ one.T
    return np.asarray(centre[owner] + stretch[:, None] * normal)


class Density(NamedTuple):
    """What a mixture's density is worked out from, for each of its C parts.

    ``whiten`` (C, P, P) takes a row to standard widths, ``middle`` (C, P) is the part's centre so
    taken and ``turn`` (C, P) a whole turn; ``log_height`` (C,) is the log of its share over the
    volume of its spread.
    """

    whiten: Array
    middle: Array
    turn: Array
    log_height: Array


def density_of(mixture: Mixture, period: Array) -> Density:
    """Return what the density of a mixture is worked out from; ``period`` as of ``wrapped``."""
    root = np.linalg.cholesky(mixture.spread)
    whiten = np.ascontiguousarray(np.swapaxes(np.linalg.inv(root), 1, 2))
    middle = (mixture.centre[:, None] @ whiten)[:, 0]
    log_volume = np.log(np.diagonal(root, axis1=1, axis2=2)).sum(axis=1)
    return Density(whiten, middle, period @ whiten, np.log(mixture.share) - log_volume)


def densities(q: Array, of: Density, log_unit: float = 0.0) -> Array:
    """Return the densities (N, C) of a mixture's parts, shares in, up to one constant.

    They are counted in units whose log is ``log_unit``: as plain numbers, for logs and powers
    would take longer than all the rest.
    """
    height = np.exp(of.log_height - log_unit)
    # Each part's own values side by side: sums over the parts are then many times faster.
    found = np.empty((len(height), len(q))).T
    for first in range(0, len(q), BLOCK):
        some = slice(first, first + BLOCK)
        # Whitened, one matrix product a part: far faster than one big einsum.
        for c, (whiten, middle, turn) in enumerate(zip(*of[:3], strict=True)):
            away = q[some] @ whiten
            away -= middle
            found[some, c] = _t_of(away, turn) * height[c]
    return found


def _t_of(away: Array, turn: Array) -> Array:
    """Return the density (N,) of a standard t at places (N, P), up to a constant.

    An unknown that goes round is met a whole turn (P,) away on either side too.
    """
    terms = away.shape[1]
    square = np.einsum("ni,ni->n", away, away)
    images = [square]
    whole = float(turn @ turn)
    if whole > 0:
        along = 2 * (away @ turn)
        square = square + whole
        images += [square + along, square - along]
    total: Array = np.zeros(len(away))
    for image in images:
        # Against an ordinary distance, so that many unknowns don't leave the range of numbers.
        nearness = (_T_DOF + terms) / (_T_DOF + image)
        total += _half_power(nearness, int(_T_DOF) + terms)
    return total


def _half_power(base: Array, count: int) -> Array:
    """Return base^(count / 2) by squaring: many times faster than a power."""
    found = np.sqrt(base) if count % 2 else np.ones_like(base)
    left = count // 2
    while left:
        if left % 2:
            found *= base
        left //= 2
        if left:
            base = base * base
    return found


def wrapped(q: Array, period: Array) -> Array:
    """Return unknowns (N, P), those that go round within half a period (P,) of 0."""
    turning = period > 0
    q = q.copy()
    q[:, turning] -= np.round(q[:, turning] / period[turning]) * period[turning]
    return q


def refitted(q: Array, owner: Array, mixture: Mixture, period: Array) -> Mixture:
    """Return the mixture moved to its weighted samples (one step of EM), softened."""
    centre, spread, share = mixture
    p = q.shape[1]
    new_centre, new_spread, new_share = centre.copy(), spread.copy(), share.copy()
    turning = np.flatnonzero(period > 0)
    for c in range(len(centre)):
        # Most samples of a first round weigh nothing.
        some = owner[:, c] > _NOTHING * owner[:, c].max()
        weight = owner[some, c]
        mass = float(weight.sum())
        new_share[c] = mass
        if mass <= 0 or mass**2 / np.sum(weight**2) < 3 * p:
            continue
        near = q[some]
        near -= centre[c]
        for k in turning.tolist():
            near[:, k] -= np.round(near[:, k] / period[k]) * period[k]
        weight /= mass
        shift = weight @ near
        near -= shift
        found = near.T @ (near * weight[:, None])
        new_centre[c] = centre[c] + shift
        new_spread[c] = SPREAD * (0.8 * found + 0.2 * spread[c] / SPREAD)
    new_share = 0.9 * new_share / new_share.sum() + 0.1 / len(new_share)
    return Mixture(wrapped(new_centre, period), new_spread, new_share)
