"""How large a stamp on the map is and how far it keeps from the holes. No Qt in here."""

from collections.abc import Callable

from capture.desk.map.faces import Spotted

HIGH, SIGN, SLIP, MARGIN = 30.0, 20.0, 18.0, 8.0
SLIP_WIDE = SLIP + 4.0
_GAP = 7.0  # between number and sign
# Of the picture's height: a large core hole of a whole side has about a tenth for its radius.
_SHARES = (0.14, 0.1, 0.07)
ROOMY = 2  # so many of them are well clear
_LEAST, _MOST = 26.0, 260.0  # screen px
_CUT = "\u2026"

Measure = Callable[[str], float]


def stamp_wide(spot: Spotted, bold: Measure) -> float:
    """Return a stamp's width in pixels: number, sign, and the slip of a waiver."""
    slip = SLIP_WIDE if spot.lying.waived else 0.0
    return 2 * MARGIN + bold(str(spot.number)) + _GAP + SIGN + slip


def kept_clear(picture_high: float) -> tuple[float, ...]:
    """Return how much of the metal round each place stays in sight, in pixels, the most first.

    ``picture_high`` is the height of the whole picture on the screen: enlarged, a hole is larger.
    """
    found = (min(max(share * picture_high, _LEAST), _MOST) for share in _SHARES)
    return tuple(dict.fromkeys((*found, _LEAST)))


def cut(text: str, room: float, measure: Measure) -> str:
    """Return as much of a text as there is room for, with an ellipsis where it was cut."""
    if measure(text) <= room:
        return text
    while text and measure(text + _CUT) > room:
        text = text[:-1]
    return text.rstrip() + _CUT
