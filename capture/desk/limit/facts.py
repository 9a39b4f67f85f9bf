"""The numbers that a limit line is drawn from, all in one unit."""

from math import inf
from typing import NamedTuple

from store.attempt import Standing
from store.report.figures import Saying


class Wall(NamedTuple):
    """One side of a limit: what lies beyond ``value`` is not allowed.

    ``least``: it is an "at least", and what is not allowed lies to the left. ``name`` is empty for
    the limit that decides, else "new limit" or "wear limit". ``words`` are its text, the longest
    first.
    """

    value: float
    least: bool
    name: str
    words: tuple[str, ...]


class Facts(NamedTuple):
    """What is drawn of one check. Numbers are in ``say.unit``; None is not known or not there.

    ``low`` and ``high`` are the one-sided bounds that the rule compares with the limit,
    ``interval`` is the two-sided 95 % one. ``simple``: the value alone is compared. ``ends`` are
    the true ends of the scale where it has some. ``said`` is the value in words and ``aside`` what
    stands small beside it.
    """

    say: Saying
    state: Standing = "not measured"
    value: float | None = None
    interval: tuple[float, float] | None = None
    low: float | None = None
    high: float | None = None
    walls: tuple[Wall, ...] = ()
    ends: tuple[float, float] | None = None
    simple: bool = False
    said: str = ""
    aside: str = ""
    heads: tuple[str, str] = ("", "")

    @property
    def deciding(self) -> tuple[Wall, ...]:
        """The walls of the limit that decides."""
        return tuple(wall for wall in self.walls if not wall.name)

    @property
    def bounds(self) -> tuple[tuple[Wall, float], ...]:
        """Each deciding wall with the bound that is compared with it, where there is one."""
        pairs = ((wall, self.low if wall.least else self.high) for wall in self.deciding)
        return tuple((wall, bound) for wall, bound in pairs if bound is not None)

    @property
    def worst(self) -> tuple[Wall, float] | None:
        """The wall that the value could lie nearest to or farthest beyond, and that bound."""
        return max(self.bounds, key=lambda pair: past(*pair), default=None)

    @property
    def beyond(self) -> float:
        """How far the value itself is past the limit, in the unit; negative if it is not."""
        value = self.value
        if value is None:
            return -inf
        return max((past(wall, value) for wall in self.deciding), default=-inf)


def past(wall: Wall, value: float) -> float:
    """Return how far a value is past a wall; negative where it is clear of it."""
    return wall.value - value if wall.least else value - wall.value


def bounded(facts: Facts) -> str:
    """Return what a value could be at worst: "could be as much as 42.9 %"; empty if it is exact."""
    worst = facts.worst
    if worst is None or facts.value is None or worst[1] == facts.value or facts.simple:
        return ""
    wall, bound = worst
    figure = facts.say.value(bound)
    if not facts.say.depth or figure == "FLUSH":
        way = "" if figure == "FLUSH" else " as little as" if wall.least else " as much as"
        return f"could be{way} {figure}"
    # A depth is more BELOW to the right, and more PROUD to the left.
    grows = wall.least == (bound < 0)
    return f"could be {'as much as' if grows else 'only'} {figure}"
