from math import inf, isinf

import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy import stats

from annotate.mathematics.student import probability_below, quantile
from tests.truth import uncertainty

dofs = st.one_of(st.none(), st.floats(1, 300))


@pytest.mark.parametrize("dof", list(uncertainty.T_FACTORS))
def test_the_published_factors_come_out(dof) -> None:
    for level, printed in zip(uncertainty.T_LEVELS, uncertainty.T_FACTORS[dof], strict=True):
        factor = quantile((1 + level) / 2, dof)
        # One more figure than printed is rounded away; 235.8 has one decimal, the normal three.
        assert_allclose(factor, printed, atol=0.06 if printed > 100 else 0.0051)


@given(t=st.floats(-60, 60), dof=st.floats(1, 1e4))
def test_scipy_agrees_on_probabilities(t, dof) -> None:
    assert_allclose(probability_below(t, dof), stats.t.cdf(t, dof), atol=1e-12)


@given(p=st.floats(0.0005, 0.9995), dof=st.floats(1, 1e4))
def test_scipy_agrees_on_quantiles(p, dof) -> None:
    assert_allclose(quantile(p, dof), stats.t.ppf(p, dof), rtol=1e-8, atol=1e-9)


@given(p=st.floats(0.001, 0.999), dof=dofs)
def test_probability_and_quantile_are_inverse(p, dof) -> None:
    assert_allclose(probability_below(quantile(p, dof), dof), p, atol=1e-10)


@given(t=st.floats(0, 30), dof=dofs)
def test_both_tails_are_alike(t, dof) -> None:
    assert_allclose(probability_below(t, dof) + probability_below(-t, dof), 1.0, atol=1e-13)


def test_ends_and_infinite_freedom() -> None:
    assert quantile(0.0, 4) == -inf
    assert quantile(1.0, 4) == inf
    assert isinf(quantile(-0.1, None))
    assert probability_below(inf, 3) == 1.0
    assert probability_below(-inf, 3) == 0.0
    assert quantile(0.975, inf) == quantile(0.975, None)
    assert quantile(0.5, 7) == pytest.approx(0, abs=1e-12)


def test_one_degree_of_freedom_is_the_cauchy_distribution() -> None:
    # P(T <= 1) = 3/4 exactly.
    assert_allclose(probability_below(1.0, 1), 0.75, rtol=1e-14)
    assert_allclose(quantile(0.75, 1), 1.0, rtol=1e-12)
