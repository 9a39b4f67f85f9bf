"""What an act refuses, with what to do instead. Nothing here writes."""

from store.characteristic import ANSWERED_IN_WORDS, Characteristic
from store.errors import BadAct, PhotoMissing
from store.evidence import Derived, Marked, Read
from store.told.repeats import repeats_for
from store.told.telling import Telling


def refuse_what_does_not_answer(told: Telling, check: Characteristic, reading: Read) -> None:
    """Raise BadAct for a reading that does not answer what its check asks, or comes too late."""
    key = reading.key
    if check.is_worked_out:
        wanted = " and ".join(dict.fromkeys(w.key for w in told.wiring_at(told.now).inputs[key]))
        raise BadAct(f"{key} is worked out: enter {wanted} instead.")
    if check.kind == "coverage":
        raise BadAct(f"{key} is measured on a photo: it asks for marks, not for a typed reading.")
    if check.kind == "yes-no" and reading.answer is None:
        raise BadAct(f"{key} asks for yes or no.")
    if check.kind == "note" and not reading.text.strip():
        raise BadAct(f"{key} asks for words.")
    if (check.kind in ANSWERED_IN_WORDS) != (reading.quantity is None):
        words = "words" if check.kind in ANSWERED_IN_WORDS else "a value"
        raise BadAct(f"{key} asks for {words}.")
    if check.kind != "yes-no" and reading.answer is not None:
        raise BadAct(f"{key} does not ask for yes or no.")
    if reading.spot not in check.spots:
        there = "; ".join(spot.words for spot in check.spots if spot.words) or "one reading only"
        raise BadAct(f"{key} has no reading at {reading.spot.words!r}; it has {there}.")
    hidden = hidden_behind(told, key.partition(".")[0])
    if hidden and not reading.read_at:
        raise BadAct(
            f"{key} lies behind {hidden}, which is closed: say when it was read if that was "
            "before, or reopen the hold point."
        )


def refuse_what_it_cites(told: Telling, reading: Read) -> None:
    """Raise for a gauge, photo or zero that is not in this book, or no longer counts.

    BadPlan, PhotoMissing and BadAct.
    """
    if reading.gauge:
        told.plan.gauge(reading.gauge)
    refuse_unfiled(told, reading.photos)
    zero = reading.zero
    if zero is None or not zero.entry:
        return
    cited = told.by_hash.get(zero.entry, (0, None))[1]
    if cited is None or not isinstance(cited.evidence, Read | Derived):
        raise BadAct(
            f"the reading {zero.entry[:12]} that {reading.gauge} was set on is not in this book."
        )
    if told.struck_by(cited.hash, told.now) or told.rests_on_struck(cited.hash, told.now):
        raise BadAct(f"the reading that {reading.gauge} was set on was struck: set it anew.")
    if cited.evidence.quantity != zero.size:
        raise BadAct(f"{reading.gauge} was set on another size than {cited.evidence.key} has.")


def refuse_unfiled(told: Telling, photos: tuple[str, ...]) -> None:
    """Raise PhotoMissing for a photo that is filed nowhere in the book."""
    for photo in photos:
        if not told.is_filed(photo, told.now):
            raise PhotoMissing(f"the photo {photo[:12]} is not filed in this book: file it first.")


def hidden_behind(told: Telling, location_id: str) -> str:
    """Return the closed hold point that hides a location now, empty if it lies open."""
    for hold in told.plan.hold_points:
        if told.closed(hold.id) and location_id in told.plan.hidden_by(hold.id):
            return hold.id
    return ""


def refuse_hidden(told: Telling, location: str, what: str = "") -> None:
    """Raise BadAct where a location (or ``what`` of it) lies behind a closed hold point."""
    if hidden := hidden_behind(told, location):
        raise BadAct(f"{what or location} lies behind {hidden}, which is closed: reopen it first.")


def refuse_late_photo(told: Telling, marked: Marked) -> None:
    """Raise BadAct for marks on a photo that came in when its location was out of sight."""
    location = marked.key.partition(".")[0]
    hidden = hidden_behind(told, location)
    closing = told.closed(hidden) if hidden else None
    if closing is None:
        return
    early = {photo.photo for photo in told.photos_at(location, closing[0])}
    if marked.photo not in early:
        raise BadAct(
            f"{marked.key} lies behind {hidden}, and the photo {marked.photo[:12]} came in after "
            "that was closed: measure on one from before, or reopen the hold point."
        )


def refuse_second(told: Telling, marked: Marked, by: str) -> None:
    """Raise BadAct for second marks that are not blind, not another's, or second to nothing."""
    first = told.by_hash.get(marked.second_to, (0, None))[1]
    if first is None or not isinstance(first.evidence, Marked) or first.evidence.blind:
        raise BadAct("second marks need the first ones: there are none on this photo to compare.")
    if not marked.blind:
        raise BadAct("second marks are placed blind: whoever saw the first ones can't place them.")
    if told.struck_by(first.hash, told.now):
        raise BadAct("the first marks were struck: there is nothing to compare with.")
    if _same_person(first.by, by):
        raise BadAct(f"second marks are another person's: {by} placed the first ones.")
    if (first.evidence.key, first.evidence.photo) != (marked.key, marked.photo):
        raise BadAct("second marks belong to the same check and the same photo as the first.")


def refuse_together(told: Telling, marked: Marked) -> None:
    """Raise BadAct for marks on another photo that can't be measured as one with these."""
    photos = {marked.photo}
    for cited in marked.together:
        entry = told.by_hash.get(cited, (0, None))[1]
        other = entry.evidence if entry else None
        if entry is None or not isinstance(other, Marked) or other.key != marked.key or other.blind:
            raise BadAct(f"entry {cited[:12]} is no marks for {marked.key}: name those.")
        if told.struck_by(cited, told.now):
            raise BadAct(f"entry {entry.seq} was struck: name marks that count.")
        if why := told.void(entry, told.now):
            raise BadAct(f"entry {entry.seq} no longer counts, for {why}: measure that photo anew.")
        if other.photo in photos:
            raise BadAct(
                f"entry {entry.seq} is on a photo that is named already: marks on different photos "
                "are measured together."
            )
        photos.add(other.photo)
    if marked.together and marked.blind:
        raise BadAct("second marks are compared one photo with the same one: leave the others out.")


def refuse_other_repeats(told: Telling, marked: Marked) -> None:
    """Raise BadAct for marks with another spread of marking than the book's marks show by now."""
    shown = repeats_for(told, marked.layer, told.now)
    if shown != (marked.repeats, marked.repeats_from):
        raise BadAct("other marks came in meanwhile and show another spread: measure again.")


def refuse_rework(told: Telling, scope: str) -> None:
    """Raise BadPlan for what the plan lacks, BadAct for what is out of sight or worked out."""
    location, _, check = scope.partition(".")
    if not check:
        told.plan.location(location)
    elif told.plan.characteristic(scope)[1].is_worked_out:
        wires = told.wiring_at(told.now).inputs[scope]
        wanted = " and ".join(dict.fromkeys(wire.key for wire in wires)) or "its location"
        raise BadAct(f"{scope} is worked out: name what was worked on, {wanted}.")
    refuse_hidden(told, location, scope)


def _same_person(one: str, other: str) -> bool:
    return " ".join(one.split()).casefold() == " ".join(other.split()).casefold()
