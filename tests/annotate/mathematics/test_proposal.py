"""Proposals' densities, against those of SciPy's t distribution."""

import numpy as np
from numpy.testing import assert_allclose
from scipy import stats

from annotate.mathematics.proposal import Mixture, log_densities, proposed

CENTRE, SPREAD = (
    np.array([1.0, -2.0, 0.5]),
    np.array([[2.0, 0.3, 0.0], [0.3, 1.0, 0.4], [0, 0.4, 3]]),
)
ONE = Mixture(CENTRE[None], SPREAD[None], np.ones(1))


def test_a_part_is_a_t_of_six_degrees() -> None:
    q = CENTRE + 3 * np.random.default_rng(0).standard_normal((200, 3))
    off = log_densities(q, ONE, np.zeros(3))[:, 0]
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
    images = [log_densities(q + k * period, ONE, np.zeros(3))[0, 0] for k in (-1, 0, 1)]
    assert_allclose(log_densities(q, ONE, period)[0, 0], np.logaddexp.reduce(images), atol=1e-12)
