"""The acts of the user that give no value: plugs, parts, kit, gauges, the owner, hold points.

Each is one entry with what follows from it, kept whole or not at all.
"""

from store.book import Book
from store.codec import Entry
from store.errors import BadAct, NotProven, PhotoMissing
from store.evidence import (
    DebrisLogged,
    Fitted,
    GaugeCleared,
    GaugeSuspected,
    KitCounted,
    MapPlaced,
    OwnerSaid,
    PhotoTaken,
    Reopened,
    TakenOut,
    Waiver,
)
from store.standing import hold_now
from store.told.suspicion import checked_since
from store.told.telling import Telling
from store.written.closing import closing_record
from store.written.consequences import settle
from store.written.refusals import refuse_hidden, refuse_unfiled


def take_out(
    book: Book, location: str, *, size: str = "", words: str = "", at: str, by: str
) -> Entry:
    """Count a plug out, with its size and its old depth as words. Raises BadPlan, BadAct."""
    with book.act(at=at, by=by) as act:
        if not act.told.plan.location(location).plug:
            raise BadAct(
                f"{location} has no plug by the plan: name one that has, or add such a location "
                "to the plan."
            )
        refuse_hidden(act.told, location)
        _refuse_never_fitted(act.told, location)
        return act.append(TakenOut(location, size, words))


def fit(
    book: Book,
    part: str,
    identity: str,
    *,
    words: str = "",
    photos: tuple[str, ...] = (),
    at: str,
    by: str,
) -> Entry:
    """Say which piece went on as a part; another piece than before voids what was proven on that.

    Raises BadPlan for a part that the plan lacks, BadAct without what tells the piece apart,
    PhotoMissing for a photo that is not filed.
    """
    if not identity.strip():
        raise BadAct("a part needs what tells this piece from another: a number, a mark, its bag.")
    with book.act(at=at, by=by) as act:
        told = act.told
        there = told.plan.part(part)
        if there.location:
            refuse_hidden(told, there.location)
            _refuse_never_fitted(told, there.location)
        refuse_unfiled(told, photos)
        piece = Fitted(part, " ".join(identity.split()), words, photos)
        _refuse_hidden_proof(told, piece)
        entry = act.append(piece)
        settle(act)
    return entry


def _refuse_hidden_proof(told: Telling, piece: Fitted) -> None:
    """Refuse another piece where what was proven on the last one is out of sight."""
    before = told.standing_of(told.fittings[piece.part], told.now)
    last = before[-1].evidence if before else None
    if isinstance(last, Fitted) and last.identity != piece.identity:
        for _, location, check in told.plan.walk():
            if check.part == piece.part:
                refuse_hidden(told, location.id)


def count_kit(book: Book, counted: KitCounted, *, at: str, by: str) -> Entry:
    """Say how many pieces a line of the kit really holds. Raises BadPlan, BadAct."""
    if counted.line not in {line.id for line in book.plan.kit}:
        there = ", ".join(line.id for line in book.plan.kit) or "none"
        raise BadAct(f"no kit line {counted.line!r} in this job; there are {there}.")
    if counted.count < 0:
        raise BadAct("a count is 0 or more.")
    return book.append(counted, at=at, by=by)


def log_debris(
    book: Book, location: str, *, how: str, clean: bool, found: str = "", at: str, by: str
) -> Entry:
    """Log how a gallery was cleaned, what came out, and whether it is clean now."""
    if not how.strip():
        raise BadAct("a debris log needs its words: brushed, blown, looked through with a light?")
    with book.act(at=at, by=by) as act:
        if not act.told.plan.location(location).gallery:
            raise BadAct(
                f"{location} is no gallery by the plan: name one that is, or add such a location "
                "to the plan."
            )
        refuse_hidden(act.told, location)
        return act.append(DebrisLogged(location, how, clean, found))


def owner_said(book: Book, said: OwnerSaid, *, at: str, by: str) -> Entry:
    """Keep what passed between shop and owner, with how it was given."""
    if not said.words.strip() or not said.how.strip():
        raise BadAct("what the owner said needs its words, and how it was given: letter, phone...")
    return book.append(said, at=at, by=by)


def suspect_gauge(book: Book, gauge: str, *, since: str, reason: str, at: str, by: str) -> Entry:
    """Say that a gauge may have been wrong since a date: what rests on it is unproven now."""
    book.plan.gauge(gauge)
    _say(reason, "a suspicion needs its reason")
    return book.append(GaugeSuspected(gauge, checked_since(since), reason), at=at, by=by)


