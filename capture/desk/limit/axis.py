"""Facts -> the part of the scale that is shown, and its round ticks."""

from itertools import combinations
from math import ceil, floor, log10
from typing import NamedTuple

from capture.desk.limit.facts import Facts, Wall

APART_PX = 8.0  # nearer than that, two lines five pixels thick look like one
_MARGIN = 0.4  # of what must be shown, left free on either side
_WORTH = 3.0  # a scale from 0 to 100 % is left only for so much more room
_TINY = 1e-9


class Axis(NamedTuple):
    """A scale from ``first`` to ``last``, drawn from ``left`` to ``right`` in pixels."""

    first: float
    last: float
    left: float
    right: float

    def at(self, value: float) -> float:
        """Return where a value stands, held at the ends of the scale."""
        share = (value - self.first) / (self.last - self.first)
        return self.left + min(1.0, max(0.0, share)) * (self.right - self.left)

    def shows(self, value: float) -> bool:
        """Return whether a value lies on the scale."""
        slack = _TINY * (self.last - self.first)
        return self.first - slack <= value <= self.last + slack


class Tick(NamedTuple):
    """One tick; ``decimals`` is None for one without a figure."""

    value: float
    decimals: int | None


def axis_of(facts: Facts, left: float, right: float) -> Axis:
    """Return the scale that tells value, bound and limit apart as well as it can."""
    wide = Axis(*_wide(facts, facts.walls), left, right)
    if facts.value is None:
        return wide
    close = Axis(*_close(facts), left, right)
    # A wall is left off the scale for the sake of the other wall, never for a longer blade.
    to_wall = not all(close.shows(wall.value) for wall in facts.deciding)
    nearest = _nearest(facts, wide, to_wall=to_wall)
    there = _nearest(facts, close, to_wall=to_wall)
    zooms = nearest < APART_PX and (there >= APART_PX or there > _WORTH * nearest)
    return close if zooms else wide


def ticks_of(axis: Axis, figures: int, *, whole: bool = False) -> tuple[Tick, ...]:
    """Return round ticks with a figure at every second one, about ``figures`` of those.

    ``whole``: only whole ones, for there is no half of what is counted.
    """
    rough = (axis.last - axis.first) / max(2, figures)
    power = 10.0 ** floor(log10(rough))
    step = next(m * power for m in (1, 2, 5, 10) if m * power >= rough * (1 - _TINY))
    step = max(step, 1.0) if whole else step
    decimals = max(0, -floor(log10(step) + _TINY))
    half = step if whole and step < 2 else step / 2  # noqa: PLR2004 - half of one is no count
    start, end = ceil(axis.first / half - _TINY), floor(axis.last / half + _TINY)
    every = 1 if half == step else 2
    return tuple(
        Tick(half * k, decimals if k % every == 0 else None) for k in range(start, end + 1)
    )


def _wide(facts: Facts, walls: tuple[Wall, ...]) -> tuple[float, float]:
    """Return the ends of a scale with everything on it."""
    shown = [wall.value for wall in walls]
    shown += [each for each in (facts.value, facts.low, facts.high) if each is not None]
    shown += facts.interval or ()
    if facts.ends is not None:
        return min(facts.ends[0], *shown), max(facts.ends[1], *shown)
    low, high = min(shown), max(shown)
    return _with_margins(low, high)


def _with_margins(low: float, high: float) -> tuple[float, float]:
    # Wide enough that the figures of a double still tell its ticks apart.
    width = max(high - low, 1e-9 * max(abs(low), abs(high)))
    if high == low:
        width = abs(high) or 1.0
    first, last = low - _MARGIN * width, high + _MARGIN * width
    # A size cannot be negative: the scale does not say it might.
    return (0.0 if low >= 0 > first else first), last


def _close(facts: Facts) -> tuple[float, float]:
    """Return the ends of a scale that shows the value and the wall that matters most."""
    shown = [each for each in (facts.value, facts.low, facts.high) if each is not None]
    if facts.worst is not None:
        shown.append(facts.worst[0].value)
    first, last = _with_margins(min(shown), max(shown))
    if facts.ends is not None:
        first, last = max(first, facts.ends[0]), min(last, facts.ends[1])
    return first, last


def _nearest(facts: Facts, axis: Axis, *, to_wall: bool) -> float:
    """Return the least distance in pixels of value, bound and wall that are not the same.

    ``to_wall``: only of what lies beside the wall.
    """
    if facts.worst is None or facts.value is None:
        return APART_PX
    wall, bound = facts.worst
    marks = {facts.value, bound, wall.value}
    pairs = [pair for pair in combinations(marks, 2) if wall.value in pair or not to_wall]
    return min((abs(axis.at(a) - axis.at(b)) for a, b in pairs), default=APART_PX)
