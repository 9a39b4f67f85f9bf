"""Check -> its verdict in words: heading, what is known of it, and what to do next."""

from typing import NamedTuple

from annotate.result import Coverage, Known
from capture.desk.limit.facts import Facts, bounded
from capture.words.checks import grid_count, spot_text
from capture.words.quantities import camera_move, is_told_as_depth, limit_text, quantity_text
from store.attempt import Standing
from store.evidence import Marked, Read
from store.judge import limit_for
from store.plan import Characteristic, Spot, key_of
from store.report.figures import NBSP, Saying, listed, odds
from store.round import Check, Round
from store.verdict import Verdict

_HEADS: dict[Standing, str] = {
    "within": "Within",
    "outside": "Outside",
    "too close to call": "Too close to call",
    "not measured": "Not measured",
    "no limit": "Recorded",
}
_ROUTES = {"coverage": "the photo", "pin": "the pin"}


class Said(NamedTuple):
    """A verdict in words. ``sign`` is None where none may be shown.

    ``clauses`` are sentences in the order in which they matter, ``following`` what to do next.
    """

    heading: str = ""
    sign: Standing | None = None
    suspect: bool = False
    waived: bool = False
    clauses: tuple[str, ...] = ()
    following: tuple[str, ...] = ()


def said_of(check: Check, known: Round | None, facts: Facts | None) -> Said:
    """Return what is said of a check, with its facts where a line is drawn of them."""
    if check.excused:
        return Said("Never fitted", None, clauses=(f"{_capital(check.excused)}.",))
    heading = "Not measured yet" if check.missing else _HEADS[check.state]
    clauses = (*_flags(check), *_known_of(check, facts), *_band(check))
    return Said(
        heading,
        check.state,
        suspect=bool(check.suspect),
        waived=check.waiver is not None,
        clauses=clauses,
        following=(*_following(check), *_agreements(check, known)),
    )


def said_covered(cover: str) -> Said:
    """Return what is said while nothing of the verdict may be seen: ``cover`` says why."""
    return Said(_capital(cover), clauses=("The value is shown once they are accepted.",))


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
    return tuple(f"{_capital(part)}." for part in parts)


# --- what is known ------------------------------------------------------------------------


def _flags(check: Check) -> tuple[str, ...]:
    found = []
    if check.waiver is not None:
        found.append(f"Waived by {check.waiver.decided_by}: {_ended(check.waiver.reason)}")
    if check.suspect:
        found.append(f"Gauge suspect: {_ended(check.suspect)}")
    return tuple(found)


def _known_of(check: Check, facts: Facts | None) -> tuple[str, ...]:
    if check.missing:
        return _missing(check)
    if check.state == "not measured":
        return (_capital(_ended(check.why)),) if check.why else ()
    if check.state == "no limit":
        return _recorded(check)
    return _judged(check, facts)


def _judged(check: Check, facts: Facts | None) -> tuple[str, ...]:
    if check.answer is not None:
        return ("Answered yes." if check.answer else "Answered no.",)
    verdict = check.verdict
    if verdict is None or facts is None:
        return ()
    if check.characteristic.kind == "agreement":
        return ("The two ways agree." if check.state == "within" else "The two ways do not agree.",)
    return (*_open(facts), *_chances(verdict, facts))


def _missing(check: Check) -> tuple[str, ...]:
    characteristic = check.characteristic
    limit = limit_for(characteristic)
    count = f"{grid_count(check)}."
    if limit is None:
        return (count,)
    words = limit_text(limit, depth=is_told_as_depth(characteristic), kind=characteristic.kind)
    return count, f"The limit, {words}, is judged when all are in."


def _recorded(check: Check) -> tuple[str, ...]:
    words = check.current.words if check.current else ""
    if words:
        return (f"\u201c{' '.join(words.split())}\u201d",)
    if check.characteristic.asks:
        return ("Nothing to judge it by yet.", f"Asked for: {_ended(check.characteristic.asks)}")
    return ("Nothing to judge it by.",)


