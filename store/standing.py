"""Entries -> Round: where every check and hold point of a job stands."""

from collections.abc import Iterable
from typing import NamedTuple

from msgspec.structs import replace

from annotate.errors import UnitMismatch
from annotate.quantity import Quantity
from store.attempt import Attempt, Photo, Second, Standing, Waived
from store.bands import Banded, band_of
from store.by_subject import Told
from store.codec import Entry
from store.errors import Damaged
from store.evidence import (
    CloseRefused,
    Derived,
    Judged,
    Marked,
    PhotoTaken,
    Read,
    Reopened,
    Reworked,
    Struck,
    Waiver,
)
from store.holds import location_wants, unproven_behind, waivers_used
from store.judge import limit_for
from store.plan import ANSWERED_IN_WORDS, Characteristic, HoldPoint, Location, Spot
from store.round import Check, Hold, Place, Refusal, Round
from store.stocktaking import (
    counts_open,
    gauges_of,
    kit_of,
    neighbours_of,
    parts_of,
    plugs_of,
    said,
    said_of,
    stamp_of,
    strike_of,
)
from store.suspicion import Suspicion
from store.telling import Telling
from store.values import value_of

_NEVER_FITTED = "never fitted on this block"


def standing(entries: Iterable[Entry] | Telling, *, every_reading: bool = True) -> Round:
    """Return the state of the job that these entries tell, in order of arrival.

    A pure function. Entries that speak of something the plan does not have are passed over;
    ``verify`` names them. Without ``every_reading`` a grid tells of its readings only those that
    were struck, which saves most of the work. Raises Damaged unless the first entry is the plan.
    """
    told = entries if isinstance(entries, Telling) else Telling(entries)
    start, plan = told.start, told.plan
    view = View.of(told)._replace(every_reading=every_reading)
    places = tuple(_place(view, location) for location in plan.locations)
    plugs, kit = plugs_of(told), kit_of(told)
    return Round(
        plan=plan,
        version=start.version,
        started=stamp_of(told.entries[0]),
        last=stamp_of(told.entries[-1]),
        entries=told.now,
        places=places,
        holds=tuple(_hold(told, hold, places) for hold in plan.hold_points),
        plugs=plugs,
        parts=parts_of(told),
        kit=kit,
        gauges=gauges_of(told, view.suspicion),
        papers=said_of(told, "paper kept"),
        owner=said_of(told, "owner said"),
        changes=said_of(told, "plan changed"),
        counts_open=counts_open(plugs, kit),
        follows=start.follows,
        follows_entry=start.follows_entry,
    )


class View(NamedTuple):
    """What one look at a telling works out once: which holds are closed, what is suspect."""

    told: Telling
    suspicion: Suspicion
    hides: dict[str, tuple[str, ...]]  # hold points by the location they hide
    closed: frozenset[str]
    every_reading: bool = True  # of grids; else only those that were struck

    @classmethod
    def of(cls, told: Telling) -> "View":
        """Return the view of a telling as it stands now."""
        hides = told.wiring_at(told.now).hides
        closed = frozenset(h.id for h in told.plan.hold_points if told.closed(h.id))
        return cls(told, Suspicion(told, told.now), hides, closed)


def hold_now(told: Telling, hold_id: str) -> tuple[Hold, tuple[str, ...]]:
    """Return where one hold point stands, and the counts that do not close.

    The same as ``standing`` says of it, without looking at what it does not hide, nor at attempts
    that count no longer. Raises BadPlan.
    """
    hold, view = told.plan.hold_point(hold_id), View.of(told)
    hidden = set(told.wiring_at(told.now).hidden[hold_id])
    places = tuple(_brief(view, each) for each in told.plan.locations if each.id in hidden)
    return _hold(told, hold, places), counts_open(plugs_of(told), kit_of(told))


def _brief(view: View, location: Location) -> Place:
    """Return a place with what a hold point asks of it: states and waivers."""
    checks = tuple(_brief_check(view, location, each) for each in location.characteristics)
    return Place(location, checks, waivers=_waivers(view.told, location.id, None))


