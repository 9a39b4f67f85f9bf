"""The verdict record, and the words for it."""

from typing import Literal

from msgspec import Struct

from store.characteristic import Limit

State = Literal["within", "outside", "too close to call", "not measured"]


class Verdict(Struct, frozen=True, omit_defaults=True):
    """What was decided about one value against one limit, under the limit's rule.

    ``probability_within`` is P(conforming), None when not measured. ``bound_low`` and
    ``bound_high`` are the one-sided 95 % bounds the rule compares with ``at_least`` and
    ``at_most`` (in the limit's unit; None where there is no such side). ``reason`` says why
    something is not measured.
    """

    state: State
    limit: Limit
    probability_within: float | None = None
    bound_low: float | None = None
    bound_high: float | None = None
    reason: str = ""
