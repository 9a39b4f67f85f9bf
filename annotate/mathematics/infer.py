"""What a set of residuals says of the unknowns: best fits and weighted samples.

The unknowns are q (K, P), scaled so that the prior of each is a standard normal (``priors_on``)
or flat. ``residuals(q)`` returns (K, M), each standard normal if the model is true. The posterior
is exp(-|residuals|^2 / 2) x prior.

Best fits: Levenberg-Marquardt from several starts at once (``descent``). Samples: importance
sampling from a mixture of multivariate t distributions round the best fits (``proposal``),
refitted to its own weighted samples (adaptive importance sampling; Cappe, Douc, Guillin, Marin
and Robert, Statistics and Computing 18 (2008) 447-459, cited from memory). It is used rather than
a Markov chain because the result is a smooth function of the input: another processor's rounding
moves it by about as little, so that a stranger's re-measurement can be compared. The weights are
truncated at sqrt(N) times their mean (Ionides, J. Comput. Graph. Stat. 17 (2008) 295-311, from
memory).
"""

from collections.abc import Callable
from typing import NamedTuple, Protocol

import numpy as np
import numpy.typing as npt

from annotate.mathematics.descent import SETTLED, STEP, Residuals, cost_of, descend, slopes
from annotate.mathematics.proposal import (
    BLOCK,
    SPREAD,
    Density,
    Mixture,
    densities,
    density_of,
    proposed,
    refitted,
    wrapped,
)

Array = npt.NDArray[np.float64]

_LEAST_ROUNDS, _MOST_ROUNDS = 3, 16
_LEAST_EFFECTIVE = 8  # for each unknown: on fewer no proposal is fitted
_LEAST = 1e-300  # density below which one is nothing
_GOOD = 0.25  # effective samples for each trial asked for


class Modes(NamedTuple):
    """Best fits: ``q`` (C, P), ``covariance`` (C, P, P), ``log_density`` (C,) at each."""

    q: Array
    covariance: Array
    log_density: Array


class Samples(NamedTuple):
    """Weighted samples: ``q`` (N, P), ``weight`` (N,) summing to 1, effective number of samples."""

    q: Array
    weight: Array
    effective: float


class Coordinates(Protocol):
    """Other coordinates (K, P) for the same unknowns, in which a posterior is straighter.

    Samples are drawn in them and returned as q; what goes round must be the same in both.
    """

    def seen(self, q: Array) -> Array:
        """Return the coordinates of unknowns."""

    def true(self, p: Array) -> Array:
        """Return the unknowns of coordinates."""

    def log_volume(self, p: Array) -> Array:
        """Return ln |det dq/dp| (K,)."""


def find_modes(
    residuals: Residuals,
    starts: Array,
    priors_on: Array,
    loose: Array,
    settled_at: float = SETTLED,
    period: Array | None = None,
) -> Modes:
    """Return the different best fits reached from ``starts`` (K, P), best first.

    ``priors_on`` (P,) is 1 where q has a standard normal prior, 0 where it is flat; ``loose``
    (P,) bounds the spread of a flat unknown in the covariance. Fits whose density is under e^-15
    of the best are dropped: they carry no weight. None is left where no start has a finite end.
    ``settled_at`` as of ``descend``; ``period`` (P,) as of ``draw``, none unless given: fits whole
    turns apart are one.
    """
    q, log_density = find_ends(residuals, starts, priors_on, settled_at, period)
    if not len(q):
        return Modes(q, np.empty((0, q.shape[1], q.shape[1])), log_density)
    slope = slopes(residuals, q)[1]
    normal = np.swapaxes(slope, 1, 2) @ slope
    normal = normal + np.diag(np.where(priors_on > 0, 1.0, 1 / loose**2))
    return Modes(q, np.linalg.inv(normal), log_density)


def find_ends(
    residuals: Residuals,
    starts: Array,
    priors_on: Array,
    settled_at: float = SETTLED,
    period: Array | None = None,
) -> tuple[Array, Array]:
    """Return only where the best fits of ``find_modes`` are (C, P), and their log density (C,)."""
    period = np.zeros(starts.shape[1]) if period is None else period
    q = descend(residuals, starts, priors_on, settled_at)
    log_density = -0.5 * cost_of(residuals(q), q, priors_on)
    order = np.argsort(-log_density)
    kept: list[int] = []
    for i in order:
        if log_density[i] < log_density[order[0]] - 15 or not np.isfinite(log_density[i]):
            continue
        away = np.abs(wrapped(q[kept] - q[i], period))
        if np.all(away.max(axis=1, initial=0.0) > 0.2):  # noqa: PLR2004 - of a prior's sd
            kept.append(int(i))
    return q[kept], log_density[kept]


