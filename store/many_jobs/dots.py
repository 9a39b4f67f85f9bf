"""Values as dots on one scale, a line each, with interval and limit -> SVG.

Drawn as all our drawings are: a limit is a wall, hatched on the side that is not allowed. Where a
value stands is told by the shape of its dot and by a word; colour (Okabe and Ito's, darkened) only
helps. No script, no font of its own, nothing fetched.
"""

import re
from collections.abc import Callable, Iterator
from itertools import groupby
from math import ceil, floor, log10
from xml.sax.saxutils import escape

from msgspec import Struct

from store.report.figures import number

WIDE, ROW = 1030, 30
_HEAD, _FOOT = 84, 92
_MARGIN, _LEFT, _RIGHT = 24, 380, 750  # of the page, and where the scale begins and ends
_SAID, _STATE = 766, 908  # where the value is written, and where it stands
_HATCH = 6
_TICKS = 6
_NO_TEXT = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")  # XML 1.0, 2.2
_INK, _PALE, _RULE, _SHEET = "#17191C", "#4B4F54", "#C9C6BD", "#FFFFFF"
_COLOUR = {"within": "#006A4D", "outside": "#AF4500", "too close to call": "#9A3F80"}
_STATES = ("within", "outside", "too close to call", "no limit")
_OPENED = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide} {high}" width="{wide}" '
    'height="{high}" role="img" font-family="sans-serif" font-size="13" fill="{ink}">'
)
_Across = Callable[[float], float]


class Lane(Struct, frozen=True):
    """One value in the unit of the scale; ``least`` and ``most`` are what its limit allows.

    ``name`` and ``beside`` are its two labels, ``said`` the value in words.
    """

    name: str
    beside: str
    said: str
    state: str
    value: float
    low: float
    high: float
    least: float | None = None
    most: float | None = None


class Sheet(Struct, frozen=True):
    """The texts round the lanes: two lines above, what the scale is of below."""

    title: str
    under: str
    axis: str


def drawn(lanes: list[Lane], sheet: Sheet) -> str:
    """Return the drawing of one lane or more, the first at the top."""
    first, last = _ends(lanes)
    high = _HEAD + ROW * len(lanes) + _FOOT

    def across(value: float) -> float:
        return round(_LEFT + (value - first) / (last - first) * (_RIGHT - _LEFT), 1)

    told = " ".join(f"{each.name}, {each.beside}: {each.said}, {each.state}." for each in lanes)
    parts = [
        _OPENED.format(wide=WIDE, high=high, ink=_INK),
        f"<title>{_safe(sheet.title)}</title>",
        f"<desc>{_safe(told)}</desc>",
        f'<rect width="{WIDE}" height="{high}" fill="{_SHEET}"/>',
        _text(_MARGIN, 34, sheet.title, 'font-size="18" font-weight="bold"'),
        _text(_MARGIN, 58, sheet.under, f'fill="{_PALE}"'),
        *_scale(first, last, len(lanes), across),
        _text((_LEFT + _RIGHT) / 2, high - _FOOT + 42, sheet.axis, 'text-anchor="middle"'),
        *_walls(lanes, across),
        *(part for at, lane in enumerate(lanes) for part in _lane(at, lane, across)),
        *_legend(lanes, high - 20),
        "</svg>",
    ]
    return "\n".join(parts) + "\n"


def _ends(lanes: list[Lane]) -> tuple[float, float]:
    """Return the ends of a scale that shows every interval and every limit, and a little more."""
    shown = [end for lane in lanes for end in (lane.low, lane.high, lane.value)]
    shown += [end for lane in lanes for end in (lane.least, lane.most) if end is not None]
    low, high = min(shown), max(shown)
    room = ((high - low) or abs(high) or 1.0) * 0.08
    # A size cannot be negative: no scale that says it might.
    return (0.0 if low >= 0 > low - room else low - room), high + room


