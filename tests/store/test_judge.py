"""The decision rule, against published numbers and an independent library."""

from math import inf, sqrt

import msgspec
import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy import integrate, stats

from annotate.errors import UnitMismatch
from annotate.quantity import Quantity
from annotate.result import Known, Unknown
from store.characteristic import Characteristic, Limit, Of, Rule
from store.judge import AGREEMENT_LIMIT, judge, judge_result, limit_for, not_measured, subject_of
from tests.store.small_job import marks

OWN = "builder's own"


def limit(
    low: float | None = None, high: float | None = None, unit: str = "mm", rule: Rule = "guarded"
) -> Limit:
    return Limit(
        source=OWN,
        at_least=None if low is None else Quantity(low, unit),
        at_most=None if high is None else Quantity(high, unit),
        rule=rule,
    )


# JCGM 106:2012 7.3 Table 1 (from memory, recomputed): one-sided z for a probability of conformity
@pytest.mark.parametrize(
    ("probability", "z"), [(0.80, 0.84), (0.90, 1.28), (0.95, 1.64), (0.99, 2.33), (0.999, 3.09)]
)
def test_the_probability_of_conformity_is_that_of_the_published_z(
    probability: float, z: float
) -> None:
    below = judge(Quantity(10.0 - z * 0.2, "mm", u=0.2), limit(high=10.0))
    above = judge(Quantity(10.0 + z * 0.2, "mm", u=0.2), limit(low=10.0))
    for verdict in (below, above):
        assert verdict.probability_within == pytest.approx(probability, abs=0.002)
        assert verdict.state == ("within" if probability > 0.95 else "too close to call")


def test_a_breakdown_voltage_conforms_with_the_published_probability() -> None:
    # JCGM 106:2012 clause 7, Zener diode (from memory): -5.47 V, u 0.05 V, upper limit -5.40 V:
    # Phi(1.4) = 0.919. Any unit serves.
    verdict = judge(Quantity(-5.47, "mm", u=0.05), limit(high=-5.40))
    assert verdict.probability_within == pytest.approx(0.919, abs=0.0005)
    assert verdict.state == "too close to call"


def test_a_guard_band_of_two_u_leaves_the_published_worst_false_acceptance() -> None:
    # JCGM 106:2012 8.3.2 (from memory): g = U = 2 u on one limit: at most 2.275 %
    verdict = judge(Quantity(9.6, "mm", u=0.2), limit(high=10.0))
    assert verdict.probability_within is not None
    assert 1 - verdict.probability_within == pytest.approx(0.02275, abs=0.00001)
    assert verdict.state == "within"


# A US national laboratory's test values for the specific risk of N(value, 0.4) against 9 to 11.
@pytest.mark.parametrize(
    ("value", "risk", "state"),
    [(10.0, 0.01242, "within"), (10.5, 0.10574, "too close to call"), (12.0, 0.99379, "outside")],
)
def test_two_sides_are_conformed_to_at_once(value: float, risk: float, state: str) -> None:
    verdict = judge(Quantity(value, "mm", u=0.4), limit(9.0, 11.0))
    assert verdict.probability_within == pytest.approx(1 - risk, abs=0.00001)
    assert verdict.state == state


def test_each_side_of_a_wide_spread_is_counted() -> None:
    # the same source: 0.621 % on each side of 9 to 11
    quantity = Quantity(10.0, "mm", u=0.4)
    for one_sided in (limit(low=9.0), limit(high=11.0)):
        within = judge(quantity, one_sided).probability_within
        assert within == pytest.approx(1 - 0.00621, abs=0.00001)


