"""benchproof map: where the locations are on the overall photos of the block."""

import argparse
from collections.abc import Iterator
from typing import TYPE_CHECKING

from capture.commands.typed_options import add_book, add_by, add_json, pixel_pair
from capture.errors import WrongUse

if TYPE_CHECKING:
    from capture.edge import Edge
    from capture.journey import Journey
    from store.round import Place

EXAMPLES = """  benchproof map job-12
  benchproof map job-12 P1 --photo front-face.jpg --click 812,604
  benchproof map job-12 P2 --same --click 1480,610"""


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of this verb."""
    add_book(parser)
    parser.add_argument(
        "location", metavar="LOCATION", nargs="?", help="left out, what is placed is listed"
    )
    parser.add_argument(
        "--click", type=pixel_pair, metavar="X,Y", help="where it is, in pixels of that photo"
    )
    photo = parser.add_mutually_exclusive_group()
    photo.add_argument(
        "--photo", metavar="PHOTO", help="a photo filed as overall: its file, or the start of its "
        "hash (default: the only one there is)",
    )  # fmt: skip
    photo.add_argument(
        "--same", action="store_true", help="the photo that a location was placed on last"
    )
    add_by(parser)
    add_json(parser)


def run(given: argparse.Namespace, edge: "Edge") -> int:
    """List what is placed, or place one location."""
    from capture.commands.books import opened  # noqa: PLC0415 - not for a mere --help
    from capture.commands.edge import say, say_json  # noqa: PLC0415 - the same
    from capture.commands.exits import DONE  # noqa: PLC0415 - the same

    if (given.location is None) != (given.click is None):
        raise WrongUse("to place one say which and where: map BOOK LOCATION --click X,Y")
    with opened(given.book, edge, read_only=given.click is None) as journey:
        if given.click:
            journey.plan.location(given.location)
            journey.place_on_map(given.location, _photo(given, journey), *given.click)
        places = journey.round().places
        names = _file_names(journey)
    if given.json:
        say_json({"places": [_answer(place) for place in places if place.on_map]})
        return DONE
    shown = [place for place in places if given.location in {None, place.location.id}]
    for line in _lines(shown, names, every=given.location is None):
        say(line)
    return DONE


def _photo(given: argparse.Namespace, journey: "Journey") -> str:
    """Return the overall photo that is meant; raises WrongUse where that is not clear."""
    from capture.commands.filed_photos import filed_photos, photo_meant  # noqa: PLC0415 - slow
    from store.evidence import MapPlaced  # noqa: PLC0415 - not for a mere --help

    if given.photo:
        return photo_meant(journey, given.photo, role="overall")
    if given.same:
        for entry in reversed(journey.book.entries()):
            if isinstance(entry.evidence, MapPlaced):
                return entry.evidence.photo
        raise WrongUse("no location was placed yet: name the photo with --photo")
    there = list(filed_photos(journey, role="overall"))
    if len(there) == 1:
        return there[0].photo
    names = ", ".join(f"{taken.file_name} ({taken.photo[:8]})" for taken in there)
    raise WrongUse(
        f"say on which photo with --photo: {names}"
        if there
        else "no overall photo is filed: file one with 'benchproof photo ... --role overall' first"
    )


def _file_names(journey: "Journey") -> dict[str, str]:
    from capture.commands.filed_photos import filed_photos  # noqa: PLC0415 - not for --help

    return {taken.photo: taken.file_name for taken in filed_photos(journey)}


def _lines(places: list["Place"], names: dict[str, str], *, every: bool) -> Iterator[str]:
    from store.evidence import MapPlaced  # noqa: PLC0415 - not for a mere --help

    missing = [place.location.id for place in places if place.on_map is None]
    for place in places:
        placed = place.on_map.record if place.on_map else None
        if isinstance(placed, MapPlaced):
            name = names.get(placed.photo, placed.photo[:12])
            near = f", close to {', '.join(place.neighbours)}" if place.neighbours else ""
            spot = f"{placed.x_px:g},{placed.y_px:g}"
            yield f"{place.location.id}  {place.location.name}: {spot} on {name}{near}"
    if every and missing:
        yield f"not placed: {', '.join(missing)}"


def _answer(place: "Place") -> dict[str, object]:
    from capture.commands.stock_answer import told_answer  # noqa: PLC0415 - only with --json

    placed = told_answer(place.on_map) if place.on_map else {}
    return {**placed, "name": place.location.name, "neighbours": list(place.neighbours)}
