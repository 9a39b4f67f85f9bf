"""How good a set of answers is: errors, honesty of the intervals, verdicts.

The interval score is eq. 43 of T. Gneiting and A. E. Raftery, "Strictly Proper Scoring Rules,
Prediction, and Estimation", J. Am. Stat. Assoc. 102 (2007) 359-378 (equation number from memory):
width plus 2/alpha times whatever the truth lies outside. Small is good; it is smallest, on
average, for the true 2.5 % and 97.5 % quantiles, so neither a wide nor a narrow interval wins.
"""

from collections import Counter
from collections.abc import Sequence

import numpy as np
from msgspec import Struct
from scipy.stats import binomtest

LEVEL = 0.95
LIMIT = 0.5  # "covered < 50 %"


class Answer(Struct, frozen=True):
    """One picture's answer beside its truth; a refusal has a reason and no value."""

    name: str
    truth: float
    value: float | None = None
    low: float | None = None
    high: float | None = None
    probability_within: float | None = None  # of "below LIMIT"
    reason: str = ""
    crashed: bool = False


def interval_score(low: float, high: float, truth: float, level: float = LEVEL) -> float:
    """Return the interval score, in the unit of the values."""
    alpha = 1 - level
    return (high - low) + 2 / alpha * (max(0.0, low - truth) + max(0.0, truth - high))


def state(answer: Answer, level: float = LEVEL) -> str:
    """Return the verdict on "below LIMIT": by odds where there are any, else by the bare value."""
    if answer.value is None:
        return "not measured"
    if answer.probability_within is None:
        return "within" if answer.value < LIMIT else "outside"
    if answer.probability_within >= level:
        return "within"
    if 1 - answer.probability_within >= level:
        return "outside"
    return "too close to call"


def wrong(answer: Answer) -> bool:
    """Return whether the verdict contradicts the truth; "too close to call" never does."""
    true_state = "within" if answer.truth < LIMIT else "outside"
    return state(answer) in {"within", "outside"} and state(answer) != true_state


class Summary(Struct, frozen=True):
    """One row of the table; fractions of 1, None where nothing was answered."""

    asked: int
    answered: int
    crashed: int
    reasons: dict[str, int]
    median_error: float | None = None
    p90_error: float | None = None
    worst_error: float | None = None
    intervals: int = 0
    hits: int | None = None
    hit_p_value: float | None = None
    median_width: float | None = None
    mean_score: float | None = None
    wrong_clear: int = 0  # truth further from the limit than the interval is wide
    clear: int = 0
    wrong_close: int = 0
    close: int = 0
    too_close: int = 0


def summarise(answers: Sequence[Answer]) -> Summary:
    """Return what a set of answers is worth; refusals and crashes are counted, never dropped."""
    given = [a for a in answers if a.value is not None]
    reasons = Counter(a.reason for a in answers if a.value is None)
    base = Summary(
        asked=len(answers),
        answered=len(given),
        crashed=sum(a.crashed for a in answers),
        reasons=dict(reasons.most_common()),
    )
    if not given:
        return base
    errors = np.array([abs(a.value - a.truth) for a in given if a.value is not None])
    with_interval = [
        (a.low, a.high, a.truth) for a in given if a.low is not None and a.high is not None
    ]
    hits = sum(low <= truth <= high for low, high, truth in with_interval)
    widths = [high - low for low, high, _ in with_interval]
    judged = [(a, _is_clear(a)) for a in given]
    return Summary(
        asked=base.asked,
        answered=base.answered,
        crashed=base.crashed,
        reasons=base.reasons,
        median_error=float(np.median(errors)),
        p90_error=float(np.quantile(errors, 0.9)),
        worst_error=float(errors.max()),
        intervals=len(with_interval),
        hits=hits if with_interval else None,
        hit_p_value=float(binomtest(hits, len(with_interval), LEVEL).pvalue)
        if with_interval
        else None,
        median_width=float(np.median(widths)) if widths else None,
        mean_score=float(np.mean([interval_score(*row) for row in with_interval]))
        if with_interval
        else None,
        wrong_clear=sum(wrong(a) for a, is_clear in judged if is_clear),
        clear=sum(is_clear for _, is_clear in judged),
        wrong_close=sum(wrong(a) for a, is_clear in judged if not is_clear),
        close=sum(not is_clear for _, is_clear in judged),
        too_close=sum(state(a) == "too close to call" for a in given),
    )


def _is_clear(answer: Answer) -> bool:
    # An answer without an interval claims to be exact: every truth is clear of the limit then.
    width = 0.0 if answer.low is None or answer.high is None else answer.high - answer.low
    return abs(answer.truth - LIMIT) > width