def test_the_guard_band_is_1_65_u_one_sided() -> None:
    # ISO 14253-1:2017 (from memory): proof of conformity inside the limit less g = 1.65 u_c,
    # of nonconformity outside the limit plus g, between them neither
    for offset, state in [
        (-1.66, "within"), (-1.64, "too close to call"), (1.64, "too close to call"),
        (1.66, "outside"),
    ]:  # fmt: skip
        assert judge(Quantity(20.0 + offset * 0.01, "mm", u=0.01), limit(high=20.0)).state == state
        assert judge(Quantity(20.0 - offset * 0.01, "mm", u=0.01), limit(low=20.0)).state == state


def test_a_production_of_known_spread_is_accepted_wrongly_as_often_as_published() -> None:
    # JCGM 106:2012 9.5.4: radial deviation gamma(4, 1/4) (mean 1), at most 2, u = 0.25: 4.24 % of
    # the production is bad; accepting on the value alone passes 0.80 % bad, fails 1.74 % good.
    made = stats.gamma(4, scale=0.25)
    simple, u = limit(high=2.0, rule="simple"), 0.25
    assert made.sf(2.0) == pytest.approx(0.0424, abs=0.00005)

    def passed(reading: float) -> bool:
        return judge(Quantity(reading, "mm", u=u), simple).state == "within"

    readings = np.linspace(-1.0, 5.0, 6001)
    limit_of_acceptance = max(r for r in readings if passed(r))
    assert limit_of_acceptance == pytest.approx(2.0)
    bad, _ = integrate.quad(
        lambda y: made.pdf(y) * stats.norm.cdf((limit_of_acceptance - y) / u), 2.0, 10.0
    )
    good, _ = integrate.quad(
        lambda y: made.pdf(y) * stats.norm.sf((limit_of_acceptance - y) / u), 0.0, 2.0
    )
    assert bad == pytest.approx(0.0080, abs=0.00005)
    assert good == pytest.approx(0.0174, abs=0.00005)


def test_the_guarded_rule_accepts_fewer_bad_parts_than_one_in_twenty_of_the_accepted() -> None:
    # By construction, whatever is made: with no knowledge of the production P(bad | reading) <= 5 %
    rng = np.random.default_rng(5)
    truth = rng.uniform(8.0, 12.0, 4000)
    readings = truth + rng.normal(0.0, 0.3, truth.size)
    accepted = np.array(
        [judge(Quantity(r, "mm", u=0.3), limit(high=10.0)).state == "within" for r in readings]
    )
    assert accepted.sum() > 1000
    assert np.mean(truth[accepted] > 10.0) < 0.05


@given(
    value=st.floats(-50, 50),
    u=st.floats(0.01, 20),
    dof=st.none() | st.floats(1, 200),
    low=st.floats(-60, 60),
    width=st.floats(0, 60),
)
def test_the_probability_is_that_of_an_independent_library(
    value: float, u: float, dof: float | None, low: float, width: float
) -> None:
    spread = stats.t(dof or inf, value, u)
    expected = spread.cdf(low + width) - spread.cdf(low)
    verdict = judge(Quantity(value, "mm", u=u, dof=dof), limit(low, low + width))
    # 1e-8: the limit is widened by 1e-12 of itself against the rounding of conversions
    assert verdict.probability_within == pytest.approx(expected, abs=1e-8)
    assert verdict.bound_low == pytest.approx(spread.ppf(0.05), rel=1e-9, abs=1e-9)
    assert verdict.bound_high == pytest.approx(spread.ppf(0.95), rel=1e-9, abs=1e-9)


@given(value=st.floats(-50, 50), u=st.floats(0.01, 20), high=st.floats(-60, 60))
def test_the_drawn_bound_decides_as_the_rule_does(value: float, u: float, high: float) -> None:
    assume(abs(value + 1.6448536269514722 * u - high) > 1e-6)
    verdict = judge(Quantity(value, "mm", u=u), limit(high=high))
    assert verdict.bound_high is not None
    assert (verdict.state == "within") == (verdict.bound_high < high)
    assert verdict.bound_low is None


