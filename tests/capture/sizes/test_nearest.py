"""Which standard size is meant: ranked by how well the diameter is known."""

from fractions import Fraction
from itertools import pairwise
from math import inf

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from annotate.errors import UnitMismatch
from annotate.quantity import Quantity
from capture.errors import BadReading
from capture.sizes.nearest import nearest


def test_a_close_gauge_leaves_one_size() -> None:
    first, second, third = nearest(Quantity(31.77, "mm", u=0.01))
    assert (first.name, first.mm) == ("1 1/4 in or 31.75 mm", Fraction("31.75"))
    assert first.probability == pytest.approx(1)
    assert (first.away_mm, first.agrees) == (pytest.approx(0.02), True)
    assert (second.name, third.name) == ("32 mm", "31.5 mm")
    assert not second.agrees
    assert second.probability < 1e-6


def test_a_coarse_gauge_leaves_more_than_one() -> None:
    found = nearest(Quantity(32.60, "mm", u=0.1))
    # 1 9/32 in is 32.54375 mm
    assert [each.name for each in found] == ["1 9/32 in", "32.5 mm", "32.75 mm"]
    assert all(each.agrees for each in found)
    density = [stats.norm.pdf(32.60, mm, 0.1) for mm in (32.54375, 32.5, 32.75)]
    others = [stats.norm.pdf(32.60, mm, 0.1) for mm in (32.25, 33.0, 32.146875, 32.940625)]
    for each, share in zip(found, density, strict=True):
        assert each.probability == pytest.approx(share / sum(density + others), rel=1e-4)


def test_few_repeats_widen_the_odds() -> None:
    """The t density, against scipy's: a size four u away is not yet out of the question."""
    found = nearest(Quantity(32.60, "mm", u=0.05, dof=2), count=20)
    by_mm = {float(each.mm): each for each in found}
    ratio = by_mm[32.75].probability / by_mm[32.5].probability
    expected = stats.t.pdf(3, 2) / stats.t.pdf(2, 2)
    assert ratio == pytest.approx(expected, rel=1e-9)
    assert by_mm[32.75].agrees
    # t(2) at 99 % is 9.92 (JCGM 100:2008 table G.2)
    assert by_mm[32.146875].agrees
    assert by_mm[33.0].agrees
    assert not nearest(Quantity(32.60, "mm", u=0.01, dof=2), 20)[-1].agrees


def test_endless_degrees_of_freedom_are_none() -> None:
    assert nearest(Quantity(32.60, "mm", u=0.1, dof=inf)) == nearest(Quantity(32.60, "mm", u=0.1))


def test_the_99_percent_interval_says_whether_it_agrees() -> None:
    # 2.576 u (JCGM 100:2008 table G.2)
    for u, agrees in ((0.0398, True), (0.0378, False)):
        first, second = nearest(Quantity(26.1, "mm", u=u), 2, ("metric",))
        assert (first.name, first.agrees) == ("26 mm", 2.576 * u >= 0.1)
        assert first.agrees is agrees
        assert second.agrees is False


def test_without_an_uncertainty_the_nearest_is_certain() -> None:
    first, second = nearest(Quantity(26.1, "mm"), 2, ("metric",))
    assert (first.name, first.probability, first.agrees) == ("26 mm", 1.0, False)
    assert (second.name, second.probability) == ("26.25 mm", 0.0)
    both = nearest(Quantity(26.125, "mm"), 2, ("metric",))
    assert [(each.name, each.probability) for each in both] == [("26 mm", 0.5), ("26.25 mm", 0.5)]
    exact = nearest(Quantity(1.25, "in"), 1)[0]
    assert (exact.probability, exact.agrees) == (1.0, True)
    thirds = nearest(Quantity(33.34 / 25.4, "in", u=0.0), 1)[0]
    assert thirds.name == "1 5/16 in"


def test_far_from_every_size_there_is_still_a_likeliest() -> None:
    first = nearest(Quantity(26.12, "mm", u=1e-6), 1, ("metric",))[0]
    assert (first.name, first.agrees) == ("26 mm", False)
    assert first.probability == pytest.approx(1)


def test_a_series_asked_for_is_the_only_one() -> None:
    found = nearest(Quantity(0.404, "in", u=0.001), 4, ("pipe thread",))
    assert found[0].name == "1/8-27 tapered pipe thread"
    assert len(found) == 4


@given(st.floats(0.3, 200), st.floats(1e-6, 3), st.sampled_from([None, 1.0, 3.0, 30.0]))
def test_the_odds_fall_and_never_exceed_all(mm: float, u: float, dof: float | None) -> None:
    found = nearest(Quantity(mm, "mm", u=u, dof=dof), 5)
    odds = [each.probability for each in found]
    assert len(found) == 5
    assert odds == sorted(odds, reverse=True)
    assert 0 < sum(odds) <= 1 + 1e-9
    for one, other in pairwise(found):
        if one.probability > other.probability:
            assert abs(one.away_mm) <= abs(other.away_mm)


@pytest.mark.parametrize("value", [0.0, -3.0])
def test_what_is_no_diameter_is_refused(value: float) -> None:
    with pytest.raises(BadReading, match="no diameter"):
        nearest(Quantity(value, "mm", u=0.1))
    with pytest.raises(UnitMismatch):
        nearest(Quantity(3, "N.m"))
