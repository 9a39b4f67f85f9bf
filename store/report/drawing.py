"""What is drawn of numbers: the limit line and the agreement strip, as fractions of a scale.

A limit is a wall, hatched on the side that is not allowed; a value is a stem, and the blade runs
from it to the one-sided bound the rule compares with the limit.
"""

from collections.abc import Callable
from itertools import pairwise
from math import ceil, floor, log10
from typing import Any

from msgspec import Struct

from annotate.quantity import Quantity
from store.characteristic import Limit
from store.report.figures import Saying, number
from store.verdict import Verdict

_MARGIN = 0.3  # of what must be shown, left free on either side
_TICKS = 6
_STRIP_TICKS = 4


class Lane(Struct, frozen=True):
    """One judged value on a limit line; ``quantity`` is in the unit of the line.

    ``say`` is how it is said in the table, if not like the line itself.
    """

    label: str
    quantity: Quantity
    verdict: Verdict
    say: Saying | None = None


def limit_line(
    lanes: tuple[Lane, ...],
    limit: Limit,
    say: Saying,
    *,
    ends: tuple[float, float] | None = None,
) -> dict[str, Any]:
    """Return walls, blades, ticks and texts of one limit line, places as fractions of the scale.

    ``ends`` are true ends of the scale where it has some (0 and 100 %), else the scale is chosen
    to tell value, bound and limit apart.
    """
    walls = walls_of(limit, say.unit)
    first, last = ends or _scale(lanes, walls, say.unit)
    whole = say.unit == "count"

    def place(value: float) -> float:
        return min(1.0, max(0.0, (value - first) / (last - first)))

    return {
        "walls": [
            {
                "at": place(value),
                "side": "left" if least else "right",
                "text": f"limit: {_side(least)} {say.stated(value)}",
            }
            for value, least in walls
        ],
        "ticks": [
            {"at": place(v), "text": say.tick(v, d)} for v, d in _ticks(first, last, whole=whole)
        ],
        "lanes": [_lane(lane, walls, say, place) for lane in lanes],
        "alt": " ".join(_spoken(lane, walls, say) for lane in lanes),
    }


def small_line(
    lane: Lane, limit: Limit, say: Saying, *, ends: tuple[float, float] | None = None
) -> dict[str, Any]:
    """Return the limit line of one value without figures: they stand beside and below it."""
    drawn = limit_line((lane,), limit, say, ends=ends)
    walls = [{"at": wall["at"], "side": wall["side"]} for wall in drawn["walls"]]
    (only,) = drawn["lanes"]
    return {
        "walls": walls,
        "lanes": [{k: v for k, v in only.items() if k not in {"label", "text"}}],
        "alt": drawn["alt"],
    }


def limits_said(limit: Limit, say: Saying) -> str:
    """Return the limit in words: "at least 1.5 mm and at most 2.5 mm"."""
    return " and ".join(
        f"{_side(least)} {say.stated(value)}" for value, least in walls_of(limit, say.unit)
    )


def bounds_in(verdict: Verdict, unit: str) -> tuple[float | None, float | None]:
    """Return the one-sided bounds (low, high) in ``unit``; None where the limit has no side."""
    limit = verdict.limit
    low, high = (
        None if bound is None or side is None else Quantity(bound, side.unit).to(unit).value
        for bound, side in (
            (verdict.bound_low, limit.at_least or limit.at_most),
            (verdict.bound_high, limit.at_most or limit.at_least),
        )
    )
    return low, high


def walls_of(limit: Limit, unit: str) -> list[tuple[float, bool]]:
    """Return the limit's values in ``unit`` and whether each is an "at least"."""
    sides = ((limit.at_least, True), (limit.at_most, False))
    return [(side.to(unit).value, least) for side, least in sides if side is not None]


def _side(least: bool) -> str:
    return "at least" if least else "at most"


def _scale(
    lanes: tuple[Lane, ...], walls: list[tuple[float, bool]], unit: str
) -> tuple[float, float]:
    shown = [value for value, _ in walls]
    for lane in lanes:
        shown += [lane.quantity.value, *lane.quantity.interval()]
        shown += [bound for bound in bounds_in(lane.verdict, unit) if bound is not None]
    low, high = min(shown), max(shown)
    width = (high - low) or abs(high) or 1.0
    first = low - _MARGIN * width
    # A size cannot be negative: do not draw a scale that says it might.
    return (0.0 if low >= 0 > first else first), high + _MARGIN * width