@given(value=st.floats(-50, 50), u=st.floats(0, 20), bound=st.floats(-60, 60))
def test_at_least_mirrors_at_most(value: float, u: float, bound: float) -> None:
    one = judge(Quantity(value, "mm", u=u), limit(high=bound))
    other = judge(Quantity(-value, "mm", u=u), limit(low=-bound))
    assert one.state == other.state
    assert one.probability_within == pytest.approx(other.probability_within, abs=1e-12)


@pytest.mark.parametrize("rule", ["guarded", "simple"])
def test_an_exact_value_on_its_limit_conforms(rule: Rule) -> None:
    for one_sided in (limit(low=3.0, rule=rule), limit(high=3.0, rule=rule)):
        assert judge(Quantity(3.0, "mm"), one_sided).state == "within"
    assert judge(Quantity(3.0, "mm"), limit(3.0, 3.0, rule=rule)).state == "within"
    assert judge(Quantity(0.0, "count"), limit(0.0, 0.0, "count", rule)).state == "within"
    assert judge(Quantity(3.0 - 1e-9, "mm"), limit(low=3.0, rule=rule)).state == "outside"
    assert judge(Quantity(3.0 + 1e-9, "mm"), limit(high=3.0, rule=rule)).state == "outside"
    assert judge(Quantity(-1.0, "count"), limit(0.0, 0.0, "count", rule)).state == "outside"
    assert judge(Quantity(5e-324, "mm"), limit(high=0.0, rule=rule)).state == "outside"
    assert judge(Quantity(-5e-324, "mm"), limit(low=0.0, rule=rule)).state == "outside"


def test_a_conversion_does_not_push_a_value_off_its_limit() -> None:
    # 0.057 in is 1.4478 mm, exactly; in binary the product comes out a digit lower or higher
    for thousandths in range(1, 400):
        inches, millimetres = thousandths / 1000, round(thousandths * 25.4) / 1000
        exact = Quantity(inches, "in")
        if thousandths * 254 % 10 == 0:
            assert judge(exact, limit(low=millimetres, rule="simple")).state == "within"
            assert judge(exact, limit(high=millimetres, rule="simple")).state == "within"


def test_a_fraction_is_judged_against_per_cent() -> None:
    verdict = judge(Quantity(0.37, "1", u=0.01), limit(high=41.0, unit="%"))
    assert verdict.state == "within"
    assert verdict.bound_high == pytest.approx(37 + 1.6448536, abs=1e-6)


def test_each_side_is_judged_and_drawn_in_its_own_unit() -> None:
    both = Limit(OWN, at_least=Quantity(0.5, "in"), at_most=Quantity(13.0, "mm"))
    verdict = judge(Quantity(12.85, "mm", u=0.05), both)
    assert verdict.bound_low == pytest.approx((12.85 - 1.6448536 * 0.05) / 25.4, abs=1e-6)
    assert verdict.bound_high == pytest.approx(12.85 + 1.6448536 * 0.05, abs=1e-6)
    expected = stats.norm.cdf(3.0) - stats.norm.cdf(-3.0)
    assert verdict.probability_within == pytest.approx(expected, abs=1e-9)


def test_another_kind_of_unit_is_refused() -> None:
    with pytest.raises(UnitMismatch):
        judge(Quantity(1.0, "N.m"), limit(high=1.0))


def test_the_simple_rule_looks_at_the_value_alone_and_says_the_odds() -> None:
    verdict = judge(Quantity(9.99, "mm", u=0.5), limit(9.0, 10.0, rule="simple"))
    assert verdict.state == "within"
    assert verdict.probability_within == pytest.approx(
        stats.norm.cdf(0.02) - stats.norm.cdf(-1.98), abs=1e-9
    )
    assert (verdict.bound_low, verdict.bound_high) == (9.99, 9.99)
    assert judge(Quantity(10.01, "mm", u=0.5), limit(9.0, 10.0, rule="simple")).state == "outside"
    assert judge(Quantity(8.99, "mm", u=0.5), limit(9.0, 10.0, rule="simple")).state == "outside"