def clear_gauge(book: Book, gauge: str, *, reason: str, at: str, by: str) -> Entry:
    """Say that a suspicion was unfounded, and how that is known."""
    book.plan.gauge(gauge)
    _say(reason, "clearing a gauge needs its reason: how is it known that it was right?")
    with book.act(at=at, by=by) as act:
        standing = act.told.standing_of(act.told.suspicions[gauge], act.told.now)
        if not standing or isinstance(standing[-1].evidence, GaugeCleared):
            raise BadAct(f"{gauge} is not suspect.")
        return act.append(GaugeCleared(gauge, reason))


def place_on_map(book: Book, placed: MapPlaced, *, at: str, by: str) -> Entry:
    """Give a location its place on an overall photo of its block face.

    Raises BadPlan, PhotoMissing unless the photo is filed with the role overall, BadAct for a
    place outside the picture.
    """
    with book.act(at=at, by=by) as act:
        _refuse_off_map(act.told, placed)
        return act.append(placed)


def _refuse_off_map(told: Telling, placed: MapPlaced) -> None:
    """Refuse a place on a photo that is not filed as an overall one, and outside the picture."""
    told.plan.location(placed.location)
    shown = [
        entry.evidence
        for filed in told.filings.values()
        for entry in told.standing_of(filed, told.now)
        if isinstance(entry.evidence, PhotoTaken) and entry.evidence.photo == placed.photo
    ]
    overall = [photo for photo in shown if photo.role == "overall" and photo.can_be_shown]
    if not overall:
        raise PhotoMissing(
            f"the photo {placed.photo[:12]} is not filed as an overall photo: file it with the "
            "role overall first."
        )
    width, height = overall[-1].width_px or 0, overall[-1].height_px or 0
    # (0, 0) is the CENTRE of the first pixel, so the picture begins half a pixel before it.
    if not (0 <= placed.x_px + 0.5 <= width and 0 <= placed.y_px + 0.5 <= height):
        raise BadAct(
            f"{placed.x_px:g},{placed.y_px:g} lies outside the picture of {width} x {height} px."
        )


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

    ``key`` is a check behind the hold point, or a location for what is missing there as a whole.
    ``owner_agreed`` says how the owner's yes was given. Raises BadPlan for an unknown hold point,
    BadAct for missing words and for what is not unproven there.
    """
    _say(reason, "a waiver needs its reason")
    _say(decided_by, "a waiver needs the name of who decided")
    _say(owner_agreed, "a waiver needs how the owner agreed")
    with book.act(at=at, by=by) as act:
        waiting = book.round().hold(hold_id).unproven
        if key in {hold.id for hold in act.told.plan.hold_points}:
            raise BadAct(f"{key} can't be waived: it is hidden by {hold_id}, so close it first.")
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
        hold, _ = hold_now(act.told, hold_id)
        if hold.closed:
            raise BadAct(f"{hold_id} was closed already, by {hold.closed.by}.")
        entry = act.append(closing_record(hold_id, hold.unproven))
    if not hold.unproven:
        return entry
    raise NotProven(
        f"{hold.hold_point.name} must not go on yet: {len(hold.unproven)} behind it not proven "
        f"({'; '.join(f'{key}: {why}' for key, why in hold.unproven)}).",
        hold.unproven,
    )


def reopen(book: Book, hold_id: str, reason: str, *, at: str, by: str) -> tuple[Entry, ...]:
    """Open a closed hold point again, and every one that hides it; return the entries.

    What they hid can be worked on and read again. Raises BadPlan, BadAct.
    """
    _say(reason, "reopening needs its reason")
    with book.act(at=at, by=by) as act:
        told = act.told
        told.plan.hold_point(hold_id)
        if told.closed(hold_id) is None:
            raise BadAct(f"{hold_id} is not closed.")
        above = [
            hold.id
            for hold in reversed(told.plan.hold_points)
            if hold_id in told.plan.closed_before(hold.id) and told.closed(hold.id)
        ]
        return tuple(act.append(Reopened(each, reason)) for each in (*above, hold_id))


def _refuse_never_fitted(told: Telling, location: str) -> None:
    if never := told.never_fitted(location, told.now):
        raise BadAct(
            f"{location}: entry {never.seq} says that this block never had it: strike that first "
            "if it is wrong."
        )


def _say(words: str, need: str) -> None:
    if not words.strip():
        raise BadAct(f"{need}.")