def _ticks(
    first: float, last: float, about: int = _TICKS, *, whole: bool = False
) -> list[tuple[float, int]]:
    """Return round values along a scale and the decimals they are printed with.

    ``whole``: only whole ones, for there is no half of what is counted.
    """
    rough = (last - first) / about
    power = 10.0 ** floor(log10(rough))
    step = next(m * power for m in (1, 2, 5, 10) if m * power >= rough * (1 - 1e-9))
    step = max(step, 1.0) if whole else step
    decimals = max(0, -floor(log10(step) + 1e-9))
    start = ceil(first / step - 1e-9)
    return [(step * k, decimals) for k in range(start, floor(last / step + 1e-9) + 1)]


def _lane(
    lane: Lane,
    walls: list[tuple[float, bool]],
    say: Saying,
    place: Callable[[float], float],
) -> dict[str, Any]:
    low, high = lane.quantity.interval()
    value = lane.quantity.value
    blades = []
    for bound in bounds_in(lane.verdict, say.unit):
        if bound is not None:
            blades += _blade(min(value, bound), max(value, bound), walls)
    return {
        "label": lane.label,
        "state": lane.verdict.state,
        "value": place(value),
        "text": (lane.say or say).value(value),
        "low": place(low),
        "high": place(high),
        "blades": [{"from": place(a), "to": place(b), "inside": inside} for a, b, inside in blades],
    }


def _blade(
    low: float, high: float, walls: list[tuple[float, bool]]
) -> list[tuple[float, float, bool]]:
    """Return the blade from low to high, cut at the walls: (from, to, is it inside a wall)."""
    cuts = sorted({low, high, *(wall for wall, _ in walls if low < wall < high)})
    pieces = []
    for a, b in pairwise(cuts):
        middle = (a + b) / 2
        inside = any(middle < wall if least else middle > wall for wall, least in walls)
        pieces.append((a, b, inside))
    return pieces


def _spoken(lane: Lane, walls: list[tuple[float, bool]], say: Saying) -> str:
    counted = say.unit == "count"
    bounds = [
        f"one-sided bound {say.value(bound)}"
        for bound in bounds_in(lane.verdict, say.unit)
        if bound is not None and not counted
    ]
    limits = [f"limit {_side(least)} {say.stated(value)}" for value, least in walls]
    reach = f"95 % interval {say.interval(*lane.quantity.interval())}"
    head = f"{lane.label}: " if lane.label else ""
    parts = [
        head + (lane.say or say).value(lane.quantity.value),
        reach,
        *bounds,
        *limits,
        lane.verdict.state,
    ]
    if counted:
        parts.remove(reach)
    return ", ".join(parts) + "."


def agreement_strip(rows: list[tuple[str, Quantity]], say: Saying) -> dict[str, Any]:
    """Return two routes to one number on one scale, and where their intervals overlap."""
    intervals = [quantity.interval() for _, quantity in rows]
    low = min(low for low, _ in intervals)
    high = max(high for _, high in intervals)
    width = (high - low) or 1.0
    first, last = low - _MARGIN * width, high + 2 * _MARGIN * width

    def place(value: float) -> float:
        return (value - first) / (last - first)

    overlap = (max(a for a, _ in intervals), min(b for _, b in intervals))
    return {
        "rows": [
            {
                "label": label,
                "low": place(a),
                "value": place(quantity.value),
                "high": place(b),
                "text": f"{say.value(quantity.value)}, {say.interval(a, b)}",
            }
            for (label, quantity), (a, b) in zip(rows, intervals, strict=True)
        ],
        "band": [place(v) for v in overlap] if overlap[0] < overlap[1] else [],
        "unit": say.unit_said(),
        "ticks": [
            {"at": place(v), "text": number(v, d)} for v, d in _ticks(first, last, _STRIP_TICKS)
        ],
        "alt": " ".join(
            f"{label}: {say.value(q.value)}, 95 % interval {say.interval(*q.interval())}."
            for label, q in rows
        ),
    }
