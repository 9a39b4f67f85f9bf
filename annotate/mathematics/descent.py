"""Levenberg-Marquardt from several starts at once, for residuals that take many sets at a time.

Residuals are as ``infer`` has them: of q (K, P) they are (K, M), and an unknown may have a
standard normal prior beside them.
"""

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
Whole = npt.NDArray[np.intp]
Mask = npt.NDArray[np.bool_]
Residuals = Callable[[Array], Array]

STEP = 1e-5
SETTLED = 1e-7  # gain of a step for each unit of cost, below which a descent has ended
_STUCK = 1e6  # damping at which no step is left worth taking
_STEPS = 30


class _Descent(NamedTuple):
    """Where descents stand (K, P), which start each is from (K,), and what is known there."""

    start: Whole
    q: Array
    value: Array
    cost: Array
    damping: Array
    normal: Array
    uphill: Array

    def pick(self, which: Mask) -> "_Descent":
        return _Descent(self.start[which], *(values[which] for values in self[1:]))


def descend(
    residuals: Residuals, starts: Array, priors_on: Array, settled_at: float = SETTLED
) -> Array:
    """Return where Levenberg-Marquardt ends from each start; every start has its own damping.

    One has ended when a step gains no more than ``settled_at`` of the cost. Each is looked at only
    while it moves: of many starts a few go on long after the rest.
    """
    ends = starts.copy()
    value = residuals(starts)
    cost = cost_of(value, starts, priors_on)
    blank = np.empty((*starts.shape, starts.shape[1])), np.empty(starts.shape)
    at = _Descent(np.arange(len(starts)), starts, value, cost, np.full(len(starts), 1e-2), *blank)
    moved = np.ones(len(starts), dtype=bool)
    for _ in range(_STEPS):
        _bend(residuals, at, moved, priors_on)
        ease = at.damping[:, None, None] * (np.eye(at.q.shape[1]) * (1e-3 + np.abs(at.normal)))
        move = -np.linalg.solve(at.normal + ease, at.uphill[..., None])[..., 0]
        # A jump over several prior widths leaves the region where the slopes mean anything.
        move *= np.minimum(1.0, 1.5 / np.maximum(np.max(np.abs(move), axis=1), 1e-12))[:, None]
        trial_value = residuals(at.q + move)
        trial_cost = cost_of(trial_value, at.q + move, priors_on)
        moved = (trial_cost <= at.cost) & np.isfinite(trial_cost)
        gain = np.subtract(at.cost, trial_cost, out=np.zeros(len(moved)), where=moved)
        at = at._replace(
            q=np.where(moved[:, None], at.q + move, at.q),
            value=np.where(moved[:, None], trial_value, at.value),
            cost=np.where(moved, trial_cost, at.cost),
            damping=np.clip(np.where(moved, at.damping / 5, at.damping * 4), 1e-9, _STUCK),
        )
        ends[at.start] = at.q
        settled = (moved & (gain < settled_at * (1 + trial_cost))) | (at.damping >= _STUCK)
        going = ~settled
        if not np.any(going):
            break
        at, moved = at.pick(going), moved[going]
    return ends


def _bend(residuals: Residuals, at: _Descent, moved: Mask, priors_on: Array) -> None:
    """Work out normal matrices and gradients where descents have moved, in place."""
    if not np.any(moved):
        return
    q, value = at.q[moved], at.value[moved]
    slope = np.nan_to_num(_rough_slopes(residuals, q, value))
    at.normal[moved] = np.swapaxes(slope, 1, 2) @ slope + np.diag(priors_on)
    at.uphill[moved] = np.einsum("kmi,km->ki", slope, np.nan_to_num(value)) + priors_on * q


def cost_of(value: Array, q: Array, priors_on: Array) -> Array:
    """Return the sums of squares (K,) of residuals and priors; infinite where undefined."""
    cost = np.sum(value**2, axis=1) + np.sum(priors_on * q**2, axis=1)
    return np.asarray(np.where(np.isfinite(cost), cost, np.inf))


def _rough_slopes(residuals: Residuals, q: Array, value: Array) -> Array:
    """Return derivatives (K, M, P) of residuals, ``value`` (K, M) at q, by forward differences.

    Good enough to descend.
    """
    k, p = q.shape
    there = residuals((q[:, None] + STEP * np.eye(p)).reshape(-1, p)).reshape(k, p, -1)
    return np.asarray(np.swapaxes(there - value[:, None], 1, 2) / STEP)


def slopes(residuals: Residuals, q: Array) -> tuple[Array, Array]:
    """Return residuals (K, M) and their derivatives (K, M, P) by central differences."""
    k, p = q.shape
    step = STEP * np.eye(p)
    stack = np.concatenate([q[:, None], q[:, None] + step, q[:, None] - step], axis=1)
    value = residuals(stack.reshape(-1, p)).reshape(k, 2 * p + 1, -1)
    slope = (value[:, 1 : p + 1] - value[:, p + 1 :]) / (2 * STEP)
    return value[:, 0], np.swapaxes(slope, 1, 2)
