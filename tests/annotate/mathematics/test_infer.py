"""Best fits and weighted samples, against posteriors that are known in closed form."""

import numpy as np
from numpy.testing import assert_allclose
from scipy import stats

from annotate.mathematics import infer


def draw(
    residuals, modes: infer.Modes, priors_on, period=None, seed: int = 0, trials: int = 8000
) -> infer.Samples:
    period = np.zeros(len(priors_on)) if period is None else period
    rng = np.random.default_rng(seed)
    return infer.draw(residuals, modes, priors_on, period, rng, trials)


def test_linear_model_gives_its_exact_posterior() -> None:
    # Textbook Gaussian conditioning: precision A'A + I, mean (A'A + I)^-1 A'b.
    rng = np.random.default_rng(3)
    a, b = rng.normal(size=(12, 4)), rng.normal(size=12)
    precision = a.T @ a + np.eye(4)
    mean = np.linalg.solve(precision, a.T @ b)

    def residuals(q):
        return q @ a.T - b

    ones = np.ones(4)
    modes = infer.find_modes(residuals, np.zeros((3, 4)), ones, ones)
    assert len(modes.q) == 1
    assert_allclose(modes.q[0], mean, atol=1e-6)
    assert_allclose(modes.covariance[0], np.linalg.inv(precision), rtol=1e-5)
    samples = draw(residuals, modes, ones)
    assert_allclose(samples.weight.sum(), 1)
    assert samples.effective > 2000
    assert_allclose(samples.weight @ samples.q, mean, atol=0.01)
    away = samples.q - samples.weight @ samples.q
    covariance = np.einsum("n,ni,nj->ij", samples.weight, away, away)
    assert_allclose(covariance, np.linalg.inv(precision), atol=0.01)


def test_flat_prior_leaves_the_data_alone() -> None:
    modes = infer.find_modes(
        lambda q: (q - 7.0) / 0.5, np.zeros((1, 1)), np.zeros(1), np.full(1, 1e3)
    )
    assert_allclose(modes.q[0], 7.0, atol=1e-6)
    assert_allclose(modes.covariance[0], 0.25, rtol=1e-5)


def test_two_branches_are_both_kept_in_their_true_shares() -> None:
    # y = q^2 observed as 4 +- 0.4, prior N(0.3, 1): density at +2 against -2 is
    # exp(-(1.7^2 - 2.3^2) / 2); integrated on a fine grid as the outside truth.
    def residuals(q):
        return np.concatenate([(q**2 - 4) / 0.4, q - 0.3], axis=1)

    modes = infer.find_modes(residuals, np.array([[1.0], [-1.0]]), np.zeros(1), np.full(1, 3.0))
    assert len(modes.q) == 2
    samples = draw(residuals, modes, np.zeros(1))
    grid = np.linspace(-5, 5, 200_001)
    density = stats.norm.pdf(grid**2, 4, 0.4) * stats.norm.pdf(grid, 0.3, 1)
    truth = density[grid > 0].sum() / density.sum()
    assert_allclose(samples.weight[samples.q[:, 0] > 0].sum(), truth, atol=0.02)


def test_curved_posterior_has_the_quantiles_of_a_fine_grid() -> None:
    # ln q observed through exp: skewed, so that mean +- u would be wrong.
    def residuals(q):
        return (np.exp(q) - 0.4) / 0.3

    ones = np.ones(1)
    modes = infer.find_modes(residuals, np.zeros((1, 1)), ones, ones)
    samples = draw(residuals, modes, ones)
    order = np.argsort(samples.q[:, 0])
    found = np.interp([0.025, 0.5, 0.975], np.cumsum(samples.weight[order]), samples.q[order, 0])
    grid = np.linspace(-8, 4, 100_001)
    density = stats.norm.pdf(np.exp(grid), 0.4, 0.3) * stats.norm.pdf(grid)
    truth = np.interp([0.025, 0.5, 0.975], np.cumsum(density) / density.sum(), grid)
    assert_allclose(found, truth, atol=0.05)


def test_an_unknown_that_goes_round_is_not_counted_twice() -> None:
    # Direction without sense: likelihood of period pi, flat prior. Two starts, one and the same.
    def residuals(q):
        return np.sin(q - 1.2) / 0.2

    starts = np.array([[1.0], [1.0 - np.pi]])
    modes = infer.find_modes(residuals, starts, np.zeros(1), np.ones(1))
    samples = draw(residuals, modes, np.zeros(1), period=np.array([np.pi]))
    assert np.all(np.abs(samples.q) <= np.pi / 2 + 1e-12)
    grid = np.linspace(-np.pi / 2, np.pi / 2, 100_001)
    density = np.exp(-0.5 * (np.sin(grid - 1.2) / 0.2) ** 2)
    truth = (density * np.cos(2 * grid)).sum() / density.sum()
    assert_allclose(samples.weight @ np.cos(2 * samples.q[:, 0]), truth, atol=0.01)


