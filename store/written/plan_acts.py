"""Changing the plan at the bench: each change is an entry, with what follows from it."""

from store.book import Book
from store.change import (
    Change,
    CheckAdded,
    DecidingSet,
    LimitSet,
    LocationAdded,
    NeverFitted,
    changed,
)
from store.codec import Entry
from store.errors import BadAct, PhotoMissing
from store.evidence import PlanChanged
from store.formulas.misfit import refuse_misfits
from store.told.telling import Telling
from store.written.consequences import settle
from store.written.refusals import refuse_hidden


def change_plan(book: Book, change: Change, reason: str = "", *, at: str, by: str) -> Entry:
    """Change the plan at the bench; a changed limit judges again what counts.

    Raises BadPlan for a change that does not fit the plan or a check that could never be worked
    out, PhotoMissing for "never fitted" without a photo of the bare place, BadAct for a changed
    limit without a reason and for "never fitted" where something was.
    """
    with book.act(at=at, by=by) as act:
        told = act.told
        refuse_misfits(changed(told.plan, change), _checks_changed(change))
        if isinstance(change, LimitSet | DecidingSet) and not reason.strip():
            _refuse_unreasoned(told, change)
        if isinstance(change, NeverFitted):
            _refuse_fitted(told, change)
        entry = act.append(PlanChanged(change, reason))
        settle(act)
    return entry


def _checks_changed(change: Change) -> tuple[str, ...]:
    match change:
        case LocationAdded(location=location):
            return tuple(f"{location.id}.{check.id}" for check in location.characteristics)
        case CheckAdded(location=location_id, check=check):
            return (f"{location_id}.{check.id}",)
        case LimitSet(key=key):
            return (key,)
    return ()


def _refuse_unreasoned(told: Telling, change: LimitSet | DecidingSet) -> None:
    """Refuse to change a limit without a reason; the first one of its kind needs none.

    A limit where the plan had none and asked for none makes a judged thing of what was recorded:
    that is a change too.
    """
    before = told.plan.characteristic(change.key)[1]
    given = isinstance(change, LimitSet) and change.limit is not None
    first = given and before.asks and not before.limit
    if isinstance(change, LimitSet) and change.which == "wear":
        first = given and not before.wear_limit and bool(before.asks or before.limit)
    if not first:
        raise BadAct(f"the limit of {change.key} is changed: say why.")


def _refuse_fitted(told: Telling, change: NeverFitted) -> None:
    """Refuse "never fitted" without its photo, out of sight, and where something was fitted."""
    where = change.location
    refuse_hidden(told, where)
    filed = {p.photo for p in told.photos_at(where, told.now) if p.can_be_shown}
    if change.photo not in filed:
        raise PhotoMissing(f"{where}: 'never fitted' needs a photo of the bare place, filed there.")
    parts = {part.id for part in told.plan.parts if part.location == where}
    fitted = [*told.outs[where], *(each for part in parts for each in told.fittings[part])]
    if standing := told.standing_of(fitted, told.now):
        raise BadAct(
            f"{where}: entry {standing[-1].seq} says that something was {standing[-1].kind} there: "
            "strike that first if it is wrong."
        )
    for check in told.plan.location(where).characteristics:
        key = f"{where}.{check.id}"
        given = told.standing_of([*told.reads[key], *told.marks[key]], told.now)
        if given:
            raise BadAct(
                f"{where}: entry {given[-1].seq} gave {key} a value, so something is there: strike "
                "that first if it is wrong."
            )
