"""What is told of a surveyed face: each hole and distance in its place, or why it is not known.

A length that the photo shows too vaguely is not told; a hole that was clicked twice is one hole.
"""

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from msgspec import Struct

from annotate.marks import Ellipse, PixelPair
from annotate.quantity import Quantity
from annotate.result import Known, Result, Unknown

if TYPE_CHECKING:
    from annotate.flat_face.face import Pair, Survey

# What is told no better than this is no measurement: neighbouring drills, by sixty-fourths of an
# inch, are 0.4 mm apart, and large holes are bored, not drilled.
_VAGUE_MM, _VAGUE = 0.3, 0.02
# A distance that the photo shows no better than the general tolerance of lengths of 30 to 120 mm
# (ISO 2768-1, medium) could not decide even that one. Of 1475 distances between holes on pictures
# rendered by ourselves, 198 were shown so; 56 % of them were true to 0.1 mm, of the others 93 %.
_SEEN_MM = 0.3
CLEARER = (
    "lay a larger target between the two holes, take it squarer and nearer, or give the camera's "
    "profile (--lens)"
)
_MOSTLY = 0.7  # of an interval's half width


class Hole(Struct, frozen=True):
    """One hole that was asked for: its drilled edge's diameter in mm and its rim in the picture.

    ``same_as``: the number of an earlier click into the same hole.
    """

    click: PixelPair
    diameter: Result
    outline: Ellipse | None = None
    same_as: int | None = None


class Apart(Struct, frozen=True):
    """The distance between the centres of two holes, counted from 0 in click order, in mm.

    ``vague``: to how much the photo shows it, in words, where that is too little to be told.
    """

    start: int
    end: int
    distance: Result
    vague: str = ""


class Face(Struct, frozen=True):
    """What was measured on one face: every hole in click order, and all pairs of them.

    ``height``: of the camera over the target's plane in mm, None where nothing was measured;
    ``behind``: how far behind that plane the holes' edges lie, as typed.
    """

    holes: tuple[Hole, ...]
    pairs: tuple[Apart, ...]
    height: Quantity | None = None
    behind: Quantity | None = None


class Looked(NamedTuple):
    """What became of each click: why a hole can't be measured ("": it can), or its size can't.

    ``same``: clicks into a hole that an earlier click is in, with that one's number.
    """

    clicks: Sequence[PixelPair]
    reasons: list[str]
    unsure: dict[int, str]
    same: dict[int, int]

    def surveyed(self) -> list[int]:
        """Return the clicks whose holes are measured, each hole once."""
        return [n for n, why in enumerate(self.reasons) if not why and n not in self.same]


def told(looked: Looked, survey: "Survey | None", behind: Quantity | None) -> Face:
    """Return the survey of what was ``looked`` at, with the holes that failed in their places."""
    clicks, reasons, unsure, same = looked
    good = looked.surveyed() if survey else []
    measured = {n: at for at, n in enumerate(good)}
    measured |= {n: measured[first] for n, first in same.items() if first in measured}
    apart = {(pair.start, pair.end): pair for pair in survey.pairs} if survey else {}
    known = _Knowing(survey, behind)

    def hole(n: int) -> Hole:
        if survey is None or n not in measured:
            return Hole(clicks[n], Unknown(reasons[n] or "nothing was measured"))
        at, first = measured[n], same.get(n, n)
        diameter = Unknown(unsure[first]) if first in unsure else known(survey.diameters[at])
        return Hole(clicks[n], diameter, survey.outlines[at], same.get(n))

    def pair(a: int, b: int) -> Apart:
        if a not in measured or b not in measured:
            missing = a if a not in measured else b
            return Apart(a, b, Unknown(f"hole {missing}: {reasons[missing]}"))
        if measured[a] == measured[b]:
            return Apart(a, b, Unknown(f"clicks {a} and {b} are in the same hole"))
        start, end = sorted((measured[a], measured[b]))
        return _apart(a, b, apart[start, end], known)

    many = range(len(clicks))
    return Face(
        holes=tuple(hole(n) for n in many),
        pairs=tuple(pair(a, b) for a in many for b in many if a < b),
        height=survey.height if survey else None,
        behind=behind,
    )


class _Knowing(NamedTuple):
    """Tells a length in mm, unless its interval is so wide that it measures nothing."""

    survey: "Survey | None"
    behind: Quantity | None

    def __call__(self, length: Quantity) -> Result:
        low, high = length.interval()
        half = (high - low) / 2
        if half <= max(_VAGUE_MM, _VAGUE * abs(length.value)):
            return Known(length)
        vague = f"it can be told to {_up(half)} mm either way only"
        if self._by_standing(length) > _MOSTLY * half:
            return Unknown(
                f"{vague}, mostly for how far the edges lie behind the target or from the camera: "
                "tell --behind more finely, give the camera's profile (--lens), or take the photo "
                "from farther away"
            )
        return Unknown(f"{vague}; take the photo nearer and squarer, with light from all round")

    def _by_standing(self, length: Quantity) -> float:
        """Return what a length's half width would be by where the edges lie alone, to 1st order."""
        if self.survey is None or self.behind is None:
            return 0.0
        height, z = self.survey.height, self.behind
        doubt = math.hypot(z.u / height.value, z.value * height.u / height.value**2)
        return 2 * doubt * abs(length.value)


def _apart(start: int, end: int, pair: "Pair", known: "_Knowing") -> Apart:
    """Return a distance, unless the photo shows it too vaguely.

    How well lengths were typed (the target's own size, how far behind it the edges lie) does not
    count here: that goes into the interval.
    """
    if pair.seen_mm <= _SEEN_MM:
        return Apart(start, end, known(pair.distance))
    vague = f"this photo shows it to {_up(pair.seen_mm)} mm either way only"
    return Apart(start, end, Unknown(f"{vague}; {CLEARER}"), vague)


def _up(mm: float) -> str:
    """Return a half width, rounded up: none that is refused reads like the widest that is told."""
    return f"{math.ceil(100 * mm) / 100:.2f}"
