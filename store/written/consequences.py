"""What follows from an act: verdicts, and everything that can be worked out from a new value.

An act calls one of these before it ends, so that what counts is always judged by the limit that
holds and nothing that could be worked out is missing.
"""

from annotate.errors import AnnotateError
from annotate.quantity import Quantity
from store.book import Act
from store.characteristic import Characteristic
from store.codec import Entry
from store.errors import StoreError
from store.evidence import Derived, Judged, Marked, Read
from store.judge import judge, judge_result, limit_for, other_limit, subject_of
from store.told.telling import Telling
from store.told.values import value_of
from store.told.working import Working


def settle(act: Act) -> None:
    """Append everything that can be worked out and was not yet, and every verdict that is due.

    For what may bring earlier values back: a strike, another limit, a photo filed again.
    """
    _append_due(act, list(act.told.wiring_at(act.told.now).inputs))
    for key, check in act.told.wiring_at(act.told.now).checks.items():
        told = act.told
        entry = told.counting(key, told.now)
        if entry is not None and wants_verdict(told, entry, check):
            append_verdict(act, entry, check)


def wants_verdict(told: Telling, entry: Entry, check: Characteristic) -> bool:
    """Return whether a value that counts was not judged by the limits that hold now."""
    limit = limit_for(check)
    if limit is None or value_given(entry, check) is None:
        return False
    judging = told.verdict_on(entry.hash, told.now)
    judged = judging[1].evidence if judging else None
    if not isinstance(judged, Judged):
        return True
    beside = judged.other.limit if judged.other else None
    return (judged.verdict.limit, beside) != (limit, other_limit(check))


def value_given(entry: Entry, check: Characteristic) -> Quantity | Marked | None:
    """Return what an entry gives to be judged: a quantity, marks, or nothing."""
    record = entry.evidence
    if isinstance(record, Marked):
        return record
    return value_of(record, check)[0] if isinstance(record, Read | Derived) else None


def append_verdict(act: Act, entry: Entry, check: Characteristic) -> None:
    """Append the verdict on a value or on marks, if the check has a limit."""
    limit, other = limit_for(check), other_limit(check)
    given = value_given(entry, check)
    if limit is None or given is None:
        return
    if isinstance(given, Marked):
        result = given.result
        verdict = judge_result(subject_of(result, limit.of), limit)
        beside = judge_result(subject_of(result, other.of), other) if other else None
    else:
        verdict, beside = judge(given, limit), judge(given, other) if other else None
    act.append(Judged(str(getattr(entry.evidence, "key", "")), entry.hash, verdict, beside))


def work_out(act: Act, key: str) -> None:
    """Append everything that a new value of one check allows, near before far."""
    wiring = act.told.wiring_at(act.told.now)
    due = [key, *wiring.followers(key)]
    _append_due(act, [each for each in due if each in wiring.inputs])


def _append_due(act: Act, keys: list[str]) -> None:
    # One may rest on another, so until there is nothing new; a circle never has its inputs.
    while sum(_append_derived(act, key) for key in keys):
        pass


def _append_derived(act: Act, key: str) -> bool:
    """Append what a check comes to, unless that was done with these inputs or can't be."""
    told = act.told
    cites, check = told.inputs(key, told.now), told.check_at(key, told.now)
    if cites is None or check is None:
        return False
    earlier = [e.evidence for _, e in told.derived[key] if isinstance(e.evidence, Derived)]
    if any(record.from_entries == cites for record in earlier):
        return False
    try:
        worth = Working(told).worth_of(key, check, cites, told.now)
    except (StoreError, AnnotateError, ArithmeticError):
        return False  # a formula of another unit, a square root of less than nothing
    entry = act.append(Derived(key, worth.quantity, cites, worth.decisive))
    append_verdict(act, entry, check)
    return True