def _open(facts: Facts) -> tuple[str, ...]:
    if facts.heads[1] != "open" or facts.value is None:
        return ()
    return (f"{facts.say.value(100.0 - facts.value)} open.",)


def _chances(verdict: Verdict, facts: Facts) -> tuple[str, ...]:
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
    return (f"{_capital(chances)} that it is {where}; the rule wants 95.",)


def _band(check: Check) -> tuple[str, ...]:
    band = check.current.band if check.current else None
    if band is None:
        return ()
    also = f"; may also be {listed(band.also)}" if band.also else ""
    return (f"By the table: {band.name or band.why or 'in none of its bands'}{also}.",)


# --- what to do ---------------------------------------------------------------------------


def _following(check: Check) -> tuple[str, ...]:
    if check.hidden and not (check.proven or check.waiver):
        return ("It is hidden now: to work on it, open the hold point again.",)
    if check.suspect:
        return ("Read it again with another gauge, or clear the gauge.",)
    if check.waiver is not None or check.proven:
        return ()
    if check.state == "not measured":
        return _to_measure(check)
    if check.state == "no limit":
        return ("Look up the limit and set it.",)
    outside = check.state == "outside"
    return (_outside(check.characteristic) if outside else _too_close(check),)


def _to_measure(check: Check) -> tuple[str, ...]:
    characteristic = check.characteristic
    if check.missing:
        spot = check.missing[0]
        return (f"Read {spot_text(spot) if spot != Spot() else 'it'}; {_to_go(check)}.",)
    if characteristic.is_worked_out:
        return ()
    to_do = {
        "coverage": "Take a close-up and place the rims on it.",
        "yes-no": "Look, and answer yes or no.",
        "note": "Write it down.",
        "pin": "Try pins: the largest that passes, the smallest that stops.",
    }
    return (to_do.get(characteristic.kind, "Measure it and type the reading."),)


def _to_go(check: Check) -> str:
    left = len(check.missing)
    return "it is the last one" if left == 1 else f"{left} to go"


def _outside(characteristic: Characteristic) -> str:
    if characteristic.kind == "agreement":
        return "Measure both again: one of them is wrong, or surer than it can be."
    if characteristic.kind == "yes-no":
        return "Put it right and look again, or have it waived."
    return "Work on it and measure it again, or have it waived."


def _too_close(check: Check) -> str:
    record = check.current.record if check.current else None
    if isinstance(record, Marked):
        return _photo_again(record.result)
    if check.characteristic.kind == "pin":
        return "Try pins between the one that passed and the one that stopped."
    if check.characteristic.formula:
        return f"Read again, finer or more often: {check.characteristic.formula}."
    gauge = f" than {record.gauge}" if isinstance(record, Read) and record.gauge else ""
    return f"Read it again more often, or with a finer gauge{gauge}."


def _photo_again(result: Coverage) -> str:
    move = camera_move(result)
    sight = result.line_of_sight
    if not move or not isinstance(sight, Known):
        return "Take it again closer and sharper, or prove it with a pin."
    lean = quantity_text(sight.quantity)
    return (
        f"Move the camera {move} and take it again (it looked {lean} aslant), "
        "or prove it with a pin."
    )


def _agreements(check: Check, known: Round | None) -> tuple[str, ...]:
    """Return what each agreement that this check is a route of says of the other route."""
    found = []
    for other in known.checks if known else ():
        routes = [key_of(route) for route in other.characteristic.of or ()]
        if check.key in routes and other.value is not None and known is not None:
            found += [_agrees(known.check(key), other) for key in routes if key != check.key]
    return tuple(found)


def _agrees(route: Check, agreement: Check) -> str:
    named = _ROUTES.get(route.characteristic.kind, route.key)
    en = Saying("1", 2).value(agreement.value.value if agreement.value else 0.0)
    if agreement.state == "within":
        return f"{_capital(named)} agrees (En {en}, at most 1)."
    return f"{_capital(named)} does not agree (En {en}, more than 1)."


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _ended(clause: str) -> str:
    return clause if clause.endswith((".", "!", "?")) else f"{clause}."