def _brief_check(view: View, location: Location, characteristic: Characteristic) -> Check:
    told, key = view.told, f"{location.id}.{characteristic.id}"
    state, why = _state(told, key, characteristic, told.now)
    counting = told.counting(key, told.now)
    never = told.never_fitted(location.id, told.now)
    return Check(
        key=key,
        location=location,
        characteristic=characteristic,
        state=state,
        why=_NEVER_FITTED if never else why,
        suspect=view.suspicion.of(counting.hash) if counting else "",
        excused=_NEVER_FITTED if never else "",
        waivers=_waivers(told, key, characteristic),
    )


def check_now(told: Telling, key: str) -> Check:
    """Return where one check stands, without looking at the others; raises BadPlan."""
    location, characteristic = told.plan.characteristic(key)
    return _check(View.of(told), location, characteristic)


def _place(view: View, location: Location) -> Place:
    told = view.told
    never = told.never_fitted(location.id, told.now)
    placed = told.placing(location.id, told.now)
    return Place(
        location=location,
        checks=tuple(_check(view, location, each) for each in location.characteristics),
        photos=_photos(told, location.id),
        waivers=_waivers(told, location.id, None),
        never=stamp_of(never) if never else None,
        debris=tuple(said(told, entry) for _, entry in told.debris[location.id]),
        on_map=said(told, placed) if placed else None,
        neighbours=neighbours_of(told, location.id),
        reworked=tuple(
            (stamp_of(entry), entry.evidence.what)
            for entry in told.standing_of(told.reworks[location.id], told.now)
            if isinstance(entry.evidence, Reworked)
        ),
    )


def _photos(told: Telling, where: str) -> tuple[Photo, ...]:
    return tuple(
        Photo(stamp_of(entry), entry.evidence, strike_of(told, entry))
        for _, entry in told.filings[where]
        if isinstance(entry.evidence, PhotoTaken)
    )


def _check(view: View, location: Location, characteristic: Characteristic) -> Check:
    told, key = view.told, f"{location.id}.{characteristic.id}"
    state, why = _state(told, key, characteristic, told.now)
    counting = told.counting(key, told.now)
    hidden = bool(view.closed & set(view.hides.get(location.id, ())))
    never = told.never_fitted(location.id, told.now)
    naming = _Naming(told, key, characteristic)
    attempts = tuple(
        _attempt(view, number, entry, characteristic, naming)
        for number, (_, entry) in enumerate(told.attempts(key), start=1)
    )
    return Check(
        key=key,
        location=location,
        characteristic=characteristic,
        state=state,
        why=_NEVER_FITTED if never else why,
        name="as left" if hidden and counting else naming.at(told.now),
        attempts=attempts,
        readings=_grid_readings(view, key, characteristic, naming),
        missing=_missing(told, key, characteristic),
        suspect=view.suspicion.of(counting.hash) if counting else "",
        excused=_NEVER_FITTED if never else "",
        seconds=_seconds(view, key, characteristic, naming),
        slips=tuple(said(told, entry) for _, entry in told.slips[key]),
        waivers=_waivers(told, key, characteristic),
        hold_points=view.hides.get(location.id, ()),
        hidden=hidden,
    )


class _Naming:
    """What the attempts at one check are called."""

    def __init__(self, told: Telling, key: str, characteristic: Characteristic) -> None:
        self._began = [position for position, _ in told.began(key, told.now)]
        self._found = characteristic.found
        self._first = "as found" if self._found else "attempt 1"

    def at(self, position: int) -> str:
        """Return the name of the attempt that an entry at this position belongs to."""
        number = sum(began <= position for began in self._began) if self._began else 0
        if number == 0:
            return self._first
        return f"attempt {number if self._found else number + 1}"


def _grid_readings(
    view: View, key: str, characteristic: Characteristic, naming: _Naming
) -> tuple[Attempt, ...]:
    if not characteristic.is_grid:
        return ()
    told = view.told
    cells = {entry.hash for entry in told.cells(key, told.now).values()}
    found = []
    for number, (_, entry) in enumerate(told.reads[key], start=1):
        if not view.every_reading and not told.struck_by(entry.hash, told.now):
            continue
        attempt = _attempt(view, number, entry, characteristic, naming)
        replaced = attempt.counts and entry.hash not in cells
        found.append(replace(attempt, void="replaced by a later one") if replaced else attempt)
    return tuple(found)


