"""Check -> its verdict in words: heading, what is known of it, and what to do next."""

from typing import NamedTuple

from capture.desk.limit.advice import advice, agreements
from capture.desk.limit.clauses import Clause, capital, ended
from capture.desk.limit.facts import Facts, bounded
from capture.words.checks import grid_count
from capture.words.quantities import is_told_as_depth, limit_text, printed
from store.attempt import Standing
from store.judge import limit_for
from store.report.figures import NBSP, listed, odds
from store.round import Check, Round
from store.standings.singles import alone_said
from store.verdict import Verdict

_HEADS: dict[Standing, str] = {
    "within": "Within",
    "outside": "Outside",
    "too close to call": "Too close to call",
    "not measured": "Not measured",
    "no limit": "Recorded",
}


class Said(NamedTuple):
    """A verdict in words. ``sign`` is None where none may be shown.

    ``clauses`` are sentences in the order in which they matter, ``following`` what to do next,
    ``agreeing`` what a second route says.
    """

    heading: str = ""
    sign: Standing | None = None
    suspect: bool = False
    waived: bool = False
    clauses: tuple[Clause, ...] = ()
    following: tuple[str, ...] = ()
    agreeing: tuple[str, ...] = ()


def said_of(check: Check, known: Round | None, facts: Facts | None) -> Said:
    """Return what is said of a check, with its facts where a line is drawn of them."""
    if check.excused:
        return Said("Never fitted", None, clauses=(f"{capital(check.excused)}.",))
    heading = "Not measured yet" if check.missing else _HEADS[check.state]
    clauses = (*_flags(check), *_known_of(check, facts), *_band(check))
    return Said(
        heading,
        check.state,
        suspect=bool(check.suspect),
        waived=check.waiver is not None,
        clauses=clauses,
        following=advice(check),
        agreeing=agreements(check, known),
    )


def said_covered(cover: str) -> Said:
    """Return what is said while nothing of the verdict may be seen: ``cover`` says why."""
    return Said(capital(cover), clauses=("The value is shown once they are accepted.",))


def line_in_words(facts: Facts) -> tuple[str, ...]:
    """Return everything that a limit line shows, for who can't see it."""
    parts = []
    if facts.value is not None:
        parts.append(f"{facts.said}{f' ({facts.aside})' if facts.aside else ''}")
    if facts.interval is not None:
        parts.append(f"95 % interval {facts.say.interval(*facts.interval)}")
    if bounded(facts):
        parts.append(bounded(facts))
    parts += [wall.words[0] for wall in facts.walls]
    return tuple(f"{capital(part)}." for part in parts)


# --- what is known ------------------------------------------------------------------------


def _flags(check: Check) -> tuple[Clause, ...]:
    found: list[Clause] = []
    if check.waiver is not None:
        short = f"Waived by {check.waiver.decided_by}"
        found.append((f"{short}: {ended(check.waiver.reason)}", f"{short}.", "Waived.", ""))
    if check.suspect:
        found.append((f"Gauge suspect: {ended(check.suspect)}", "Gauge suspect."))
    return tuple(found)


def _known_of(check: Check, facts: Facts | None) -> tuple[Clause, ...]:
    if check.missing:
        return _missing(check)
    if check.state == "not measured":
        return (capital(ended(check.why)),) if check.why else ()
    if check.state == "no limit":
        return _recorded(check)
    return _judged(check, facts)


def _judged(check: Check, facts: Facts | None) -> tuple[Clause, ...]:
    if check.answer is not None:
        return ("Answered yes." if check.answer else "Answered no.",)
    verdict = check.verdict
    if verdict is None or facts is None:
        return ()
    if check.characteristic.kind == "agreement":
        return ("The two ways agree." if check.state == "within" else "The two ways do not agree.",)
    return (*_alone(check), *_open(facts), *_chances(verdict, facts))


def _missing(check: Check) -> tuple[str, ...]:
    characteristic = check.characteristic
    limit = limit_for(characteristic)
    count = f"{grid_count(check)}."
    if limit is None:
        return (count,)
    depth = is_told_as_depth(characteristic)
    words = printed(limit_text(limit, depth=depth, kind=characteristic.kind))
    return count, f"The limit, {words}, is judged when all are in."


def _recorded(check: Check) -> tuple[str, ...]:
    words = check.current.words if check.current else ""
    if words:
        return (f"\u201c{' '.join(words.split())}\u201d",)
    if check.characteristic.asks:
        return ("Nothing to judge it by yet.", f"Asked for: {ended(check.characteristic.asks)}")
    return ("Nothing to judge it by.",)


def _alone(check: Check) -> tuple[Clause, ...]:
    """Return that a reading of a grid lies outside by itself; it is shortened, never left out."""
    said = capital(alone_said(check))
    return ((f"Judged by the {check.characteristic.take}. {said}.", f"{said}."),) if said else ()


def _open(facts: Facts) -> tuple[Clause, ...]:
    if facts.heads[1] != "open" or facts.value is None:
        return ()
    return ((f"{facts.say.value(100.0 - facts.value)} open.", ""),)


def _chances(verdict: Verdict, facts: Facts) -> tuple[Clause, ...]:
    if facts.interval is None:
        # What is counted is right or wrong; what is measured has a doubt, and nobody said it.
        return () if facts.say.unit == "count" else ("No uncertainty was stated.",)
    within = verdict.probability_within
    if verdict.limit.rule == "simple":
        return ("Judged by the value alone (simple rule).",)
    if within is None or verdict.state == "not measured":
        return ()
    outside = verdict.state == "outside"
    chances = odds(1 - within if outside else within).replace(
        f" in{NBSP}100", f" chances in{NBSP}100"
    )
    where = "outside" if outside else "within"
    rule = "the rule wants 95."
    return (
        (
            f"{capital(chances)} that it is {where}; {rule}",
            f"{capital(chances)} {where}; {rule}",
            f"{capital(chances).replace(' chances', '')} {where}; 95 wanted.",
        ),
    )


def _band(check: Check) -> tuple[str, ...]:
    band = check.current.band if check.current else None
    if band is None:
        return ()
    also = f"; may also be {listed(band.also)}" if band.also else ""
    return (f"By the table: {band.name or band.why or 'in none of its bands'}{also}.",)
