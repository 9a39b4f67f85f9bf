"""The limits of a check with their pedigree: which decides, what the other says, who settled."""

from store.change import DecidingSet, LimitSet
from store.characteristic import ANSWERED_IN_WORDS, Limit
from store.evidence import PlanChanged
from store.judge import limit_for, other_limit
from store.report import words
from store.report.drawing import limits_said
from store.report.figures import Saying, given, odds
from store.report.values import displayed
from store.report.words import Bits
from store.round import Attempt, Check, Round
from store.stock import Told


def pedigree(check: Check, known: Round) -> list[Bits]:
    """Return what is to be said of a check's limits beside the verdict, a piece for each."""
    characteristic = check.characteristic
    if characteristic.kind in ANSWERED_IN_WORDS:
        return []
    deciding, other = limit_for(characteristic), other_limit(characteristic)
    if deciding is None:
        return [_asked(characteristic.asks)] if characteristic.asks else []
    found: list[Bits] = []
    if check.current is None:
        asked = limit_in_words(deciding, depth=characteristic.is_told_as_depth)
        found.append([f"Asked for: {asked}; source: {deciding.source}."])
    if other is not None or deciding is characteristic.wear_limit:
        which = "new" if deciding is characteristic.limit else "wear"
        found.append([{"bold": f"The {which} limit decides."}, _beside(check, other, which)])
    for limit in filter(None, (deciding, other)):
        found += _as_printed(limit)
    return found + _set_at_the_bench(check, known)


def limit_in_words(limit: Limit, *, depth: bool) -> str:
    """Return a limit as it was stated: "at least 1.5 mm and at most 2.5 mm".

    A depth's has BELOW or PROUD with each figure, as its readings have: a sign would not say it.
    """
    sides = (("at least", limit.at_least), ("at most", limit.at_most))
    return " and ".join(
        f"{word} {Saying(side.unit, 0, depth=True).stated(side.value) if depth else given(side)}"
        for word, side in sides
        if side is not None
    )


def _asked(asks: str) -> Bits:
    return [{"bold": "No limit was given yet"}, f" (asks: {asks})."]


def _beside(check: Check, other: Limit | None, which: str) -> str:
    """Return what the limit that does not decide says of the value."""
    if other is None:
        return " The plan gives no limit for a new part."
    name = "wear" if which == "new" else "new"
    shown = displayed(check, check.current) if check.current else None
    depth = check.characteristic.is_told_as_depth
    said = limits_said(other, shown[1]) if shown else limit_in_words(other, depth=depth)
    text = f" The {name} limit, {said}; source: {other.source}"
    return f"{text}{_verdict(check.current)}."


def _verdict(current: Attempt | None) -> str:
    if current is None or current.other is None:
        return ""
    verdict = current.other
    within = verdict.probability_within
    if verdict.state == "not measured" or within is None or verdict.limit.rule == "simple":
        return f": by it this is {verdict.state}"
    chances = (
        f"odds of being outside {odds(1 - within)}"
        if verdict.state == "outside"
        else f"odds of being within {odds(within)}"
    )
    return f": by it this is {verdict.state}, {chances}"


def _as_printed(limit: Limit) -> list[Bits]:
    found: list[Bits] = []
    if limit.printed:
        found.append([f"Printed in the source as {words.quoted(limit.printed)}"])
    if limit.settled:
        found.append([{"bold": "The source disagrees with itself. "},
                      f"Settled by the builder: {words.quoted(limit.settled)}"])  # fmt: skip
    return found


def _set_at_the_bench(check: Check, known: Round) -> list[Bits]:
    told = [each for each in known.changes if _speaks_of(each, check.key)]
    return [_set(each, check.key, known.home) for each in told]


def _speaks_of(told: Told, key: str) -> bool:
    record = told.record
    if not isinstance(record, PlanChanged) or told.struck is not None:
        return False
    return isinstance(record.change, LimitSet | DecidingSet) and record.change.key == key


def _set(told: Told, key: str, home: str) -> Bits:
    record = told.record
    why, what = "", f"The limit of {key} was set"
    if isinstance(record, PlanChanged):
        why = f" {words.quoted(record.reason)}" if record.reason else ""
        if isinstance(record.change, DecidingSet):
            what = f"That the {record.change.judged_by} limit decides was set"
    return [f"{what} at the bench: {words.signed(told.stamp, home)}.{why}"]
