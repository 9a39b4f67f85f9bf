"""The register of gauges, and every reading and verdict that rests on one."""

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any, NamedTuple

from capture import register
from capture.errors import Unfit, WrongUse
from capture.words.checks import spot_text
from capture.words.quantities import count_text, is_told_as_depth, quantity_text
from store.characteristic import ANSWERED_IN_WORDS, Characteristic
from store.codec import Entry
from store.evidence import Derived, Judged, Read
from store.plan import Gauge, Plan
from store.told.suspicion import chain_of, touched_by

if TYPE_CHECKING:
    from capture.journey import Journey
    from store.told.telling import Telling


def gauge_notes(plan: Plan, check: Characteristic, gauge: str, today: str) -> tuple[str, ...]:
    """Return what to say of a reading's gauges: which are overdue, or that none is named.

    ``gauge`` is the one typed, if any; those it was set on count too.
    """
    used = gauge or check.gauge
    if not used and plan.gauges and check.kind not in {*ANSWERED_IN_WORDS, "count", "pin"}:
        return ("no gauge was named, so that its error is not counted: say which with --gauge ID",)
    due = {each.id: each.due for each in plan.gauges}
    return tuple(
        f"gauge {each} was due for a check on {due[each]}: check it, then enter it with "
        f"'benchproof gauge BOOK {each} set --last-check DATE --due DATE'"
        for each in chain_of(plan, used)
        if due.get(each) and due[each] < today
    )


class Touched(NamedTuple):
    """An entry that rests on a gauge: a reading, or a value worked out from one."""

    key: str
    spot: str
    said: str
    state: str
    bench: str
    number: int
    entry: str
    by: str
    at: str


def touched(journey: "Journey", gauge: str, since: str) -> list[Touched]:
    """Return every standing reading and value that rests on a gauge, with its verdict."""
    told = journey.book.told
    return [_touched(told, entry) for entry in touched_by(told, gauge, since)]


def _touched(told: "Telling", entry: Entry) -> Touched:
    record = entry.evidence
    judged = told.verdicts.get(entry.hash)
    verdict = judged.evidence if judged else None
    spot, said, key = "", "", ""
    if isinstance(record, Read):
        check = told.check_at(record.key, told.now)
        spot = spot_text(record.spot) if check is not None and check.is_grid else ""
        key, said = record.key, " ".join(record.text.split())
    elif isinstance(record, Derived):
        check = told.check_at(record.key, told.now)
        depth = check is not None and is_told_as_depth(check)
        en = check is not None and check.kind == "agreement"
        value = record.quantity
        text = f"En {value.value:.2f}" if en else quantity_text(value, depth=depth)
        key, said = record.key, f"worked out: {text}"
    return Touched(
        key=key,
        spot=spot,
        said=said,
        state=verdict.verdict.state if isinstance(verdict, Judged) else "",
        bench=entry.bench,
        number=entry.seq,
        entry=entry.hash,
        by=entry.by,
        at=entry.at,
    )


def touched_lines(found: list[Touched], home: str) -> Iterator[str]:
    """Yield what rests on a gauge, one entry a line; ``home`` is the bench that began the book."""
    verdicts = sum(bool(each.state) for each in found)
    many = count_text(len(found), "entry", "entries")
    yield f"{many} rest on it, {count_text(verdicts, 'verdict')} among them:"
    for each in found:
        where = f" {each.spot}" if each.spot else ""
        state = f", {each.state}" if each.state else ""
        yield (
            f"  entry {_numbered(each, home)}: {each.key}{where}, {each.said}{state} "
            f"(by {each.by}, {each.at[:10]})"
        )


def _numbered(each: Touched, home: str) -> str:
    return f"{each.number}" if each.bench == home else f"{each.bench} {each.number}"


def entered_gauge(plan: Plan, gauge_id: str, typed: dict[str, Any], today: str) -> Gauge:
    """Return a gauge as it is to be entered; raises WrongUse naming the option, BadPlan."""
    if short := register.lacking(plan, gauge_id, typed):
        options = ", ".join(map(_option, short))
        raise WrongUse(f"{gauge_id} is not in the register yet: it also needs {options}")
    try:
        return register.entered_gauge(plan, gauge_id, typed, today)
    except Unfit as unfit:
        name, sentence = next(iter(unfit.fields.items()))
        raise WrongUse(f"{_option(name)} {sentence}") from unfit


def refuse_a_day_to_come(name: str, day: str, today: str) -> None:
    """Raise WrongUse for a day that has not been yet; what is no day is refused elsewhere."""
    if coming := register.day_to_come(day, today):
        raise WrongUse(f"{_option(name)} {coming}")


def _option(name: str) -> str:
    return f"--{name.replace('_', '-')}"