def _scale(first: float, last: float, lanes: int, across: _Across) -> Iterator[str]:
    foot = _HEAD + ROW * lanes
    rough = (last - first) / _TICKS
    power = 10.0 ** floor(log10(rough))
    step = next(m * power for m in (1, 2, 5, 10) if m * power >= rough * (1 - 1e-9))
    decimals = max(0, -floor(log10(step) + 1e-9))
    for count in range(ceil(first / step - 1e-9), floor(last / step + 1e-9) + 1):
        x = across(step * count)
        yield f'<path d="M{x} {_HEAD - 6}V{foot + 6}" stroke="{_RULE}"/>'
        yield _text(x, foot + 22, number(step * count, decimals), 'text-anchor="middle"')
    yield f'<path d="M{_LEFT} {foot + 6}H{_RIGHT}" stroke="{_PALE}"/>'


def _walls(lanes: list[Lane], across: _Across) -> Iterator[str]:
    """Yield the walls of the limits; lanes one below the other with one limit share one wall."""
    for side, outward in (("least", -1), ("most", 1)):
        at = 0
        for value, same in groupby(lanes, key=lambda lane: getattr(lane, side)):
            top, count = _HEAD + ROW * at, len(list(same))
            at += count
            if value is not None:
                yield from _wall(across(value), top + 2, top + ROW * count - 2, outward)


def _wall(x: float, top: int, foot: int, outward: int) -> Iterator[str]:
    yield f'<path d="M{x} {top}V{foot}" stroke="{_INK}" stroke-width="1.6"/>'
    strokes = "".join(
        f"M{x} {y}l{outward * _HATCH} {_HATCH}" for y in range(top, foot - _HATCH + 1, _HATCH)
    )
    yield f'<path d="{strokes}" stroke="{_PALE}" stroke-width="0.9" fill="none"/>'


def _lane(at: int, lane: Lane, across: _Across) -> Iterator[str]:
    y = _HEAD + ROW * at + ROW // 2
    yield _text(_MARGIN, y + 5, lane.name, 'font-weight="bold"')
    yield _text(_LEFT - 14, y + 5, lane.beside, f'text-anchor="end" fill="{_PALE}"')
    left, middle, right = across(lane.low), across(lane.value), across(lane.high)
    colour = _COLOUR.get(lane.state, _INK)
    ends = f"M{left} {y - 4}v8M{right} {y - 4}v8"
    yield f'<path d="M{left} {y}H{right}{ends}" stroke="{colour}" stroke-width="1.6" fill="none"/>'
    yield _dot(middle, y, lane.state)
    yield _text(_SAID, y + 5, lane.said, "")
    yield _text(_STATE, y + 5, lane.state, "")


def _dot(x: float, y: float, state: str) -> str:
    """Return the dot of a state: full for within, a full diamond outside, open where undecided."""
    colour = _COLOUR.get(state, _INK)
    if state == "within":
        return f'<circle cx="{x}" cy="{y}" r="5" fill="{colour}"/>'
    if state == "outside":
        return f'<path d="M{x} {y - 7}l7 7l-7 7l-7 -7z" fill="{colour}"/>'
    if state == "too close to call":
        return (
            f'<circle cx="{x}" cy="{y}" r="5" fill="{_SHEET}" stroke="{colour}" stroke-width="2"/>'
        )
    return f'<path d="M{x - 4.5} {y - 4.5}h9v9h-9z" fill="{_SHEET}" stroke="{_INK}"/>'


def _legend(lanes: list[Lane], y: float) -> Iterator[str]:
    x = float(_MARGIN)
    for state in (state for state in _STATES if any(lane.state == state for lane in lanes)):
        yield _dot(x + 7, y - 5, state)
        yield _text(x + 20, y, state, f'fill="{_PALE}"')
        x += 50 + 7.5 * len(state)
    if any(lane.least is not None or lane.most is not None for lane in lanes):
        yield from _wall(x + 2, int(y) - 14, int(y) + 4, 1)
        yield _text(x + 20, y, "limit, hatched where it does not allow", f'fill="{_PALE}"')


def _text(x: float, y: float, text: str, how: str) -> str:
    return f'<text x="{x:g}" y="{y:g}" {how}>{_safe(text)}</text>'


def _safe(text: str) -> str:
    """Return a text as SVG has it; what XML has no place for is told by a sign in its stead."""
    return escape(_NO_TEXT.sub("\N{REPLACEMENT CHARACTER}", text))
