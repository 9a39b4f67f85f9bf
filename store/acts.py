"""The acts of the user on a book, each kept whole or not at all.

A reading or marks bring their verdict with them, and every difference or agreement that can now
be worked out, with its verdict. Nothing is ever changed: a later value counts instead of an
earlier one, a strike says that an entry was wrong.
"""

from annotate.quantity import Quantity
from store.agree import agreement
from store.book import Act, Book
from store.codec import Entry
from store.derive import difference
from store.errors import BadAct, CannotDerive, NotProven, PhotoMissing
from store.evidence import (
    Closed,
    CloseRefused,
    Derived,
    Judged,
    Marked,
    PhotoTaken,
    Read,
    Struck,
    Waiver,
)
from store.judge import judge, judge_result, limit_for, subject_of
from store.round import Check, Round

_CAN_BE_STRUCK = Read | Marked | PhotoTaken | Waiver | Closed


def record_reading(book: Book, reading: Read, *, at: str, by: str) -> Check:
    """Keep a typed reading, its verdict, and what follows from it; return the check after it.

    Raises BadPlan for an unknown key, UnitMismatch for a unit of the wrong kind and BadAct for a
    reading that does not answer what is asked, all before anything is written.
    """
    _, characteristic = book.plan.characteristic(reading.key)
    if characteristic.of:
        first, second = characteristic.of
        raise BadAct(f"{reading.key} is worked out: enter {first} and {second} instead.")
    if characteristic.kind == "yes-no" and reading.answer is None:
        raise BadAct(f"{reading.key} asks for yes or no.")
    if characteristic.kind != "yes-no" and reading.quantity is None:
        raise BadAct(f"{reading.key} asks for a value.")
    limit = limit_for(characteristic)
    if reading.quantity is not None:
        reading.quantity.to(characteristic.unit)
    with book.act(at=at, by=by) as act:
        entry = act.append(reading)
        if limit is not None and reading.quantity is not None:
            act.append(Judged(reading.key, entry.hash, judge(reading.quantity, limit)))
        _work_out(act)
    return book.round().check(reading.key)


def record_marks(book: Book, marked: Marked, *, at: str, by: str) -> Check:
    """Keep accepted marks with the coverage they gave, and its verdict; return the check.

    Raises BadPlan for an unknown key, BadAct for a check that is not a coverage, and PhotoMissing
    unless the photo is filed at the check's location.
    """
    location, characteristic = book.plan.characteristic(marked.key)
    if characteristic.kind != "coverage":
        raise BadAct(f"{marked.key} asks for a {characteristic.kind}, not for marks on a photo.")
    limit = limit_for(characteristic)
    with book.act(at=at, by=by) as act:
        photos = act.round().place(location.id).photos
        if all(p.taken.photo != marked.photo or p.struck for p in photos):
            raise PhotoMissing(
                f"the photo {marked.photo[:12]} is not filed at {location.id}: file it there first."
            )
        entry = act.append(marked)
        if limit is not None:
            verdict = judge_result(subject_of(marked.result, limit.of), limit)
            act.append(Judged(marked.key, entry.hash, verdict))
        _work_out(act)
    return book.round().check(marked.key)


def strike(book: Book, cited: str | int, reason: str, *, at: str, by: str) -> Entry:
    """Strike a wrong entry: it stays legible and no longer counts; return the striking entry.

    A reading, marks, the filing of a photo, a waiver or a closing can be struck, once, with a
    reason. What rested on it no longer counts either. Raises NoSuchEntry, BadAct.
    """
    _say(reason, "a strike needs its reason")
    entry = book.entry(cited)
    if not isinstance(entry.evidence, _CAN_BE_STRUCK):
        raise BadAct(
            f"entry {entry.seq} is a {entry.kind!r} entry: strike the reading, the marks, the "
            "photo, the waiver or the closing that it comes from."
        )
    with book.act(at=at, by=by) as act:
        if any(
            isinstance(e.evidence, Struck) and e.evidence.entry == entry.hash
            for e in book.entries()
        ):
            raise BadAct(f"entry {entry.seq} was struck already.")
        striking = act.append(Struck(entry.hash, reason))
        _work_out(act)
    return striking


