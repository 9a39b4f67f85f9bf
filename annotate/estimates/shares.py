"""Which source makes ``covered`` how uncertain: a line for each, whose squares make its variance.

The estimate is the mean of a distribution proportional to exp(-sum of r_k^2 / 2) times the priors,
which are residuals too. An error of one standard deviation in residual k moves that mean by the
covariance of covered and r_k over the distribution: its derivative, without any linear model of
the holes. These are the sensitivities of JCGM 100:2008, 5.1.3, each with its uncertainty, 1.
(Differentiate the mean by a shift of r_k; worked out here, no outside source.) Slopes at the best
fit would tell the same if everything were linear, and far too much where the photo is taken
squarely and a rim's shape tells the square of the lean only.

Were all linear, the residuals' covariance matrix S would be a projection, and the squares would
come to the variance of covered. It has eigenvalues above 1 where it is not; levers are divided by
their roots, S_+^(-1/2) Cov(r, covered) with all eigenvalues of S_+ at least 1, so that by
Cauchy-Schwarz the squares never come to more. What they leave is no source's error and has lines
of its own: what goes with the camera's lean (between the two ways as a whole, and how far covered
bends with it on either), and the rest. All levers are of one way to lean, its odds held.
"""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from annotate.mathematics.descent import Residuals
from annotate.result import BudgetLine
from annotate.sight.priors import Prior
from annotate.sight.ways import Ways, tilt_of, ways

Array = npt.NDArray[np.float64]
LEAN = "lean of the camera, left open by the photo"
NOT_LINEAR = "what is not linear"
_MOST = 3_000  # samples, which tell a line to three hundredths of the whole


class Levers(NamedTuple):
    """What one standard deviation of each residual (M,) and of each prior (P,) does to covered.

    ``beside`` (E,) likewise of causes beside the samples. ``carry`` (P, M) is what one of each
    residual does to the unknowns; ``lean`` and ``rest`` are the variances that no cause explains.
    """

    residuals: Array
    priors: Array
    beside: Array
    carry: Array
    lean: float
    rest: float


class Told(NamedTuple):
    """Weighted samples (N,): unknowns q (N, P), covered, and how each leans, tilt (N, 2) and way.

    ``beside`` (N, E) is by how much each cause beside the samples moved covered.
    """

    q: Array
    covered: Array
    weight: Array
    tilt: Array
    ways: Ways
    beside: Array

    @classmethod
    def of(cls, q: Array, state: Array, weight: Array, covered: Sequence[Array]) -> "Told":
        """Return samples by their unknowns, the states of these, and covered after each cause."""
        beside = np.diff(np.stack(covered, axis=1), axis=1)
        return cls(q, covered[-1], weight, tilt_of(state), ways(state, weight), beside)


def levers(residuals: Residuals, told: Told, priors_on: Array) -> Levers:
    """Return the levers of samples; ``priors_on`` (P,) is 1 where an unknown has a prior."""
    some = np.flatnonzero(told.weight > 0)
    some = some[:: -(-len(some) // _MOST)]
    q, weight = told.q[some], told.weight[some] / np.sum(told.weight[some])
    covered = told.covered[some]
    spread = deviation(covered, weight)
    if spread > 0:  # fewer samples spread a little otherwise
        covered = covered * (deviation(told.covered, told.weight) / spread)
    beside = told.beside[some]
    each = np.sqrt(_variances(beside, weight))
    left = residuals(q)
    causes = np.concatenate([left, q * priors_on, beside / np.where(each > 0, each, 1.0)], axis=1)
    x, y = told.tilt[some].T
    bent = np.stack([x, y, x * x, x * y, y * y], axis=1)
    columns = np.concatenate([causes, q, bent, covered[:, None]], axis=1)
    inside = _by_way(columns, weight, told.ways, some)
    many, unknowns = causes.shape[1], q.shape[1]
    cov = (inside * weight[:, None]).T @ inside
    lever = cov[:many, -1]
    scale, turn = np.linalg.eigh(cov[:many, :many])
    scale = np.maximum(scale, 1.0)
    explained = (turn / np.sqrt(scale)) @ turn.T @ lever
    carry = cov[many : many + unknowns, :many] @ ((turn / np.sqrt(scale)) @ turn.T)
    left_over = max(float(cov[-1, -1] - explained @ explained), 0.0)
    slope = (turn / scale) @ turn.T @ lever
    bends = slice(many + unknowns, -1)
    with_bends = cov[bends, -1] - slope @ cov[:many, bends]
    unexplained = float(cov[-1, -1] - 2 * slope @ lever + slope @ cov[:many, :many] @ slope)
    by_lean = float(with_bends @ np.linalg.pinv(cov[bends, bends]) @ with_bends)
    part = min(by_lean / unexplained, 1.0) if unexplained > 0 else 0.0
    between = float(_variances(columns[:, -1:] - inside[:, -1:], weight)[0])
    n = left.shape[1]
    return Levers(
        residuals=explained[:n],
        priors=explained[n : n + unknowns] * priors_on,
        beside=explained[n + unknowns :],
        carry=carry[:, :n],
        lean=between + part * left_over,
        rest=(1 - part) * left_over,
    )


def lines(
    found: Levers,
    sources: Sequence[str],
    priors: Sequence[Prior],
    beside: Sequence[tuple[str, float | None]] = (),
) -> tuple[BudgetLine, ...]:
    """Return what each source adds to the standard uncertainty of covered, in points.

    ``sources`` are those of the residuals, ``beside`` the name and degrees of freedom of each
    cause beside the samples. The squares add up to the square of u; the largest line comes first.
    """
    shares: dict[str, float] = {}
    for source, share in zip(sources, found.residuals**2, strict=True):
        shares[source] = shares.get(source, 0.0) + float(share)
    for prior, share in zip(priors, found.priors**2, strict=True):
        shares[prior.source] = shares.get(prior.source, 0.0) + float(share)
    shares |= {LEAN: found.lean, NOT_LINEAR: found.rest}
    told = [
        BudgetLine(name, 100 * share**0.5)
        for name, share in shares.items()
        if share > 0 or name in sources
    ]
    for (name, dof), lever in zip(beside, found.beside, strict=True):
        told.append(BudgetLine(name, 100 * abs(float(lever)), dof))
    return tuple(sorted(told, key=lambda line: -line.points))


def deviation(values: Array, weight: Array) -> float:
    """Return the standard deviation of weighted values (N,)."""
    return float(np.sqrt(_variances(values[:, None], weight)[0]))


def _variances(columns: Array, weight: Array) -> Array:
    mean = weight @ columns
    return np.asarray(weight @ (columns - mean) ** 2)


def _by_way(columns: Array, weight: Array, found: Ways, some: npt.NDArray[np.intp]) -> Array:
    """Return columns (N, K) about the mean of each sample's own way to lean."""
    out = columns - weight @ columns
    if found.both:
        for side in (found.likelier[some], ~found.likelier[some]):
            out[side] -= weight[side] @ out[side] / max(float(np.sum(weight[side])), 1e-300)
    return out