def _missing(told: Telling, key: str, characteristic: Characteristic) -> tuple[Spot, ...]:
    if not characteristic.is_grid:
        return ()
    cells = told.cells(key, told.now)
    return tuple(spot for spot in characteristic.spots if spot not in cells)


def _seconds(
    view: View, key: str, characteristic: Characteristic, naming: _Naming
) -> tuple[Second, ...]:
    told = view.told
    blind = [e for _, e in told.marks[key] if isinstance(e.evidence, Marked) and e.evidence.blind]
    if not blind:
        return ()
    from store.seconds import seconds_of  # noqa: PLC0415 - loads budgets, and few jobs have any

    return tuple(
        seconds_of(told, entry, _attempt(view, number, entry, characteristic, naming))
        for number, entry in enumerate(blind, start=1)
    )


def _state(
    told: Telling, key: str, characteristic: Characteristic, upto: int
) -> tuple[Standing, str]:
    """Return the word a check stood at when so many entries had arrived, and its clause."""
    entry = told.counting(key, upto)
    if entry is None:
        return "not measured", _why_nothing_counts(told, key, characteristic, upto)
    if characteristic.kind in ANSWERED_IN_WORDS:
        return _answered(entry, characteristic)
    value, why = value_of(_record(entry), characteristic)
    if value is None:
        return "not measured", why
    if limit_for(characteristic) is None:
        return "no limit", ""
    return _judged(told.verdict_on(entry.hash, upto), characteristic)


def _judged(judging: Told | None, characteristic: Characteristic) -> tuple[Standing, str]:
    judged = judging[1].evidence if judging else None
    if not isinstance(judged, Judged):
        return "not measured", "there is a value, but it was not judged"
    if judged.verdict.limit != limit_for(characteristic):
        return "not measured", "it was not judged by the limit that holds now"
    return judged.verdict.state, judged.verdict.reason


def _answered(entry: Entry, characteristic: Characteristic) -> tuple[Standing, str]:
    if characteristic.kind == "note":
        return "no limit", ""
    answer = entry.evidence.answer if isinstance(entry.evidence, Read) else None
    if answer is None:
        return "not measured", "there is no answer"
    return ("within", "") if answer else ("outside", "answered no")


def _why_nothing_counts(told: Telling, key: str, characteristic: Characteristic, upto: int) -> str:
    if characteristic.is_grid and (some := _some_of_the_grid(told, key, characteristic, upto)):
        return some
    earlier = [entry for position, entry in told.attempts(key) if position < upto]
    if earlier:
        strike = told.struck_by(earlier[-1].hash, upto)
        if strike is not None and isinstance(strike.evidence, Struck):
            return f"struck: {strike.evidence.reason}"
        return told.void(earlier[-1], upto)
    if characteristic.is_grid or not characteristic.is_worked_out:
        return ""
    waiting = told.waits_for(key, upto)
    return f"waits for {' and '.join(waiting)}" if waiting else "could not be worked out"


def _some_of_the_grid(told: Telling, key: str, characteristic: Characteristic, upto: int) -> str:
    spots, cells = characteristic.spots, told.cells(key, upto)
    there = sum(spot in cells for spot in spots)
    return f"{there} of {len(spots)} readings" if 0 < there < len(spots) else ""


def _attempt(
    view: View, number: int, entry: Entry, characteristic: Characteristic, naming: _Naming
) -> Attempt:
    told = view.told
    value, why = value_of(_record(entry), characteristic)
    verdicts = [
        (stamp_of(judged), judged.evidence)
        for _, judged in told.judgings.get(entry.hash, ())
        if isinstance(judged.evidence, Judged)
    ]
    stamp, last = verdicts[-1] if verdicts else (None, None)
    return Attempt(
        number=number,
        stamp=stamp_of(entry),
        record=_record(entry),
        name=naming.at(told.by_hash[entry.hash][0]),
        value=value,
        why_no_value=why,
        verdict=last.verdict if last else None,
        other=last.other if last else None,
        verdict_stamp=stamp,
        earlier_verdicts=tuple((stamp, judged.verdict) for stamp, judged in verdicts[:-1]),
        struck=strike_of(told, entry),
        void=told.void(entry, told.now),
        suspect=view.suspicion.of(entry.hash),
        band=_band(value, characteristic),
    )


