"""Entries -> Round: where every check and hold point of a job stands."""

from collections.abc import Iterable

from store.codec import Entry
from store.errors import Damaged
from store.evidence import (
    CloseRefused,
    Derived,
    Judged,
    Marked,
    PhotoTaken,
    Read,
    Struck,
    Waiver,
)
from store.holds import unproven_behind, waivers_used
from store.judge import limit_for
from store.plan import Characteristic, HoldPoint, Location
from store.round import (
    Attempt,
    Check,
    Hold,
    Photo,
    Place,
    Refusal,
    Round,
    Stamp,
    Standing,
    Strike,
    Waived,
)
from store.telling import Telling, value_of


def standing(entries: Iterable[Entry]) -> Round:
    """Return the state of the job that these entries tell, in order of arrival.

    A pure function. Entries that speak of something the plan does not have are passed over;
    ``verify`` names them. Raises Damaged unless the first entry is the plan.
    """
    told = Telling(tuple(entries))
    plan = told.start.plan
    places = tuple(_place(told, location) for location in plan.locations)
    return Round(
        plan=plan,
        version=told.start.version,
        started=_stamp(told.entries[0]),
        last=_stamp(told.entries[-1]),
        entries=told.now,
        places=places,
        holds=tuple(_hold(told, hold, places) for hold in plan.hold_points),
    )


def _place(told: Telling, location: Location) -> Place:
    return Place(
        location=location,
        checks=tuple(_check(told, location, each) for each in location.characteristics),
        photos=tuple(
            Photo(_stamp(entry), entry.evidence, _strike(told, entry))
            for _, entry in told.filings[location.id]
            if isinstance(entry.evidence, PhotoTaken)
        ),
        waivers=_waivers(told, location.id, None),
    )


def _check(told: Telling, location: Location, characteristic: Characteristic) -> Check:
    key = f"{location.id}.{characteristic.id}"
    state, why = _state(told, key, characteristic, told.now)
    holds = tuple(h.id for h in told.start.plan.hold_points if location.id in h.hides)
    return Check(
        key=key,
        location=location,
        characteristic=characteristic,
        state=state,
        why=why,
        attempts=tuple(
            _attempt(told, number, entry, characteristic)
            for number, (_, entry) in enumerate(told.attempts[key], start=1)
        ),
        waivers=_waivers(told, key, characteristic),
        hold_points=holds,
        hidden=any(told.closed(hold) is not None for hold in holds),
    )


def _state(
    told: Telling, key: str, characteristic: Characteristic, upto: int
) -> tuple[Standing, str]:
    """Return the word a check stood at when so many entries had arrived, and its clause."""
    entry = told.counting(key, upto)
    if entry is None:
        return "not measured", _why_nothing_counts(told, key, characteristic, upto)
    if characteristic.kind == "yes-no":
        return _answered(entry)
    value, why = value_of(_record(entry), characteristic)
    judged = told.verdicts.get(entry.hash)
    if value is None:
        return "not measured", why
    if limit_for(characteristic) is None:
        return "no limit", ""
    if judged is None or not isinstance(judged.evidence, Judged):
        return "not measured", "there is a value, but it was not judged"
    return judged.evidence.verdict.state, judged.evidence.verdict.reason


def _answered(entry: Entry) -> tuple[Standing, str]:
    answer = entry.evidence.answer if isinstance(entry.evidence, Read) else None
    if answer is None:
        return "not measured", "there is no answer"
    return ("within", "") if answer else ("outside", "answered no")


def _why_nothing_counts(told: Telling, key: str, characteristic: Characteristic, upto: int) -> str:
    earlier = [entry for position, entry in told.attempts[key] if position < upto]
    if earlier:
        strike = told.struck_by(earlier[-1].hash, upto)
        if strike is not None and isinstance(strike.evidence, Struck):
            return f"struck: {strike.evidence.reason}"
        return told.void(earlier[-1], upto)
    waiting = [other for other in characteristic.of or () if _lacks_value(told, other, upto)]
    if waiting:
        return f"waits for {' and '.join(waiting)}"
    return "could not be worked out" if characteristic.of else ""


def _lacks_value(told: Telling, key: str, upto: int) -> bool:
    entry = told.counting(key, upto)
    characteristic = told.start.plan.characteristic(key)[1]
    return entry is None or value_of(_record(entry), characteristic)[0] is None


def _attempt(told: Telling, number: int, entry: Entry, characteristic: Characteristic) -> Attempt:
    value, why = value_of(_record(entry), characteristic)
    judged = told.verdicts.get(entry.hash)
    verdict = judged.evidence.verdict if judged and isinstance(judged.evidence, Judged) else None
    return Attempt(
        number=number,
        stamp=_stamp(entry),
        record=_record(entry),
        value=value,
        why_no_value=why,
        verdict=verdict,
        verdict_stamp=_stamp(judged) if judged else None,
        struck=_strike(told, entry),
        void=told.void(entry, told.now),
    )


def _waivers(told: Telling, key: str, characteristic: Characteristic | None) -> tuple[Waived, ...]:
    """Return every waiver for a check or, without a characteristic, for a location's photos."""
    found = []
    for position, entry in told.waivers[key]:
        state: Standing = "not measured"
        if characteristic is not None:
            state, _ = _state(told, key, characteristic, position)
        if isinstance(entry.evidence, Waiver):
            found.append(
                Waived(
                    stamp=_stamp(entry),
                    hold_point=entry.evidence.hold_point,
                    key=key,
                    state=state,
                    reason=entry.evidence.reason,
                    decided_by=entry.evidence.decided_by,
                    owner_agreed=entry.evidence.owner_agreed,
                    stands=_strike(told, entry) is None
                    and _unchanged(told, entry.evidence, position),
                    struck=_strike(told, entry),
                )
            )
    return tuple(found)


def _unchanged(told: Telling, waiver: Waiver, then: int) -> bool:
    """Return whether what a waiver was given for is as it was."""
    if "." in waiver.key:
        return told.counts_same(waiver.key, then, told.now)
    holds = {hold.id: hold for hold in told.start.plan.hold_points}
    roles = holds[waiver.hold_point].roles if waiver.hold_point in holds else ()
    return told.missing(waiver.key, roles, told.now) <= told.missing(waiver.key, roles, then)


def _hold(told: Telling, hold: HoldPoint, places: tuple[Place, ...]) -> Hold:
    closed = told.closed(hold.id)
    return Hold(
        hold_point=hold,
        closed=_stamp(closed) if closed else None,
        refusals=tuple(
            Refusal(_stamp(entry), entry.evidence.unproven)
            for _, entry in told.tries[hold.id]
            if isinstance(entry.evidence, CloseRefused)
        ),
        unproven=unproven_behind(hold, places),
        waived=waivers_used(hold, places),
    )


def _strike(told: Telling, entry: Entry) -> Strike | None:
    strike = told.struck_by(entry.hash, told.now)
    if strike is None or not isinstance(strike.evidence, Struck):
        return None
    return Strike(_stamp(strike), strike.evidence.reason)


def _record(entry: Entry) -> Read | Marked | Derived:
    if isinstance(entry.evidence, Read | Marked | Derived):
        return entry.evidence
    raise Damaged(f"entry {entry.seq} of {entry.bench} carries no value")  # never sorted there


def _stamp(entry: Entry) -> Stamp:
    return Stamp(entry.hash, entry.seq, entry.at, entry.bench, entry.by)
