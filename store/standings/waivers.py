"""Waivers as they were given: at what word the check stood then, and whether each still stands."""

from store.attempt import Standing, Waived
from store.characteristic import Characteristic
from store.evidence import Reopened, Waiver
from store.holds import location_wants
from store.standings.check_state import state_of
from store.standings.stocktaking import stamp_of, strike_of
from store.told.suspicion import Suspicion
from store.told.telling import Telling


def waivers_of(
    told: Telling, key: str, characteristic: Characteristic | None
) -> tuple[Waived, ...]:
    """Return every waiver for a check or, without a characteristic, for a location as a whole."""
    found = []
    for position, entry in told.waivers[key]:
        state: Standing = "not measured"
        if characteristic is not None:
            state, _ = state_of(told, key, told.check_at(key, position) or characteristic, position)
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