def waive(
    book: Book,
    hold_id: str,
    key: str,
    *,
    reason: str,
    decided_by: str,
    owner_agreed: str,
    at: str,
    by: str,
) -> Entry:
    """Keep the decision to go on although ``key`` is unproven; the verdict does not change.

    ``key`` is a check behind the hold point, or a location for the photos missing there.
    ``owner_agreed`` says how the owner's yes was given. Raises BadPlan for an unknown hold point,
    BadAct for missing words and for what is not unproven there.
    """
    _say(reason, "a waiver needs its reason")
    _say(decided_by, "a waiver needs the name of who decided")
    _say(owner_agreed, "a waiver needs how the owner agreed")
    with book.act(at=at, by=by) as act:
        waiting = act.round().hold(hold_id).unproven
        if key not in {unproven for unproven, _ in waiting}:
            there = ", ".join(dict.fromkeys(unproven for unproven, _ in waiting)) or "nothing"
            raise BadAct(f"{key} is not unproven at {hold_id}; unproven there: {there}.")
        return act.append(Waiver(hold_id, key, reason, decided_by, owner_agreed))


def close(book: Book, hold_id: str, *, at: str, by: str) -> Entry:
    """Close a hold point: the part goes on; return the entry.

    Raises NotProven, with everything unproven, if it hides something neither proven nor waived;
    the refusal is kept as an entry too. Raises BadAct if it is closed already.
    """
    with book.act(at=at, by=by) as act:
        hold = act.round().hold(hold_id)
        if hold.closed:
            raise BadAct(f"{hold_id} was closed already, by {hold.closed.by}.")
        if not hold.unproven:
            return act.append(Closed(hold_id))
        act.append(CloseRefused(hold_id, hold.unproven))
    raise NotProven(
        f"{hold.hold_point.name} must not go on yet: {len(hold.unproven)} behind it not proven "
        f"({'; '.join(f'{key}: {why}' for key, why in hold.unproven)}).",
        hold.unproven,
    )


def _work_out(act: Act) -> None:
    """Append every difference and agreement that the values which count now allow."""
    # One may rest on another, so until there is nothing new; a circle never counts.
    while any(_append_derived(act, check) for check in _due(act.round())):
        pass


def _due(round_: Round) -> list[Check]:
    return [check for check in round_.checks if check.characteristic.of and _is_due(round_, check)]


def _is_due(round_: Round, check: Check) -> bool:
    cited = _cited(round_, check)
    done = [a.record.from_entries for a in check.attempts if isinstance(a.record, Derived)]
    return cited is not None and cited not in done


def _cited(round_: Round, check: Check) -> tuple[str, str] | None:
    first, second = (round_.check(key).current for key in check.characteristic.of or ("", ""))
    if first is None or second is None or first.value is None or second.value is None:
        return None
    return first.stamp.entry, second.stamp.entry


def _append_derived(act: Act, check: Check) -> bool:
    round_ = act.round()
    cited = _cited(round_, check)
    if cited is None:
        return False
    a, b = (_value(round_, entry) for entry in cited)
    try:
        quantity = (difference if check.characteristic.kind == "difference" else agreement)(a, b)
    except CannotDerive:
        return False
    entry = act.append(Derived(check.key, quantity, cited))
    limit = limit_for(check.characteristic)
    if limit is not None:
        act.append(Judged(check.key, entry.hash, judge(quantity, limit)))
    return True


def _value(round_: Round, entry: str) -> Quantity:
    value = round_.attempt(entry).value
    if value is None:
        raise CannotDerive(f"the entry {entry[:12]} carries no value")
    return value


def _say(words: str, need: str) -> None:
    if not words.strip():
        raise BadAct(f"{need}.")
