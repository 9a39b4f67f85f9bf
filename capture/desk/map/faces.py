"""Round -> the faces of the block, and what is placed on which. No Qt in here."""

from itertools import chain
from typing import NamedTuple

from annotate.marks import Point
from capture.desk.walk.lying import Lying
from capture.desk.walk.rows import lying_of_all
from capture.words.quantities import printed
from store.evidence import MapPlaced
from store.plan import HoldPoint
from store.round import Hold, Photo, Place, Round

_MOST_KEYS = 9


class Face(NamedTuple):
    """One overall photo. ``name`` is where it was filed, ``bears`` how many are placed on it."""

    photo: Photo
    name: str
    bears: int = 0

    @property
    def key(self) -> str:
        """The photo's id."""
        return self.photo.taken.photo


class Spotted(NamedTuple):
    """A location as the map shows it. ``at`` is its place on the face, None where it has none.

    ``entry`` is what gave it its place; ``hidden``: it lies under a cover that is on.
    """

    key: str
    number: int
    name: str
    lying: Lying
    at: Point | None = None
    photo: str = ""
    entry: str = ""
    hidden: bool = False

    @property
    def spoken(self) -> str:
        """The location for a screen reader."""
        lies = self.lying
        parts = [f"{self.number} {self.name}: {lies.word}", *lies.values[:1]]
        parts += ["gauge suspect"] if lies.suspect else []
        parts += ["waived in writing"] if lies.waived else []
        parts += ["now hidden"] if self.hidden else []
        return ", ".join(parts)


def faces_of(known: Round) -> tuple[Face, ...]:
    """Return every overall photo that can be shown, each once, in the order of arrival.

    They may be filed at any location or hold point; one that was struck is none.
    """
    filed: dict[str, tuple[Photo, str]] = {}
    named = chain(
        ((place.location.name, place.photos) for place in known.places),
        ((hold.hold_point.name, hold.photos) for hold in known.holds),
    )
    for name, photos in named:
        for photo in photos:
            if _is_face(photo):
                filed.setdefault(photo.taken.photo, (photo, name))
    counts: dict[str, int] = {}
    for place in known.places:
        if (placed := _placed(place)) is not None:
            counts[placed.photo] = counts.get(placed.photo, 0) + 1
    faces = sorted(filed.values(), key=lambda each: each[0].stamp.seq)
    return tuple(
        Face(photo, name, counts.get(photo.taken.photo, 0))
        for (photo, _), name in zip(faces, _told_apart([name for _, name in faces]), strict=True)
    )


def spotted_of(known: Round) -> tuple[Spotted, ...]:
    """Return every location of the round, placed or not, in walking order."""
    lying = lying_of_all(known)
    shown = {face.key for face in faces_of(known)}
    return tuple(
        _spotted(number, place, lying[place.location.id], shown)
        for number, place in enumerate(known.places, 1)
    )


def face_to_show(
    faces: tuple[Face, ...], spotted: tuple[Spotted, ...], wanted: str, location: str, last: str
) -> Face | None:
    """Return the face that is asked for, else that of a location, else the last one, else one."""
    there = {face.key: face for face in faces}
    here = next((each.photo for each in spotted if each.key == location), "")
    found = next((there[key] for key in (wanted, here, last) if key in there), None)
    return found or max(faces, key=lambda face: face.bears, default=None)


def covers_on(known: Round, spotted: tuple[Spotted, ...], face: Face | None) -> list[Hold]:
    """Return the hold points that hide something placed on a face, in closing order."""
    there = {each.key for each in spotted if face and each.photo == face.key}
    return [hold for hold in known.holds if there & set(hold.hides)]


def cover_to_show(covers: list[Hold], chosen: str) -> HoldPoint | None:
    """Return the hold point that was chosen, else the first that is open; None for none."""
    if chosen == NO_COVER:
        return None
    found = next((each for each in covers if each.hold_point.id == chosen), None)
    found = found or next((each for each in covers if each.closed is None), None)
    return found.hold_point if found else None


NO_COVER = "-"  # no id: an id begins with a letter or a figure


def following_cover(covers: list[Hold], shown: HoldPoint | None) -> str:
    """Return the id of the hold point after the one that is shown, NO_COVER after the last."""
    ids = [each.hold_point.id for each in covers]
    at = ids.index(shown.id) + 1 if shown is not None and shown.id in ids else 0
    return ids[at] if at < len(ids) else NO_COVER


def _is_face(photo: Photo) -> bool:
    return photo.struck is None and photo.taken.role == "overall" and photo.taken.can_be_shown


def _placed(place: Place) -> MapPlaced | None:
    told = place.on_map
    return told.record if told is not None and isinstance(told.record, MapPlaced) else None


def _spotted(number: int, place: Place, lying: Lying, shown: set[str]) -> Spotted:
    location, placed = place.location, _placed(place)
    lying = lying._replace(values=tuple(map(printed, lying.values)))
    hidden = bool(place.checks) and all(check.hidden for check in place.checks)
    bare = Spotted(location.id, number, location.name, lying, hidden=hidden)
    if placed is None or placed.photo not in shown or place.on_map is None:
        return bare
    return bare._replace(
        at=Point(placed.x_px, placed.y_px), photo=placed.photo, entry=place.on_map.stamp.entry
    )


def _told_apart(names: list[str]) -> list[str]:
    """Return names of which none is there twice: the second of one name says so."""
    seen: dict[str, int] = {}
    found = []
    for name in names:
        seen[name] = seen.get(name, 0) + 1
        found.append(name if seen[name] == 1 else f"{name}, {seen[name]}")
    return found