def test_a_skewed_result_is_judged_by_its_own_quantiles() -> None:
    samples = np.random.default_rng(1).gamma(2.0, 1.0, 200_000)
    quantity = Quantity.from_samples(samples, "mm")
    verdict = judge(quantity, limit(high=5.0))
    assert verdict.probability_within == pytest.approx(stats.gamma(2).cdf(5.0), abs=0.002)
    assert verdict.bound_high == pytest.approx(stats.gamma(2).ppf(0.95), rel=0.01)
    # value +- u would say otherwise
    assert stats.norm.cdf((5.0 - 2.0) / sqrt(2)) > 0.98


def test_odds_of_exactly_95_in_100_decide() -> None:
    steps = [float(step) for step in range(201)]
    mostly_below = Quantity(0.0, "mm", u=1.0, quantiles=tuple(step - 190 for step in steps))
    mostly_above = Quantity(0.0, "mm", u=1.0, quantiles=tuple(step - 10 for step in steps))
    assert judge(mostly_below, limit(high=0.0)).probability_within == 0.95
    assert judge(mostly_below, limit(high=0.0)).state == "within"
    assert judge(mostly_above, limit(high=0.0)).state == "outside"
    nearly = Quantity(0.0, "mm", u=1.0, quantiles=tuple(step - 189.9 for step in steps))
    assert judge(nearly, limit(high=0.0)).state == "too close to call"


def test_trials_piled_exactly_on_a_limit_conform() -> None:
    # a coverage that can't be below nothing: 30 % of the trials are exactly 0
    samples = np.concatenate([np.zeros(300), np.linspace(0.001, 0.2, 700)])
    quantity = Quantity.from_samples(samples, "1")
    assert judge(quantity, limit(low=0.0, unit="1")).probability_within == 1.0
    at_zero = judge(quantity, limit(high=0.0, unit="1")).probability_within
    assert at_zero == pytest.approx(0.3, abs=0.01)


def test_what_is_not_known_is_not_measured_and_says_why() -> None:
    the_limit = limit(high=1.0)
    verdict = judge_result(Unknown("no length is known"), the_limit)
    assert verdict == not_measured(the_limit, "no length is known")
    assert (verdict.state, verdict.reason) == ("not measured", "no length is known")
    assert verdict.probability_within is None
    assert verdict.limit is the_limit
    known = Quantity(0.5, "mm", u=0.1)
    assert judge_result(Known(known), the_limit) == judge(known, the_limit)


def test_a_limit_on_a_coverage_names_its_reference() -> None:
    result = marks("ab" * 32).result
    fields: dict[Of, str] = {
        "covered": "covered", "covered of near": "covered_of_near",
        "covered of far": "covered_of_far", "pin": "largest_pin", "open area": "open_area",
    }  # fmt: skip
    for of, field in fields.items():
        number = Known(Quantity(0.25, "1"))
        assert subject_of(msgspec.structs.replace(result, **{field: number}), of) is number


def test_an_agreement_has_its_limit_and_a_yes_no_needs_none() -> None:
    pair = ("A.a", "A.b")
    agreement = Characteristic(id="x", kind="agreement", question="?", unit="1", of=pair)
    assert limit_for(agreement) is AGREEMENT_LIMIT
    assert AGREEMENT_LIMIT.rule == "simple"
    assert AGREEMENT_LIMIT.at_most == Quantity(1.0, "1")
    own = limit(high=0.8, unit="1")
    strict = Characteristic(id="x", kind="agreement", question="?", unit="1", of=pair, limit=own)
    assert limit_for(strict) is own
    said = Characteristic(id="x", kind="yes-no", question="?", unit="1", limit=own)
    assert limit_for(said) is None
    bare = Characteristic(id="x", kind="length", question="?", unit="mm")
    assert limit_for(bare) is None
