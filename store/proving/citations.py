"""Check what the entries say of each other and of the plan.

An entry may cite only what came before it, and a hold point may only have been closed when
nothing behind it was unproven.
"""

from store.branches.chains import where
from store.branches.views import Placed, View
from store.change import NeverFitted, changed
from store.codec import Entry
from store.errors import BadPlan
from store.evidence import (
    Closed,
    CloseRefused,
    DebrisLogged,
    Derived,
    Fitted,
    GaugeCleared,
    GaugeSuspected,
    JobStarted,
    Judged,
    KitCounted,
    MapPlaced,
    Marked,
    PaperKept,
    PhotoTaken,
    PlanChanged,
    Read,
    Reopened,
    Reworked,
    SlipAsked,
    Struck,
    TakenOut,
    Waiver,
)
from store.finding import Finding, Found
from store.holds import unproven
from store.judge import limit_for
from store.plan import Plan
from store.standing import standing
from store.told.telling import Telling
from store.written.consequences import wants_verdict


def check_citations(view: View) -> Found:
    """Find entries that cite what is not there, or speak of what the plan did not have then."""
    yield from view.of_own(_check_citations(view.placed))


def _check_citations(placed: Placed) -> Found:
    told = Telling()
    photos: set[tuple[str, str]] = set()
    for place, entry in placed:
        if place and isinstance(entry.evidence, JobStarted):
            yield place, Finding("altered", "plan-twice", where(entry), "the plan is there again")
        if told.now:
            for wrong in _unknown(entry, told.plan):
                yield place, Finding("altered", "not-in-plan", where(entry), wrong)
        for each in cited(entry):
            if each not in told.by_hash:
                yield place, _cites_nothing(entry, f"no entry {each[:12]} came before")
        for photo, location in _photos_cited(entry):
            if not any(photo == p and location in {"", at} for p, at in photos):
                where_to = "at its location " if location else ""
                yield (
                    place,
                    _cites_nothing(entry, f"the photo {photo[:12]} was not filed {where_to}before"),
                )
        if isinstance(entry.evidence, PhotoTaken):
            photos.add((entry.evidence.photo, entry.evidence.location))
        told.add(entry)


def _cites_nothing(entry: Entry, why: str) -> Finding:
    return Finding("altered", "cites-nothing", where(entry), why)


def check_verdicts(view: View) -> Found:
    """Find values that were not judged although the plan had a limit for them, then or at last.

    At last: in this book, whoever took them; another bench's end is judged where it was merged.
    """
    told, placed = Telling(), view.placed
    judged = {e.evidence.subject for _, e in placed if isinstance(e.evidence, Judged)}
    missing: dict[str, tuple[int, Entry, str]] = {}
    places = {}
    for place, entry in placed:
        places[entry.hash] = place
        told.add(entry)
        is_due = place in view.own and entry.hash not in judged
        if is_due and _asks_for_a_verdict(told, entry):
            missing[entry.hash] = (place, entry, "the value has a limit and no verdict")
    is_here = bool(told.now) and view.is_last
    for key, check in told.wiring_at(told.now).checks.items() if is_here else ():
        counting = told.counting(key, told.now)
        if counting is None or counting.hash in missing or _is_told_elsewhere(told, counting, key):
            continue
        if wants_verdict(told, counting, check):
            why = "the value was not judged by the limit that holds in the end"
            missing[counting.hash] = (places[counting.hash], counting, why)
    for place, entry, why in missing.values():
        yield place, Finding("damaged", "verdict-missing", where(entry), why)


def _is_told_elsewhere(told: Telling, entry: Entry, key: str) -> bool:
    """Return whether its verdict is under a limit that the plan did not have then either."""
    judging = told.verdict_on(entry.hash, told.now)
    check = told.check_at(key, judging[0]) if judging else None
    judged = judging[1].evidence if judging else None
    if check is None or not isinstance(judged, Judged):
        return False
    return judged.verdict.limit != limit_for(check)


def _asks_for_a_verdict(told: Telling, entry: Entry) -> bool:
    record = entry.evidence
    if not isinstance(record, Read | Marked | Derived):
        return False
    check = told.check_at(record.key, told.now)
    if check is None or limit_for(check) is None:
        return False
    if isinstance(record, Marked):
        return not record.blind
    return not (isinstance(record, Read) and check.is_grid)


