"""Entries -> what is known of things: plugs, parts, kit, gauges, counts that don't close."""

from math import hypot

from store.attempt import Stamp, Strike
from store.codec import Entry, kind_of
from store.evidence import Fitted, KitCounted, MapPlaced, Struck
from store.plan import Gauge, KitLine, Location, Part
from store.stock import GaugeState, KitState, PartState, PlugPlace, Told
from store.told.suspicion import Suspicion, earliest, touched_by
from store.told.telling import Telling

_MOST_NEIGHBOURS = 3
_CLOSE = 2.0  # times the distance of the nearest one


def stamp_of(entry: Entry) -> Stamp:
    """Return which entry said it, when and by whom."""
    return Stamp(entry.hash, entry.seq, entry.at, entry.bench, entry.by)


def strike_of(told: Telling, entry: Entry) -> Strike | None:
    """Return who struck an entry, if anybody did."""
    strike = told.struck_by(entry.hash, told.now)
    if strike is None or not isinstance(strike.evidence, Struck):
        return None
    return Strike(stamp_of(strike), strike.evidence.reason)


def said(told: Telling, entry: Entry) -> Told:
    """Return a plain saying of an entry with its stamp and its strike."""
    return Told(stamp_of(entry), entry.evidence, strike_of(told, entry))  # type: ignore[arg-type] # the kinds asked for


def said_of(told: Telling, kind: str) -> tuple[Told, ...]:
    """Return every paper, word of the owner's or change of the plan, struck ones too."""
    return tuple(said(told, entry) for _, entry in told.others if kind_of(entry.evidence) == kind)


def plugs_of(told: Telling) -> tuple[PlugPlace, ...]:
    """Return the plug map in walking order."""
    plugged = [location for location in told.plan.locations if location.plug]
    return tuple(_plug(told, location, plugged) for location in plugged)


def _plug(told: Telling, location: Location, plugged: list[Location]) -> PlugPlace:
    outs = told.standing_of(told.outs[location.id], told.now)
    fitted = [
        entry
        for part in told.plan.parts
        if part.location == location.id
        for entry in told.standing_of(told.fittings[part.id], told.now)
    ]
    last_out = told.by_hash[outs[-1].hash][0] if outs else -1
    fitted.sort(key=lambda entry: told.by_hash[entry.hash][0])
    back = [entry for entry in fitted if told.by_hash[entry.hash][0] > last_out]
    never = told.never_fitted(location.id, told.now)
    close = set(neighbours_of(told, location.id))
    return PlugPlace(
        location=location,
        out=said(told, outs[-1]) if outs else None,
        fitted=said(told, back[-1]) if back else None,
        never=stamp_of(never) if never else None,
        alike=tuple(
            other.id
            for other in plugged
            if other.id != location.id
            and (other.id in close or (other.group and other.group == location.group))
        ),
    )


def parts_of(told: Telling) -> tuple[PartState, ...]:
    """Return every part of the plan with the piece that is fitted now."""
    return tuple(_part(told, part) for part in told.plan.parts)


def _part(told: Telling, part: Part) -> PartState:
    outs = told.standing_of(told.outs[part.location], told.now) if part.location else []
    last_out = told.by_hash[outs[-1].hash][0] if outs else -1
    fitted = [(position, said(told, entry)) for position, entry in told.fittings[part.id]]
    there = [each for position, each in fitted if each.struck is None and position > last_out]
    now = there[-1] if there else None
    return PartState(part, now, tuple(each for _, each in fitted if each is not now))


def kit_of(told: Telling) -> tuple[KitState, ...]:
    """Return every line of the kit with what was counted and what went on."""
    return tuple(_kit(told, line) for line in told.plan.kit)


def _kit(told: Telling, line: KitLine) -> KitState:
    counted = told.standing_of(told.counts[line.id], told.now)
    parts = [part for part in told.plan.parts if part.kit == line.id]
    pieces = {
        (part.id, entry.evidence.identity)
        for part in parts
        for entry in told.standing_of(told.fittings[part.id], told.now)
        if isinstance(entry.evidence, Fitted)
    }
    never = sum(bool(p.location and told.never_fitted(p.location, told.now)) for p in parts)
    return KitState(
        line=line,
        counted=said(told, counted[-1]) if counted else None,
        fitted=len(pieces),
        wanted=len(parts) - never,
    )


def counts_open(plugs: tuple[PlugPlace, ...], kit: tuple[KitState, ...]) -> tuple[str, ...]:
    """Return a sentence for every count that does not close."""
    found = []
    for state, words in (
        ("out", "out and not in again"),
        ("not counted", "neither counted out nor in"),
    ):
        ids = [plug.location.id for plug in plugs if plug.state == state]
        if ids:
            found.append(f"plugs {words}: {', '.join(ids)}")
    for line in kit:
        found += _kit_sentences(line)
    return tuple(found)


def _kit_sentences(state: KitState) -> list[str]:
    name, counted = state.line.name, state.counted
    if counted is None or not isinstance(counted.record, KitCounted):
        return []
    there, found = counted.record.count, []
    if there != state.line.count:
        found.append(f"{name}: {state.line.count} by the packing, {there} counted")
    if there < state.wanted:
        found.append(f"{name}: {there} counted, {state.wanted} wanted")
    if state.fitted > there:
        found.append(f"{name}: {state.fitted} fitted of {there} counted")
    elif state.wanted and state.fitted >= state.wanted and there > state.fitted:
        found.append(f"{name}: {there - state.fitted} left over with every location filled")
    return found


def gauges_of(told: Telling, suspicion: Suspicion) -> tuple[GaugeState, ...]:
    """Return the register, each gauge with what is against it now."""
    today = told.entries[-1].at[:10]
    return tuple(_gauge(told, gauge, suspicion, today) for gauge in told.plan.gauges)


def _gauge(told: Telling, gauge: Gauge, suspicion: Suspicion, today: str) -> GaugeState:
    overdue = bool(gauge.due) and gauge.due <= today
    raised = suspicion.raised.get(gauge.id, ())
    if not raised:
        return GaugeState(gauge, overdue=overdue)
    touched = dict.fromkeys(
        entry.hash for doubted in raised for entry in touched_by(told, gauge.id, doubted.since)
    )
    return GaugeState(
        gauge,
        overdue=overdue,
        suspect="; ".join(dict.fromkeys(doubted.reason for doubted in raised)),
        since=earliest(raised),
        suspected=stamp_of(raised[0].entry),
        touched=tuple(sorted(touched, key=lambda digest: told.by_hash[digest][0])),
    )


def neighbours_of(told: Telling, location_id: str) -> tuple[str, ...]:
    """Return the locations that lie close to one on the same photo, the nearest first."""
    here = _placing(told, location_id)
    if here is None:
        return ()
    apart = sorted(
        (hypot(there.x_px - here.x_px, there.y_px - here.y_px), other.id)
        for other in told.plan.locations
        if other.id != location_id
        and (there := _placing(told, other.id)) is not None
        and there.photo == here.photo
    )
    near = [other for distance, other in apart if distance <= _CLOSE * apart[0][0]]
    return tuple(near[:_MOST_NEIGHBOURS])


def _placing(told: Telling, location_id: str) -> MapPlaced | None:
    placed = told.placing(location_id, told.now)
    record = placed.evidence if placed else None
    return record if isinstance(record, MapPlaced) else None
