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
from store.characteristic import ANSWERED_IN_WORDS, Characteristic, Limit, Of, Rule
from store.verdict import State, Verdict

# A value on the limit must not fall off it because 0.050 in is 1.2699999999999998 mm in binary.
_ROUNDING = 1e-12

AGREEMENT_LIMIT = Limit(
    source="En at most 1 (ISO 13528, ISO/IEC 17043)", at_most=Quantity(1.0, "1"), rule="simple"
)


def limit_for(characteristic: Characteristic) -> Limit | None:
    """Return the limit that decides on a characteristic, None if it has none.

    That is its new limit, or its wear limit where it says so or has no other. An agreement
    without a limit of its own has En <= 1. A yes-no needs none: yes is within.
    """
    return _limits(characteristic)[0]


def other_limit(characteristic: Characteristic) -> Limit | None:
    """Return the limit that a value is judged by as well, and which does not decide."""
    return _limits(characteristic)[1]


def _limits(check: Characteristic) -> tuple[Limit | None, Limit | None]:
    if check.kind in ANSWERED_IN_WORDS:
        return None, None
    new, wear = check.limit, check.wear_limit
    if new is None and wear is None and check.kind == "agreement":
        return AGREEMENT_LIMIT, None
    if check.judged_by == "wear" or new is None:
        return wear or new, new if wear else None
    return new, wear


def judge(quantity: Quantity, limit: Limit) -> Verdict:
    """Return the verdict on a quantity under a limit's own rule.

    The bounds are the one-sided 95 % bounds of the value on the sides that the limit has, in that
    side's unit; under the simple rule they are the value itself, which is all it compares. The
    probability is of the value's whole distribution under either rule. Raises UnitMismatch.
    """
    below, above = _beyond(quantity, limit)
    within = max(0.0, 1.0 - below - above)
    return Verdict(
        state=_simple_state(quantity, limit) if limit.rule == "simple" else _guarded_state(within),
        limit=limit,
        probability_within=within,
        bound_low=_bound(quantity, limit.at_least, 1 - LEVEL, limit.rule),
        bound_high=_bound(quantity, limit.at_most, LEVEL, limit.rule),
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
    return "outside" if any(_beyond(Quantity(quantity.value, quantity.unit), limit)) else "within"


def _beyond(quantity: Quantity, limit: Limit) -> tuple[float, float]:
    """Return the probabilities of lying below and above a limit, 0 where it has no such side."""
    below = above = 0.0
    if limit.at_least is not None:
        low = limit.at_least.value - abs(limit.at_least.value) * _ROUNDING
        # Strictly below: a pile of trials exactly on the limit conforms.
        below = quantity.to(limit.at_least.unit).probability_below(nextafter(low, -inf))
    if limit.at_most is not None:
        high = limit.at_most.value + abs(limit.at_most.value) * _ROUNDING
        above = 1.0 - quantity.to(limit.at_most.unit).probability_below(high)
    return below, above


def _bound(
    quantity: Quantity, side: Quantity | None, probability: float, rule: Rule
) -> float | None:
    """Return what the rule compares with one side of a limit, in that side's unit."""
    if side is None:
        return None
    there = quantity.to(side.unit)
    return there.value if rule == "simple" else there.quantile(probability)