def _band(value: Quantity | None, characteristic: Characteristic) -> Banded | None:
    if value is None or not characteristic.bands:
        return None
    try:
        return band_of(value, characteristic.bands)
    except UnitMismatch:
        return None  # a table in another unit, which no plan file and no act lets through


def _waivers(told: Telling, key: str, characteristic: Characteristic | None) -> tuple[Waived, ...]:
    """Return every waiver for a check or, without a characteristic, for a location as a whole."""
    found = []
    for position, entry in told.waivers[key]:
        state: Standing = "not measured"
        if characteristic is not None:
            state, _ = _state(told, key, told.check_at(key, position) or characteristic, position)
        if isinstance(entry.evidence, Waiver):
            found.append(
                Waived(
                    stamp=stamp_of(entry),
                    hold_point=entry.evidence.hold_point,
                    key=key,
                    state=state,
                    reason=entry.evidence.reason,
                    decided_by=entry.evidence.decided_by,
                    owner_agreed=entry.evidence.owner_agreed,
                    stands=strike_of(told, entry) is None
                    and _unchanged(told, entry.evidence, position),
                    struck=strike_of(told, entry),
                )
            )
    return tuple(found)


def _unchanged(told: Telling, waiver: Waiver, then: int) -> bool:
    """Return whether what a waiver was given for is as it was.

    Once its hold point was opened again it is not: whoever closes that anew decides anew.
    """
    if any(
        position > then and isinstance(entry.evidence, Reopened)
        for position, entry in told.tries[waiver.hold_point]
    ):
        return False
    if "." in waiver.key:
        # A gauge found suspect since, or a limit changed, is another thing than was waived.
        same = told.counts_same(waiver.key, then, told.now)
        entry = told.counting(waiver.key, told.now)
        if not same or entry is None:
            return same
        before, after = (Suspicion(told, upto).of(entry.hash) for upto in (then, told.now))
        judging = told.verdict_on(entry.hash, told.now)
        return before == after and (judging is None or judging[0] < then)
    hold = next((h for h in told.plan.hold_points if h.id == waiver.hold_point), None)
    location = next((each for each in told.plan.locations if each.id == waiver.key), None)
    if hold is None or location is None:
        return False
    now, before_ = (set(location_wants(told, location, hold, m)) for m in (told.now, then))
    return now <= before_


def _hold(told: Telling, hold: HoldPoint, places: tuple[Place, ...]) -> Hold:
    closed = told.closed(hold.id)
    photos = _photos(told, hold.id)
    return Hold(
        hold_point=hold,
        closed=stamp_of(closed[1]) if closed else None,
        refusals=tuple(
            Refusal(stamp_of(entry), entry.evidence.unproven)
            for _, entry in told.tries[hold.id]
            if isinstance(entry.evidence, CloseRefused)
        ),
        unproven=unproven_behind(told, hold, places),
        waived=waivers_used(told, hold, places),
        hides=told.plan.hidden_by(hold.id),
        photos=photos,
        seal=_seal(told, closed[0], photos) if closed else None,
        reopened=tuple(
            (stamp_of(entry), entry.evidence.reason)
            for _, entry in told.tries[hold.id]
            if isinstance(entry.evidence, Reopened)
        ),
    )


def _seal(told: Telling, closed_at: int, photos: tuple[Photo, ...]) -> Photo | None:
    """Return the photo of what closes it, taken in after it was closed."""
    for photo in photos:
        shows = photo.taken.role == "what closes it" and photo.taken.can_be_shown
        if shows and photo.struck is None and told.by_hash[photo.stamp.entry][0] > closed_at:
            return photo
    return None


def _record(entry: Entry) -> Read | Marked | Derived:
    if isinstance(entry.evidence, Read | Marked | Derived):
        return entry.evidence
    raise Damaged(f"entry {entry.seq} of {entry.bench} carries no value")  # never sorted there
