"""The printed targets of our own: which ArUco marker is how large, and what each is for.

Card and tags are told apart by their dictionaries, so no tag is ever read as a card's marker: the
card is of 4x4_50, the coarsest, which is read from the fewest pixels; tags are of 5x5_250, whose
25 bits a chance pattern hardly ever spells.
"""

from collections.abc import Iterable, Mapping

from annotate.marks import Dictionary, Marker
from annotate.quantity import Quantity

CARD_DICTIONARY: Dictionary = "4x4_50"
TAG_DICTIONARY: Dictionary = "5x5_250"
# Side of the black square in mm, by id: the small ones for oil holes, the large ones for faces.
# No size is near another or a tag's, so that the size that was typed tells which one is meant.
CARD_MM = {40: 5.0, 41: 8.0, 42: 10.0, 43: 16.0, 44: 25.0, 45: 40.0}
TAG_MM = 12.0
# Id 0 is left out: a turn is counted from 1.
TAG_IDS = range(1, 250)
# Across its cut piece, white border and all, in marker sides; ``card`` counts on it in a bore.
PIECE_SIDES = 1.5
# No marker wider than this part of a bore: the piece's sagitta stays near that of its parabola.
LARGEST_OF_BORE = 0.25
# A print farther off than this was scaled by the printer.
SCALED = 0.03
MODULES = {"4": 6, "5": 7, "6": 8, "7": 9}  # across the black square, black border included


def cells(dictionary: Dictionary, identifier: int) -> tuple[str, ...]:
    """Return a marker's modules row by row, "1" for white, black border included."""
    import cv2  # noqa: PLC0415 - 100 ms that most verbs never need

    named = cv2.aruco.getPredefinedDictionary(getattr(cv2.aruco, f"DICT_{dictionary.upper()}"))
    shades = cv2.aruco.generateImageMarker(named, identifier, MODULES[dictionary[0]])
    return tuple("".join("1" if shade > 127 else "0" for shade in row) for row in shades)  # noqa: PLR2004 - grey


def stated_side_mm(marker: Marker) -> float | None:
    """Return the side in mm that a marker has on our own page at 100 %, None for a foreign one."""
    return _stated_mm(marker.dictionary, marker.identifier)


def _stated_mm(dictionary: Dictionary, identifier: int) -> float | None:
    if dictionary == TAG_DICTIONARY:
        return TAG_MM if identifier in TAG_IDS else None
    return CARD_MM.get(identifier) if dictionary == CARD_DICTIONARY else None


def own_sides_mm(seen: Mapping[Dictionary, Iterable[int]]) -> tuple[float, ...]:
    """Return the sides in mm, at 100 %, of those markers that are our own; each once, rising."""
    sides = {
        side
        for dictionary, identifiers in seen.items()
        for identifier in identifiers
        if (side := _stated_mm(dictionary, identifier)) is not None
    }
    return tuple(sorted(sides))


def is_stated(marker: Marker, side: Quantity) -> bool:
    """Return whether ``side`` may be the printed side of this marker of ours."""
    stated = stated_side_mm(marker)
    return stated is not None and abs(side.to("mm").value / stated - 1) <= SCALED
