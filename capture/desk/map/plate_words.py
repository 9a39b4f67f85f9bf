"""What a plate on the map shows, and how wide it is. No Qt in here."""

from collections.abc import Callable
from typing import NamedTuple

from capture.desk.map.faces import Spotted

HIGH, SIGN = 52.0, 24.0
STAMP_HIGH, STAMP_SIGN = 34.0, 20.0
TEXT_LEFT, MARGIN = 44.0, 12.0
MOST_WIDE, LESS_WIDE = 260.0, 208.0
_STAMP_GAP = 6.0
_CUT = "\u2026"

Measure = Callable[[str], float]


class Plated(NamedTuple):
    """The words of a plate and its size; a stamp has a number only."""

    top: str
    word: str
    value: str
    width: float
    height: float


def plated(
    spot: Spotted, body: Measure, bold: Measure, caption: Measure, most: float = MOST_WIDE
) -> Plated:
    """Return a plate with number and name over word and value, ``most`` pixels wide at most.

    ``body``, ``bold`` (captions) and ``caption`` tell the width of a text in their type.
    """
    room = most - TEXT_LEFT - MARGIN
    top = cut(f"{spot.number}  {spot.name}", room, body)
    lies = spot.lying
    word = cut("gauge suspect" if lies.suspect else lies.word, room, bold)
    left = room - bold(word) - 8
    value = next((each for each in lies.values if caption(each) <= left), "")
    if lies.waived:
        value = "waived" if caption("waived") <= left else value
    below = bold(word) + (8 + caption(value) if value else 0)
    width = max(body(top), below) + TEXT_LEFT + MARGIN
    return Plated(top, word, value, min(most, width), HIGH)


def stamped(spot: Spotted, bold: Measure) -> Plated:
    """Return a plate with the number only."""
    top = str(spot.number)
    return Plated(top, "", "", MARGIN + STAMP_SIGN + _STAMP_GAP + bold(top) + MARGIN, STAMP_HIGH)


def cut(text: str, room: float, measure: Measure) -> str:
    """Return as much of a text as there is room for, with an ellipsis where it was cut."""
    if measure(text) <= room:
        return text
    while text and measure(text + _CUT) > room:
        text = text[:-1]
    return text.rstrip() + _CUT
