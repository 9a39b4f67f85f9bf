"""The acts of the user that give or take away values, each kept whole or not at all.

A reading or marks bring their verdict with them, and everything that can now be worked out from
them, with its verdict. Nothing is ever changed: a later value counts instead of an earlier one, a
strike says that an entry was wrong, a rework that a new attempt begins.
"""

from msgspec.structs import replace

from annotate.quantity import Quantity
from store.book import Act, Book
from store.change import NeverFitted
from store.codec import Entry
from store.errors import BadAct, CannotDerive, PhotoMissing
from store.evidence import (
    Closed,
    DebrisLogged,
    Derived,
    Fitted,
    GaugeCleared,
    GaugeSuspected,
    Judged,
    KitCounted,
    MapPlaced,
    Marked,
    OwnerSaid,
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
from store.judge import judge, judge_result, limit_for, other_limit, subject_of
from store.plan import Characteristic, Spot
from store.round import Check
from store.standing import check_now
from store.telling import Telling, value_of
from store.working import Working

_CAN_BE_STRUCK = (
    Read | Marked | PhotoTaken | Waiver | Closed | Reopened | Fitted | TakenOut | Reworked
    | DebrisLogged | OwnerSaid | PaperKept | KitCounted | MapPlaced | GaugeSuspected | GaugeCleared
)  # fmt: skip


def record_reading(
    book: Book, reading: Read, *, at: str, by: str, asked: SlipAsked | None = None
) -> Check:
    """Keep a typed reading, its verdict, and what follows from it; return the check after it.

    What the reading is worth is worked out here, from its text's exact value, its gauge and its
    zero. ``asked`` is the question about a slip that came before it, kept with it. Raises BadPlan
    for an unknown key, UnitMismatch for a unit of the wrong kind and BadAct for a reading that
    does not answer what is asked, all before anything is written.
    """
    told = book.told
    _, check = told.plan.characteristic(reading.key)
    _refuse_what_does_not_answer(told, check, reading)
    if reading.quantity is not None:
        worth = Working(told).reading(reading, told.now).quantity()
        worth.to(check.unit)
        reading = replace(reading, quantity=worth)
    with book.act(at=at, by=by) as act:
        if asked is not None:
            act.append(asked)
        entry = act.append(reading)
        if reading.quantity is not None and not check.is_grid:
            append_verdict(act, entry, check, reading.quantity)
        work_out(act, reading.key)
    return check_now(book.told, reading.key)


def _refuse_what_does_not_answer(told: Telling, check: Characteristic, reading: Read) -> None:
    key = reading.key
    if check.is_worked_out:
        wanted = " and ".join(dict.fromkeys(w.key for w in told.wiring_at(told.now).inputs[key]))
        raise BadAct(f"{key} is worked out: enter {wanted} instead.")
    if check.kind == "yes-no" and reading.answer is None:
        raise BadAct(f"{key} asks for yes or no.")
    if check.kind == "note" and not reading.text.strip():
        raise BadAct(f"{key} asks for words.")
    if check.kind not in {"yes-no", "note"} and reading.quantity is None:
        raise BadAct(f"{key} asks for a value.")
    if reading.spot not in check.spots:
        there = "; ".join(spot.words for spot in check.spots if spot.words) or "one reading only"
        raise BadAct(f"{key} has no reading at {reading.spot.words!r}; it has {there}.")
    if reading.gauge:
        told.plan.gauge(reading.gauge)
    if reading.zero and reading.zero.entry and reading.zero.entry not in told.by_hash:
        raise BadAct(f"the reading {reading.zero.entry[:12]} that {reading.gauge} was set on is "
                     "not in this book.")  # fmt: skip
    hidden = hidden_behind(told, key.partition(".")[0])
    if hidden and not reading.read_at:
        raise BadAct(
            f"{key} lies behind {hidden}, which is closed: say when it was read if that was "
            "before, or reopen the hold point."
        )


def hidden_behind(told: Telling, location_id: str) -> str:
    """Return the closed hold point that hides a location now, empty if it lies open."""
    for hold in told.plan.hold_points:
        if told.closed(hold.id) and location_id in told.plan.hidden_by(hold.id):
            return hold.id
    return ""


def record_marks(book: Book, marked: Marked, *, at: str, by: str) -> Check:
    """Keep accepted marks with the coverage they gave, and its verdict; return the check.

    Blind second marks are kept beside the first and never judged. Raises BadPlan for an unknown
    key, BadAct for a check that is not a coverage and for second marks by the first one's hand,
    and PhotoMissing unless the photo is filed at the check's location.
    """
    location, check = book.plan.characteristic(marked.key)
    if check.kind != "coverage":
        raise BadAct(f"{marked.key} asks for a {check.kind}, not for marks on a photo.")
    with book.act(at=at, by=by) as act:
        told = act.told
        filed = {photo.photo for photo in told.photos_at(location.id, told.now)}
        if marked.photo not in filed:
            raise PhotoMissing(
                f"the photo {marked.photo[:12]} is not filed at {location.id}: file it there first."
            )
        if marked.blind:
            _refuse_second(told, marked, by)
        entry = act.append(marked)
        if not marked.blind:
            _judge_marks(act, entry, check, marked)
            work_out(act, marked.key)
    return check_now(book.told, marked.key)


def _judge_marks(act: Act, entry: Entry, check: Characteristic, marked: Marked) -> None:
    limit, other = limit_for(check), other_limit(check)
    if limit is not None:
        verdict = judge_result(subject_of(marked.result, limit.of), limit)
        beside = judge_result(subject_of(marked.result, other.of), other) if other else None
        act.append(Judged(marked.key, entry.hash, verdict, beside))


def _refuse_second(told: Telling, marked: Marked, by: str) -> None:
    first = told.by_hash.get(marked.second_to, (0, None))[1]
    if first is None or not isinstance(first.evidence, Marked):
        raise BadAct("second marks need the first ones: there are none on this photo to compare.")
    if first.by == by:
        raise BadAct(f"second marks are another person's: {by} placed the first ones.")
    if (first.evidence.key, first.evidence.photo) != (marked.key, marked.photo):
        raise BadAct("second marks belong to the same check and the same photo as the first.")


def withdraw(book: Book, asked: SlipAsked, *, at: str, by: str) -> Entry:
    """Keep that a reading was typed, looked like a slip, and was not filed."""
    book.plan.characteristic(asked.key)
    return book.append(asked, at=at, by=by)


def rework(book: Book, scope: tuple[str, ...], what: str, *, at: str, by: str) -> Entry:
    """Begin a new attempt at these checks or locations; what was read before stays on record.

    Raises BadPlan for what the plan does not have, BadAct without words, and for what lies behind
    a closed hold point.
    """
    if not what.strip():
        raise BadAct("a rework needs its words: what was done.")
    told = book.told
    for each in scope:
        if "." in each:
            told.plan.characteristic(each)
        else:
            told.plan.location(each)
        if hidden := hidden_behind(told, each.partition(".")[0]):
            raise BadAct(f"{each} lies behind {hidden}, which is closed: reopen it first.")
    with book.act(at=at, by=by) as act:
        entry = act.append(Reworked(scope, what))
        work_out_all(act)
    return entry


def strike(book: Book, cited: str | int, reason: str, *, at: str, by: str) -> Entry:
    """Strike a wrong entry: it stays legible and no longer counts; return the striking entry.

    What a hand entered can be struck, once, with a reason. What rested on it no longer counts
    either. Raises NoSuchEntry, BadAct.
    """
    if not reason.strip():
        raise BadAct("a strike needs its reason.")
    entry = book.entry(cited)
    if not _can_be_struck(entry):
        raise BadAct(
            f"entry {entry.seq} is a {entry.kind!r} entry: strike the reading, the marks, the "
            "photo, the waiver or the closing that it comes from."
        )
    with book.act(at=at, by=by) as act:
        if entry.hash in act.told.strikes:
            raise BadAct(f"entry {entry.seq} was struck already.")
        striking = act.append(Struck(entry.hash, reason))
        work_out_all(act)
    return striking


def _can_be_struck(entry: Entry) -> bool:
    record = entry.evidence
    if isinstance(record, PlanChanged):
        return isinstance(record.change, NeverFitted)
    return isinstance(record, _CAN_BE_STRUCK)


def append_verdict(act: Act, entry: Entry, check: Characteristic, quantity: Quantity) -> None:
    """Append the verdict on a value, if its check has a limit."""
    limit, other = limit_for(check), other_limit(check)
    if limit is not None:
        beside = judge(quantity, other) if other else None
        key = str(getattr(entry.evidence, "key", ""))
        act.append(Judged(key, entry.hash, judge(quantity, limit), beside))


def judge_again(act: Act, key: str) -> None:
    """Append a new verdict on the value of a check that counts, after its limit was changed."""
    told = act.told
    entry, check = told.counting(key, told.now), told.check_at(key, told.now)
    if entry is None or check is None or limit_for(check) is None:
        return
    if isinstance(entry.evidence, Marked):
        _judge_marks(act, entry, check, entry.evidence)
    elif isinstance(entry.evidence, Read | Derived):
        value, _ = value_of(entry.evidence, check)
        if value is not None:
            append_verdict(act, entry, check, value)


def work_out(act: Act, key: str) -> None:
    """Append everything that a new value of one check allows, near before far."""
    wiring = act.told.wiring_at(act.told.now)
    due = [key, *wiring.followers(key)]
    _append_due(act, [each for each in due if each in wiring.inputs])


def work_out_all(act: Act) -> None:
    """Append everything that can be worked out and was not yet."""
    _append_due(act, list(act.told.wiring_at(act.told.now).inputs))


def _append_due(act: Act, keys: list[str]) -> None:
    # One may rest on another, so until there is nothing new; a circle never has its inputs.
    while sum(_append_derived(act, key) for key in keys):
        pass


def _append_derived(act: Act, key: str) -> bool:
    """Append what a check comes to, unless that was done with these inputs or can't be."""
    told = act.told
    cites, check = told.inputs(key, told.now), told.check_at(key, told.now)
    if cites is None or check is None:
        return False
    earlier = [e.evidence for _, e in told.derived[key] if isinstance(e.evidence, Derived)]
    if any(record.from_entries == cites for record in earlier):
        return False
    try:
        worth = Working(told).worth_of(key, check, cites, told.now)
    except CannotDerive:
        return False
    entry = act.append(Derived(key, worth.quantity, cites, worth.decisive))
    append_verdict(act, entry, check, worth.quantity)
    return True


def next_spot(told: Telling, key: str) -> Spot:
    """Return the spot of a grid that is to be read next: the first without a reading.

    With every spot read it is the first again. Raises BadPlan.
    """
    check = told.plan.characteristic(key)[1]
    for spot in check.spots:
        if told.spot_reading(key, spot, told.now) is None:
            return spot
    return check.spots[0]