def draw(
    residuals: Residuals,
    modes: Modes,
    priors_on: Array,
    period: Array,
    rng: np.random.Generator,
    trials: int,
    *,
    patient: bool = False,
    coordinates: Coordinates | None = None,
) -> Samples:
    """Return weighted samples of the posterior, worth ``trials`` / 4 equal ones if it can be had.

    ``period`` (P,) is 0, or the period of an unknown that goes round (kept within half a period
    of 0). Every round's samples are kept, and weighed against all rounds' proposals together (the
    deterministic mixture of Cornuet, Marin, Mira and Robert, Scand. J. Stat. 39 (2012) 798-812,
    from memory). ``patient`` is for more unknowns than one photo has: larger rounds. Proposals
    are straight in ``coordinates``, if there are any.
    """
    log_target = _target(residuals, priors_on, coordinates)
    modes = modes if coordinates is None else _carried(modes, coordinates)
    none = np.empty(0)
    drawn = _Drawn([], np.empty((0, modes.q.shape[1])), none, none, none)
    mixture = Mixture(modes.q, modes.covariance * SPREAD, _shares(modes))
    weight, effective = np.empty(0), 0.0
    for done in range(1, _MOST_ROUNDS + 1):
        q = wrapped(proposed(mixture, rng, trials // (2 if patient else 4)), period)
        drawn = _joined(drawn, density_of(mixture, period), q, log_target(q))
        weight = _weights(drawn)
        effective = _effective(weight)
        if done >= _LEAST_ROUNDS and effective >= _GOOD * trials:
            break
        # Whose samples they are, by the newest proposal; flattened while they rest on few.
        flat = _flattened(weight, _LEAST_EFFECTIVE * q.shape[1])
        owner = drawn.parts * (flat / np.maximum(drawn.parts.sum(axis=1), _LEAST))[:, None]
        mixture = refitted(drawn.q, owner, mixture, period)
    return Samples(drawn.q if coordinates is None else coordinates.true(drawn.q), weight, effective)


def _target(
    residuals: Residuals, priors_on: Array, coordinates: Coordinates | None
) -> Callable[[Array], Array]:
    """Return the log density of the posterior, up to a constant, in the coordinates."""

    def plain(q: Array) -> Array:
        # Block by block: what is worked on stays in the processor's own memory.
        parts = np.array_split(q, max(1, len(q) // BLOCK))
        return np.concatenate([-0.5 * cost_of(residuals(part), part, priors_on) for part in parts])

    if coordinates is None:
        return plain
    return lambda p: plain(coordinates.true(p)) + coordinates.log_volume(p)


def _carried(modes: Modes, coordinates: Coordinates) -> Modes:
    """Return best fits in other coordinates: their spread by derivatives of those."""
    covariance = []
    for q, spread in zip(modes.q, modes.covariance, strict=True):
        step = STEP * np.eye(len(q))
        slope = (coordinates.seen(q + step) - coordinates.seen(q - step)).T / (2 * STEP)
        covariance.append(slope @ spread @ slope.T)
    q = coordinates.seen(modes.q)
    log_density = modes.log_density + coordinates.log_volume(q)
    return Modes(q, np.array(covariance), log_density)


def _flattened(weight: Array, least: float) -> Array:
    """Return the weights (N,) raised to the power, at most 1, that leaves ``least`` effective."""
    if _effective(weight) >= least:
        return weight
    log_weight = np.log(np.maximum(weight, 1e-300))
    low, high, flat = 0.0, 1.0, weight
    for _ in range(30):
        power = (low + high) / 2
        flat = np.exp(power * (log_weight - np.max(log_weight)))
        flat = flat / flat.sum()
        low, high = (power, high) if _effective(flat) >= least else (low, power)
    return np.asarray(flat)


class _Drawn(NamedTuple):
    """All samples so far: ``q`` (N, P), ``log_target`` (N,), ``total`` (N,), ``parts`` (N, C).

    ``total`` are the densities of all rounds' proposals at every sample, added up, and ``parts``
    those of the newest proposal's parts.
    """

    proposals: list[Density]
    q: Array
    log_target: Array
    total: Array
    parts: Array


def _joined(drawn: _Drawn, newest: Density, q: Array, log_target: Array) -> _Drawn:
    """Return what was drawn so far with one more round."""
    proposals = [*drawn.proposals, newest]
    log_unit = float(np.max(proposals[0].log_height))
    every = np.concatenate([drawn.q, q])
    parts = densities(every, newest, log_unit)
    total = parts.sum(axis=1)
    total[: len(drawn.q)] += drawn.total
    for one in drawn.proposals:
        total[len(drawn.q) :] += densities(q, one, log_unit).sum(axis=1)
    log_target = np.concatenate([drawn.log_target, log_target])
    return _Drawn(proposals, every, log_target, total, parts)


def _weights(drawn: _Drawn) -> Array:
    # Rounds are of one size, so each proposal counts alike.
    log_weight = drawn.log_target - np.log(np.maximum(drawn.total, _LEAST))
    weight = np.exp(log_weight - np.max(log_weight))
    weight = np.minimum(weight, np.sqrt(len(weight)) * np.mean(weight))
    return np.asarray(weight / weight.sum())


def _effective(weight: Array) -> float:
    """Return how many equal weights would be worth as much (Kish)."""
    return float(1 / np.sum(weight**2))


def _shares(modes: Modes) -> Array:
    """Return how much of the posterior each best fit holds, by Laplace's approximation."""
    log_mass = modes.log_density + 0.5 * np.linalg.slogdet(modes.covariance)[1]
    share = np.exp(log_mass - np.max(log_mass))
    share = share / share.sum()
    # No best fit is left out on the word of an approximation.
    return np.asarray((share + 0.2 / len(share)) / (1 + 0.2))
