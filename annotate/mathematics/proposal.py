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


def log_densities(q: Array, mixture: Mixture, period: Array) -> Array:
    """Return log densities (N, C) of the mixture's parts, shares in, up to one constant."""
    # Whitened by the inverse root, one matrix product a part: far faster than one big einsum.
    whiten = np.linalg.inv(np.linalg.cholesky(mixture.spread))
    log_scale = np.log(mixture.share) - 0.5 * np.linalg.slogdet(mixture.spread)[1]
    # Each part's own values side by side: sums over the parts are then many times faster.
    found = np.empty((len(log_scale), len(q))).T
    for first in range(0, len(q), BLOCK):
        some = slice(first, first + BLOCK)
        for c, (middle, root) in enumerate(zip(mixture.centre, whiten, strict=True)):
            found[some, c] = _log_t_of(q[some] @ root.T - root @ middle, root @ period)
    return np.asarray(found + log_scale)


def _log_t_of(away: Array, turn: Array) -> Array:
    """Return the log density (N,) of a standard t at places (N, P), up to a constant.

    An unknown that goes round is met a whole turn (P,) away on either side too.
    """
    square = np.einsum("ni,ni->n", away, away)
    images = [square]
    whole = float(turn @ turn)
    if whole > 0:
        along = 2 * (away @ turn)
        images += [square + along + whole, square - along + whole]
    power = -0.5 * (_T_DOF + away.shape[1])
    return log_sum(power * np.log1p(np.stack(images) / _T_DOF), axis=0)


def log_sum(log_values: Array, axis: int) -> Array:
    """Return the log of the sum of values given by their logs, along an axis."""
    top = np.max(log_values, axis=axis, keepdims=True)
    total = np.log(np.sum(np.exp(log_values - top), axis=axis, keepdims=True)) + top
    return np.asarray(np.squeeze(total, axis=axis))


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
