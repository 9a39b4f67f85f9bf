"""Which two photos are compared, and what is said of each. No Qt."""

from typing import NamedTuple

from capture.desk.photos.choice import photo_of, photos_in_order
from capture.desk.photos.times import times_in_words
from store.attempt import Photo
from store.evidence import Marked
from store.round import Place, Round


class Chosen(NamedTuple):
    """One photo and where it is filed."""

    place: Place
    photo: Photo


def chosen(known: Round | None, location: str, photo: str) -> Chosen | None:
    """Return a photo, looked for at a location first and then everywhere; None if it is gone."""
    if known is None or not photo:
        return None
    there = sorted(known.places, key=lambda place: place.location.id != location)
    for place in there:
        found = photo_of(place, photo)
        if found is not None:
            return Chosen(place, found)
    return None


def counterpart(known: Round | None, one: Chosen) -> Chosen | None:
    """Return what a photo is compared with where nobody chose: before it, in the same role.

    The last earlier one of its role at its location, else the next later one, else any other
    photo there; None where it is the only one.
    """
    if known is None:
        return None
    others = [
        photo for photo in photos_in_order(one.place)
        if photo.taken.photo != one.photo.taken.photo and photo.taken.can_be_shown
    ]  # fmt: skip
    alike = [photo for photo in others if photo.taken.role == one.photo.taken.role]
    before = [photo for photo in alike if photo.stamp.seq < one.photo.stamp.seq]
    best = before[-1:] or alike[:1] or others[:1]
    return Chosen(one.place, best[0]) if best else None


def locations_with_photos(known: Round | None, here: str) -> tuple[tuple[str, str], ...]:
    """Return (id, words) of each location that has photos, the one that is shown first."""
    places = [place for place in known.places if place.photos] if known else []
    places.sort(key=lambda place: place.location.id != here)
    return tuple((p.location.id, f"{p.location.id}  {p.location.name}") for p in places)


def marks_on(place: Place, photo: str) -> Marked | None:
    """Return the last accepted marks on a photo that were not struck, of any check there."""
    found = [
        attempt for check in place.checks for attempt in check.attempts
        if attempt.struck is None and isinstance(attempt.record, Marked) and attempt.photo == photo
    ]  # fmt: skip
    record = max(found, key=lambda attempt: attempt.stamp.seq).record if found else None
    return record if isinstance(record, Marked) else None


def caption_words(one: Chosen) -> tuple[tuple[str, ...], str]:
    """Return what stands over a photo: where and what it is, and its times."""
    taken, stamp = one.photo.taken, one.photo.stamp
    struck = f"struck: {one.photo.struck.reason}" if one.photo.struck else ""
    left = (one.place.location.id, taken.role, struck)
    return left, times_in_words(taken.camera_time, stamp.at)