def test_same_seed_gives_the_same_and_rounding_moves_it_by_rounding() -> None:
    def residuals(q, nudge=0.0):
        return np.concatenate([(q**2 - 4) / 0.4, q - 0.3 + nudge], axis=1)

    def result(nudge):
        modes = infer.find_modes(
            lambda q: residuals(q, nudge), np.array([[1.0], [-1.0]]), np.zeros(1), np.ones(1)
        )
        samples = draw(lambda q: residuals(q, nudge), modes, np.zeros(1))
        return samples.weight @ samples.q[:, 0]

    assert result(0.0) == result(0.0)
    assert_allclose(result(0.0), result(1e-12), atol=1e-7)


def test_a_start_where_the_model_is_undefined_is_dropped() -> None:
    def residuals(q):
        with np.errstate(invalid="ignore"):
            return np.sqrt(q) - 1.0

    modes = infer.find_modes(residuals, np.array([[0.5], [-3.0]]), np.zeros(1), np.ones(1))
    assert len(modes.q) >= 1
    assert_allclose(modes.q[0], 1.0, atol=1e-4)


def test_coordinates_keep_the_ends_of_a_curved_posterior() -> None:
    # y = exp(w) to 0.003, w and y standard normal before: a line bent by far more than it is wide.
    # Its density along w is exp(-w^2/2 - exp(2w)/2), integrated on a fine grid.
    def residuals(q):
        return (q[:, 1:] - np.exp(q[:, :1])) / 0.003

    class Straightened:
        def seen(self, q):
            return np.stack([q[:, 0], q[:, 1] - np.exp(q[:, 0])], axis=1)

        def true(self, p):
            return np.stack([p[:, 0], p[:, 1] + np.exp(p[:, 0])], axis=1)

        def log_volume(self, p):
            return np.zeros(len(p))

    ones = np.ones(2)
    modes = infer.find_modes(residuals, np.zeros((1, 2)), ones, ones)
    rng = np.random.default_rng(0)
    found = infer.draw(residuals, modes, ones, np.zeros(2), rng, 8000, coordinates=Straightened())
    assert_allclose(found.q[:, 1], np.exp(found.q[:, 0]), atol=0.1)
    order = np.argsort(found.q[:, 0])
    ends = np.interp([0.025, 0.975], np.cumsum(found.weight[order]), found.q[order, 0])
    grid = np.linspace(-6, 3, 100_001)
    density = np.exp(-(grid**2) / 2 - np.exp(2 * grid) / 2)
    truth = np.interp([0.025, 0.975], np.cumsum(density) / density.sum(), grid)
    assert_allclose(ends, truth, atol=0.08)


def test_a_volume_that_coordinates_change_is_put_back() -> None:
    # q standard normal, drawn in p = sinh(q): dq/dp = 1 / sqrt(1 + p^2).
    class Stretched:
        def seen(self, q):
            return np.sinh(q)

        def true(self, p):
            return np.arcsinh(p)

        def log_volume(self, p):
            return -0.5 * np.log1p(p[:, 0] ** 2)

    def nothing(q):
        return np.zeros((len(q), 0))

    one = np.ones(1)
    modes = infer.find_modes(nothing, np.full((1, 1), 0.5), one, one)
    rng = np.random.default_rng(1)
    found = infer.draw(nothing, modes, one, np.zeros(1), rng, 8000, coordinates=Stretched())
    mean = found.weight @ found.q[:, 0]
    assert_allclose(mean, 0.0, atol=0.03)
    assert_allclose(found.weight @ (found.q[:, 0] - mean) ** 2, 1.0, atol=0.05)


def test_where_no_start_leads_to_a_finite_fit_there_is_none() -> None:
    def nowhere(q):
        if len(q) == 0:
            raise ValueError("nothing to look at")  # nobody may be asked of no place at all
        return np.full((len(q), 3), np.nan)

    modes = infer.find_modes(nowhere, np.zeros((2, 4)), np.ones(4), np.ones(4))
    assert modes.q.shape == (0, 4)
    assert modes.covariance.shape == (0, 4, 4)
    assert modes.log_density.shape == (0,)
