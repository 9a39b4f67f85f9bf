"""The block map: an overall photo with every location placed on it, numbered, with its sign."""

from typing import Any

from store.evidence import MapPlaced
from store.report import words
from store.report.captions import caption
from store.report.figures import count
from store.report.labels import Hole, laid_out
from store.report.pictures import Wanted
from store.report.prints import Print, source_of
from store.report.view import BookView
from store.report.words import NEVER, Bits
from store.round import Photo, Place, Round

_MM = 72 / 25.4
_WIDE_PT, _TALL_PT = 139 * _MM, 150 * _MM
_LETTER_PT, _SIGN_PT, _LABEL_PT = 4.7, 12.0, 12.5  # of a label: a figure's width, sign, height
_WORST_FIRST = ("outside", "too close to call", "not measured", "within", "no limit", NEVER)


def maps(view: BookView, known: Round) -> list[tuple[dict[str, Any], Print]]:
    """Return the data of every block map, with its photo, in the order of the round."""
    by_photo: dict[str, list[tuple[Place, MapPlaced]]] = {}
    for place in known.places:
        placed = place.on_map.record if place.on_map else None
        if isinstance(placed, MapPlaced):
            by_photo.setdefault(placed.photo, []).append((place, placed))
    photos = _overall(known)
    return [
        _map(view, photos[photo], placings, number, len(by_photo))
        for number, (photo, placings) in enumerate(by_photo.items(), start=1)
        if photo in photos
    ]


def _overall(known: Round) -> dict[str, Photo]:
    """Return every photo that a map may be drawn on, by its number."""
    return {
        photo.taken.photo: photo
        for place in known.places
        for photo in place.photos_of("overall")
        if photo.taken.can_be_shown
    }


def state_at(place: Place) -> str:
    """Return the word of a location's sign: its worst check's, empty where none is asked."""
    there = {words.sign_of(check) for check in place.checks}
    if place.never is not None:
        return NEVER
    return next((state for state in _WORST_FIRST if state in there), "")


def _map(
    view: BookView,
    photo: Photo,
    placings: list[tuple[Place, MapPlaced]],
    number: int,
    number_of: int,
) -> tuple[dict[str, Any], Print]:
    taken = photo.taken
    full_width, full_height = float(taken.width_px or 1), float(taken.height_px or 1)
    width = min(_WIDE_PT, _TALL_PT * full_width / full_height)
    holes, layout = _layout(placings, width, full_width, full_height)
    if layout.margin:
        # The margins come out of the page's width, and the holes move with the smaller picture.
        width = min(width, _WIDE_PT - 2 * layout.margin)
        holes, layout = _layout(placings, width, full_width, full_height)
    name = f"map{number}"
    states = [state_at(place) for place, _ in placings]
    head: Bits = [f"{count(len(placings), 'location')} of {len(view.round().places)} placed"]
    data = {
        "file": f"{name}.jpg",
        "number": f"{number} of {number_of}" if number_of > 1 else "",
        "lead": [*head, "."],
        "width": width,
        "height": width * full_height / full_width,
        "full": layout.height,
        "margin": layout.margin,
        "marks": [
            {
                "id": place.location.id,
                "state": state,
                "suspect": any(check.suspect for check in place.checks),
                "x": hole.x, "y": hole.y,
                "left": label.left, "top": label.top, "width": label.width, "height": label.height,
                "to-x": label.to_x, "to-y": label.to_y,
            }
            for (place, _), state, hole, label in zip(
                placings, states, holes, layout.labels, strict=True
            )
        ],
        "list": [
            {"id": place.location.id, "name": place.location.name, "state": state,
             "suspect": any(check.suspect for check in place.checks)}
            for (place, _), state in zip(placings, states, strict=True)
        ],
        "caption": caption(photo, None, None),
        "alt": _heard(placings, states),
    }  # fmt: skip
    wanted = Wanted(f"{name}.jpg", source_of(view, taken.photo), taken.photo, width)
    return data, Print(data, wanted)


def _layout(
    placings: list[tuple[Place, MapPlaced]], width: float, full_width: float, full_height: float
) -> Any:  # noqa: ANN401 - below
    scale = width / full_width
    holes = [
        Hole(
            # The middle of a pixel is at a half: x_px 0 is half a pixel from the edge.
            (placed.x_px + 0.5) * scale,
            (placed.y_px + 0.5) * scale,
            _LETTER_PT * len(place.location.id) + _SIGN_PT + 5,
            _LABEL_PT,
        )
        for place, placed in placings
    ]
    return holes, laid_out(holes, width, full_height * scale)


def _heard(placings: list[tuple[Place, MapPlaced]], states: list[str]) -> str:
    said = "; ".join(
        f"{place.location.id} {place.location.name}{f', {state}' if state else ''}"
        for (place, _), state in zip(placings, states, strict=True)
    )
    return f"Block map. {said}."
