"""What the map says of itself. No Qt in here."""

from capture.desk.map.faces import Face, Spotted
from capture.desk.photos.times import times_in_words
from capture.words.quantities import count_text
from store.plan import HoldPoint
from store.round import Hold, Round

TITLE = "Where is it on the block?"
STAMPS_HINT = "Press a number to go there; drag one to move it."
AIM_HINT = (
    "Press on the photo, or move the cross with the arrow keys and press Space; Esc leaves it."
)
NUDGE_HINT = "Space sets it where it is now, Esc puts it back."
MISTAKEN = "placed on the map by mistake, put back at once"


def above_of(face: Face | None, faces: tuple[Face, ...], spotted: tuple[Spotted, ...]) -> str:
    """Return the line over the question: which face, how many are on it, how many on none."""
    left = sum(each.at is None for each in spotted)
    waiting = f"{left} not placed yet" if left else "all placed"
    if face is None:
        return f"{count_text(len(spotted), 'location')}  ·  {waiting}"
    at = faces.index(face) + 1
    on_it = f"{face.bears} of {count_text(len(spotted), 'location')} on it"
    return f"Face {at} of {len(faces)}, {face.name}  ·  {on_it}  ·  {waiting}"


def title_of(aiming: Spotted | None) -> str:
    """Return the question."""
    return f"Where is {aiming.number}, {aiming.name}?" if aiming is not None else TITLE


def caption_of(face: Face) -> tuple[str, ...]:
    """Return what stands over the photo on the left."""
    taken = face.photo.taken
    up = taken.up or ""
    return "overall", face.name, up, times_in_words(taken.camera_time, face.photo.stamp.at)


def cover_words(cover: HoldPoint | None, covers: list[Hold]) -> str:
    """Return what stands over the photo on the right: what the dashed belt means."""
    if cover is None:
        return ""
    closed = any(each.hold_point.id == cover.id and each.closed for each in covers)
    return f"dashed: what \u201c{cover.name}\u201d {'hides' if closed else 'will hide'}"


def cover_verb(cover: HoldPoint | None) -> str:
    """Return the words of the verb that goes from cover to cover."""
    return f"Cover: {cover.name}" if cover is not None else "Cover: none shown"


def no_face(known: Round) -> str:
    """Return why there is no map yet and what to do: one sentence, in two lines."""
    return (
        "There is no overall photo of the block yet: take one of each face,\n"
        f"then place the {count_text(len(known.places), 'location')} on it."
    )


OF_WHICH_FACE = "Overall of which face?"
FACE_HINT = "The photo is filed at the location chosen, and the face bears its name."
NO_FACE_CHOSEN = "It is not said which face it shows: choose the location that it is filed at."


def face_choices(known: Round | None) -> tuple[tuple[str, str], ...]:
    """Return the locations that a face can be filed at, none of them beforehand."""
    places = known.places if known is not None else ()
    named = ((p.location.id, f"{p.location.id}  {p.location.name}") for p in places)
    return (("", "choose"), *named)


def placed_words(spot: Spotted, *, moved: bool) -> str:
    """Return the sentence that says that a location has its place."""
    return f"{spot.number}, {spot.name}, {'moved' if moved else 'placed'} on the map"


def back_words(spot: Spotted) -> str:
    """Return the sentence that says that a location is where it was before."""
    where = "back where it was" if spot.at is not None else "taken off the map again"
    return f"{spot.number}, {spot.name}, {where}"
