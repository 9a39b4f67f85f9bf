"""The acts of the user that give or take away values, each kept whole or not at all.

A reading or marks bring their verdict with them, and everything that can now be worked out from
them, with its verdict. Nothing is ever changed: a later value counts instead of an earlier one, a
strike says that an entry was wrong, a rework that a new attempt begins.
"""

from collections.abc import Callable
from pathlib import Path
from typing import BinaryIO

from msgspec.structs import replace

from store.attempt import numbered
from store.book import Book, Kept
from store.change import NeverFitted
from store.characteristic import Characteristic, Spot
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
from store.round import Check
from store.standing import check_now
from store.told.telling import Telling
from store.told.working import Working
from store.written.consequences import append_verdict, settle, work_out
from store.written.refusals import (
    refuse_late_photo,
    refuse_other_repeats,
    refuse_rework,
    refuse_second,
    refuse_together,
    refuse_what_does_not_answer,
    refuse_what_it_cites,
)

_CAN_BE_STRUCK = (
    Read | Marked | PhotoTaken | Waiver | Closed | Fitted | TakenOut | Reworked
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
    with book.act(at=at, by=by) as act:
        told = act.told
        _, check = told.plan.characteristic(reading.key)
        refuse_what_does_not_answer(told, check, reading)
        refuse_what_it_cites(told, reading)
        if asked is not None:
            act.append(asked)
        entry = act.append(_worked_out(told, check, reading))
        if not check.is_grid:
            append_verdict(act, entry, check)
        work_out(act, reading.key)
        # Before the book is let go: another program's reading is not the answer to this one.
        return check_now(act.told, reading.key)


def _worked_out(told: Telling, check: Characteristic, reading: Read) -> Read:
    """Return a reading with what it is worth."""
    if reading.quantity is None:
        return reading
    try:
        worth = Working(told).reading(reading, told.now).quantity()
    except ArithmeticError as error:
        raise CannotDerive(f"{reading.text!r} is too large or too small a number") from error
    worth.to(check.unit)
    return replace(reading, quantity=worth)


def record_marks(book: Book, marked: Marked, *, at: str, by: str) -> Check:
    """Keep accepted marks with the coverage they gave, and its verdict; return the check.

    Blind second marks are kept beside the first and never judged. Raises BadPlan for an unknown
    key, BadAct for a check that is not a coverage and for second marks by the first one's hand,
    and PhotoMissing unless the photo is filed at the check's location.
    """
    with book.act(at=at, by=by) as act:
        told = act.told
        location, check = told.plan.characteristic(marked.key)
        if check.kind != "coverage":
            raise BadAct(f"{marked.key} asks for a {check.kind}, not for marks on a photo.")
        filed = {photo.photo for photo in told.photos_at(location.id, told.now)}
        if marked.photo not in filed:
            raise PhotoMissing(
                f"the photo {marked.photo[:12]} is not filed at {location.id}: file it there first."
            )
        refuse_late_photo(told, marked)
        refuse_together(told, marked)
        refuse_other_repeats(told, marked)
        if marked.blind or marked.second_to:
            refuse_second(told, marked, by)
        entry = act.append(marked)
        if not marked.blind:
            append_verdict(act, entry, check)
            work_out(act, marked.key)
        return check_now(act.told, marked.key)


def file_photo(
    book: Book,
    source: Path | BinaryIO,
    suffix: str,
    describe: Callable[[Kept], PhotoTaken],
    *,
    at: str,
    by: str,
) -> Entry:
    """Keep a photo and file it; as Book.add_photo. Marks on it that had lost it count again."""
    return book.add_photo(source, suffix, describe, then=settle, at=at, by=by)


def withdraw(book: Book, asked: SlipAsked, *, at: str, by: str) -> Entry:
    """Keep that a reading was typed, looked like a slip, and was not filed."""
    check = book.plan.characteristic(asked.key)[1]
    if asked.spot not in check.spots:
        raise BadAct(f"{asked.key} has no reading at {asked.spot.words!r}.")
    return book.append(asked, at=at, by=by)


def rework(book: Book, scope: tuple[str, ...], what: str, *, at: str, by: str) -> Entry:
    """Begin a new attempt at these checks or locations; what was read before stays on record.

    Raises BadPlan for what the plan does not have, BadAct without words, and for what lies behind
    a closed hold point.
    """
    if not what.strip():
        raise BadAct("a rework needs its words: what was done.")
    if not scope:
        raise BadAct("a rework needs what it was done to: a check, or a whole location.")
    with book.act(at=at, by=by) as act:
        for each in scope:
            refuse_rework(act.told, each)
        entry = act.append(Reworked(tuple(dict.fromkeys(scope)), what))
        settle(act)
    return entry


def strike(book: Book, cited: str | int, reason: str, *, at: str, by: str) -> Entry:
    """Strike a wrong entry: it stays legible and no longer counts; return the striking entry.

    What a hand entered can be struck, once, with a reason. What rested on it no longer counts
    either. Raises NoSuchEntry, BadAct.
    """
    if not reason.strip():
        raise BadAct("a strike needs its reason.")
    entry = book.entry(cited)
    if isinstance(entry.evidence, Reopened):
        raise BadAct("a reopening is not struck: close the hold point again, which asks for proof.")
    if not can_be_struck(entry):
        raise BadAct(_why_not_struck(book, entry))
    with book.act(at=at, by=by) as act:
        if entry.hash in act.told.strikes:
            raise BadAct(f"entry {entry.seq} was struck already.")
        striking = act.append(Struck(entry.hash, reason))
        settle(act)
    return striking


def _why_not_struck(book: Book, entry: Entry) -> str:
    """Return why an entry can't be struck, and what to strike or to enter in its place."""
    home = book.told.entries[0].bench
    number = numbered(entry, home)
    record = entry.evidence
    if isinstance(record, Derived):
        cited = sorted(map(book.entry, record.from_entries), key=lambda e: (e.bench, e.seq))
        parts = ", ".join(numbered(each, home) for each in cited)
        return f"entry {number} is worked out from others: strike the one that is wrong of {parts}."
    if isinstance(record, Judged):
        subject = book.entry(record.subject)
        if not can_be_struck(subject):
            return _why_not_struck(book, subject)
        return f"entry {number} is the verdict on entry {numbered(subject, home)}: strike that one."
    return f"entry {number} ({entry.kind}) can't be struck: enter what is right, it counts instead."


def can_be_struck(entry: Entry) -> bool:
    """Return whether a hand entered it and may have been wrong; what follows from it can't be."""
    record = entry.evidence
    if isinstance(record, PlanChanged):
        return isinstance(record.change, NeverFitted)
    return isinstance(record, _CAN_BE_STRUCK)


def next_spot(told: Telling, key: str) -> Spot:
    """Return the spot of a grid that is to be read next: the first without a reading.

    With every spot read it is the first again. Raises BadPlan.
    """
    check = told.plan.characteristic(key)[1]
    for spot in check.spots:
        if told.spot_reading(key, spot, told.now) is None:
            return spot
    return check.spots[0]
