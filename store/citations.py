"""Check what the entries say of each other and of the plan.

An entry may cite only what came before it, and a hold point may only have been closed when
nothing behind it was unproven.
"""

from store.chains import where
from store.codec import Entry
from store.errors import BadPlan
from store.evidence import (
    Closed,
    CloseRefused,
    Derived,
    JobStarted,
    Judged,
    Marked,
    PhotoTaken,
    Read,
    Struck,
    Waiver,
)
from store.finding import Finding, Found
from store.holds import unproven
from store.judge import limit_for
from store.plan import Plan
from store.standing import standing

Placed = list[tuple[int, Entry]]


def check_citations(placed: Placed, plan: Plan) -> Found:
    """Find entries that cite what is not there, or speak of what the plan does not have."""
    hashes: set[str] = set()
    photos: set[tuple[str, str]] = set()
    for place, entry in placed:
        if place and isinstance(entry.evidence, JobStarted):
            yield place, Finding("altered", "plan-twice", where(entry), "the plan is there again")
        for wrong in _unknown(entry, plan):
            yield place, Finding("altered", "not-in-plan", where(entry), wrong)
        for cited in _cited(entry):
            if cited not in hashes:
                yield (
                    place,
                    Finding(
                        "altered",
                        "cites-nothing",
                        where(entry),
                        f"no entry {cited[:12]} came before",
                    ),
                )
        match entry.evidence:
            case PhotoTaken(photo=photo, location=location):
                photos.add((photo, location))
            case Marked(key=key, photo=photo) if (photo, key.partition(".")[0]) not in photos:
                yield place, Finding(
                    "altered", "cites-nothing", where(entry),
                    f"the photo {photo[:12]} was not filed at its location before",
                )  # fmt: skip
        hashes.add(entry.hash)


def check_verdicts(placed: Placed, plan: Plan) -> Found:
    """Find values that were never judged although the plan gives a limit."""
    judged = {e.evidence.subject for _, e in placed if isinstance(e.evidence, Judged)}
    limits = {key: limit_for(characteristic) for key, _, characteristic in plan.walk()}
    for place, entry in placed:
        record = entry.evidence
        if (
            isinstance(record, Read | Marked | Derived)
            and limits.get(record.key) is not None
            and entry.hash not in judged
        ):
            yield (
                place,
                Finding(
                    "damaged",
                    "verdict-missing",
                    where(entry),
                    "the value has a limit and no verdict",
                ),
            )


def check_closings(placed: Placed, plan: Plan) -> Found:
    """Find hold points that were closed, or refused, otherwise than what was proven then."""
    known = {hold.id for hold in plan.hold_points}
    entries = tuple(entry for _, entry in placed)
    for index, (place, entry) in enumerate(placed):
        record = entry.evidence
        if not isinstance(record, Closed | CloseRefused) or record.hold_point not in known:
            continue
        waiting = unproven(standing(entries[:index]), record.hold_point)
        if isinstance(record, Closed) and waiting:
            keys = ", ".join(dict.fromkeys(key for key, _ in waiting))
            yield (
                place,
                Finding(
                    "altered", "closed-unproven", where(entry), f"closed while unproven: {keys}"
                ),
            )
        if isinstance(record, CloseRefused) and record.unproven != waiting:
            yield (
                place,
                Finding(
                    "altered", "refusal-differs", where(entry), "refused for what was not so then"
                ),
            )


def _cited(entry: Entry) -> tuple[str, ...]:
    match entry.evidence:
        case Judged(subject=cited) | Struck(entry=cited):
            return (cited,)
        case Derived(from_entries=cited_two):
            return cited_two
    return ()


def _unknown(entry: Entry, plan: Plan) -> list[str]:
    """Return what an entry speaks of and the plan does not have."""
    wrong = []
    try:
        match entry.evidence:
            case Read(key=key) | Marked(key=key) | Derived(key=key) | Judged(key=key):
                plan.characteristic(key)
            case PhotoTaken(location=location):
                plan.location(location)
            case Closed(hold_point=hold) | CloseRefused(hold_point=hold) | Waiver(hold_point=hold):
                plan.hold_point(hold)
    except BadPlan as error:
        wrong.append(str(error))
    return wrong
