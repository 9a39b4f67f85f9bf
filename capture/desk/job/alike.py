"""Checks that one and the same limit may be given to: the same question at each of several."""

import re

from store.characteristic import Characteristic
from store.plan import Location, Plan
from store.round import Round

_FIGURES = re.compile(r"[0-9]+")
_MOST_NAMED = 6


def is_to_be_looked_up(check: Characteristic) -> bool:
    """Return whether its limit is still to be given."""
    return bool(check.asks and not (check.limit or check.wear_limit))


def alike(plan: Plan, key: str) -> tuple[str, ...]:
    """Return the other checks that ask the same at locations of its group, or of its kind of id.

    Only those that stand as it does: the same limit, or none as yet. "GB1.press" has "GB2.press".
    """
    here, asked = plan.characteristic(key)
    return tuple(
        other
        for other, at, check in plan.walk()
        if other != key and _are_one_kind(here, at) and _ask_the_same(asked, check)
    )


def alike_words(keys: tuple[str, ...]) -> str:
    """Return "Also for GB2, GB3, GB4: the same limit from the same source"."""
    named = [key.partition(".")[0] for key in keys[:_MOST_NAMED]]
    more = f" and {len(keys) - _MOST_NAMED} more" if len(keys) > _MOST_NAMED else ""
    return f"Also for {', '.join(named)}{more}: the same limit from the same source"


def next_to_look_up(known: Round, key: str) -> str:
    """Return the first check after this one whose limit is to be looked up, from the top again.

    Empty where there is none left.
    """
    keys = [check.key for check in known.checks]
    at = keys.index(key) + 1 if key in keys else 0
    turned = (*known.checks[at:], *known.checks[:at])
    return next((each.key for each in turned if is_to_be_looked_up(each.characteristic)), "")


def _are_one_kind(one: Location, other: Location) -> bool:
    same_stem = _FIGURES.sub("", one.id) == _FIGURES.sub("", other.id)
    return same_stem or bool(one.group and one.group == other.group)


def _ask_the_same(one: Characteristic, other: Characteristic) -> bool:
    return _said(one) == _said(other)


def _said(check: Characteristic) -> tuple[object, ...]:
    asked = _FIGURES.sub("", check.question)
    limits = (check.limit, check.wear_limit, bool(check.asks))
    return (check.id, check.kind, check.unit, asked, *limits)
