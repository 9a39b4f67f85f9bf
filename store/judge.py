"""Quantity + Limit -> Verdict.

The guarded rule: **within** if P(conforming) >= 0.95, **outside** if P(not conforming) >= 0.95,
else **too close to call**: the one-sided guard band of ISO 14253-1:2017, with the probability of
conformity of JCGM 106:2012 clause 7 (clause from memory). A two-sided limit is conformed to by
at_least <= x <= at_most, both sides at once. The simple rule looks at the value alone.

A limit is exact: an uncertainty of its own is not used.
"""

from math import inf, nextafter

from annotate.quantity import LEVEL, Quantity
from annotate.result import Coverage, Known, Result
from store.plan import Characteristic, Limit, Of
from store.verdict import State, Verdict

# A value on the limit must not fall off it because 0.050 in is 1.2699999999999998 mm in binary.
_ROUNDING = 1e-12

AGREEMENT_LIMIT = Limit(
    source="En at most 1 (ISO 13528, ISO/IEC 17043)", at_most=Quantity(1.0, "1"), rule="simple"
)


def limit_for(characteristic: Characteristic) -> Limit | None:
    """Return the limit that a characteristic is judged against, None if it has none.

    An agreement without a limit of its own has En <= 1. A yes-no needs none: yes is within.
    """
    if characteristic.kind == "yes-no":
        return None
    if characteristic.limit is None and characteristic.kind == "agreement":
        return AGREEMENT_LIMIT
    return characteristic.limit


def judge(quantity: Quantity, limit: Limit) -> Verdict:
    """Return the verdict on a quantity under a limit's own rule.

    The bounds are the one-sided 95 % bounds of the value on the sides that the limit has, in that
    side's unit; under the simple rule they are the value itself, which is all it compares. The
    probability is of the value's whole distribution under either rule. Raises UnitMismatch.
    """
    below, bound_low = _side(quantity, limit.at_least, 1 - LEVEL, limit)
    above, bound_high = _side(quantity, limit.at_most, LEVEL, limit)
    within = min(1.0, max(0.0, 1.0 - below - above))
    return Verdict(
        state=_simple_state(quantity, limit) if limit.rule == "simple" else _guarded_state(within),
        limit=limit,
        probability_within=within,
        bound_low=bound_low,
        bound_high=bound_high,
    )


def judge_result(result: Result, limit: Limit) -> Verdict:
    """Return the verdict on a number that may not be known; if not, "not measured" and why."""
    if isinstance(result, Known):
        return judge(result.quantity, limit)
    return not_measured(limit, result.reason)


def not_measured(limit: Limit, reason: str) -> Verdict:
    """Return the verdict that there is nothing to judge, with the reason."""
    return Verdict(state="not measured", limit=limit, reason=reason)


def subject_of(result: Coverage, of: Of) -> Result:
    """Return the number that a limit on a coverage speaks of."""
    subjects: dict[Of, Result] = {
        "covered": result.covered,
        "covered of near": result.covered_of_near,
        "covered of far": result.covered_of_far,
        "pin": result.largest_pin,
        "open area": result.open_area,
    }
    return subjects[of]


def _guarded_state(within: float) -> State:
    if within >= LEVEL:
        return "within"
    return "outside" if 1 - within >= LEVEL else "too close to call"


def _simple_state(quantity: Quantity, limit: Limit) -> State:
    exact = Quantity(quantity.value, quantity.unit)
    below, _ = _side(exact, limit.at_least, 0.5, limit)
    above, _ = _side(exact, limit.at_most, 0.5, limit)
    return "outside" if below or above else "within"


def _side(
    quantity: Quantity, bound: Quantity | None, probability: float, limit: Limit
) -> tuple[float, float | None]:
    """Return the probability beyond one side of a limit, and the value's bound on that side."""
    if bound is None:
        return 0.0, None
    there = quantity.to(bound.unit)
    slack = abs(bound.value) * _ROUNDING
    if bound is limit.at_least:
        # Strictly below: a pile of trials exactly on the limit conforms.
        beyond = there.probability_below(nextafter(bound.value - slack, -inf))
    else:
        beyond = 1.0 - there.probability_below(bound.value + slack)
    drawn = there.value if limit.rule == "simple" else there.quantile(probability)
    return beyond, drawn