def check_closings(view: View) -> Found:
    """Find hold points that were closed, refused or waived otherwise than what was proven then."""
    entries = tuple(entry for _, entry in view.placed)
    for index, (place, entry) in enumerate(view.placed):
        record = entry.evidence
        if not isinstance(record, Closed | CloseRefused | Waiver) or not index:
            continue
        if place not in view.own:
            continue
        told = Telling(entries[:index])
        if record.hold_point not in {hold.id for hold in told.plan.hold_points}:
            continue
        waiting = unproven(standing(told), record.hold_point)
        if isinstance(record, Closed) and waiting:
            keys = ", ".join(dict.fromkeys(key for key, _ in waiting))
            yield (
                place,
                Finding(
                    "altered", "closed-unproven", where(entry), f"closed while unproven: {keys}"
                ),
            )
        if isinstance(record, Waiver) and record.key not in dict(waiting):
            detail = f"{record.key} was not unproven then"
            yield place, Finding("altered", "waiver-differs", where(entry), detail)
        if isinstance(record, CloseRefused) and record.unproven != waiting:
            yield (
                place,
                Finding(
                    "altered", "refusal-differs", where(entry), "refused for what was not so then"
                ),
            )


def cited(entry: Entry) -> tuple[str, ...]:
    """Return the hashes of the entries that an entry cites as what it rests on."""
    match entry.evidence:
        case Judged(subject=found) | Struck(entry=found):
            return (found,)
        case Derived(from_entries=found, decisive=decisive):
            return (*found, *(each for each in decisive if each not in found))
        case Read(zero=zero) if zero is not None and zero.entry:
            return (zero.entry,)
        case Marked(second_to=first, lens_paper=paper, together=others, repeats_from=repeats):
            return tuple(each for each in (first, paper, *others, *repeats) if each)
    return ()


def _photos_cited(entry: Entry) -> tuple[tuple[str, str], ...]:
    """Return (photo, location it must be filed at, or nothing) of the photos an entry names."""
    match entry.evidence:
        case Marked(key=key, photo=photo):
            return ((photo, key.partition(".")[0]),)
        case MapPlaced(photo=photo):
            return ((photo, ""),)
        case PlanChanged(change=NeverFitted(location=location, photo=photo)):
            return ((photo, location),)
        case Read(photos=photos) | Fitted(photos=photos):
            return tuple((photo, "") for photo in photos)
    return ()


def _unknown(entry: Entry, plan: Plan) -> list[str]:
    """Return what an entry speaks of and the plan did not have."""
    try:
        _ask_the_plan(entry, plan)
    except BadPlan as error:
        return [str(error)]
    return []


def _ask_the_plan(  # noqa: C901, PLR0912 - one line per kind of entry
    entry: Entry, plan: Plan
) -> None:
    match entry.evidence:
        case Read(key=key, gauge=gauge):
            plan.characteristic(key)
            if gauge:
                plan.gauge(gauge)
        case Marked(key=key) | Derived(key=key) | Judged(key=key) | SlipAsked(key=key):
            plan.characteristic(key)
        case PhotoTaken(location=where_, keys=keys, gauge=gauge):
            if where_ not in {hold.id for hold in plan.hold_points}:
                plan.location(where_)
            _ask_for(keys, gauge, plan)
        case (
            MapPlaced(location=location)
            | TakenOut(location=location)
            | DebrisLogged(location=location)
        ):
            plan.location(location)
        case PaperKept(location=location, keys=keys):
            if location:
                plan.location(location)
            _ask_for(keys, "", plan)
        case Reworked(scope=scope):
            for each in scope:
                plan.characteristic(each) if "." in each else plan.location(each)
        case Fitted(part=part):
            plan.part(part)
        case GaugeSuspected(gauge=gauge) | GaugeCleared(gauge=gauge):
            plan.gauge(gauge)
        case KitCounted(line=line) if line not in {each.id for each in plan.kit}:
            raise BadPlan(f"no kit line {line!r} in this job")
        case Closed(hold_point=hold) | CloseRefused(hold_point=hold):
            plan.hold_point(hold)
        case Waiver(hold_point=hold, key=key):
            plan.hold_point(hold)
            plan.characteristic(key) if "." in key else plan.location(key)
        case Reopened(hold_point=hold):
            plan.hold_point(hold)
        case PlanChanged(change=change):
            changed(plan, change)


def _ask_for(keys: tuple[str, ...], gauge: str, plan: Plan) -> None:
    for key in keys:
        plan.characteristic(key)
    if gauge:
        plan.gauge(gauge)
