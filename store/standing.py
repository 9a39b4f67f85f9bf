"""Entries -> Round: where every check and hold point of a job stands."""

from collections.abc import Iterable

from store.attempt import Photo
from store.characteristic import Characteristic, Spot
from store.codec import Entry
from store.evidence import CloseRefused, PhotoTaken, Reopened, Reworked
from store.holds import unproven_behind, waivers_used
from store.plan import HoldPoint, Location
from store.round import Check, Hold, Place, Refusal, Round
from store.standings.attempted import Naming, attempt_of, grid_readings, seconds_of_check
from store.standings.check_state import state_of
from store.standings.look import View
from store.standings.stocktaking import (
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
from store.standings.waivers import waivers_of
from store.told.telling import Telling

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
    return Place(location, checks, waivers=waivers_of(view.told, location.id, None))


def _brief_check(view: View, location: Location, characteristic: Characteristic) -> Check:
    told, key = view.told, f"{location.id}.{characteristic.id}"
    state, why = state_of(told, key, characteristic, told.now)
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
        waivers=waivers_of(told, key, characteristic),
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
        waivers=waivers_of(told, location.id, None),
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
    state, why = state_of(told, key, characteristic, told.now)
    counting = told.counting(key, told.now)
    hidden = bool(view.closed & set(view.hides.get(location.id, ())))
    never = told.never_fitted(location.id, told.now)
    naming = Naming(told, key, characteristic)
    attempts = tuple(
        attempt_of(view, number, entry, characteristic, naming)
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
        readings=grid_readings(view, key, characteristic, naming),
        missing=_missing(told, key, characteristic),
        suspect=view.suspicion.of(counting.hash) if counting else "",
        excused=_NEVER_FITTED if never else "",
        seconds=seconds_of_check(view, key, characteristic, naming),
        slips=tuple(said(told, entry) for _, entry in told.slips[key]),
        waivers=waivers_of(told, key, characteristic),
        hold_points=view.hides.get(location.id, ()),
        hidden=hidden,
    )


def _missing(told: Telling, key: str, characteristic: Characteristic) -> tuple[Spot, ...]:
    if not characteristic.is_grid:
        return ()
    cells = told.cells(key, told.now)
    return tuple(spot for spot in characteristic.spots if spot not in cells)


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
