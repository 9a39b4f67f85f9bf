"""Check that no entry is there which the acts would have refused to write at that moment.

Whoever writes a chain anew, with entries left out or put in, must still keep to what could have
been done then: nothing behind a closed hold point, no strike of a verdict, no second marks by the
first one's hand, no gauge set on a size that was not read.
"""

from store.branches.chains import where
from store.branches.views import View
from store.change import NeverFitted
from store.codec import Entry
from store.errors import BadAct, BadPlan, PhotoMissing
from store.evidence import (
    Closed,
    DebrisLogged,
    Fitted,
    Judged,
    Marked,
    PlanChanged,
    Read,
    Reopened,
    Reworked,
    Struck,
    TakenOut,
)
from store.finding import Finding, Found
from store.told.telling import Telling
from store.written.acts import can_be_struck
from store.written.refusals import (
    refuse_hidden,
    refuse_late_photo,
    refuse_rework,
    refuse_second,
    refuse_together,
    refuse_what_does_not_answer,
    refuse_what_it_cites,
)


def check_permitted(view: View) -> Found:
    """Find entries that could not have been written when they say they were."""
    told = Telling()
    for place, entry in view.placed:
        if told.now and place in view.own:
            why = _refusal(told, entry)
            if why:
                yield place, Finding("altered", "not-allowed", where(entry), why)
        told.add(entry)


def _refusal(told: Telling, entry: Entry) -> str:
    try:
        _refuse(told, entry)
    except BadAct as refused:
        return str(refused).rstrip(".")
    except (BadPlan, PhotoMissing):
        return ""  # told as what it is elsewhere
    return ""


def _refuse(told: Telling, entry: Entry) -> None:  # noqa: C901 - one line per kind of entry
    match entry.evidence:
        case Read() as read:
            check = told.plan.characteristic(read.key)[1]
            refuse_what_does_not_answer(told, check, read)
            refuse_what_it_cites(told, read)
        case Marked() as marked:
            refuse_late_photo(told, marked)
            refuse_together(told, marked)
            if marked.blind or marked.second_to:
                refuse_second(told, marked, entry.by)
        case Judged(subject=subject):
            _refuse_judged_second(told, subject)
        case Reworked(scope=scope):
            for each in scope:
                refuse_rework(told, each)
        case TakenOut(location=location) | DebrisLogged(location=location):
            refuse_hidden(told, location)
        case PlanChanged(change=NeverFitted(location=location)):
            refuse_hidden(told, location)
        case Fitted(part=part):
            refuse_hidden(told, told.plan.part(part).location)
        case Struck(entry=cited):
            _refuse_strike(told, cited)
        case Closed(hold_point=hold) if told.closed(hold):
            raise BadAct(f"{hold} was closed already")
        case Reopened(hold_point=hold) if not told.closed(hold):
            raise BadAct(f"{hold} was not closed")


def _refuse_judged_second(told: Telling, subject: str) -> None:
    judged = told.by_hash[subject][1].evidence if subject in told.by_hash else None
    if isinstance(judged, Marked) and judged.blind:
        raise BadAct("second marks are compared, and never judged")


def _refuse_strike(told: Telling, cited: str) -> None:
    if cited not in told.by_hash:
        return  # told as what it cites
    entry = told.by_hash[cited][1]
    if not can_be_struck(entry):
        raise BadAct(f"a {entry.kind!r} entry can't be struck")
    if cited in told.strikes:
        raise BadAct(f"{where(entry)} was struck already")
