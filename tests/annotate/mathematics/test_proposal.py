"""Proposals' densities, against those of SciPy's t distribution."""

import numpy as np
from numpy.testing import assert_allclose
from scipy import stats

from annotate.mathematics.proposal import Mixture, densities, density_of, proposed

CENTRE, SPREAD = (
    np.array([1.0, -2.0, 0.5]),
    np.array([[2.0, 0.3, 0.0], [0.3, 1.0, 0.4], [0, 0.4, 3]]),
)
ONE = Mixture(CENTRE[None], SPREAD[None], np.ones(1))


def log_density(q, period=None) -> np.ndarray:
    still = np.zeros(q.shape[1])
    return np.log(densities(q, density_of(ONE, still if period is None else period))[:, 0])


def test_a_part_is_a_t_of_six_degrees() -> None:
    q = CENTRE + 3 * np.random.default_rng(0).standard_normal((200, 3))
    off = log_density(q)
    off -= stats.multivariate_t(CENTRE, SPREAD, df=6).logpdf(q)
    assert_allclose(off, off[0], atol=1e-12)


def test_draws_are_of_the_density_they_are_weighed_with() -> None:
    q = proposed(ONE, np.random.default_rng(1), 40_000)
    away = np.einsum("ni,ij,nj->n", q - CENTRE, np.linalg.inv(SPREAD), q - CENTRE)
    # Squared distances are three times F(3, 6).
    for quantile in (0.1, 0.5, 0.9, 0.99):
        at = np.quantile(away, quantile)
        assert_allclose(stats.f(3, 6).cdf(at / 3), quantile, atol=0.006)


def test_an_unknown_that_goes_round_is_met_a_whole_turn_away() -> None:
    period = np.array([0.0, 4.0, 0.0])
    q = CENTRE + np.array([[0.1, 1.9, 0.2]])
    images = [log_density(q + k * period)[0] for k in (-1, 0, 1)]
    assert_allclose(log_density(q, period)[0], np.logaddexp.reduce(images), atol=1e-12)


def test_many_unknowns_stay_within_the_range_of_numbers() -> None:
    # 400 unknowns: a plain sixth-degree density there is about 1e-350.
    wide = Mixture(np.zeros((1, 400)), np.eye(400)[None], np.ones(1))
    q = proposed(wide, np.random.default_rng(2), 500)
    off = np.log(densities(q, density_of(wide, np.zeros(400)))[:, 0])
    off -= stats.multivariate_t(np.zeros(400), np.eye(400), df=6).logpdf(q)
    assert_allclose(off, off[0], atol=1e-9)


def test_the_unit_of_density_is_only_a_factor() -> None:
    q = CENTRE + np.array([[0.1, 1.9, 0.2]])
    of = density_of(ONE, np.zeros(3))
    assert_allclose(densities(q, of, 7.0) * np.exp(7.0), densities(q, of), rtol=1e-12)
