"""Checks and locations by the plan's names, where an id would say nothing to the reader."""

import re

from store.plan import Location
from store.round import Check, Round

_KEY = re.compile(r"[\w-]+(?:\.[\w-]+)+")


def check_name(check: Check) -> str:
    """Return a check by its names: its location's, and its id in words."""
    return f"{location_name(check.location)}, {_short(check)}"


def location_name(location: Location) -> str:
    """Return a location's name; its id where it has none."""
    return location.name.strip() or location.id


def with_names(clause: str, known: Round, here: Location | None = None) -> str:
    """Return a clause with the keys of checks in it said as names; ``here`` is not said again."""
    checks = {check.key: check for check in known.checks}

    def said(found: re.Match[str]) -> str:
        check = checks.get(found[0])
        if check is None:
            return found[0]
        return _short(check) if check.location == here else check_name(check)

    return _KEY.sub(said, clause)


def plugs_named(sentence: str, known: Round) -> str:
    """Return a sentence on open counts with the ids of plugs that end it said as names."""
    head, _, tail = sentence.partition(": ")
    names = {plug.location.id: location_name(plug.location) for plug in known.plugs}
    ids = tail.split(", ")
    if not all(each in names for each in ids):
        return sentence
    return f"{head}: {'; '.join(names[each] for each in ids)}"


def _short(check: Check) -> str:
    return check.characteristic.id.replace("-", " ").replace("_", " ")
