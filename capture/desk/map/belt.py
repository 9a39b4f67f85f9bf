"""A belt round the places that a cover will hide. No Qt in here.

The belt is the convex hull of the places, widened all round. Where somebody else's place would
lie in it, it would say something false: then each place has a belt of its own.
"""

from collections.abc import Sequence
from math import atan2, ceil, cos, hypot, pi, sin

Pair = tuple[float, float]
Outline = tuple[Pair, ...]

_ARC = pi / 18  # the most that one step of a round corner turns


def belts_round(
    places: Sequence[Pair], others: Sequence[Pair], radius: float
) -> tuple[Outline, ...]:
    """Return closed outlines, each a tuple of points, round places and round none of the others.

    Lengths are in pixels. Others that lie within ``radius`` of a place can't be kept out.
    """
    if not places:
        return ()
    corners = hull(places)
    if any(_is_in(other, corners, radius) for other in others):
        return tuple(widened((place,), radius) for place in dict.fromkeys(places))
    return (widened(corners, radius),)


def hull(places: Sequence[Pair]) -> Outline:
    """Return the corners of the convex hull, in order (monotone chain); two or one if flat."""
    ordered = sorted(set(places))
    if len(ordered) < 3:  # noqa: PLR2004 - a hull with an area has three corners
        return tuple(ordered)
    lower, upper = _chain(ordered), _chain(ordered[::-1])
    return tuple(lower[:-1] + upper[:-1])


def widened(corners: Sequence[Pair], radius: float) -> Outline:
    """Return the outline at a distance round a convex outline, its corners rounded."""
    count = len(corners)
    if count == 1:
        return _arc(corners[0], 0.0, 2 * pi, radius)
    found: list[Pair] = []
    for n, corner in enumerate(corners):
        before, after = corners[n - 1], corners[(n + 1) % count]
        start, end = _outward(before, corner), _outward(corner, after)
        found += _arc(corner, start, start + (end - start) % (2 * pi), radius)
    return tuple(found)


def _chain(ordered: list[Pair]) -> list[Pair]:
    found: list[Pair] = []
    for place in ordered:
        while len(found) > 1 and _turn(found[-2], found[-1], place) <= 0:
            found.pop()
        found.append(place)
    return found


def _turn(a: Pair, b: Pair, c: Pair) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _outward(a: Pair, b: Pair) -> float:
    """Return the direction that points out of the hull across its side from a to b."""
    return atan2(b[1] - a[1], b[0] - a[0]) - pi / 2


def _arc(centre: Pair, start: float, end: float, radius: float) -> Outline:
    steps = max(1, ceil((end - start) / _ARC))
    angles = (start + (end - start) * step / steps for step in range(steps + 1))
    return tuple((centre[0] + radius * cos(a), centre[1] + radius * sin(a)) for a in angles)


def _is_in(place: Pair, corners: Sequence[Pair], radius: float) -> bool:
    """Return whether a place lies in the hull or nearer to it than the radius."""
    count = len(corners)
    sides = [(corners[n], corners[(n + 1) % count]) for n in range(count)]
    if count > 2 and all(_turn(a, b, place) >= 0 for a, b in sides):  # noqa: PLR2004 - the same
        return True
    return any(_apart(place, a, b) < radius for a, b in sides)


def _apart(place: Pair, a: Pair, b: Pair) -> float:
    """Return how far a place is from a segment."""
    bx, by = b[0] - a[0], b[1] - a[1]
    length = bx * bx + by * by
    along = ((place[0] - a[0]) * bx + (place[1] - a[1]) * by) / length if length else 0.0
    along = min(1.0, max(0.0, along))
    return hypot(place[0] - a[0] - along * bx, place[1] - a[1] - along * by)
